"""Shelf files, and names of yarns."""

from __future__ import annotations

import csv
import io
import unicodedata
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pix2block.chart.grid import read_grid
from pix2block.color.spaces import to_hex
from pix2block.ground.errors import BadInput
from pix2block.ground.nouns import Member, members_of, range_of
from pix2block.recipes.supplies import open_shelf
from pix2block.yarn.shelf import read_shelf
from pix2block.yarn.yarn import Yarn, clean_name, refuse_twins

HEADER = "name,color,weight,held,fibre,grams,metres,skeins,lot,price,note\n"


def refusal(text: str) -> str:
    """Why a shelf is refused, in one line that names the file."""
    with pytest.raises(BadInput) as caught:
        read_shelf(text, "shelf.csv")
    message = str(caught.value)
    assert message.startswith("shelf.csv")
    return message


# Reading


def test_every_column_is_read() -> None:
    line = 'Moss,#5C6B3C,5,2,"wool, silk",100,212.5,3.5,A 12,6.50,"soft, ""warm"""\n'
    shelf = read_shelf(HEADER + line, "shelf.csv")
    assert shelf.warnings == ()
    assert shelf.yarns == (
        Yarn(
            "Moss",
            "#5c6b3c",
            weight=5,
            held=2,
            fibre="wool, silk",
            grams=100.0,
            metres=212.5,
            skeins=3.5,
            lot="A 12",
            price=6.5,
            note='soft, "warm"',
        ),
    )


def test_only_name_and_color_are_needed() -> None:
    shelf = read_shelf("name,color\nMoss,#5c6b3c\nChalk,white\n", "shelf.csv")
    assert shelf.yarns == (Yarn("Moss", "#5c6b3c"), Yarn("Chalk", "#fbfbfb"))
    moss = shelf.yarns[0]
    assert (moss.weight, moss.held, moss.grams, moss.skeins) == (None, 1, None, None)


def test_empty_cells_are_unknown() -> None:
    shelf = read_shelf(HEADER + "Moss,#5c6b3c,,,,, ,\t,,,\n", "shelf.csv")
    assert shelf.yarns == (Yarn("Moss", "#5c6b3c"),)


def test_no_skeins_on_hand_is_known() -> None:
    shelf = read_shelf("name,color,skeins,price\nMoss,#5c6b3c,0,0\n", "shelf.csv")
    assert shelf.yarns[0].skeins == 0
    assert shelf.yarns[0].price == 0


@given(st.permutations(["name", "color", "metres", "grams", "note", "maker's shelf"]))
def test_columns_stand_in_any_order(header: list[str]) -> None:
    cells = {"name": "Moss", "color": "#5c6b3c", "metres": "200", "grams": "50", "note": "a, b"}
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(header)
    writer.writerow([cells.get(column, "top left") for column in header])
    shelf = read_shelf(text.getvalue(), "shelf.csv")
    assert shelf.yarns == (Yarn("Moss", "#5c6b3c", metres=200.0, grams=50.0, note="a, b"),)


def test_headers_are_read_in_any_case() -> None:
    assert read_shelf(" Name ,COLOR\nMoss,#5c6b3c\n", "s").yarns == (Yarn("Moss", "#5c6b3c"),)


def test_columns_of_other_names_are_left_alone() -> None:
    text = "ply,name,color,ply,\n4,Moss,#5c6b3c,no number,x\n"
    assert read_shelf(text, "s").yarns == (Yarn("Moss", "#5c6b3c"),)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_line_ends_and_empty_lines(end: str) -> None:
    lines = ["", "name,color", "Moss,#5c6b3c", ",", "  ", "Chalk,#f1ede2", "", ""]
    assert [yarn.name for yarn in read_shelf(end.join(lines), "s").yarns] == ["Moss", "Chalk"]


def test_short_lines_and_spare_commas() -> None:
    shelf = read_shelf("name,color,note\nMoss,#5c6b3c\nChalk,#f1ede2,,,,\n", "s")
    assert shelf.yarns == (Yarn("Moss", "#5c6b3c"), Yarn("Chalk", "#f1ede2"))


def test_yarns_keep_the_order_of_the_file() -> None:
    names = [f"Yarn {n}" for n in (3, 1, 2, 9, 8)]
    text = "name,color\n" + "".join(f"{name},#123456\n" for name in names)
    assert [yarn.name for yarn in read_shelf(text, "s").yarns] == names


