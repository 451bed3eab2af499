"""The worktable as a whole: the piece that lies on it, and those to go on with."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from itertools import chain, count
from pathlib import Path
from typing import Any

import msgspec

from pix2block.ground.errors import BadInput
from pix2block.ground.swap import bytes_of
from pix2block.options.table import Options
from pix2block.recipes.keeping import CHART, LOG, SUMMARY, own_folder
from pix2block.recipes.outputs import save
from pix2block.recipes.supplies import open_shelf
from pix2block.study.study import Study
from pix2block.web.jobs import AHEAD, Job, Jobs
from pix2block.web.making import make
from pix2block.web.phone import Phone
from pix2block.web.session import Session
from pix2block.web.shown import study_json
from pix2block.web.wanted import bare_name, begin

_MOST_PIECES = 100
ASKED = ("size", "yarns", "hand", "width", "colors")  # of a new piece, in the first sentence


class Table:
    """session: of the piece on it, None before one is chosen; root: the folder of the maker's
    pieces."""

    def __init__(self, session: Session | None = None, root: Path = Path("output")) -> None:
        self.session, self.root = session, root
        self.shelf: tuple[str, bytes] | None = None  # a file of yarns for the next piece
        self.kept: Callable[[Path], None] = lambda _: None  # keeps the address in a folder
        self.phone, self.beside, self.jobs = Phone(), Phone(), Jobs()

    @property
    def piece(self) -> Session:
        """The piece on the table. Raises BadInput where there is none."""
        if self.session is None:
            raise BadInput("no piece is on the table: choose one, or a picture")
        return self.session

    def pieces(self) -> list[str]:
        """Folders of pieces to go on with, the last worked on first; those whose names are no text
        are left out."""
        if not self.root.is_dir():
            return []
        charts = [path for path in self.root.glob(f"*/{CHART}") if _is_text(path.parent.name)]
        charts.sort(key=lambda path: (-_worked_on(path.parent), path.parent.name))
        return [path.parent.name for path in charts][:_MOST_PIECES]

    def pieces_told(self) -> list[dict[str, Any]]:
        """The same with each piece's title and the last row that is made, 0 for none."""
        told = ((name, *_told(self.root / name / CHART)) for name in self.pieces())
        return [{"name": name, "title": title or name, "row": row} for name, title, row in told]

    def lay(self, name: str) -> Session:
        """One of the pieces, on the table; what lay there is written first. Raises BadInput for
        one that there is not."""
        if name not in self.pieces():
            raise BadInput("there is no such piece: choose one of those that are named")
        return self._lay(self.root / name)

    def make(self, file_name: str, data: bytes, asked: Mapping[str, str], job: Job) -> Session:
        """A new piece from the bytes of a picture, a chart or a grid, on the table; what lay there
        keeps its folder. asked: words of the first sentence, by name; its stages are parts of the
        job.

        Raises BadInput for what is no picture, or for words that cannot be read.
        """
        words = {name: asked[name] for name in ASKED if asked.get(name)}
        made: list[Session] = []

        def kept(study: Study, path: Path, options: Options) -> None:
            job.heed()
            folder = self._free(bare_name(file_name))
            if study.view is not None or path.suffix.lower() == ".toml":
                begin(folder, path, options, study.kept)
            save(study, folder, only=[CHART, SUMMARY])
            made.append(self._lay(folder, study))

        shown = lambda study: job.give(study_json(study))  # noqa: E731
        make(file_name, data, words, self.shelf if asked.get("shelf") else None, job, shown, kept)
        return made[0]

    def make_ready(self) -> None:
        """Work out ahead, while nothing else is asked, what the piece's choices begin with."""
        session = self.session
        if session is not None:

            def work(job: Job) -> None:
                job.heed()
                session.again.make_ready(session.state.wanted)

            self.jobs.begin("", work, AHEAD)

    def bring_yarns(self, name: str, data: bytes) -> dict[str, Any]:
        """A file of yarns for the next piece. Raises BadInput for one that cannot be read."""
        self.shelf = (bare_name(name), data)
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / self.shelf[0]
            path.write_bytes(data)
            yarns = open_shelf(path).yarns
        return {"name": self.shelf[0], "yarns": len(yarns)}

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

    def _free(self, name: str) -> Path:
        """A folder of its own for a new piece."""
        first = self.root / own_folder(Path(name)).name
        numbered = (first.with_name(f"{first.name}-{number}") for number in count(2))
        return next(path for path in chain([first], numbered) if not path.exists())

    def _lay(self, folder: Path, made: Study | None = None) -> Session:
        same = self.session is not None and self.session.folder == folder
        if same:
            with suppress(BadInput):  # another program has changed it: as that left it
                self.settle()
        session = Session(folder, made)
        if not same:
            self.settle()
        self.session = session
        for place in (folder, self.root):
            self.kept(place)
        return session


def _worked_on(folder: Path) -> float:
    """When a piece was last changed."""
    files = (folder / name for name in (CHART, LOG))
    return max((path.stat().st_mtime for path in files if path.exists()), default=0.0)


def _told(path: Path) -> tuple[str, int]:
    """The title of a chart.json and the row that is made, "" and 0 where it tells none."""
    try:
        head = msgspec.json.decode(bytes_of(path), type=_Head)
    except (OSError, ValueError, RecursionError):  # msgspec's errors are ValueErrors
        return "", 0
    row = head.done.get("row", 0) if head.done else 0
    return head.title, row if isinstance(row, int) else 0


class _Head(msgspec.Struct):
    """What a list of pieces tells of one."""

    title: str = ""
    done: dict[str, Any] | None = None


def _is_text(name: str) -> bool:
    return not any("\ud800" <= character <= "\udfff" for character in name)
