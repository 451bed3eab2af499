"""Letters in blocks: each as its letter should be, in its place, and told where it may not read."""

from __future__ import annotations

import string
from pathlib import Path

import numpy as np
import pytest
from makers import YARNS, chart_of
from scipy.ndimage import label

import pix2block
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.command.cli import run
from pix2block.drawing.marks import with_marks
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import START_CORNERS
from pix2block.mending.alphabet import HEIGHTS, Ink, drawn_letters, has_letter, lettered
from pix2block.mending.apply import apply_mends
from pix2block.yarn.yarn import Yarn

CHEAP = ["--without", "pdf,preview,proof"]
ACCENTED = "ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÑÒÓÔÕÖÙÚÛÜÝŸŠŽàáâãäåçèéêëìíîïñòóôõöùúûüýÿšž"
OTHERS = "ÆŒØÞÐßæœøþðı"
MARKS = ".,:;!?¡¿'\"-–—+=/()#*…·&«»"
TWO = set('ij:;!?¡¿="«»') | set(ACCENTED) - set("ÇçÄËÏÖÜŸäëïöüÿ")
THREE = set("ÄËÏÖÜŸäëïöüÿ…")


def field(width: int, height: int, **more: object) -> Chart:
    blocks = np.zeros((height, width), dtype=np.int64)
    return Chart("Field", blocks, YARNS, width + height - 1, **more)  # type: ignore[arg-type]


def ink_of(letters: str, height: int) -> Ink:
    return lettered(letters, height).ink >= 0


def written(chart: Chart, words: str, at: str, height: int = 5, yarn: str = "Chalk") -> Chart:
    return pix2block.mend(chart, [("text", f"{words} at {at} height {height} in {yarn}")])


@pytest.mark.parametrize("height", HEIGHTS)
def test_every_letter_has_as_many_pieces_as_it_should(height: int) -> None:
    letters = string.ascii_letters + string.digits + ACCENTED + OTHERS + MARKS
    assert set(drawn_letters(height)) <= set(letters)
    for letter in letters:
        pieces = label(ink_of(letter, height), np.ones((3, 3)))[1]
        assert pieces == (3 if letter in THREE else 2 if letter in TWO else 1), letter


@pytest.mark.parametrize("height", HEIGHTS)
def test_capitals_and_figures_have_the_height_and_no_two_letters_are_alike(height: int) -> None:
    most = 3 if height == 9 else 2
    seen: dict[bytes, str] = {}
    for letter in string.ascii_letters + string.digits + ACCENTED + OTHERS:
        words = lettered(letter, height)
        ink = words.ink >= 0
        assert words.above <= most, letter
        assert len(ink) - words.above - height <= most, letter
        assert ink[:, 0].any(), letter
        assert ink[:, -1].any(), letter
        plain = letter in string.ascii_uppercase + string.digits and letter != "Q"
        if plain:
            assert ink.shape[0] == height, letter
            assert ink[0].any(), letter
            assert ink[-1].any(), letter
        key = bytes([*ink.shape, words.above]) + ink.tobytes()
        assert key not in seen, f"{letter} is drawn as {seen[key]}"
        seen[key] = letter


@pytest.mark.parametrize("height", HEIGHTS)
def test_strokes_keep_to_sides(height: int) -> None:
    """Corner to corner a stroke costs a length of yarn a block: capitals and figures have none."""
    for letter in string.ascii_uppercase + string.digits:
        assert label(ink_of(letter, height))[1] == 1, letter


def tails(ink: Ink, corner: str) -> int:
    blocks = np.pad(ink.astype(np.int64), 3)
    chart = Chart("Letter", blocks, YARNS, sum(blocks.shape) - 1, corner)  # type: ignore[arg-type]
    return amounts_of(chart).plan.tails


@pytest.mark.parametrize(
    ("letter", "thin"),
    [
        ("O", ".##. #..# #..# #..# .##."),
        ("V", "#...# #...# .#.#. .#.#. ..#.."),
        ("X", "#...# .#.#. ..#.. .#.#. #...#"),
        ("S", ".### #... .##. ...# ###."),
        ("N", "#...# ##..# #.#.# #..## #...#"),
    ],
)
def test_letters_take_fewer_tails_than_with_thin_diagonals(letter: str, thin: str) -> None:
    drawn = np.array([[c == "#" for c in line] for line in thin.split()])
    ours = [tails(ink_of(letter, 5), corner) for corner in START_CORNERS]
    theirs = [tails(drawn, corner) for corner in START_CORNERS]
    assert sum(ours) < sum(theirs)
    assert all(one <= other for one, other in zip(ours, theirs, strict=True))


def test_a_word_stands_where_it_is_told() -> None:
    after = written(field(20, 9), "Il", "column 3, line 2")
    assert [(columns + 1).tolist() for columns in map(np.flatnonzero, after.blocks[1:6])] == [
        [3, 4, 5, 7],
        [4, 7],
        [4, 7],
        [4, 7],
        [3, 4, 5, 7, 8],
    ]
    line = after.mends[0]
    assert line.value == "Il at column 3, line 2 height 5 in Chalk"
    assert line.words.startswith("“Il”, 6 x 5 blocks, at column 3, line 2 in Chalk. 15 blocks: ")


