"""Stripe plans: what is read, and what is refused with line and column."""

from __future__ import annotations

import pytest

from pix2block.ground.errors import BadInput
from pix2block.stripes.plan import Lasts, Length, Plan
from pix2block.stripes.plan_check import refuse_what_cannot_end
from pix2block.stripes.plan_file import read_plan
from pix2block.stripes.toml_file import find_places
from pix2block.yarn.shelf import Shelf, read_shelf

SHELF = read_shelf(
    "name,color,metres,skeins\nChalk,#fff,200,3\nSlate,#678,200,2\nRust,#842,9,1", "s"
)

GOOD = """\
title = "Dunlin"   # the ferry
width = 15
length = "180 cm"
shelf = "shelf.csv"
buy = ["Rust"]

[[part]]
order = ["Chalk", 'slate',
         "Rust"]
rows = [1, 2, 3]
lasts = "until slate runs out"

[[part]]
order = "the others"
rows = 2
grow = 0.5
"""


def read(text: str) -> Plan:
    def shelf(name: str) -> Shelf:
        assert name == "shelf.csv"
        return SHELF

    plan = read_plan(text, "p.toml", shelf)
    refuse_what_cannot_end(plan)
    return plan


def test_a_plan_is_read() -> None:
    plan = read(GOOD)
    assert (plan.title, plan.width, plan.shape) == ("Dunlin", 15, "rectangle")
    assert plan.length == Length(cm=180.0)
    assert plan.bought == {2}
    one, two = plan.parts
    assert one.yarns == (0, 1, 2)
    assert one.widths == (1, 2, 3)
    assert one.lasts == Lasts("out", yarn=1)
    assert (two.yarns, two.widths, two.grow, two.lasts) == ((), (2,), 0.5, Lasts("end"))
    assert str(one.place) == "p.toml, line 7, column 1"
    assert str(two.place) == "p.toml, line 13, column 1"


def test_a_plan_of_crlf_lines_is_the_same() -> None:
    assert read(GOOD.replace("\n", "\r\n")) == read(GOOD)


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("110", Length(110)),
        ('"70 in"', Length(cm=70 * 2.54)),
        ('"180,5 cm"', Length(cm=180.5)),
        ('"1,8 m"', Length(cm=180.0)),
        ('"as far as the yarn goes"', Length()),
    ],
)
def test_lengths(text: str, length: Length) -> None:
    assert read(GOOD.replace('"180 cm"', text)).length == length


def test_a_wingspan() -> None:
    text = GOOD.replace('width = 15\nlength = "180 cm"', 'shape = "triangle"\nwingspan = "170 cm"')
    assert read(text).length == Length(cm=170.0)


@pytest.mark.parametrize(
    ("words", "lasts"),
    [
        ("24 rows", Lasts("rows", 24)),
        ("1 row", Lasts("rows", 1)),
        ("3 repeats", Lasts("repeats", 3)),
        ("until a yarn runs out", Lasts("out")),
        ("Until Chalk runs  out", Lasts("out", yarn=0)),
    ],
)
def test_how_long_a_part_lasts(words: str, lasts: Lasts) -> None:
    text = GOOD.replace("until slate runs out", words).replace("[1, 2, 3]", "1")
    text = text.replace('"the others"', '["Chalk", "Slate"]')
    assert read(text).parts[0].lasts == lasts


def test_yarns_inside_the_plan() -> None:
    text = GOOD.replace('shelf = "shelf.csv"\n', "").replace('"Rust"', '"Sea, green"')
    tables = (("Chalk", "#fff"), ("Slate", "lab(40 0 -5)"), ("Sea, green", "seagreen"))
    for name, color in tables:
        text += f'[[yarn]]\nname = "{name}"\ncolor = "{color}"\nmetres = 92.5\nheld = 2\n'
    text = text.replace('"Sea, green"]', '"Sea green"]')
    plan = read(text)
    assert [yarn.name for yarn in plan.yarns] == ["Chalk", "Slate", "Sea green"]
    assert plan.yarns[2].color == "#4f9d84"
    assert (plan.yarns[0].metres, plan.yarns[0].held) == (92.5, 2)
    assert 'the name "Sea, green" is read as "Sea green"' in plan.notes[0]


def test_decimal_commas_in_a_plan() -> None:
    assert read(GOOD.replace("grow = 0.5", 'grow = "0,5"')) == read(GOOD)
    with pytest.raises(BadInput, match=r'line 15, column 10: metres "1,000" may mean 1000 or 1'):
        read(GOOD.replace("rows = 2", 'metres = "1,000"').replace("grow = 0.5\n", ""))


def test_all_faults_of_yarns_inside_are_told() -> None:
    text = 'width = 3\n[[yarn]]\nname = "A"\ncolor = "gren"\nmetres = 0\n[[yarn]]\ncolor = "red"\n'
    with pytest.raises(BadInput) as caught:
        read(text + '[[part]]\norder = ["A"]\n')
    one, two, three = caught.value.lines()
    assert one.startswith('p.toml, line 4, column 9: unknown colour "gren"')
    assert two.startswith('p.toml, line 5, column 10: "0": write a number from 0.1')
    assert three == "p.toml, line 6, column 1: a yarn has no name: add it"


