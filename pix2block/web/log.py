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
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.swap import sync_folder

LOG = ".worktable.jsonl"
Entry = Mapping[str, Any]


class Log:
    """The changes of a folder's piece, the oldest first."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / LOG

    def read(self) -> list[Entry]:
        """Its lines. A last one that was not written to its end was never answered, and is left
        out, as is all that follows a line that cannot be read.

        Raises BadInput where the file cannot be read.
        """
        if not self.path.is_file():
            return []
        entries: list[Entry] = []
        for line in read_bytes(self.path, "log").split(b"\n")[:-1]:
            try:
                entry = json.loads(line)
            except (ValueError, RecursionError):
                break
            if not isinstance(entry, dict):
                break
            entries.append(entry)
        return entries

    def append(self, entry: Entry) -> None:
        """Keep one more line: it is on the disk when this returns.

        Raises BadInput where it cannot be written.
        """
        self._write([entry], "ab")

    def begin(self, entries: Sequence[Entry]) -> None:
        """These lines, in place of all there were. Raises BadInput where they cannot be written."""
        self._write(entries, "wb")
        sync_folder(self.path.parent)

    def _write(self, entries: Sequence[Entry], mode: str) -> None:
        data = b"".join(json.dumps(entry).encode() + b"\n" for entry in entries)
        end = self.path.stat().st_size if mode == "ab" and self.path.exists() else 0
        try:
            with self.path.open(mode) as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self._cut(end)
            raise BadInput(
                f"{self.path.parent} cannot be written to ({error.strerror or error}); nothing is "
                "lost but this change: make room, or open the folder for writing"
            ) from None

    def _cut(self, end: int) -> None:
        """Without the part of a line that a full disk took."""
        with suppress(OSError):  # it is left out when the file is read
            os.truncate(self.path, end)


def damaged() -> BadInput:
    """What a log that makes no sense is told as."""
    return BadInput(f"{LOG} is damaged: remove it to go on with the files as they are")


def packed(chart: Chart) -> str:
    """A chart as a text of one line."""
    return base64.b64encode(zlib.compress(write_chart(chart), 1)).decode("ascii")


def unpacked(text: str) -> Chart:
    """The chart of such a text. Raises BadInput where it is none."""
    try:
        data = zlib.decompress(base64.b64decode(text))
    except (ValueError, zlib.error):
        raise damaged() from None
    return read_chart(data, LOG)[0]
