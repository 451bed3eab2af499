"""What is done at the worktable, kept as it happens: a line a change, on the disk before its
answer.

The folder's own files stay as they are, and true to one another, until all are written anew; a
line says when that was, so that changes can be taken back beyond it. What a stopped program leaves
is done again when the piece is next opened.
"""

from __future__ import annotations

import base64
import json
import os
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes, save_all
from pix2block.ground.swap import sync_folder
from pix2block.recipes.keeping import CHART, LOG, free_name

Entry = Mapping[str, Any]
_FLAGS = os.O_WRONLY | os.O_CREAT | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)


_MOST_UNPACKED = 200_000_000  # bytes of a chart.json, so that no small log fills the memory


class Log:
    """The changes of a folder's piece, the oldest first. notes: what is said of files that another
    program wrote meanwhile."""

    def __init__(self, folder: Path) -> None:
        self.path, self.chart = folder / LOG, folder / CHART
        self.notes: list[str] = []
        self._seen = _stamp(self.path), _stamp(self.chart)
        self._moving = False  # the chart changes by this program's hand
        self._end = self._seen[0][1] if self._seen[0] else 0  # of what can be read, in bytes

    def read(self) -> list[Entry]:
        """Its lines. A last one that was not written to its end was never answered, and is left
        out, as is all that follows a line that cannot be read.

        Raises BadInput where the file cannot be read.
        """
        if not self.path.is_file():
            return []
        entries: list[Entry] = []
        end = 0
        for line in read_bytes(self.path, "log").split(b"\n")[:-1]:
            try:
                entry = json.loads(line)
            except (ValueError, RecursionError):
                break
            if not isinstance(entry, dict):
                break
            entries.append(entry)
            end += len(line) + 1
        self._end = end
        return entries

    def leave(self, entries: Sequence[Entry]) -> None:
        """Begin anew: these lines are of another chart. Where they hold what no file held, they
        are kept beside. Raises BadInput where that cannot be."""
        held = [line.get("at") for line in entries if "settled" in line]
        written = max((at for at in held if isinstance(at, int)), default=0)
        if all("settled" in line for line in entries[written:]):
            return
        name = free_name(self.path.parent, LOG)
        try:
            self.path.replace(self.path.with_name(name))
        except OSError as error:
            raise BadInput(f"{self.path} cannot be kept beside: {error.strerror}") from None
        sync_folder(self.path.parent)
        self._seen, self._end = (None, self._seen[1]), 0
        self.notes.append(f"the worktable's changes were of another {CHART}: they lie in {name}")

    def append(self, entry: Entry) -> None:
        """Keep one more line, behind what can be read: it is on the disk when this returns.

        Raises BadInput where it cannot be written, or where another program has changed the piece.
        """
        self._refuse_others()
        self._write([entry], self._end)

    def begin(self, entries: Sequence[Entry]) -> None:
        """These lines, in place of all there were. Raises BadInput as `append` does."""
        self._refuse_others()
        self._write(entries, 0)
        sync_folder(self.path.parent)

    @contextmanager
    def files_move(self) -> Iterator[None]:
        """While the piece's files are written anew: a chart.json that another program wrote since
        is kept beside first."""
        if _stamp(self.chart) not in (self._seen[1], None):
            name = free_name(self.chart.parent, CHART)
            save_all(self.chart.parent, {name: self.chart.read_bytes()})
            self.notes.append(f"{CHART} was changed by another program meanwhile: kept as {name}")
        self._moving = True
        try:
            yield
        finally:
            self._seen = self._seen[0], _stamp(self.chart)
            self._moving = False

    def _refuse_others(self) -> None:
        """Raises BadInput where the log, or the chart, is not as this program left it."""
        log, chart = _stamp(self.path), _stamp(self.chart)
        if log != self._seen[0] or (chart != self._seen[1] and not self._moving):
            raise BadInput(
                "another program has changed this piece since it was opened here: stop this "
                "worktable with Ctrl+C and open the piece again, which has all that was kept"
            )

    def _write(self, entries: Sequence[Entry], start: int) -> None:
        if self.path.is_symlink():  # it came with somebody's folder
            raise BadInput(f"{self.path} leads to another file: remove it to go on")
        data = b"".join(json.dumps(entry).encode() + b"\n" for entry in entries)
        try:
            with os.fdopen(os.open(self.path, _FLAGS, 0o666), "wb") as file:
                file.seek(start)
                file.truncate()
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self._cut(start)
            self._seen = _stamp(self.path), self._seen[1]
            raise BadInput(
                f"{self.path.parent} cannot be written to ({error.strerror or error}); nothing is "
                "lost but this change: make room, or open the folder for writing"
            ) from None
        self._seen, self._end = (_stamp(self.path), self._seen[1]), start + len(data)

    def _cut(self, end: int) -> None:
        """Without the part of a line that a full disk took."""
        with suppress(OSError):  # it is left out when the file is read
            os.truncate(self.path, end)


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """What tells a file from what it was and will be, None where there is none."""
    try:
        of = path.stat()
    except OSError:
        return None
    return of.st_ino, of.st_size, of.st_mtime_ns


def damaged() -> BadInput:
    """What a log that makes no sense is told as."""
    return BadInput(f"{LOG} is damaged: remove it to go on with the files as they are")


def packed(chart: Chart) -> str:
    """A chart as a text of one line."""
    return base64.b64encode(zlib.compress(write_chart(chart), 1)).decode("ascii")


def unpacked(text: str) -> Chart:
    """The chart of such a text. Raises BadInput where it is none."""
    unpacking = zlib.decompressobj()
    try:
        data = unpacking.decompress(base64.b64decode(text), _MOST_UNPACKED)
    except (ValueError, zlib.error):
        raise damaged() from None
    if not unpacking.eof:
        raise damaged()
    return read_chart(data, LOG)[0]