WRONG: dict[str, tuple[str, str, str]] = {
    "key": ("width =", "widht =", 'line 2, column 1: unknown key "widht": did you mean "width"?'),
    "key of a part": ("rows = 2", "row = 2", 'line 15, column 1: unknown key "row": did you mean'),
    "yarn": ('"Rust"]\nrows', '"Rist"]\nrows', 'line 9, column 10: unknown yarn "Rist": did you'),
    "yarn to buy": ('buy = ["Rust"]', 'buy = ["Lime"]', 'line 5, column 8: unknown yarn "Lime"'),
    "yarn that runs out": ("until slate", "until slat", 'line 11, column 9: unknown yarn "slat"'),
    "yarn of another part": (
        '"Chalk", \'slate\',\n         "Rust"',
        '"Chalk", "Rust"',
        "Slate is not in this part's order",
    ),
    "lasts": ("until slate runs out", "a while", 'line 11, column 9: lasts "a while": write "24'),
    "lasts of a number": ('"until slate runs out"', "24", "line 11, column 9: lasts 24: write"),
    "rows": ("rows = 2", "rows = 0", "line 15, column 8: rows 0: write a whole number from 1"),
    "rows in a list": ("[1, 2, 3]", "[1, 0, 3]", "line 10, column 12: rows 0: write a whole"),
    "rows true": ("rows = 2", "rows = true", "line 15, column 8: rows True"),
    "no rows": ("[1, 2, 3]", "[]", "line 10, column 8: no rows"),
    "width": ("width = 15", "width = 15.0", "line 2, column 9: width 15.0: write a whole number"),
    "length": ('"180 cm"', '"180 m"', 'line 3, column 10: length "180 m": write blocks'),
    "no width": ("width = 15\n", "", "p.toml: no width"),
    "no TOML": ("width = 15", "width = = 15", "line 2, column 9: no TOML"),
    "shape": ("width = 15", 'shape = "triangl"', 'did you mean "triangle"?'),
    "triangle with a length": ("width = 15", 'shape = "triangle"', "a triangle has no length"),
    "wingspan of a rectangle": (
        'length = "180 cm"',
        'wingspan = "9 cm"',
        "line 3, column 1: a rectan",
    ),
    "wingspan without a unit": (
        'width = 15\nlength = "180 cm"',
        'shape = "triangle"\nwingspan = "170"',
        'line 3, column 12: wingspan "170": write a length, as "170 cm" or "67 in"',
    ),
    "wingspan and rows": (
        'width = 15\nlength = "180 cm"',
        'shape = "triangle"\nrows = 9\nwingspan = "170 cm"',
        "line 4, column 1: wingspan sets the rows: leave wingspan or rows out",
    ),
    "no order": ('order = "the others"\n', "", "line 13, column 1: a part has an order or"),
    "order and gradient": ("rows = 2", 'gradient = ["Chalk", "Rust"]', "keep one of them"),
    "grow and metres": ("rows = 2", "metres = 5", "line 15, column 1: metres and grow"),
    "short gradient": (
        'order = "the others"\nrows = 2\ngrow = 0.5',
        'gradient = ["Chalk"]',
        "line 14, column 12: write gradient as a list of yarns, at least 2",
    ),
    "end too soon": ("until slate runs out", "to the end", "only the last part lasts to the end"),
    "nothing after": ("grow = 0.5", 'lasts = "until a yarn runs out"', "nothing follows when"),
    "others of a counted part": ("until slate runs out", "3 repeats", '"the others" goes after'),
    "rows inside a stripe": (
        'order = "the others"',
        'order = ["Chalk"]\nlasts = "3 rows"',
        "line 15, column 9: 3 rows end inside a stripe: write 2 or 4 rows",
    ),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_named_with_its_place(name: str) -> None:
    before, after, message = WRONG[name]
    assert before in GOOD
    with pytest.raises(BadInput) as caught:
        read(GOOD.replace(before, after))
    assert message in str(caught.value)
    assert str(caught.value).startswith("p.toml")


def test_a_wrong_yarn_inside_is_named_with_its_place() -> None:
    text = 'width = 3\n[[yarn]]\nname = "A"\ncolor = "gren"\n[[part]]\norder = ["A"]\n'
    with pytest.raises(BadInput) as caught:
        read(text)
    assert str(caught.value).startswith('p.toml, line 4, column 9: unknown colour "gren": did you')
    with pytest.raises(BadInput, match='line 4, column 1: unknown key "colour": did you mean'):
        read(text.replace("color", "colour"))


def test_places_of_keys_and_values() -> None:
    places = find_places(
        '# a = 1\na = [ "x=[[y]]", 2 ] # "no\n\n[[b]]\n  "c" = """1\n2"""\n[d]\ne = 3'
    )
    assert places["a",] == (2, 1)
    assert places["a", "value"] == (2, 5)
    assert places["a", 0] == (2, 7)
    assert places["a", 1] == (2, 18)
    assert places["b", 0] == (4, 1)
    assert places["b", 0, "c"] == (5, 3)
    assert places["d",] == (7, 1)
    assert places["d", "e"] == (8, 1)
    assert ("y", 0) not in places
