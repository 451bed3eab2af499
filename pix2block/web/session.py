"""A piece at the worktable: its chart as it stands, and every change kept as it happens."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.ground.errors import BadInput
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import undo
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.keeping import CHART
from pix2block.recipes.outputs import files_of, save
from pix2block.study.study import Study
from pix2block.web.choices import chosen
from pix2block.web.jobs import Job
from pix2block.web.log import Entry, Log

_MOST_MENDS = 5000  # of one stroke
_TRIES = 3  # of long work beside which the piece is changed


class Session:
    """A piece that is worked on. Only one change is made at a time; each is on the disk before it
    is answered."""

    def __init__(self, folder: Path) -> None:
        """Raises BadInput where the folder has no chart that can be read."""
        self.folder = folder
        self.lock = threading.RLock()
        self.study = open_chart(folder / CHART)
        self.before: list[Study] = []  # what settings were changed from, since it was opened
        self.log = Log(folder, _print_of(self.study.chart))
        for entry in self.log.read():
            self._now(entry, self._after(entry))

    @property
    def chart(self) -> Chart:
        """As it stands."""
        return self.study.chart

    def mend(self, mends: Sequence[tuple[str, str]]) -> None:
        """Mends in order, as one group. Raises BadInput with every one that cannot be, and nothing
        is changed."""
        if len(mends) > _MOST_MENDS:
            raise BadInput(f"{len(mends)} mends at once: do at most {_MOST_MENDS}")
        self.change({"mends": [list(mend) for mend in mends]})

    def choose(self, word: str, value: str, job: Job | None = None) -> None:
        """Another choice of a word. job: counts, and stops, what takes long. Raises BadInput for a
        word or value that there is not."""
        self.change({"word": word, "value": value}, job)

    def take_back(self) -> None:
        """Without the last change. Raises BadInput where there is none."""
        self.change({"back": True})

    def settle(self) -> None:
        """Write every file of the folder anew, and with that empty the log."""
        with self.lock:
            if not self.log.path.exists():
                return
            save(self.study, self.folder)
            self.log.clear()
            self.log = Log(self.folder, _print_of(self.chart))

    def files(self, only: Sequence[str] | None = None) -> dict[str, bytes]:
        """The piece's files as they would be written now."""
        with self.lock:
            study = self.study
        return files_of(study, only=only)

    def change(self, entry: Entry, job: Job | None = None) -> None:
        """A change, on the disk before it holds. With a job it is worked out while other changes
        are made, and once more where there was one."""
        for _ in range(_TRIES if job else 0):
            before = self.study
            after = self._after(entry)
            if job:
                job.heed()
            with self.lock:
                if self.study is before:
                    self._hold(entry, after)
                    return
        with self.lock:
            self._hold(entry, self._after(entry))

    def _hold(self, entry: Entry, after: Study) -> None:
        self.log.append(entry)
        self._now(entry, after)

    def _after(self, entry: Entry) -> Study:
        """The piece after a change, as the log has it. Raises BadInput where it cannot be."""
        if "back" in entry:
            return self._without_last()
        if "word" in entry:
            return replace(self.study, chart=chosen(self.chart, entry["word"], entry["value"]))
        mends = [(name, value) for name, value in entry.get("mends", ())]
        return replace(self.study, chart=apply_mends(self.chart, mends).after)

    def _now(self, entry: Entry, after: Study) -> None:
        if "back" not in entry:
            self.before.append(self.study)
        elif self.before:
            self.before.pop()
        self.study = after

    def _without_last(self) -> Study:
        if self.before:
            return self.before[-1]
        if not self.chart.mends:
            raise BadInput("nothing is to be taken back: the piece is as it was made")
        last = self.chart.mends[-1].group
        count = sum(line.group == last for line in self.chart.mends)
        return replace(self.study, chart=undo(self.chart, count).after)


def _print_of(chart: Chart) -> str:
    return hashlib.sha256(write_chart(chart)).hexdigest()
