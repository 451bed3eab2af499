"""A piece at the worktable: its chart as it stands, and every change kept as it happens."""

from __future__ import annotations

import hashlib
import threading
import time
from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.ground.errors import BadInput
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import undo
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.keeping import CHART, SUMMARY, as_written, recorded
from pix2block.recipes.outputs import files_of, save
from pix2block.study.study import Study
from pix2block.web.again import Again
from pix2block.web.changes import refuse_many, without_group
from pix2block.web.chosen import absolute_word, chosen_state
from pix2block.web.jobs import Job
from pix2block.web.log import Entry, Log, damaged
from pix2block.web.slip_yarns import spare_of
from pix2block.web.states import State, Step, packed_state, said_by, unpacked_state
from pix2block.web.wanted import Value, keep, print_of, wanted_of

_TRIES = 3  # of long work beside which the piece is changed
_IN_MEMORY = 200  # pieces as they were, to be taken back at once
_VERSIONS = count(time.time_ns() // 1000)  # so that no two programs give the same


class Session:
    """A piece that is worked on. Only one change is made at a time; each is on the disk before it
    is answered."""

    def __init__(self, folder: Path, made: Study | None = None) -> None:
        """made: the piece as it was just made, where it was. Raises BadInput where the folder has
        no chart that can be read."""
        self.folder, self.log = folder, Log(folder)
        self.lock = threading.RLock()
        self.again = Again(folder, made.view if made else None)
        study = open_chart(folder / CHART)
        wanted = wanted_of(folder, study.chart)
        if made is not None:
            study = replace(made, chart=study.chart, chart_file=study.chart_file, read=())
        elif wanted.known:
            study = replace(study, options=wanted.options(folder))
        self.state = State(study, wanted)
        self.first = self.state  # as the folder's files have it
        self.tried: dict[tuple[str, Value | None], State] = {}  # choices that were only tried
        self.version = next(_VERSIONS)  # another after every change
        self.told: dict[int, Entry] = {}  # as pages were told it, by version
        self.steps: list[Step] = []
        self.undone: list[Step] = []
        self._base = self.state  # before the first step
        self._lines = 0  # of the log, 0 before it has begun with this piece
        self._saving = threading.Lock()
        self._coming: list[Entry] = []  # what the log says of files that are being written
        whole = set(recorded(folder)[0] or ()) - {CHART, SUMMARY}  # which a piece has at least
        self._written: State | None = self.state if whole else None  # what its files are of
        try:
            self._do_again(self.log.read())
        except (LookupError, TypeError, ValueError, AttributeError):
            raise damaged() from None

    @property
    def study(self) -> Study:
        """The piece as it stands."""
        return self.state.study

    @property
    def chart(self) -> Chart:
        """As it stands."""
        return self.state.study.chart

    @property
    def back_words(self) -> str:
        """What taking back would undo, "" where nothing can be."""
        if self.steps:
            return self.steps[-1].taken
        return "the last mend" if self.chart.mends else ""

    @property
    def again_words(self) -> str:
        """What was taken back last and can be put again, "" for nothing."""
        return self.undone[-1].words if self.undone else ""

    def mend(self, mends: Sequence[tuple[str, str]]) -> None:
        """Mends in order, as one group. Raises BadInput with every one that cannot be, and nothing
        is changed."""
        refuse_many(self.chart, len(mends))
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
        return self._tried_on(self.state, word, value, job)

    def take_out(self, group: int, alone: bool, job: Job | None = None) -> None:
        """Without a group of mends: alone, or with all that came after it. job: counts, and stops,
        what is done again. Raises BadInput where later ones would come out otherwise."""
        self.change({"without": group, "alone": alone}, job)

    def take_back(self) -> None:
        """Without the last change. Raises BadInput where there is none."""
        with self.lock:
            if self.steps:
                self._keep({"back": True}, self.before_last())
                self.undone.append(self.steps.pop())
            elif self.chart.mends:  # by an earlier program's hand
                after = self._without_group(self.state)
                entry = {"undo": True, "said": f"taken back: {self.back_words}"}
                self._keep(entry, after)
                self._step(Step(entry, after))
            else:
                raise BadInput("nothing is to be taken back: the piece is as it was made")

    def put_again(self) -> None:
        """With the change that was taken back last. Raises BadInput where there is none."""
        with self.lock:
            if not self.undone:
                raise BadInput("nothing was taken back that could be put again")
            step = self.undone[-1]
            after = step.after or self._after(step.entry, self.state)
            self._keep({"again": True}, after)
            self.steps.append(self.undone.pop())

    def change(self, entry: Entry, job: Job | None = None) -> None:
        """A change, on the disk before it holds. With a job it is worked out while other changes
        are made, and once more where there was one.

        entry: what is kept in the log: {"mends": …}, {"word": …, "value": …}; a "word" is kept
        with the chart that came of it, so that it is never worked out twice.
        """
        for _ in range(_TRIES if job else 0):
            before = self.state
            after = self._after(entry, before, job)
            if job:
                job.heed()
            with self.lock:
                if self.state is before:
                    self._hold(entry, after)
                    return
        with self.lock:
            self._hold(entry, self._after(entry, self.state))

    def settle(self) -> None:
        """Write every file of the folder anew, where they are not of the piece as it stands; it can
        be changed meanwhile."""
        with self._saving:
            with self.lock:
                state, lines = self.state, self._lines
            if state is self._written:
                return
            study = self.again.whole(state.study, state.wanted)
            if state.wanted != self.first.wanted or state.wanted.known:
                ways = {print_of(self.first.study.chart): self.first.wanted}
                keep(self.folder, {**ways, print_of(study.kept): state.wanted})
            first = State(replace(study, chart=study.kept), state.wanted)
            with self.log.files_move():
                # On the disk before the files are: a program that is ended while they change places
                # leaves those of then or of now, and the log is of both.
                with self.lock:
                    settled = {"settled": print_of(study.kept), "at": max(1, lines)}
                    self._coming = [{**settled, **packed_state(first)}]
                    if self._lines:
                        self.log.append(self._coming[0])
                        self._lines += 1
                try:
                    save(study, self.folder)
                finally:
                    self._coming = []
            with self.lock:
                self._written, self.first = state, first

    def files(self, only: Sequence[str] | None = None) -> dict[str, bytes]:
        """The piece's files as they would be written now."""
        state = self.state
        kept = as_written(self.folder) if state is self._written else {}
        if kept and (only is None or kept.keys() >= set(only)):
            return {name: kept[name] for name in only or kept}
        return files_of(self.again.whole(state.study, state.wanted), only=only)

    @property
    def written(self) -> frozenset[str]:
        """Names of the files that lie in the folder as they would be written now."""
        return frozenset(as_written(self.folder)) if self.state is self._written else frozenset()

    def _hold(self, entry: Entry, after: State) -> None:
        entry = {**entry, "said": said_by(entry, self.chart, after)}
        if "word" in entry:
            entry |= packed_state(after)
        self._keep(entry, after)
        self._step(Step(entry, after))
        if len(self.steps) > _IN_MEMORY:
            self.steps[-_IN_MEMORY - 1].after = None

    def _step(self, step: Step) -> None:
        """One more step; of several choices in one opening of a word the last alone."""
        opening = step.entry.get("opening")
        if opening and self.steps and self.steps[-1].entry.get("opening") == opening:
            self.steps.pop()
        self.steps.append(step)
        self.undone.clear()

    def _keep(self, entry: Entry, after: State) -> None:
        """A line of the log; then it holds."""
        if self._lines:
            self.log.append(entry)
            self._lines += 1
        else:
            base = {"settled": self._print(), "at": 1, **packed_state(self._base)}
            begun = [base, *self._coming, entry]
            self.log.begin(begun)
            self._lines = len(begun)
        self.state = after
        self.version = next(_VERSIONS)
        same = absolute_word(entry)  # whose other choices are what they were
        self.tried = {key: state for key, state in self.tried.items() if key[0] == same}

    def _after(self, entry: Entry, before: State, job: Job | None = None) -> State:
        """How the piece stands after a change. Raises BadInput where it cannot be."""
        if "chart" in entry:
            return unpacked_state(entry, before, self.folder)
        if "word" in entry:
            value = entry["value"]
            value = tuple(value) if isinstance(value, list) else value
            return self._tried_on(before, entry["word"], value, job)
        if "undo" in entry:
            return self._without_group(before)
        if "without" in entry:
            of, group, alone = before.study.chart, entry["without"], entry["alone"]
            chart = without_group(of, group, alone, job)
            return State(replace(before.study, chart=chart), before.wanted)
        mends = [(name, value) for name, value in entry.get("mends", ())]
        chart = apply_mends(before.study.chart, mends, spare_of(before.study)).after
        return State(replace(before.study, chart=chart), before.wanted)

    def _tried_on(
        self, state: State, word: str, value: Value | None, job: Job | None = None
    ) -> State:
        found = self.tried.get((word, value)) if self.state is state else None
        if found is None:
            found = chosen_state(self.again, state, word, value, job)
            if self.state is state:
                self.tried[word, value] = found
        return found

    def before_last(self) -> State:
        """How the piece stood before the last step."""
        if len(self.steps) == 1:
            return self._base
        known = self.steps[-2].after
        if known is not None:
            return known
        if "mends" in self.steps[-1].entry:
            return self._without_group(self.state)
        return self._done(self.steps[:-1])

    def _without_group(self, before: State) -> State:
        """The piece without the last group of mends in its journal."""
        chart = before.study.chart
        last = chart.mends[-1].group
        count = sum(line.group == last for line in chart.mends)
        return State(replace(before.study, chart=undo(chart, count).after), before.wanted)

    def _done(self, steps: Sequence[Step]) -> State:
        """How the piece stands after these steps, done again from the last that is known."""
        state, first = self._base, 0
        for at in reversed(range(len(steps))):
            known = steps[at].after
            if known is not None or "chart" in steps[at].entry:
                state, first = known or self._after(steps[at].entry, self._base), at + 1
                break
        for step in steps[first:]:
            state = self._after(step.entry, state)
        return state

    def _do_again(self, lines: Sequence[Entry]) -> None:
        """The changes of a stopped program. None where the folder's chart is not what any of the
        log's lines says: then it is of another piece, or a hand has changed it."""
        now = self._print()
        settled = [line["at"] for line in lines if line.get("settled") == now]
        if not settled:
            self.log.leave(lines)
            return
        self._base = unpacked_state(lines[0], self.state, self.folder)
        self._lines = len(lines)
        changed = 0  # lines up to the last change
        for at, line in enumerate(lines[1:], 1):
            if "settled" in line:
                if line["at"] == at and self.steps:  # as the piece was then
                    last = self.steps[-1]
                    last.entry = {**last.entry, **{key: line[key] for key in ("chart", "wanted")}}
                continue
            changed = at + 1
            if "back" in line:
                self.undone.append(self.steps.pop())
            elif "again" in line:
                self.steps.append(self.undone.pop())
            else:
                self._step(Step(line))
        if changed > settled[-1]:
            self.state = self._done(self.steps)

    def _print(self) -> str:
        return hashlib.sha256((self.folder / CHART).read_bytes()).hexdigest()
