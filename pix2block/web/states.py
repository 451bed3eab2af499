"""How a piece at the worktable stands, and a change of it; both as a line of the log has them."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from pix2block.chart.chart import Chart
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import plain, say_count
from pix2block.options.goal_rules import Hours
from pix2block.recipes.replay import NOT_AGAIN
from pix2block.stripes.striped import Striped
from pix2block.study.study import Study
from pix2block.web.changes import words_of
from pix2block.web.letters import GONE, words_in
from pix2block.web.log import Entry, packed, unpacked
from pix2block.web.paragraph import paragraph_of, said_of
from pix2block.web.wanted import Value, Wanted

_NAMED = {  # what is taken back with a word, where what it says now does not tell that alone
    "title": "name",
    "kind": "kind",
    "size": "size",
    "blocks": "blocks",
    "width": "blocks",
    "height": "blocks",
    "colors": "how many",
    "corner": "start corner",
    "calm": "tails",
    "hours": "tails",
    "pace": "hours",
    "look": "reading",
    "tails": "ending",
    "ending": "ending",
}


@dataclass(frozen=True, eq=False)
class State:
    """How a piece stands, and what it was asked with."""

    study: Study
    wanted: Wanted


@dataclass
class Step:
    """A change that holds, or was taken back. entry: as the log has it; after: the piece then, None
    where that is not in memory."""

    entry: Entry
    after: State | None = None

    @property
    def words(self) -> str:
        """What it did, in a few words."""
        return str(self.entry.get("said", "a change"))

    @property
    def taken(self) -> str:
        """What taking it back takes away: "size, now 100 × 120 cm"."""
        name = _NAMED.get(self.entry.get("word", ""))
        return f"{name}, now {self.words.removeprefix('about ')}" if name else self.words


def packed_state(state: State) -> dict[str, Any]:
    """A state for a line of the log."""
    of = state.wanted
    wanted = {
        "words": dict(of.words),
        "picture": of.picture,
        "known": of.known,
        "plan": of.plan,
        **of.when,
    }
    return {"chart": packed(state.study.chart), "wanted": wanted}


def unpacked_state(entry: Entry, before: State, folder: Path) -> State:
    """The state that a line of the log holds. The picture's view comes again when a file shows
    it."""
    told = entry["wanted"]
    words = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in told["words"].items()
    }
    when = (told.get(name, "") for name in ("evenings", "first_day"))
    wanted = Wanted(words, told["picture"], told["known"], told.get("plan", ""), *when)
    study = before.study if wanted.plan else without_plan(before.study)
    study = replace(study, chart=unpacked(entry["chart"]), view=None)
    if wanted.known:
        study = replace(study, options=wanted.options(folder))
    return State(study, wanted)


def kept_by_hand(before: State, after: State) -> str:
    """What became of the mends of a piece that was made anew, "" where it was not, or had none."""
    was, now = before.study.chart.mends, after.study.chart.mends
    if not was or now is was or len(now) > len(was):
        return ""
    lost = [note for note in after.study.notes if note.startswith(NOT_AGAIN)]
    count = say_count(len(was), "mend by hand", "mends by hand")
    again = "done again"
    if now and _shows_another_part(before, after):
        again += " at the same columns and lines, where the picture may now show something else"
    if len(now) == len(was):
        return f"Made anew, with your {count} {again}."
    of = f"{len(now) or 'none'} of your {count} {again}"
    return " ".join([f"Made anew, with {of}.", *(f"{note.rstrip('.')}." for note in lost)])


def _shows_another_part(before: State, after: State) -> bool:
    """Whether blocks may lie elsewhere on the picture since."""
    was, now = before.study.chart.blocks.shape, after.study.chart.blocks.shape
    return was != now or before.wanted.words.get("crop") != after.wanted.words.get("crop")


def hours_kept(word: str, value: Value | None) -> str:
    """That so many hours of weaving in are kept to, "" where none were asked."""
    if word != "hours" or not isinstance(value, str):
        return ""
    return f"At most {plain(Hours().read(value))} h of weaving in, as asked."


def without_plan(study: Study) -> Study:
    """A study whose chart is of no stripe plan any more."""
    if not isinstance(study, Striped):
        return study
    return Study(**{one.name: getattr(study, one.name) for one in fields(Study)})


def said_by(entry: Entry, before: Chart, after: State) -> str:
    """A change in a few words: "4 blocks Samphire", "carried behind"."""
    if entry.get("word") == GONE:
        gone = [line for line in before.mends if str(line.group) == entry["value"]]
        return f"without {' and '.join(f'“{words_in(line)}”' for line in gone)}"
    if entry.get("word") == "subject" and str(entry["value"]).endswith(".png"):
        return "the subject, drawn by hand"
    if entry.get("word") == "shelf" and entry["value"]:
        return "your list of yarns"
    if "word" in entry and not entry["word"].startswith("mend:"):
        value = entry["value"]
        value = (
            "as usual" if value is None else value if isinstance(value, str) else ", ".join(value)
        )
        return (
            said_of(paragraph_of(after.study, after.wanted), entry["word"].removesuffix("_shape"))
            or f"{_plain(entry['word'])}: {value}"
        )
    if "aside" in entry:
        return "another that lay aside"
    if "without" in entry:
        gone = [line for line in before.mends if line.group == entry["without"]]
        return f"without {words_of(gone)}{'' if entry['alone'] else ' and what came after it'}"
    lines = after.study.chart.mends[len(before.mends) :]
    return words_of(lines) if lines else "a mend"


def _plain(name: str) -> str:
    return name.replace("_", " ")
