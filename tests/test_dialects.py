"""Shelf files as spreadsheets and image editors write them; what yarns of a piece do not share."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import read_reference

from pix2block.color.yarn_color import mean_color, parse_colors
from pix2block.ground.delimited import decode_text
from pix2block.ground.errors import BadInput
from pix2block.ground.quantities import parse_number
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.supplies import open_shelf
from pix2block.yarn.fibres import care_of
from pix2block.yarn.mixed import lots_of, mixed_lines
from pix2block.yarn.shelf import read_shelf
from pix2block.yarn.yarn import ColorPart, Yarn

BADGE = Path(__file__).parent.parent / "sample_images" / "club_badge.png"


def refusal(text: str) -> str:
    with pytest.raises(BadInput) as caught:
        read_shelf(text, "shelf.csv")
    assert "\n" not in str(caught.value)
    return str(caught.value)


# Tables


@given(st.sampled_from([",", ";", "\t"]), st.booleans(), st.booleans(), st.booleans())
def test_every_dialect_says_the_same(separator: str, comma: bool, quoted: bool, lf: bool) -> None:
    rows = [
        ["Name", "note", "COLOR", "metres", "price"],
        ["Grün, hell", "a; b\tc, d", "#5c6b3c", "212.5", "6.95"],
        ["Weiß", "", "white", "90", "1250"],
    ]
    if comma:
        rows = [
            [c.replace(".", ",") if c[-1:].isdigit() and "#" not in c else c for c in r]
            for r in rows
        ]
    text = io.StringIO()
    quoting: Literal[0, 1] = csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL
    end = "\n" if lf else "\r\n"
    csv.writer(text, delimiter=separator, quoting=quoting, lineterminator=end).writerows(rows)
    for data in (
        text.getvalue().encode(),
        text.getvalue().encode("utf-8-sig"),
        text.getvalue().encode("cp1252"),
        f"sep={separator}{end}{text.getvalue()}".encode("cp1252"),
    ):
        yarns = read_shelf(decode_text(data, "shelf"), "shelf.csv").yarns
        assert yarns == (
            Yarn("Grün hell", "#5c6b3c", metres=212.5, price=6.95, note="a; b\tc, d"),
            Yarn("Weiß", "#fbfbfb", metres=90.0, price=1250.0),
        )


def test_a_windows_file_from_disk(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_bytes("name;color;price\r\nMöwe – grau;#cccccc;4,20\r\n".encode("cp1252"))
    assert open_shelf(path).yarns == (Yarn("Möwe – grau", "#cccccc", price=4.2),)
    path.write_bytes(b"name,color\nMoss,#123456\nM\x81,#234567\n")
    with pytest.raises(BadInput, match="line 3: neither UTF-8 nor Windows-1252"):
        open_shelf(path)
    path.write_bytes("name,color\nMoss,#123456\n".encode("utf-16"))
    with pytest.raises(BadInput, match="no text file: save it as CSV in UTF-8"):
        open_shelf(path)


def test_errors_name_the_line_in_every_dialect() -> None:
    assert refusal("name;color\nMoss;#5c6b3c\n\nChalk;chalky\n").startswith(
        "shelf.csv, line 4, column color: "
    )
    assert refusal("sep=;\nname;color\nMoss;x\n").startswith("shelf.csv, line 3, column color")
    assert "quote the semicolons" in refusal("name;color\nMoss;dark;#5c6b3c\n")
    assert "quote the tabs" in refusal("name\tcolor\nMoss\tdark\t#5c6b3c\n")


@pytest.mark.parametrize(
    ("cell", "value"), [("6,50", 6.5), ("6.50", 6.5), ("0,125", 0.125), ("1000,5", 1000.5)]
)
def test_decimal_commas(cell: str, value: float) -> None:
    assert parse_number(cell) == value
    assert read_shelf(f"name;color;price\nA;red;{cell}\n", "s").yarns[0].price == value


def test_a_number_that_may_mean_two_things() -> None:
    message = refusal('name,color,metres\nMoss,#5c6b3c,"1,000"\n')
    assert '"1,000" may mean 1000 or 1: write it without comma' in message
    assert "is no number" in refusal('name,color,metres\nMoss,#5c6b3c,"1.000,5"\n')


def test_a_point_between_semicolons_may_part_thousands() -> None:
    for separator in (";", "\t"):
        text = f"name{separator}color{separator}metres\nMoss{separator}#5c6b3c{separator}1.000\n"
        assert '"1.000" may mean 1000 or 1: write it without point' in refusal(text)
        yarns = read_shelf(text.replace("1.000", "212.5"), "s").yarns
        assert yarns[0].metres == 212.5
    assert read_shelf("name,color,metres\nMoss,#5c6b3c,1.000\n", "s").yarns[0].metres == 1


# Palettes


RED = ("#ff0000", 33.4)
PALETTE = """GIMP Palette
Name: Boathouse
Columns: 4
# dark ones first
 31  29  30\tTar
