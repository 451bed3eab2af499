"""What a run does with the files that it finds in a folder: its own go, a maker's are kept.

A run's own files are those that the folder's summary.json lists, as long as they are what was
written. A chart or a pattern's text that was changed, a chart with mends or made rows that the new
one has not, and what no run wrote, is kept under another name before it is replaced or removed, and
that is said; a changed table is made again.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, refuse
from pix2block.ground.frozen import dataclass
from pix2block.ground.swap import Moves, bytes_of, sha256_of

CHART, SUMMARY = "chart.json", "summary.json"
LOG = ".worktable.jsonl"  # of the worktable: each line that says of which files it is has a SHA-256
WORKED_ON = (CHART, "chart.csv", "chart.xlsx", "pattern.txt")  # a report writes these anew
_PRECIOUS = re.compile(r"chart\.(json|csv|xlsx)|pattern\.(.+\.)?txt")  # what a hand changes
_TAKEN_IN = ("chart.csv", "chart.xlsx")  # once they are read, the chart has all they tell
_NOT_OURS = "is not what a run wrote here"
_MENDED = "has mends that are not done again"
_OLDER = ("rows", "blocks", "strands")  # keys of a summary.json, also of one without a list


@dataclass(frozen=True)
class Found:
    """What a run does in a folder: its moves, and what a maker should know of them, a sentence
    each."""

    moves: Moves
    notes: tuple[str, ...]


_FORBIDDEN = re.compile(r'[<>:"/\\|?*\x00-\x1f]')
_TAKEN = re.compile(r"(?i)\A(con|prn|aux|nul|(?:com|lpt)[0-9¹²³]|conin\$|conout\$)(?=\.|\Z)")


def own_folder(of: Path) -> Path:
    """The folder of a piece from a file, where no other is asked for: never outside of "output"."""
    return Path("output") / folder_name(of.stem)


def folder_name(words: str) -> str:
    """Words as the name of a folder on every system: Windows takes some letters and names for
    itself, and no name there ends in a dot or a space; "piece" where nothing is left."""
    name = _FORBIDDEN.sub("_", words).strip(". ")
    return _TAKEN.sub(r"\1_", name) or "piece"


def digests(contents: Mapping[str, bytes]) -> dict[str, str]:
    """The SHA-256 of each file but summary.json, which lists them."""
    return {
        name: hashlib.sha256(data).hexdigest() for name, data in contents.items() if name != SUMMARY
    }


def refuse_inputs(
    folder: Path, names: Iterable[str], read: Iterable[Path], worked_on: Path | None
) -> None:
    """Refuse to write over a file that was read, but for the chart that a report works on.

    Raises BadInput, a fault for each.
    """
    inputs, faults = list(read), []
    for name in names:
        target = folder / name
        if not target.exists():
            continue
        over = next((path for path in inputs if path.exists() and path.samefile(target)), None)
        if over is None or (
            name in WORKED_ON and worked_on and _same(over.parent, worked_on.parent)
        ):
            continue
        faults.append(
            BadInput(
                f"{over} is read, and {name} would be written over it: choose ",
                Ask("out", "FOLDER"),
                ", another folder",
            )
        )
    refuse(faults)


def find(
    folder: Path,
    contents: Mapping[str, bytes],
    read: Collection[Path] = (),
    worked_on: Path | None = None,
    whole: bool = True,
) -> Found:
    """What is to be done in a folder before files come into it. read: files that were read, which
    stay; worked_on: the chart that a report works on; whole: whether it is a piece with all its
    files, so that others of its own making are old; else only what a hand may change is kept."""
    record, ours = recorded(folder)
    new = {name: hashlib.sha256(data).hexdigest() for name, data in contents.items()}
    gone: dict[str, str] = {}
    whys: dict[str, str] = {}
    for name, sha256 in new.items():
        now = sha256_of(folder / name)
        if now in (None, sha256) or (name == SUMMARY and ours):
            continue
        if not whole and not _PRECIOUS.fullmatch(name):
            continue
        if name in _TAKEN_IN and any(_same(path, folder / name) for path in read):
            continue
        why = _why_kept(name, now, record, ours) or (
            _another(folder, contents, worked_on) if name == CHART else None
        )
        if why:
            whys[name] = why
    old = record if record and whole else {}
    for name, sha256 in old.items():
        now = sha256_of(folder / name)
        if name in new or now is None or any(_same(path, folder / name) for path in read):
            continue
        if now != sha256:
            whys[name] = "was changed since a run wrote it, and is not made now"
        gone[name] = now
    kept = keep(folder, whys)
    removed = ", ".join(name for name in gone if name not in whys)
    told = [f"Removed, being of an earlier run and not made now: {removed}"] if removed else []
    return Found(replace(kept.moves, gone=gone), (*kept.notes, *told))


def find_others(folder: Path, contents: Mapping[str, bytes]) -> Found:
    """What is to be done in a folder before files come into it that no summary.json lists. A run
    writes all of them together: one that stands there alone is none of ours; and a chart may have
    been mended since."""
    standing = [name for name in contents if (folder / name).is_file()]
    why = {}
    for name in standing:
        now = (folder / name).read_bytes()
        if name.endswith(".json") and _by_hand(now)[0] - _by_hand(contents[name])[0]:
            why[name] = _MENDED
        elif now != contents[name] and len(standing) == 1 < len(contents):
            why[name] = _NOT_OURS
    return keep(folder, why)


def keep(folder: Path, why: Mapping[str, str]) -> Found:
    """Keep files of a folder beside, each for a reason."""
    aside = {name: free_name(folder, name) for name in why}
    notes = tuple(f"{name} {why[name]}: kept as {aside[name]}" for name in aside)
    return Found(Moves({}, {}, aside), notes)


def keep_foreign(path: Path, is_ours: Callable[[bytes], bool]) -> Found:
    """Keep what stands in a file's place beside, unless it is ours by what it holds."""
    foreign = path.is_file() and not is_ours(path.read_bytes())
    return keep(path.parent, {path.name: _NOT_OURS} if foreign else {})


