"""Foreign bytes at a door, steered by which lines of the package they reach (atheris, libFuzzer).

Counts inputs, and tells what is a find: an error that is none for the maker, over 10 s, over 1 GB.
Each find of its own kind is kept in a file below FOLDER. One process, quietly, with
PYTHONPATH=tests/bench/fuzz:tests:. set:

    nice -n 19 python tests/bench/fuzz/run.py DOOR [COUNT [SECONDS [FOLDER [SEED]]]]
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import resource
import shutil
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["pix2block", "PIL", "openpyxl"]):
    from doors import DOORS, changed, into, prepare

_SLOW, _LARGE = 10.0, 1_000_000  # seconds, kB


class Tally:
    """What came of the inputs of a door so far. folder: for finds; place: that the door uses."""

    def __init__(self, door: str, count: int, seconds: float, folder: Path, place: Path) -> None:
        self.door, self.folder, self.place = door, folder, place
        self.count, self.seconds = count, seconds
        self.ends: Counter[str] = Counter()
        self.finds: Counter[str] = Counter()
        self.slowest, self.began, self.large = 0.0, time.perf_counter(), False

    def one(self, data: bytes) -> None:
        """One input; after the last one the process ends."""
        began = time.perf_counter()
        try:
            with (
                contextlib.redirect_stdout(io.StringIO()),
                contextlib.redirect_stderr(io.StringIO()),
            ):
                self.ends[into(self.door, data, self.place)] += 1
        except BaseException as error:
            self.ends["find"] += 1
            self._find(f"{type(error).__name__} {_where(error)}", data, traceback.format_exc())
        took = time.perf_counter() - began
        self.slowest = max(self.slowest, took)
        if took > _SLOW:
            self._find(f"{took:.0f} s", data, "slow")
        if resource.getrusage(resource.RUSAGE_SELF).ru_maxrss > _LARGE and not self.large:
            self.large = True
            self._find("over 1 GB", data, "large")
        done = self.ends.total()
        over = done >= self.count or time.perf_counter() - self.began > self.seconds
        if over or done % 10_000 == 0:
            print(self.told(), flush=True)
        if over:
            shutil.rmtree(self.place, ignore_errors=True)
            os._exit(0)

    def told(self) -> str:
        """So far, in a line."""
        held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1000
        ends = ", ".join(f"{number:,} {what}" for what, number in self.ends.most_common())
        took = time.perf_counter() - self.began
        finds = "".join(f"\n    {number} x {what}" for what, number in self.finds.most_common())
        return (
            f"{self.door}: {self.ends.total():,} inputs ({ends}), {took:.0f} s, slowest "
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


def main() -> None:
    door, *more = sys.argv[1:]
    count = int(more[0]) if more else 100_000
    seconds = float(more[1]) if len(more) > 1 else 3600.0
    folder = Path(more[2]) if len(more) > 2 else Path("finds")
    chance = more[3] if len(more) > 3 else "1"
    warnings.simplefilter("ignore")
    place = Path(tempfile.mkdtemp(dir="/dev/shm" if Path("/dev/shm").is_dir() else None))
    prepare(place)
    corpus = place / "corpus"
    corpus.mkdir()
    for number, data in enumerate(DOORS[door].seeds()):
        (corpus / str(number)).write_bytes(data)
    tally = Tally(door, count, seconds, folder, place)
    flags = [
        "-max_len=65536",
        "-rss_limit_mb=3000",
        "-timeout=120",
        "-verbosity=0",
        f"-seed={chance}",
    ]
    flags += [f"-artifact_prefix={place}/", "-report_slow_units=1000"]

    good = DOORS[door].seeds()

    def mutated(data: bytes, most: int, seed: int) -> bytes:
        """Every other one is a good input, changed once: what is refused at once teaches little."""
        return changed(door, data if seed % 2 else good[seed // 2 % len(good)], seed)[:most]

    atheris.Setup([sys.argv[0], *flags, str(corpus)], tally.one, custom_mutator=mutated)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