243 239 230 Chalk
  0 128   0
"""


def test_a_palette() -> None:
    shelf = read_shelf(PALETTE, "boathouse.gpl")
    tar, chalk = shelf.yarns[:2]
    assert (tar.name, tar.color, chalk.name, chalk.color) == ("Tar", "#1f1d1e", "Chalk", "#f3efe6")
    assert shelf.yarns[2].color == "#008000"
    assert shelf.yarns[2].name
    assert shelf.warnings == ()


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("31 29", 'line 5: "31 29": write R G B name'),
        ("31 29 256 Tar", "line 5: "),
        ("Tar 31 29 30", "line 5: "),
    ],
)
def test_a_damaged_palette(line: str, reason: str) -> None:
    text = PALETTE.replace(" 31  29  30\tTar", line)
    assert reason in refusal(text)


def test_nameless_colors_of_a_palette_that_are_equal_are_one() -> None:
    shelf = read_shelf("GIMP Palette\n1 2 3\n1 2 3 Untitled\n20 200 3\n1 2 3 Tar\n", "p.gpl")
    assert [yarn.color for yarn in shelf.yarns] == ["#010203", "#14c803", "#010203"]
    assert shelf.yarns[2].name == "Tar"
    assert shelf.warnings[0] == "p.gpl, line 3: #010203 once more, without a name: left out"
    clash = read_shelf("GIMP Palette\n192 40 45\n10 20 30 red\n", "p.gpl")
    assert [yarn.name for yarn in clash.yarns] == ["Red c0282d", "red"]


def test_every_damaged_line_of_a_palette_is_named() -> None:
    with pytest.raises(BadInput) as caught:
        read_shelf("GIMP Palette\n1 2 3 A\nx\n1 2 300 B\n", "p.gpl")
    assert [line[:15] for line in caught.value.lines()] == ["p.gpl, line 3: ", "p.gpl, line 4: "]


def test_an_empty_palette_and_twins() -> None:
    assert "no yarn below the header" in refusal("GIMP Palette\n#\n")
    assert "two yarns have the same name" in refusal("GIMP Palette\n1 2 3 A\n4 5 6 a\n")


# Several colours


def test_several_colours_with_shares() -> None:
    (yarn,) = read_shelf("name,color\nTweed,#a03030 60% #f0e8d8 40%\n", "s").yarns
    assert yarn.parts == (ColorPart("#a03030", 60.0), ColorPart("#f0e8d8", 40.0))
    assert yarn.color == mean_color((("#a03030", 60.0), ("#f0e8d8", 40.0)))


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("white 50% black 50%", (("#fbfbfb", 50.0), ("#141414", 50.0))),
        (
            "#fff 33,3 %, #000 33.3%; red 33,3%",
            (("#ffffff", 33.3), ("#000000", 33.3), ("#c0282d", 33.3)),
        ),
        ("lab(100% 0 0) 25% #102030 75%", (("#ffffff", 25.0), ("#102030", 75.0))),
        ("#a03030 100%", ()),
        ("#a03030", ()),
        ("lab(50% 10 10)", ()),
    ],
)
def test_how_several_colours_may_be_written(
    text: str, parts: tuple[tuple[str, float], ...]
) -> None:
    assert parse_colors(text)[1] == parts


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("#a03030 60% #f0e8d8 30%", "the shares are 90 % in all"),
        ("#a03030 60% #f0e8d8", '"#f0e8d8" has no share'),
        ("60% 40%", "write a colour before each share"),
        ("#a03030 0% white 100%", "a share is above 0 %"),
        ("#a0303 60% white 40%", 'unknown colour "#a0303"'),
    ],
)
def test_colours_that_cannot_be_read(text: str, reason: str) -> None:
    assert reason in refusal(f"name,color\nTweed,{text}\n")


def test_the_mean_is_taken_in_linear_light() -> None:
    """tests/data/linear_light.csv: black and white in equal parts are #bcbcbc, not #808080."""
    for line in read_reference("linear_light.csv"):
        parts = [part.split() for part in line["parts"].split(" + ")]
        assert mean_color(tuple((c, 100 * float(share)) for share, c in parts)) == line["hex"]