def test_a_file_with_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_bytes("name,color\nGrün,#5c6b3c\n".encode("utf-8-sig"))
    assert open_shelf(path).yarns == (Yarn("Grün", "#5c6b3c"),)
    path.write_bytes("name,color\nGrün,#5c6b3c\n".encode())
    assert open_shelf(str(path)).yarns == (Yarn("Grün", "#5c6b3c"),)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "shelf_12.csv").write_text("name,color\n")
    with pytest.raises(BadInput, match=r"shelf .*shelf12\.csv: no such file: did you mean"):
        open_shelf(tmp_path / "shelf12.csv")


_text = st.text(
    st.characters(
        exclude_characters="|,:;#=@.+-", exclude_categories=["Cc", "Cf", "Zl", "Zp", "Cs"]
    ),
    max_size=20,
).map(lambda text: " ".join(text.split()))
_amount = st.one_of(st.none(), st.integers(1, 5000).map(lambda n: n / 8))


@st.composite
def yarns(draw: st.DrawFn, /, number: int) -> Yarn:
    return Yarn(
        name=f"{number} {draw(_text)}".strip(),
        color=to_hex(draw(st.tuples(*[st.integers(0, 255)] * 3))),  # type: ignore[arg-type]
        weight=draw(st.one_of(st.none(), st.integers(0, 7))),
        held=draw(st.integers(1, 2)),
        fibre=draw(_text) or None,
        grams=draw(_amount),
        metres=draw(_amount),
        skeins=draw(_amount),
        lot=draw(_text) or None,
        price=draw(_amount),
        note=draw(_text) or None,
    )


@given(st.integers(1, 4).flatmap(lambda n: st.tuples(*(yarns(number=i) for i in range(n)))))
def test_what_is_written_is_read(shelf: tuple[Yarn, ...]) -> None:
    columns = HEADER.strip().split(",")
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    for yarn in shelf:
        cells = [getattr(yarn, column) for column in columns]
        writer.writerow(["" if cell is None else cell for cell in cells])
    found = read_shelf(text.getvalue(), "s")
    assert found.yarns == shelf
    assert [told for told in found.warnings if "nearly alike" not in told] == []


# As makers write it


def test_columns_by_other_names_and_units() -> None:
    text = (
        "Yarn;Colour;Yarn weight;Fiber;Yards per skein;Ball weight (oz);Balls;Dye lot;Price (£);"
        "Brand;Notes\n"
        "Moss;#5c6b3c;Worsted;wool;220;3,5;1 and a half;A12;£6.95;Harbour;for eyes\n"
        "Tar;#222222;4-ply;;295m;100g;2½;;3,99 €;;\n"
        "Chalk;#f1ede2;DK;;100 yards;50 grams;two balls;;;Harbour;\n"
    )
    moss, tar, chalk = read_shelf(text, "s").yarns
    assert (moss.weight, tar.weight, chalk.weight) == (4, 1, 3)
    assert moss.metres == pytest.approx(201.168)
    assert moss.grams == pytest.approx(99.2233, abs=1e-4)
    assert (moss.skeins, tar.skeins, chalk.skeins) == (1.5, 2.5, 2)
    assert (moss.fibre, moss.lot, moss.price) == ("wool", "A12", 6.95)
    assert (moss.note, tar.note, chalk.note) == ("Harbour; for eyes", None, "Harbour")
    assert (tar.metres, tar.grams, tar.price) == (295, 100, 3.99)
    assert chalk.metres == pytest.approx(91.44)
    assert chalk.grams == 50


@pytest.mark.parametrize(
    ("header", "field"),
    [
        *(("meters", "metres"), ("Length in metres", "metres"), ("m", "metres")),
        *(("skein", "skeins"), ("on hand", "skeins"), ("Hanks", "skeins")),
        *(("weight_class", "weight"), ("g", "grams"), ("gram", "grams"), ("cost each", "price")),
        *(("dyelot", "lot"), ("material", "fibre"), ("remarks", "note")),
    ],
)
def test_a_column_may_be_called_so(header: str, field: str) -> None:
    yarn = read_shelf(f"name,color,{header}\nMoss,#5c6b3c,3\n", "s").yarns[0]
    assert str(getattr(yarn, field)) in ("3", "3.0")


def test_the_first_of_two_columns_that_says_something_is_taken() -> None:
    text = "yards,name,metres,color\n100,Moss,90,#5c6b3c\n100,Tar,,#222222\n,Chalk,,#f1ede2\n"
    assert [yarn.metres for yarn in read_shelf(text, "s").yarns] == [90, pytest.approx(91.44), None]


