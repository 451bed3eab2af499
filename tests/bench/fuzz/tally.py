"""What came of the inputs that a door was given: how many were read, refused, or are a find.

What an input takes is processor time, so that other work on the machine makes no finds; a signal
ends one that takes more than 10 s of it, or a minute in all.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import resource
import shutil
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path

_SLOW, _HANGS, _LARGE = 10.0, 60.0, 1_000_000  # processor seconds, seconds, kB
_NONE = "no request"  # what is no input


class TookTooLong(BaseException):
    """An input that was ended."""


def _end(number: int, _: object) -> None:
    raise TookTooLong(signal.Signals(number).name)


class Tally:
    """What came so far. into: what a door makes of some bytes; count, seconds: after which the
    process ends; folder: for finds; place: that the door uses."""

    def __init__(
        self,
        door: str,
        into: Callable[[str, bytes, Path], str],
        count: int,
        seconds: float,
        folder: Path,
        place: Path,
    ) -> None:
        self.door, self.into, self.folder, self.place = door, into, folder, place
        self.count, self.seconds = count, seconds
        self.ends: Counter[str] = Counter()
        self.finds: Counter[str] = Counter()
        self.slowest, self.began, self.large = 0.0, time.perf_counter(), False
        for number in (signal.SIGPROF, signal.SIGALRM):
            signal.signal(number, _end)

    def one(self, data: bytes) -> None:
        """One input; after the last one the process ends."""
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, _SLOW)
        signal.setitimer(signal.ITIMER_REAL, _HANGS)
        try:
            with (
                contextlib.redirect_stdout(io.StringIO()),
                contextlib.redirect_stderr(io.StringIO()),
            ):
                self.ends[self.into(self.door, data, self.place)] += 1
        except BaseException as error:
            self.ends["find"] += 1
            self._find(f"{type(error).__name__} {_where(error)}", data, traceback.format_exc())
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.setitimer(signal.ITIMER_REAL, 0)
        took = time.process_time() - began
        self.slowest = max(self.slowest, took)
        if resource.getrusage(resource.RUSAGE_SELF).ru_maxrss > _LARGE and not self.large:
            self.large = True
            self._find("over 1 GB", data, "large")
        done = self.ends.total() - self.ends[_NONE]
        over = done >= self.count or time.perf_counter() - self.began > self.seconds
        if over or done % 10_000 == 0:
            print(self.told(), flush=True)
        if over:
            shutil.rmtree(self.place, ignore_errors=True)
            os._exit(0)

    def told(self) -> str:
        """So far, in a line."""
        held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1000
        ends = [f"{number:,} {what}" for what, number in self.ends.most_common() if what != _NONE]
        took = time.perf_counter() - self.began
        finds = "".join(f"\n    {number} x {what}" for what, number in self.finds.most_common())
        return (
            f"{self.door}: {self.ends.total() - self.ends[_NONE]:,} inputs ({', '.join(ends)}), "
            f"{took:.0f} s ({time.process_time():.0f} of the processor), slowest "
            f"{self.slowest:.2f} s, at most {held} MB, {len(self.finds)} finds{finds}"
        )

    def _find(self, what: str, data: bytes, why: str) -> None:
        self.finds[what] += 1
        if self.finds[what] <= 2:
            name = f"{self.door}-{hashlib.sha256(what.encode()).hexdigest()[:8]}-{self.finds[what]}"
            self.folder.mkdir(parents=True, exist_ok=True)
            (self.folder / name).write_bytes(data)
            (self.folder / f"{name}.why").write_text(f"{what}\n{why}")


def _where(error: BaseException) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "pix2block" in frame.filename]
    last = (ours or frames)[-1]
    return f"{Path(last.filename).name}:{last.lineno}"