def test_a_yarn_of_several_colours_is_told(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("name,color\nTweed,#a03030 60% #f0e8d8 40%\nTar,#222222\n", encoding="utf-8")
    made = chart_picture(BADGE, Options(width=9, shelf=str(path)))
    assert any("Tweed has several colours: matched by its mean" in note for note in made.notes)
    assert made.chart.yarns[0].parts


# What yarns do not share


@pytest.mark.parametrize(
    ("fibre", "care"),
    [
        ("wool", "animal"),
        ("75 % Merino, 25 % nylon", "animal"),
        ("superwash wool", "superwash"),
        ("Cotton", "plant"),
        ("55% cotton / 45% acrylic", "plant"),
        ("Acrylic", "synthetic"),
        ("wool-acrylic blend", "animal"),
        ("Lambswool", "animal"),
        ("paper", "paper"),
    ],
)
def test_care(fibre: str, care: str) -> None:
    assert care_of(fibre).washed == care


def test_a_blend_is_blocked_as_each_of_its_fibres_allows() -> None:
    wool, blend = care_of("wool").blocked, care_of("wool-acrylic blend").blocked
    assert "steam it from above" in wool
    assert "no iron and no steam" in blend
    assert "without rubbing" in blend
    assert "no iron and no steam" in care_of("cotton and acrylic").blocked
    assert care_of("angora") == care_of("wool")
    assert "only as the yarn's label allows" in care_of(None).blocked


@pytest.mark.parametrize(
    ("lot", "lots"),
    [(None, []), ("A12", ["A12"]), ("A12, A13", ["A12", "A13"]), ("A 12 and B", ["A 12", "B"])],
)
def test_lots(lot: str | None, lots: list[str]) -> None:
    assert lots_of(Yarn("Moss", "#5c6b3c", lot=lot)) == lots


def test_nothing_to_say_of_yarns_that_fit() -> None:
    alike = [Yarn("A", "#000000", fibre="wool", lot="1"), Yarn("B", "#ffffff", 4, fibre="alpaca")]
    assert mixed_lines(alike, 4) == []


def test_what_is_mixed_is_said() -> None:
    yarns = [
        Yarn("Moss", "#5c6b3c", weight=4, fibre="wool", lot="A12, A13"),
        Yarn("Tar", "#222222", weight=5, fibre="cotton"),
        Yarn("Tar 2", "#222222", fibre="cotton", lot="C1"),
        Yarn("Tar 3", "#222222", fibre="cotton", lot="C2"),
    ]
    classes, care, own_lots, lots = mixed_lines(yarns, 4)
    assert "4: Moss, Tar 2, Tar 3; 5: Tar" in classes
    assert "animal: Moss; plant: Tar, Tar 2, Tar 3" in care
    assert own_lots.startswith("Moss is of 2 dye lots (A12, A13)")
    assert lots.startswith("Tar and Tar 2 and Tar 3 have one colour and dye lots C1, C2")


def test_mixed_yarns_are_told_with_the_chart(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text(
        "name,color,weight,fibre\nChalk,white,4,wool\nTar,#222222,5,cotton\nFar,#00ff00,7,\n",
        encoding="utf-8",
    )
    notes = chart_picture(BADGE, Options(width=9, shelf=str(path))).notes
    assert sum("weight classes are mixed (4: Chalk; 5: Tar)" in note for note in notes) == 1
    assert sum("washed differently" in note for note in notes) == 1
