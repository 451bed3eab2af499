"""The worktable as a whole: the piece that lies on it, and those to go on with."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.keeping import CHART, own_folder
from pix2block.recipes.outputs import save
from pix2block.study.study import Study
from pix2block.web.jobs import Job, Jobs
from pix2block.web.phone import Phone
from pix2block.web.session import Session
from pix2block.web.wanted import begin

_MOST_PIECES = 100
ASKED = ("width", "height", "size", "colors", "hand")  # of a new piece, in the first sentence


class Table:
    """session: of the piece on it, None before one is chosen; root: the folder of the maker's
    pieces."""

    def __init__(self, session: Session | None = None, root: Path = Path("output")) -> None:
        self.session, self.root = session, root
        self.phone, self.beside, self.jobs = Phone(), Phone(), Jobs()

    @property
    def piece(self) -> Session:
        """The piece on the table. Raises BadInput where there is none."""
        if self.session is None:
            raise BadInput("no piece is on the table: choose one, or a picture")
        return self.session

    def pieces(self) -> list[str]:
        """Folders of pieces to go on with, by name; those whose names are no text are left out."""
        if not self.root.is_dir():
            return []
        names = (path.parent.name for path in self.root.glob(f"*/{CHART}"))
        return sorted(name for name in names if _is_text(name))[:_MOST_PIECES]

    def lay(self, name: str) -> Session:
        """One of the pieces, on the table; what lay there is written first. Raises BadInput for
        one that there is not."""
        if name not in self.pieces():
            raise BadInput("there is no such piece: choose one of those that are named")
        return self._lay(self.root / name)

    def make(self, file_name: str, data: bytes, asked: Mapping[str, str], job: Job) -> Session:
        """A new piece from a picture's bytes, on the table. asked: words of options, by name.

        Raises BadInput for what is no picture, or for words that cannot be read.
        """
        options = Options.from_words({name: asked[name] for name in ASKED if asked.get(name)})
        name = PurePosixPath(file_name.replace("\\", "/")).name.strip(". ") or "picture"
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / name
            try:
                path.write_bytes(data)
            except (OSError, ValueError):
                path = Path(place) / "picture"
                path.write_bytes(data)
            job.counting("lines of the picture seen")
            study = replace(chart_picture(path, options, job, job), read=())
            job.heed()
            folder = self.root / own_folder(Path(name)).name
            begin(folder, path, options, study.kept)
        save(study, folder)
        return self._lay(folder, study)

    def send(self) -> dict[str, Any]:
        """Send the piece to a phone in the same home. Raises BadInput where that cannot be."""
        self.piece.settle()
        return self.phone.send(self.piece.folder)

    def lay_beside(self) -> dict[str, Any]:
        """The piece's hookside page, for this machine's browser. Raises BadInput where there is
        none."""
        self.piece.settle()
        return self.beside.send(self.piece.folder, here=True)

    def settle(self) -> None:
        """Write every file of the piece on the table, where one is."""
        if self.session is not None:
            self.session.settle()

    def _lay(self, folder: Path, made: Study | None = None) -> Session:
        session = Session(folder, made)
        self.settle()
        self.session = session
        return session


def _is_text(name: str) -> bool:
    return not any("\ud800" <= character <= "\udfff" for character in name)
