"""What the words of the worktable's paragraph do to a piece."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from worktables import Asking, served, soft_picture

from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.options.asking import specs_of
from pix2block.options.mends import MendOptions
from pix2block.options.table import specs
from pix2block.web.jobs import Jobs
from pix2block.web.paragraph import paragraph_of
from pix2block.web.rest import ELSEWHERE, SPECS
from pix2block.web.session import Session
from pix2block.web.slip_nouns import Word
from pix2block.web.slips import slip_of
from pix2block.web.table import Table

ASKED = {"width": "12", "colors": "3"}


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


def test_every_option_and_mend_has_a_word(laid: Session) -> None:
    state = laid.state
    seen: set[str] = set()
    words = {
        part.name
        for sentence in paragraph_of(state.study, state.wanted)
        for part in sentence
        if isinstance(part, Word)
    }
    while words - seen:
        word = (words - seen).pop()
        seen.add(word)
        slip = slip_of(word, state.study, state.wanted)
        words |= {field.name for field in slip.fields if field.name in SPECS}
        words |= {place.word for place in slip.places if place.word}
        words |= {part.name for line in slip.beside for part in line if isinstance(part, Word)}
    options = {spec.name for of in ("chart", "stripe", "report") for spec in specs(of)}
    mends = {f"mend:{spec.name}" for spec in specs_of(MendOptions)}
    assert (options | mends) - seen - ELSEWHERE.keys() == set()
    assert {*ELSEWHERE.values()} <= seen


@pytest.fixture
def asking(laid: Session) -> Iterator[Asking]:
    yield from served(Table(laid, laid.folder.parent))


def test_choices_are_given_one_by_one_as_they_would_be(asking: Asking) -> None:
    slip = asking.json("/api/slip/yarns")
    assert [place["words"] for place in slip["places"]] == ["two", "three", "four"]
    asked = {"word": "yarns", "choices": [["colors", "2"], ["colors", "0"], ["colors", "4"]]}
    status, data, _ = asking.ask("/api/fill", asked)
    told = json.loads(data)
    while status == 202 and told["state"] == "working":
        told = json.loads(asking.ask(f"/api/jobs/{told['job']}")[1])
    parts = told["parts"]
    assert [len(part.get("yarns", ())) for part in parts] == [2, 0, 4]
    assert "tails" in parts[0]["cost"]
    assert "colors" in parts[1]["faults"][0]
    before = asking.json("/api/piece")
    assert len(before["yarns"]) == 3
    after = asking.json("/api/choose", {"word": "colors", "value": "4"})
    assert after["blocks"] == parts[2]["blocks"]
    assert asking.json("/api/back", {})["blocks"] == before["blocks"]
