"""What a piece at the worktable was asked with, and the files that this names: its picture, a
shelf. They lie in a place of their own in the piece's folder."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import field, replace
from pathlib import Path, PurePosixPath
from typing import Any

from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.files import save_all
from pix2block.ground.frozen import dataclass
from pix2block.ground.swap import ON_WINDOWS, bytes_of
from pix2block.ground.toml import read_toml
from pix2block.options.picture_rules import NO_SUBJECT
from pix2block.options.table import Options, specs
from pix2block.options.yarn_rules import BorderAsked
from pix2block.recipes.keeping import folder_name

PLACE = "worktable"  # in a piece's folder
_ASKED = "asked.json"
_LONGEST_NAME = 240  # bytes: of 255, less what `bring` may add
_SPECS = {spec.name: spec for spec in specs()}
OF_FILES = tuple(name for name, spec in _SPECS.items() if spec.rule.metavar == "FILE")
_MAY_BE_FILES = ("subject", "done")
_IN_PLACE_OF = {  # what an option sets, others say too
    "width": ("height", "size"),
    "height": ("width", "size"),
    "size": ("width", "height"),
    "habit": ("reach", "rest", "edge"),
}

Value = str | tuple[str, ...]


@dataclass(frozen=True)
class Wanted:
    """words: of options, by name, as they are typed; a file is named by its bare name, and lies in
    the piece's place. picture: the file's name there, "" where it is not at hand; known: whether
    this was kept, and is not just told by the chart; plan: the text of a stripe plan, "" where it
    is none; evenings, first_day: when it is worked on, as an estimate reads them, "" where that is
    not told."""

    words: Mapping[str, Value] = field(default_factory=dict)
    picture: str = ""
    known: bool = False
    plan: str = ""
    evenings: str = ""
    first_day: str = ""

    def with_word(self, name: str, value: Value | None) -> Wanted:
        """With another value of an option, None for what holds where nothing is asked."""
        words = {
            other: said
            for other, said in self.words.items()
            if other != name and other not in _IN_PLACE_OF.get(name, ())
        }
        if value is not None and value != ():
            words[name] = value
        return replace(self, words=words)

    @property
    def when(self) -> dict[str, str]:
        """When it is worked on, where that is told."""
        told = {"evenings": self.evenings, "first_day": self.first_day}
        return {name: value for name, value in told.items() if value}

    @property
    def both_sides(self) -> bool:
        """Whether both sides are asked, so that none follows from the picture."""
        return "size" in self.words or {"width", "height"} <= self.words.keys()

    def with_blocks(self, value: str) -> Wanted:
        """With so many blocks across, or across and down, as "43" or "43x54". Raises BadInput."""
        found = re.fullmatch(r"\s*(\d{1,4})\s*(?:[x×*]\s*(\d{1,4})|by\s*(\d{1,4}))?\s*", value)
        if not found:
            raise BadInput(f'"{value}": write blocks across, as 43, or across and down, as 43x54')
        across, down = found[1], found[2] or found[3]
        made = self.with_word("width", across)
        return replace(made, words={**made.words, "height": down}) if down else made

    def options(self, folder: Path) -> Options:
        """As options, files where they lie. Raises BadInput for what cannot be read, or for a file
        that the piece's place does not hold."""
        words: dict[str, Value] = {}
        for name, value in self.words.items():
            is_file = name in OF_FILES or (name in _MAY_BE_FILES and _is_file(name, value))
            words[name] = str(in_place(folder, str(value))) if is_file else value
        return Options.from_words(words)


def in_place(folder: Path, name: str) -> Path:
    """A file of the piece's place. Raises BadInput for a name that is a path, or of no file."""
    if name != bare_name(name) or not (folder / PLACE / name).is_file():
        raise BadInput(f'"{name}" is no file that was brought to this piece: choose one')
    return folder / PLACE / name


def place_of(folder: Path) -> Path:
    """The piece's place, to write into. Raises BadInput where it leads to another folder, as it may
    in one that somebody sent."""
    if (folder / PLACE).is_symlink():
        raise BadInput(f"{folder / PLACE} leads to another folder: remove it to go on")
    return folder / PLACE


def bare_name(name: str) -> str:
    """A file's name alone, which leads nowhere, no longer than a file system takes."""
    bare = PurePosixPath(name.replace("\\", "/")).name.strip(". ").replace("\0", "") or "file"
    if ON_WINDOWS:  # a colon would lead to another drive, and some names are of devices
        bare = folder_name(bare)
    told = bare.encode("utf-8", "replace")
    if len(told) <= _LONGEST_NAME:
        return bare
    ending = PurePosixPath(bare).suffix[:8]
    stem = told[: _LONGEST_NAME - len(ending.encode("utf-8", "replace"))]
    return f"{stem.decode('utf-8', 'ignore')}{ending}"