def test_columns_that_are_not_used_are_named() -> None:
    text = "name,color,how many balls,Needle,empty,\nMoss,#5c6b3c,3,5 mm,,x\n"
    (told,) = read_shelf(text, "s.csv").warnings
    assert told == (
        's.csv: not used: "how many balls" (looks like skeins: rename it), "Needle", column 6, '
        "which has no heading"
    )


def test_colors_that_are_read_from_words_are_told() -> None:
    shelf = read_shelf("name;color\nWalnut;brown\nSail;Dark cream\nTar;#222222\n", "s.csv")
    assert shelf.yarns[0].color == "#6e4a2c"
    (told,) = shelf.warnings
    assert "(Walnut: brown is #6e4a2c; Sail: Dark cream is " in told
    assert "Tar" not in told
    assert "shelf.png" in told


def test_prices_in_several_currencies_are_told() -> None:
    text = "name,color,price\nMoss,#5c6b3c,£3\nTar,#222222,€3\nChalk,#f1ede2,2 €\n"
    (told,) = read_shelf(text, "s.csv").warnings
    assert "prices are in £ and €" in told


def test_yarns_nearly_alike_are_told() -> None:
    text = "name,color\nMoss,#5c6b3c\nFern,#5d6b3c\nTar,#222222\n"
    (told,) = read_shelf(text, "s.csv").warnings
    assert "nearly alike, so hard to tell apart in the piece and at the hook: Moss and Fern" in told
    assert read_shelf(text.replace("#5d6b3c", "#6d7b3c"), "s.csv").warnings == ()


def test_all_faults_of_a_file_are_told_in_one_answer() -> None:
    text = (
        "name,color,metres,weight,price\n"
        "Moss,gren,200,9,x\n"
        "Chalk,#f1ede2,100,4,1,2,3\n"
        "Tar,#222222,90,4,2\n"
        ",#222222,-1,4,2\n"
    )
    with pytest.raises(BadInput) as caught:
        read_shelf(text, "s.csv")
    told = caught.value.lines()
    assert [line.partition(": ")[0] for line in told] == [
        "s.csv, line 2, column color",
        "s.csv, line 2, column weight",
        "s.csv, line 2, column price",
        "s.csv, line 3",
        "s.csv, line 5, column name",
        "s.csv, line 5, column metres",
    ]
    with pytest.raises(BadInput) as caught:
        read_shelf("a,b\nMoss,#5c6b3c\n", "s.csv")
    assert len(caught.value.lines()) == 2


# What is refused


@pytest.mark.parametrize(
    ("column", "cell", "reason"),
    [
        ("name", "", "a yarn has no name: give it one"),
        ("name", "  ", "a yarn has no name: give it one"),
        ("name", "#.;|", "a yarn has no name: give it one"),
        ("name", "x" * 61, "has 61 characters: shorten it to 60"),
        ("color", "", 'unknown colour ""'),
        ("color", "#12", 'unknown colour "#12": write #rrggbb with the digits'),
        ("color", "gren", 'did you mean "green"?'),
        ("color", "5c6b3c", "write #rrggbb or a CSS color name"),
        ("weight", "8", '"8": write a weight class from 0 to 7, or its name'),
        ("weight", "-1", '"-1": write a weight class from 0 to 7'),
        ("weight", "4.0", '"4.0": write a weight class from 0 to 7'),
        ("weight", "４", '"４": write a weight class from 0 to 7'),
        ("weight", "100 g", "grams stand in a column grams"),
        ("weight", "baby", '"baby": write a weight class from 0 to 7, or its name, as DK'),
        ("held", "0", '"0": write 1, or 2 for yarn held double'),
        ("held", "3", '"3": write 1, or 2 for yarn held double'),
        ("grams", "0", '"0": write a number from 0.1 to 100000'),
        ("grams", "-50", '"-50": write a number from'),
        ("grams", "50 q", '"50 q" is no number: write it as 100 or 2.5'),
        ("metres", "0", '"0": write a number from 0.1 to 100000'),
        ("metres", "nan", '"nan" is no number'),
        ("metres", "inf", '"inf" is no number'),
        ("metres", "1e999", '"1e999" is no number'),
        ("skeins", "-1", '"-1": write a number from'),
        ("skeins", "few", '"few" is no number'),
        ("price", "five", '"five": write a price as 6.50 or £6.50'),
        ("price", "-0.5", '"-0.5": write a number from'),
    ],
)
def test_a_bad_cell_is_named_by_line_and_column(column: str, cell: str, reason: str) -> None:
    columns = HEADER.strip().split(",")
    cells = {"name": "Moss", "color": "#5c6b3c", column: cell}
    text = HEADER + "Chalk,#f1ede2,,,,,,,,,\n\n" + ",".join(cells.get(c, "") for c in columns)
    message = refusal(text + "\n")
    assert message.startswith(f"shelf.csv, line 4, column {column}: ")
    assert reason in message
    assert "\n" not in message


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    text = 'name,color,note\nMoss,#5c6b3c,"two\nlines"\n\nChalk,chalky,\n'
    assert refusal(text).startswith("shelf.csv, line 5, column color: ")


