"""A piece at the worktable: its chart as it stands, and every change kept as it happens."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.ground.errors import BadInput
from pix2block.ground.files import save_all
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import undo
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.keeping import CHART
from pix2block.recipes.outputs import files_of, save
from pix2block.study.study import Study
from pix2block.web.again import Again
from pix2block.web.choices import chosen, is_word, option_of
from pix2block.web.jobs import Job
from pix2block.web.log import Entry, Log
from pix2block.web.wanted import PLACE, Value, Wanted, keep, print_of, wanted_of

_MOST_MENDS = 5000  # of one stroke
_TRIES = 3  # of long work beside which the piece is changed
_FROM_PICTURE = ("habit", "corner", "hand", "block", "calm")  # where it is at hand, else the chart


@dataclass(frozen=True, eq=False)
class State:
    """How a piece stands, and what it was asked with. opening: in which a word's choice was kept
    last, "" where it was no choice."""

    study: Study
    wanted: Wanted
    opening: str = ""


class Session:
    """A piece that is worked on. Only one change is made at a time; each is on the disk before it
    is answered."""

    def __init__(self, folder: Path, made: Study | None = None) -> None:
        """made: the piece as it was just made, where it was. Raises BadInput where the folder has
        no chart that can be read."""
        self.folder = folder
        self.lock = threading.RLock()
        self.again = Again(folder)
        study = open_chart(folder / CHART)
        wanted = wanted_of(folder, study.chart)
        if made is not None:
            study = replace(made, chart=study.chart, chart_file=study.chart_file, read=())
        elif wanted.known:
            study = replace(study, options=wanted.options(folder))
        self.state = State(study, wanted)
        self.first = self.state  # as the folder's files have it
        self.before: list[State] = []  # what was changed, since it was opened
        self.tried: dict[tuple[str, Value | None], State] = {}  # choices that were only tried
        self.log = Log(folder, print_of(study.chart))
        for entry in self.log.read():
            self._now(entry, self._kept(entry) or self._after(entry))

    @property
    def study(self) -> Study:
        """The piece as it stands."""
        return self.state.study

    @property
    def chart(self) -> Chart:
        """As it stands."""
        return self.state.study.chart

    def mend(self, mends: Sequence[tuple[str, str]]) -> None:
        """Mends in order, as one group. Raises BadInput with every one that cannot be, and nothing
        is changed."""
        if len(mends) > _MOST_MENDS:
            raise BadInput(f"{len(mends)} mends at once: do at most {_MOST_MENDS}")
        self.change({"mends": [list(mend) for mend in mends]})

    def choose(
        self, word: str, value: Value | None, opening: str = "", job: Job | None = None
    ) -> None:
        """Another choice of a word: its value as it is typed, None for what holds where nothing is
        asked. opening: tells in which opening of the word; what is chosen in one is one change.
        job: counts, and stops, what takes long. Raises BadInput for a word or value that there is
        not."""
        self.change({"word": word, "value": value, "opening": opening}, job)

    def tried_on(self, word: str, value: Value | None, job: Job | None = None) -> State:
        """The piece as a choice would make it; nothing is changed. Raises BadInput as `choose`
        does."""
        state = self.state
        found = self.tried.get((word, value))
        if found is None:
            found = self._chosen(state, word, value, job)
            if self.state is state:
                self.tried[word, value] = found
        return found

    def take_back(self) -> None:
        """Without the last change. Raises BadInput where there is none."""
        self.change({"back": True})

    def settle(self) -> None:
        """Write every file of the folder anew, and with that empty the log."""
        with self.lock:
            if not self.log.path.exists():
                return
            state = self.state
            study = self._whole(state)
            if state.wanted != self.first.wanted or state.wanted.known:
                ways = {print_of(self.first.study.chart): self.first.wanted}
                keep(self.folder, {**ways, print_of(study.kept): state.wanted})
            save(study, self.folder)
            self.log.clear()
            for path in (self.folder / PLACE).glob(f"{_MADE}*.json"):
                path.unlink(missing_ok=True)
            self.first = replace(state, study=replace(study, chart=study.kept))
            self.log = Log(self.folder, print_of(study.kept))

    def files(self, only: Sequence[str] | None = None) -> dict[str, bytes]:
        """The piece's files as they would be written now."""
        with self.lock:
            study = self._whole(self.state)
        return files_of(study, only=only)

    def _whole(self, state: State) -> Study:
        """The piece with its picture in blocks, where that is at hand; some files show it."""
        study = state.study
        if study.view is not None or not (state.wanted.known and state.wanted.picture):
            return study
        made = self.again.from_picture(study, state.wanted)
        whole = replace(made, chart=study.chart, chart_file=study.chart_file)
        if self.state is state:
            self.state = replace(state, study=whole)
        return whole

    def change(self, entry: Entry, job: Job | None = None) -> None:
        """A change, on the disk before it holds. With a job it is worked out while other changes
        are made, and once more where there was one."""
        for _ in range(_TRIES if job else 0):
            before = self.state
            after = self._after(entry, job)
            if job:
                job.heed()
            with self.lock:
                if self.state is before:
                    self._hold(entry, after)
                    return
        with self.lock:
            self._hold(entry, self._after(entry))

    def _hold(self, entry: Entry, after: State) -> None:
        self.log.append(self._with_made(entry, after))
        self._now(entry, after)

    def _after(self, entry: Entry, job: Job | None = None) -> State:
        """How the piece stands after a change, as the log has it. Raises BadInput where it cannot
        be."""
        if "back" in entry:
            return self._without_last()
        if "word" in entry:
            value = entry["value"]
            value = tuple(value) if isinstance(value, list) else value
            after = self.tried_on(entry["word"], value, job)
            return replace(after, opening=entry.get("opening", ""))
        mends = [(name, value) for name, value in entry.get("mends", ())]
        study = replace(self.study, chart=apply_mends(self.chart, mends).after)
        return State(study, self.state.wanted)

    def _chosen(self, state: State, word: str, value: Value | None, job: Job | None) -> State:
        """A state with another choice of a word."""
        option = option_of(word)
        wanted = state.wanted.with_word(option, value)
        at_hand = state.wanted.picture and word in _FROM_PICTURE
        if is_word(word) and isinstance(value, str) and not at_hand:
            return State(replace(state.study, chart=chosen(state.study.chart, word, value)), wanted)
        return State(self.again.made(state.study, wanted, option, job), wanted)

    def _now(self, entry: Entry, after: State) -> None:
        if "back" in entry:
            if self.before:
                self.before.pop()
        elif not (after.opening and after.opening == self.state.opening):
            self.before.append(self.state)
        if not (after.opening and "word" in entry):
            self.tried.clear()
        self.state = after

    def _without_last(self) -> State:
        if self.before:
            return self.before[-1]
        if not self.chart.mends:
            raise BadInput("nothing is to be taken back: the piece is as it was made")
        last = self.chart.mends[-1].group
        count = sum(line.group == last for line in self.chart.mends)
        return State(replace(self.study, chart=undo(self.chart, count).after), self.state.wanted)

    # What was made again is kept beside the log, so that a restart need not make it again

    def _with_made(self, entry: Entry, after: State) -> Entry:
        """A change as the log has it. The chart that came of a choice is kept first."""
        if "word" not in entry or after.study.view is None:
            return entry
        name = f"{_MADE}{print_of(after.study.chart)[:16]}.json"
        if not (self.folder / PLACE / name).is_file():
            save_all(self.folder / PLACE, {name: write_chart(after.study.chart)})
        return {**entry, "made": name}

    def _kept(self, entry: Entry) -> State | None:
        """What came of a change before a restart, where that was kept."""
        path = self.folder / PLACE / str(entry.get("made", ""))
        if path.parent.name != PLACE or not path.name.startswith(_MADE) or not path.is_file():
            return None
        try:
            chart, _ = read_chart(path.read_bytes(), str(path))
            value = entry["value"]
            value = tuple(value) if isinstance(value, list) else value
            wanted = self.state.wanted.with_word(option_of(entry["word"]), value)
            options = wanted.options(self.folder)
        except (OSError, BadInput):
            return None
        study = replace(self.study, chart=chart, options=options, view=None)
        return State(study, wanted, entry.get("opening", ""))


_MADE = "made-"