def bring(folder: Path, name: str, data: bytes) -> str:
    """Keep a file in the piece's place; its name there. One of the same name and other bytes gets
    another name, since what was asked before still means it."""
    name = bare_name(name)
    if name == _ASKED:
        name = f"of-{name}"
    path = folder / PLACE / name
    if path.is_file() and path.read_bytes() != data:
        stem, dot, ending = name.rpartition(".")
        digest = hashlib.sha256(data).hexdigest()[:8]
        name = f"{stem}-{digest}{dot}{ending}" if dot else f"{name}-{digest}"
    if not (folder / PLACE / name).is_file():
        save_all(place_of(folder), {name: data})
    return name


def begin(folder: Path, picture: Path, options: Options, chart: Chart) -> None:
    """Keep a new piece's picture, or its stripe plan, the files that its options and plan name,
    and what was asked."""
    is_plan = picture.suffix.lower() == ".toml"
    plan = _plan_at_hand(folder, picture) if is_plan else ""
    name = picture.name if is_plan else bring(folder, picture.name, picture.read_bytes())
    words: dict[str, Value] = {}
    for spec in _SPECS.values():
        value = getattr(options, spec.name)
        if value is None or spec.name in ("out", "fresh"):
            continue
        if spec.name in OF_FILES or (spec.name == "subject" and isinstance(value, str)):
            path = Path(value)
            is_word = spec.name == "subject" and value == NO_SUBJECT
            words[spec.name] = value if is_word else bring(folder, path.name, path.read_bytes())
        elif spec.many:
            words[spec.name] = tuple(spec.rule.as_words(one) for one in value)
        else:
            words[spec.name] = spec.rule.as_words(value)
    keep(folder, {print_of(chart): Wanted(words, name, True, plan)})


def _plan_at_hand(folder: Path, path: Path) -> str:
    """A plan's text; the shelf that it names comes along."""
    text = path.read_text(encoding="utf-8-sig")
    named = read_toml(text).get("shelf")
    shelf = path.parent / named if isinstance(named, str) else None
    if shelf is not None and shelf.is_file():
        bring(folder, shelf.name, shelf.read_bytes())
    return text


def keep(folder: Path, wanted: Mapping[str, Wanted]) -> None:
    """Keep what was asked, by the print of the chart that came of it."""
    told = {
        key: {"picture": one.picture, "words": one.words, "plan": one.plan, **one.when}
        for key, one in wanted.items()
    }
    save_all(place_of(folder), {_ASKED: (json.dumps(told, indent=1) + "\n").encode()})


def wanted_of(folder: Path, chart: Chart) -> Wanted:
    """What a piece was asked with; where that was not kept, or another chart came since, as far as
    the chart itself tells it."""
    try:
        told = json.loads(bytes_of(folder / PLACE / _ASKED))
        every = {key: _wanted(one) for key, one in told.items()}
    except (OSError, ValueError, AttributeError, TypeError, KeyError, RecursionError):
        every = {}
    kept = every.get(print_of(chart))
    if kept is not None:
        return kept
    before = next(reversed(every.values()), Wanted())
    return replace(before, words={**before.words, **_told_by(chart)}, known=False)


def _wanted(told: Any) -> Wanted:
    words = {
        name: tuple(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in told["words"].items()
        if name in _SPECS
    }
    when = (str(told.get(name, "")) for name in ("evenings", "first_day"))
    return Wanted(words, str(told["picture"]), True, str(told.get("plan", "")), *when)


def _told_by(chart: Chart) -> dict[str, Value]:
    """The options that would give a chart, as far as it tells them."""
    said = {
        spec.name: spec.rule.as_words(getattr(chart, spec.kept))
        for spec in _SPECS.values()
        if spec.kept and getattr(chart, spec.kept) is not None
    }
    words: dict[str, Value] = {**said, "width": str(chart.width), "height": str(chart.height)}
    words["title"] = chart.title
    if chart.habit.name in settings.HABITS:
        words["habit"] = chart.habit.name
    else:
        of = chart.habit
        words |= {"reach": f"{of.reach:g}", "rest": str(of.rest), "edge": str(of.edge)}
    words["colors"] = str(int(chart.used.sum()))
    if chart.source:
        words["calm"] = f"{chart.calmed.percent:g}" if chart.calmed else "0"
    if chart.border:
        of_border = chart.border
        yarn = chart.yarns[of_border.yarn].name
        asked = BorderAsked(of_border.rounds, of_border.stitch, yarn)
        words["border"] = _SPECS["border"].rule.as_words(asked)
    return words


def print_of(chart: Chart) -> str:
    """What tells a chart from every other."""
    return hashlib.sha256(write_chart(chart)).hexdigest()


def _is_file(name: str, value: Value) -> bool:
    """Whether an option that may be told by a file is."""
    if name == "done":
        return str(value).strip().lower().endswith(".json")
    try:
        meant = _SPECS[name].rule.value(value)
    except BadInput:
        return False
    return isinstance(meant, str) and meant != NO_SUBJECT
