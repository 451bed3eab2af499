"""What is done at the worktable, kept as it happens: a line a change, on the disk before its
answer.

The folder's own files stay as they are, and true to one another, until all are written anew; then
the log is empty again. What a stopped program leaves is done again when the piece is next opened.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes

LOG = ".worktable.jsonl"
Entry = Mapping[str, Any]


class Log:
    """The changes since a folder's files were written. of: what tells the chart that they began
    with."""

    def __init__(self, folder: Path, of: str) -> None:
        self.path, self.of = folder / LOG, of

    def read(self) -> list[Entry]:
        """The changes of a stopped program; none where they began with another chart. A last line
        that was not written to its end was never answered, and is left out.

        Raises BadInput where the file cannot be read.
        """
        if not self.path.is_file():
            return []
        entries: list[Entry] = []
        for line in read_bytes(self.path, "log").split(b"\n")[:-1]:
            try:
                entry = json.loads(line)
            except ValueError:
                break
            entries.append(entry if isinstance(entry, dict) else {})
        if not entries or entries[0].get("of") != self.of:
            return []
        return entries[1:]

    def append(self, entry: Entry) -> None:
        """Keep one more change: it is on the disk when this returns.

        Raises BadInput where it cannot be written.
        """
        fresh = not self.path.exists()
        lines = [entry] if not fresh else [{"of": self.of}, entry]
        data = b"".join(json.dumps(line).encode() + b"\n" for line in lines)
        try:
            with self.path.open("ab") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            if fresh:
                self._sync_folder()
        except OSError as error:
            raise BadInput(
                f"{self.path.parent} cannot be written to ({error.strerror or error}); nothing is "
                "lost but this change: make room, or open the folder for writing"
            ) from None

    def clear(self) -> None:
        """Everything is in the folder's files now."""
        self.path.unlink(missing_ok=True)

    def _sync_folder(self) -> None:
        if os.name == "nt":
            return  # a folder cannot be synced there
        held = os.open(self.path.parent, os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)