def test_the_first_bad_line_is_named() -> None:
    text = "name,color\nMoss,#5c6b3c\nChalk,x\nTar,y\n"
    assert refusal(text).startswith("shelf.csv, line 3, column color: ")


def test_commas_that_are_not_quoted() -> None:
    message = refusal("name,color\nMoss, dark,#5c6b3c\n")
    assert message == "shelf.csv, line 2: 3 cells, the header has 2: quote the commas"


@pytest.mark.parametrize("text", ["", "\n\n", " \n,,\n"])
def test_an_empty_file(text: str) -> None:
    assert refusal(text) == "shelf.csv: empty; its first line names the columns, as name,color"


@pytest.mark.parametrize("text", ["name,color", "name,color\n", "name,color\n\n,\n"])
def test_a_header_alone(text: str) -> None:
    assert refusal(text) == "shelf.csv: no yarn below the header: add a line a yarn"


def test_missing_columns() -> None:
    assert 'no column color: rename "coler"' in refusal("name,coler\nMoss,#5c6b3c\n")
    assert 'no column name: rename "names"' in refusal("names,color\nMoss,#5c6b3c\n")
    assert "no column name: add it to the first line" in refusal("Moss,#5c6b3c\n")
    assert "no column name: add it to the first line" in refusal("x;y\nMoss;#5c6b3c\n")


def test_a_column_given_twice() -> None:
    message = refusal("name,color,grams,Grams\nMoss,#5c6b3c,50,100\n")
    assert message == "shelf.csv: two columns are named grams: rename one of them"


def test_a_quote_left_open() -> None:
    assert "line 2: no comma-separated cells" in refusal('name,color\n"Moss,#5c6b3c\n')


def test_at_most_200_yarns() -> None:
    lines = [f"Yarn {n},#123456\n" for n in range(201)]
    assert len(read_shelf("name,color\n" + "".join(lines[:200]), "s").yarns) == 200
    assert refusal("name,color\n" + "".join(lines)) == "shelf.csv: 201 yarns: keep at most 200"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Moss", "Moss"),
        ("Moss", "MOSS"),
        ("Sea green", "Seagreen"),
        ("Sea green", "  sea   GREEN "),
        ("Sea.green", "Sea green"),
        ("Straße", "STRASSE"),
        ("M\u00f6we", "Mo\u0308we"),
    ],
)
def test_names_that_differ_only_in_case_or_spaces_are_refused(one: str, other: str) -> None:
    message = refusal(f"name,color\n{one},#5c6b3c\nChalk,#f1ede2\n{other},#000000\n")
    assert "two yarns have the same name" in message
    assert "rename one of them" in message
    assert f'"{clean_name(other)}"' in message


def test_names_that_differ_otherwise_are_not() -> None:
    refuse_twins(["Moss", "Moss 2", "Mos", "Moss-2", "Möss"])
    assert len(read_shelf("name,color\nMoss,#5c6b3c\nMoss 2,#5c6b3c\n", "s").yarns) == 2


