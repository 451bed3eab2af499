"""What the words of the worktable's paragraph do to a piece."""

from __future__ import annotations

from pathlib import Path

import pytest
from worktables import soft_picture

from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.web.jobs import Jobs
from pix2block.web.session import Session
from pix2block.web.table import Table

ASKED = {"width": "12", "colors": "3"}
KIND = {"Content_Type": "application/octet-stream"}


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return soft_picture(tmp_path_factory.mktemp("picture") / "soft hills.png")


@pytest.fixture
def laid(tmp_path: Path, picture: Path) -> Session:
    """A piece that was made from a picture at the worktable."""
    table = Table(root=tmp_path / "output")
    return table.make(picture.name, picture.read_bytes(), ASKED, Jobs().begin("", lambda _: None))


def charted(picture: Path, out: Path, *words: str) -> dict[str, bytes]:
    """The files that `pix2block chart` makes."""
    assert run(["chart", str(picture), *words, "--out", str(out)]) == 0
    return {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}


def test_made_again_from_the_picture_as_the_command_line_makes_it(
    laid: Session, picture: Path, tmp_path: Path
) -> None:
    laid.choose("without", "pdf")
    laid.choose("width", "15")
    laid.choose("subject", "none")
    laid.choose("habit", "carry")
    words = ["--width", "15", "--colors", "3", "--subject", "none", "--habit", "carry"]
    own = charted(picture, tmp_path / "own", *words, "--without", "pdf")
    made = laid.files()
    assert made.keys() == own.keys()
    for name, data in made.items():
        assert data == own[name], name
    again = Session(laid.folder)  # as after a stopped program
    assert again.chart.width == 15
    again.take_back()
    again.take_back()
    again.take_back()
    assert (again.chart.width, again.chart.habit.name) == (12, "pickup")


def test_mends_are_done_again(laid: Session, picture: Path, tmp_path: Path) -> None:
    laid.choose("without", "pdf")
    yarn = laid.chart.yarns[2].name
    laid.mend([("paint", f"column 2, line 2={yarn}")])
    laid.settle()
    own = tmp_path / "own"
    charted(picture, own, "--width", "12", "--colors", "3", "--without", "pdf")
    paint = f"column 2, line 2={yarn}"
    assert run(["mend", str(own / "chart.json"), "--paint", paint, "--without", "pdf"]) == 0
    laid.choose("corner", "top-left")
    laid.settle()
    words = ["--width", "12", "--colors", "3", "--corner", "top-left", "--without", "pdf"]
    charted(picture, own, *words)
    assert (laid.folder / "chart.json").read_bytes() == (own / "chart.json").read_bytes()
    assert len(laid.chart.mends) == 1


def test_what_is_chosen_in_one_opening_is_one_change(laid: Session) -> None:
    for colors in ("2", "4", "5"):
        laid.choose("colors", colors, opening="yarns 1")
    assert len(laid.chart.yarns) == 5
    laid.take_back()
    assert len(laid.chart.yarns) == 3


def test_a_piece_without_its_picture_says_so(folder: Path) -> None:
    session = Session(folder)
    with pytest.raises(BadInput, match="needs the picture"):
        session.choose("width", "20")
    session.choose("reserve", "20")
    assert session.chart.reserve == 20
    session.choose("hook", "5.5")
    assert session.chart.hook_mm == 5.5
    assert Session(folder).chart.hook_mm == 5.5


@pytest.mark.parametrize(
    "name", ["../../etc/hosts", "/etc/hosts", "..", "asked.json/..", "none.csv"]
)
def test_no_option_names_a_path(laid: Session, name: str) -> None:
    for option in ("shelf", "swatch", "subject", "maker"):
        with pytest.raises(BadInput):
            laid.choose(option, name)