def test_words_are_three_columns_apart_and_stand_in_the_middle() -> None:
    after = written(field(21, 12), "I  É", "Centre, line 4", 7)
    columns = np.flatnonzero((after.blocks == 1).any(axis=0))
    assert columns.tolist() == [5, 6, 7, 11, 12, 13, 14, 15]
    lines = np.flatnonzero((after.blocks == 1).any(axis=1))
    assert lines.tolist() == list(range(1, 10))


def test_letters_are_right_in_mirrored_and_left_handed_pieces() -> None:
    plain = written(field(16, 9), "Rb", "column 2, line 2")
    left = written(field(16, 9, hand="left", start_corner="bottom-left"), "Rb", "column 2, line 2")
    assert (left.blocks == plain.blocks).all()
    mirrored = pix2block.mend(field(16, 9), [("mirror", "")])
    assert (written(mirrored, "Rb", "column 2, line 2").blocks == plain.blocks).all()
    turned = pix2block.mend(plain, [("mirror", "")])
    assert "lettering with it" in turned.mends[-1].words
    assert (turned.blocks == plain.blocks[:, ::-1]).all()


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("Nell", 'write it as "WORDS at PLACE height 5 in YARN"'),
        ("Nell at column 1, line 2 height 6 in Chalk", "letters are 5, 7 or 9 blocks tall, not 6"),
        ("Nell at line 2 height 5 in Chalk", "line 2 is more than one block"),
        ("Nell at column 9, line 2 height 5 in Chalk", "“Nell” is 15 blocks wide and 5 tall"),
        ("É at column 1, line 2 height 5 in Chalk", "its accents need line 3 or a lower one"),
        ("Жук at column 1, line 2 height 5 in Chalk", "the alphabet lacks Ж у к"),
        ("N at column 1, line 2 height 5 in Rust", 'unknown yarn "Rust"'),
        ("  at column 1, line 2 height 5 in Chalk", "there is nothing to write"),
        ("N at centre, line 60 height 5 in Chalk", "line 60: the chart has 9 lines"),
        ("N at centre, line 10 height 5 in Chalk", "line 10: the chart has 9 lines"),
        ("NellNell at centre, line 2 height 5 in Chalk", "it reaches to column 31, line 6"),
        ("N at column 1, line 6 height 5 in Chalk", "line 10; the chart has 20 x 9"),
    ],
)
def test_what_cannot_be_written_is_told(value: str, told: str) -> None:
    with pytest.raises(BadInput) as error:
        pix2block.mend(field(20, 9), [("text", value)])
    assert told in str(error.value)
    assert len(error.value.lines()) == 1


def test_beyond_the_last_row_is_told() -> None:
    with pytest.raises(BadInput, match="it reaches beyond the last row, 11"):
        written(triangle(), "À", "column 6, line 6")


def test_words_may_fill_a_chart() -> None:
    assert (written(field(15, 5), "Nell", "centre, line 1").blocks == 1).any(axis=0)[[0, 14]].all()
    assert (written(field(4, 7), "É", "column 1, line 3").blocks == 1)[[0, 6]].any(axis=1).all()


def triangle() -> Chart:
    return chart_of("\n".join("." * (11 - n) + "0" * n for n in range(1, 12)), last_row=11)


def test_a_piece_that_ends_early_takes_words_where_it_is() -> None:
    after = written(triangle(), "I", "column 8, line 5", yarn="Tar")
    assert int((after.blocks == 3).sum()) == 9
    assert "on Tar" not in after.mends[-1].words


@pytest.mark.parametrize(
    ("near", "places"), [(True, "3,2 7,2 3,8 7,8"), (False, "2,3 8,3 5,1 5,9")]
)
def test_a_letter_touches_what_is_at_its_corners(near: bool, places: str) -> None:
    """An I at column 4, line 3 reaches to column 6, line 7."""
    plain = pix2block.mend(field(20, 9), [("add", "Fog #e8e6da")])
    letter, alike = (("text", f"I at column 4, line 3 height 5 in {y}") for y in ("Chalk", "Fog"))
    for place in places.split():
        mend = ("paint", "column {}, line {}=Chalk".format(*place.split(",")))
        touched, dim = (apply_mends(plain, [mend, one]).after.mends[2] for one in (letter, alike))
        assert ("I touch other blocks of Chalk" in touched.words) == near
        assert ("hard to read on Chalk" in dim.words) == near
        later = apply_mends(apply_mends(plain, [letter]).after, [mend])
        assert (len(later.lines) == 2) == near