# Names


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Moss", "Moss"),
        ("  Moss  ", "Moss"),
        ("Moss\t \u00a0green", "Moss green"),
        ("Moss, dark; no. #3: a|b", "Moss dark no 3 a b"),
        ("Moss\u202egreen", "Moss green"),
        ("Moss\u200f\u2066green\u2069", "Moss green"),
        ("Moss\u2028green\u2029", "Moss green"),
        ("Moss\x00\x1b\x7f\x85green", "Moss green"),
        ("Grün – 3/4 (100 %)", "Grün – 3/4 (100 %)"),
        ("x" * 60, "x" * 60),
        ("." * 100 + "x", "x"),
        ("苔 緑", "苔 緑"),
        ("Mo\u0308we", "M\u00f6we"),
        ("=SUM(A1)", "SUM(A1)"),
        ("+Moss", "Moss"),
        ("- Moss", "Moss"),
        ("Moss-2 @home", "Moss-2 home"),
    ],
)
def test_clean_name(text: str, name: str) -> None:
    assert clean_name(text) == name


@given(st.text(max_size=80))
@example("a\ud800b")
@example("\u3000a\u3000\u3000b")
@example("a.\u200d.b")
@example("+ -- 1+1")
@example("\u037ea")
def test_clean_names_are_fit_and_stay_so(text: str) -> None:
    bad = ("Cc", "Cf", "Zl", "Zp", "Cs")
    composed = unicodedata.normalize("NFC", text)
    kept = (" " if c in "|,:;#=@." or unicodedata.category(c) in bad else c for c in composed)
    left = " ".join("".join(kept).split()).lstrip("+- ")
    if not 1 <= len(left) <= 60:
        with pytest.raises(BadInput, match=r"no name: give it one|characters: shorten it to 60"):
            clean_name(text)
        return
    name = clean_name(text)
    assert name == left
    assert 1 <= len(name) <= 60
    assert all(c == " " or not c.isspace() for c in name)
    assert not set(name) & set("|,:;#=@.")
    assert not {unicodedata.category(c) for c in name} & set(bad)
    assert len(name.splitlines()) == 1
    assert clean_name(name) == name


@given(st.text(st.sampled_from("|,:;#=@. +-\t\n\u2028\u202e\u200b"), max_size=70))
def test_nothing_left_of_a_name_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="a yarn has no name: give it one"):
        clean_name(text)


def test_a_name_that_is_too_long_is_not_printed_whole() -> None:
    with pytest.raises(BadInput) as caught:
        clean_name("long " * 1000)
    assert len(str(caught.value)) < 100


def test_an_amended_name_is_told() -> None:
    text = 'name,color\nChalk,#f1ede2\n"Moss, dark",#5c6b3c\n  Tar  ,#222222\n"A  b",#333333\n'
    shelf = read_shelf(text, "shelf.csv")
    assert [yarn.name for yarn in shelf.yarns] == ["Chalk", "Moss dark", "Tar", "A b"]
    assert shelf.warnings == (
        'shelf.csv, line 3: the name "Moss, dark" is read as "Moss dark"',
        'shelf.csv, line 5: the name "A  b" is read as "A b"',
    )


def test_accents_are_composed_and_that_is_told() -> None:
    shelf = read_shelf("name,color\nMo\u0308we,#5c6b3c\n", "s.csv")
    assert shelf.yarns[0].name == "M\u00f6we"
    assert shelf.warnings == (
        's.csv, line 2: the name "Mo\u0308we" is read with its accents composed',
    )
    grid = read_grid("Mo\u0308we,M\u00f6we\n", "g.csv", shelf.yarns)
    assert grid.blocks.tolist() == [[0, 0]]


@pytest.mark.parametrize(
    "member",
    [m for m in members_of(Yarn).values() if range_of(m.kind).low is not None and not m.noun],
    ids=lambda member: member.name,
)
def test_a_column_takes_what_a_yarn_takes(member: Member) -> None:
    of = range_of(member.kind)
    assert of.low is not None
    assert of.high is not None
    for end in (of.low, of.high):
        yarn = read_shelf(f"name,color,{member.name}\nMoss,#5c6b3c,{end:.12g}\n", "s").yarns[0]
        assert getattr(yarn, member.name) == end
    for beyond in (of.low - 1, of.high + 1):
        with pytest.raises(BadInput) as caught:
            read_shelf(f"name,color,{member.name}\nMoss,#5c6b3c,{beyond:.12g}\n", "s")
        assert f"line 2, column {member.name}: " in str(caught.value)
        if member.name not in ("weight", "held"):  # told in words
            assert str(caught.value).endswith(f"write {of}")


def test_shares_that_no_yarn_has_are_named_by_their_line() -> None:
    with pytest.raises(BadInput, match=r"line 2: share 100\.5: write a number above 0, up to 100"):
        read_shelf("name,color\nMoss,#a03030 100.5% #000000 0.4%\n", "s")