def recorded(folder: Path) -> tuple[dict[str, str] | None, bool]:
    """The files that a run wrote into a folder, by its summary.json, None without a list; and
    whether a summary.json there is a run's at all."""
    try:
        kept: Any = json.loads(bytes_of(folder / SUMMARY))
    except (OSError, ValueError, RecursionError):
        return None, False
    if not isinstance(kept, dict) or not all(key in kept for key in _OLDER):
        return None, False
    files = kept.get("files")
    if not isinstance(files, dict):
        return None, True
    return {
        name: sha256
        for name, sha256 in files.items()
        if isinstance(sha256, str) and name == Path(name).name and not name.startswith(".")
    }, True


def as_written(folder: Path) -> dict[str, bytes]:
    """A folder's files by name, as the last run wrote them; none where any was changed since."""
    listed = recorded(folder)[0] or {}
    try:
        found = {name: bytes_of(folder / name) for name in (*listed, SUMMARY)}
    except OSError:
        return {}
    return found if digests(found) == listed else {}


def _why_kept(
    name: str, now: str | None, record: Mapping[str, str] | None, ours: bool
) -> str | None:
    """Why what stands in a file's place is not a run's own, None where it is."""
    if record is None and ours:  # of a run that kept no list
        by_hand = _PRECIOUS.fullmatch(name) and name not in _TAKEN_IN
        return "may have been changed by hand" if by_hand else None
    if record is None or name not in record:
        return _NOT_OURS
    if record[name] == now or not _PRECIOUS.fullmatch(name):  # others follow from the chart
        return None
    return "was changed since a run wrote it"


def _another(folder: Path, contents: Mapping[str, bytes], worked_on: Path | None) -> str | None:
    """Why the chart.json of a folder is another piece's, None where it is not."""
    data = (folder / CHART).read_bytes()
    before, after = _picture(data), _picture(contents[CHART])
    if before[1] != after[1]:
        return f"is of another picture, {before[0]}" if before[0] else "is of another piece"
    if worked_on and _same(worked_on.parent, folder):
        beside = worked_on.name != CHART
        return "is not the chart that was reported on" if beside else None
    (mends, rows), (of_new, rows_of_new) = map(_by_hand, (data, contents[CHART]))
    if mends - of_new:
        return _MENDED
    if rows > rows_of_new:
        return "tells rows that are made"
    log = (folder / LOG).read_bytes() if (folder / LOG).is_file() else b""
    settled = hashlib.sha256(data).hexdigest().encode() in log
    return "was worked on at the worktable" if settled else None


def _picture(chart: bytes) -> tuple[str | None, str | None]:
    """File name and SHA-256 of the picture behind a chart.json, None where there is none."""
    try:
        source = json.loads(chart)["source"]
        return str(source["picture"]), str(source["sha256"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return None, None


def _by_hand(chart: bytes) -> tuple[Counter[tuple[str, str]], int]:
    """What a maker did to a chart.json: its mends as they were asked, and its last made row, 0
    where none is."""
    try:
        kept = json.loads(chart)
        lines, done = kept.get("mends") or (), kept.get("done") or {"row": 0}
        return Counter((str(one["mend"]), str(one["value"])) for one in lines), int(done["row"])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return Counter(), 0


def _same(one: Path, other: Path) -> bool:
    return one.exists() and other.exists() and one.samefile(other)


def free_name(folder: Path, name: str) -> str:
    """ "chart.before-2.json" for "chart.json", the first that is not taken."""
    stem, dot, ending = name.rpartition(".")
    number = 1
    while (folder / f"{stem}.before-{number}{dot}{ending}").exists():
        number += 1
    return f"{stem}.before-{number}{dot}{ending}"