def test_only_what_is_around_a_letter_is_told() -> None:
    crowded = pix2block.mend(field(20, 9), [("paint", "column 12=Chalk")])
    after = written(crowded, "HIH", "column 1, line 2")
    assert "; H touch other blocks" in after.mends[-1].words
    for column in (5, 7):  # beside one of the two, which are at columns 3 and 7
        beside = pix2block.mend(field(20, 9), [("paint", f"column {column}, line 1=Chalk")])
        assert "; I touch other" in written(beside, "II", "column 3, line 2").mends[-1].words


def test_words_written_after_the_piece_was_turned_are_watched() -> None:
    after = written(pix2block.mend(field(20, 9), [("mirror", "")]), "HI", "column 3, line 2")
    assert len(apply_mends(after, [("paint", "column 3, line 3=Tar")]).lines) == 2
    twice = [("text", f"I at column {at}, line 2 height 5 in Chalk") for at in (3, 9)]
    both = apply_mends(field(20, 9), twice)
    assert len(both.lines) == 2
    crossed = ("text", "I at column 4, line 2 height 5 in Tar")
    assert len(apply_mends(both.after, [crossed]).lines) == 2
    painted = pix2block.mend(field(20, 9), [("paint", "column 3=Chalk")])
    assert len(apply_mends(painted, [("paint", "column 4=Chalk")]).lines) == 1


def test_letters_that_may_not_read_are_told() -> None:
    crowded = pix2block.mend(field(20, 9), [("paint", "column 9=Chalk")])
    after = written(crowded, "HIH", "column 1, line 2")
    assert "I H touch other blocks of Chalk, so they may not read" in after.mends[-1].words
    near = Chart(
        *("Field", np.zeros((9, 20), np.int64)),
        (Yarn("Sand", "#c8b890"), Yarn("Straw", "#d4c49c")),
        28,
    )
    after = written(near, "I", "column 1, line 2", yarn="Straw")
    assert "hard to read on Sand (1.1 : 1): 3 : 1 in lightness reads" in after.mends[-1].words
    clear = written(field(20, 9), "HIH", "column 1, line 2")
    assert "read" not in clear.mends[-1].words


def test_words_that_a_later_mend_breaks_are_told() -> None:
    after = written(field(30, 9), "HI", "column 3, line 2")
    for mend, told in (
        (
            ("paint", "column 3, line 3=Tar"),
            ["“HI” is broken: not all of its blocks have one yarn"],
        ),
        (("paint", "column 5, line 3=Chalk"), ["“HI” touches more blocks of its yarn than before"]),
        (("paint", "column 20, line 3=Chalk"), []),
        (("exchange", "Chalk=Tar"), []),
        (("mirror", ""), []),
    ):
        assert list(apply_mends(after, [mend]).lines[1:]) == told
    broken = pix2block.mend(after, [("paint", "column 3, line 3=Tar")])
    assert len(apply_mends(broken, [("paint", "column 3, line 4=Tar")]).lines) == 1


def test_a_renamed_yarn_follows_and_the_words_stay() -> None:
    after = written(field(40, 9), "in Chalk", "column 1, line 2")
    after = pix2block.mend(after, [("rename", "Chalk=Snow")])
    assert after.mends[0].value == "in Chalk at column 1, line 2 height 5 in Snow"


def test_the_command_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "chart.json"
    path.write_bytes(write_chart(with_marks(field(24, 20))))
    words = ["--text", "Nell", "--at", "centre, line 3", "--height", "5", "--in", "Tar"]
    more = ["--text", "2026", "--height", "7", "--in", "Chalk", "--at", "column 2, line 12"]
    assert run(["mend", str(path), *words, *more, "--dry-run", *CHEAP]) == 0
    assert "“Nell”, 15 x 5 blocks, at column 5, line 3 in Tar" in capsys.readouterr().out
    assert run(["mend", str(path), *words, *more, *CHEAP]) == 0
    kept, _ = read_chart(path.read_bytes(), "chart.json")
    assert [line.value for line in kept.mends] == [
        "Nell at centre, line 3 height 5 in Tar",
        "2026 at column 2, line 12 height 7 in Chalk",
    ]
    expected = written(field(24, 20), "Nell", "centre, line 3", 5, "Tar")
    expected = written(expected, "2026", "column 2, line 12", 7)
    assert (kept.blocks == expected.blocks).all()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--text", "Nell", "--at", "row 9.1"], 'pix2block: --text "Nell": add --height'),
        (["--text", "N", "--at", "row 9.1", "--height", "5"], 'pix2block: --text "N": add --in'),
        (["--at", "row 9.1", "--text", "N"], "pix2block: --at belongs to the --text before it"),
        (["--drop", "Tar", "--in", "Chalk"], "pix2block: --in belongs to the --text before it"),
    ],
)
def test_options_of_a_text_stand_behind_it(
    words: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "chart.json"
    path.write_bytes(write_chart(with_marks(field(24, 20))))
    assert run(["mend", str(path), *words, *CHEAP]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(told)


def test_every_letter_that_accents_make_is_there() -> None:
    for height in HEIGHTS:
        assert all(has_letter(letter, height) for letter in ACCENTED + OTHERS + MARKS + "’“” ")
        assert not has_letter("ж", height)
