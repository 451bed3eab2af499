"""chart.json and CSV grids: what is written is read, what is damaged is named."""

from __future__ import annotations

import copy
import csv
import io
import json
import random
import re
import time
import timeit
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from makers import YARNS, charts, end_early, random_blocks

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Border, Chart
from pix2block.chart.chart_file import SCHEMA_FILE, VERSION, chart_schema
from pix2block.chart.grid import fit_last_row, read_grid
from pix2block.chart.reading import read_chart, write_chart
from pix2block.chart.source import Calmed, Place, Seen, Source
from pix2block.chart.title import clean_title
from pix2block.craft.diagonal import Layout
from pix2block.ground.errors import BadInput
from pix2block.ground.forms import unknown_in
from pix2block.ground.nouns import Kept, Member, Noun, members_of, range_of, words_of
from pix2block.ground.settings import (
    HANDS,
    START_CORNERS,
    TAIL_ENDINGS,
    Habit,
    Hand,
    Pace,
    StartCorner,
    named_habit,
)
from pix2block.options.table import Options
from pix2block.recipes.as_asked import with_options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.supplies import open_shelf
from pix2block.reports.tables import bobbins_csv, rows_csv, strands_csv, tails_csv, yarn_csv
from pix2block.yarn.swatch import OwnLoop, Swatch
from pix2block.yarn.yarn import ColorPart, Yarn, clean_name

Json = dict[str, Any]
SCHEMA: Json = json.loads(chart_schema())
VALID = jsonschema.Draft202012Validator(SCHEMA)


# Charts to write

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
amounts = st.one_of(st.none(), st.integers(1, 4000).map(lambda n: n / 8))
numbers = st.integers(0, 800).map(lambda n: n / 8)
values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats(allow_nan=False, allow_infinity=False)
    | texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=4,
)


def unknown_keys(*nouns: type[Noun]) -> st.SearchStrategy[Json]:
    known = {"pix2block", "version", "width", "height"}.union(*map(members_of, nouns))
    return st.dictionaries(texts.filter(lambda key: key not in known), values, max_size=2)


@st.composite
def full_charts(draw: st.DrawFn, /) -> Chart:
    """Any small chart, with everything that chart.json can hold."""
    chart = draw(charts(most_side=5))
    yarns = tuple(
        Yarn(
            name=clean_name(f"Yarn {number}x {draw(texts)}"),
            color=yarn.color,
            weight=draw(st.one_of(st.none(), st.integers(0, 7))),
            held=draw(st.integers(1, 2)),
            fibre=draw(st.one_of(st.none(), texts)),
            grams=draw(amounts),
            metres=draw(amounts),
            skeins=draw(st.one_of(st.none(), numbers)),
            lot=draw(st.one_of(st.none(), texts)),
            price=draw(st.one_of(st.none(), numbers)),
            note=draw(st.one_of(st.none(), texts)),
            extra=draw(unknown_keys(Yarn)),
            parts=draw(
                st.sampled_from(
                    [
                        (),
                        (ColorPart("#102030", 60.5, extra={"dyed": 1}), ColorPart("#ffffff", 39.5)),
                    ]
                )
            ),
        )
        for number, yarn in enumerate(chart.yarns)
    )
    swatch = Swatch(
        block_cm=draw(numbers) + 1,
        loop_cm=draw(numbers) + 1,
        block_cm_error=draw(st.one_of(st.none(), numbers)),
        loop_cm_error=draw(st.one_of(st.none(), numbers)),
        yarns=tuple(
            OwnLoop(
                *(f"Yarn {n}", draw(numbers) + 1, draw(numbers), 1 + n % 2),
                extra=draw(unknown_keys(OwnLoop)),
            )
            for n in range(draw(st.integers(0, 2)))
        ),
        extra=draw(unknown_keys(Swatch)),
    )
    rng = np.random.default_rng(draw(st.integers(0, 99)))
    shape = (chart.height, chart.width)
    count = draw(st.integers(0, 4))
    ends = (chart.height, chart.width, len(yarns))
    calmed = Calmed(
        *(draw(st.integers(0, 100)), draw(numbers), draw(numbers)),
        mean_before=draw(st.one_of(st.none(), st.floats(0, 50))),
        mean_after=draw(st.one_of(st.none(), st.floats(0, 50))),
        tails_before=draw(st.one_of(st.none(), st.integers(0, 99))),
        tails_after=draw(st.one_of(st.none(), st.integers(0, 99))),
        most_hanging=draw(st.one_of(st.none(), st.integers(1, 9))),
        changed=rng.integers(0, ends, (count, 3)),
        of=draw(texts),
        extra=draw(unknown_keys(Calmed)),
    )
    source = Source(
        picture=draw(texts),
        sha256=draw(texts),
        means=rng.integers(0, 256, (*shape, 3), dtype=np.uint8),
        weights=rng.random(shape) if draw(st.booleans()) else None,
        minded=tuple(
            Place(draw(texts), *draw(st.tuples(*[numbers] * 5)), extra=draw(unknown_keys(Place)))
            for _ in range(draw(st.integers(0, 2)))
        ),
        palette_gap=draw(st.one_of(st.none(), numbers)),
        seen=draw(st.sampled_from([None, Seen(2.5, 1, "0a", extra={"apart": 3})])),
        calmed=draw(st.sampled_from([None, calmed])),
        extra=draw(unknown_keys(Source)),
    )
    return replace(
        chart,
        title=clean_title(f"A {draw(texts)}"),
        yarns=yarns,
        habit=replace(
            named_habit(draw(numbers), draw(st.integers(0, 9)), draw(st.integers(0, 9))),
            extra=draw(unknown_keys(Habit)),
        ),
        weight=draw(st.integers(0, 7)),
        tail_cm=draw(numbers),
        tail_ending=draw(st.sampled_from(TAIL_ENDINGS)),
        butterfly_m=draw(numbers),
        reserve=draw(numbers),
        pace=Pace(*draw(st.tuples(numbers, numbers, numbers)), extra=draw(unknown_keys(Pace))),
        swatch=draw(st.sampled_from([swatch, None])),
        border=draw(
            st.sampled_from([Border(2, "sc", len(yarns) - 1, extra={"picot": True}), None])
        ),
        hook_mm=draw(st.sampled_from([5.5, None])),
        source=draw(st.sampled_from([source, None])),
        extra=draw(unknown_keys(Chart)),
    )


def assert_equal(one: Any, other: Any) -> None:
    """Every field alike and of one type, unknown keys too; arrays by value."""
    assert type(one) is type(other)
    if isinstance(one, np.ndarray):
        assert one.dtype == other.dtype
        np.testing.assert_array_equal(one, other)
    elif isinstance(one, Kept):
        assert one.extra == other.extra
        for name in members_of(type(one)):
            assert_equal(getattr(one, name), getattr(other, name))
    elif isinstance(one, tuple):
        for first, second in zip(one, other, strict=True):
            assert_equal(first, second)
    else:
        assert one == other


def full_json() -> Json:
    """A chart.json with everything in it, as a dict to damage."""
    yarns = (
        Yarn(
            "Moss",
            "#5c6b3c",
            4,
            1,
            "wool",
            100.0,
            200.0,
            3.0,
            "A1",
            6.5,
            "soft",
            extra={"shop": "x"},
        ),
        Yarn("Chalk", "#f1ede2"),
    )
    blocks = np.array([[0, 1, -1], [1, 0, 0]])
    means = np.arange(18, dtype=np.uint8).reshape(2, 3, 3)
    chart = Chart(
        "Boat",
        blocks,
        yarns,
        last_row=3,
        start_corner="bottom-left",
        swatch=Swatch(2.5, 4.5, 0.1, 0.2),
        source=Source("boat.png", "00ff", means, np.ones((2, 3))),
    )
    data: Json = json.loads(write_chart(chart))
    return data


def encoded(data: Any) -> bytes:
    return json.dumps(data).encode()


# Round trips


@settings(max_examples=25)
@given(full_charts())
def test_what_is_written_is_read(chart: Chart) -> None:
    """And fits the schema."""
    data = write_chart(chart)
    assert not [e.message for e in VALID.iter_errors(json.loads(data))]
    lines = data.decode().split("\n")
    assert lines[0] == "{"
    assert lines[-2:] == ["}", ""]
    again, warnings = read_chart(data, "chart.json")
    assert bool(warnings) == bool(unknown_in(chart))
    assert_equal(again, chart)
    assert write_chart(again) == data


def test_keys_that_nobody_knows_are_told_and_stay() -> None:
    data = full_json()
    data["butterfly_cm"] = data["yarns"][0]["dyed"] = 1
    chart, (told,) = read_chart(encoded(data), "chart.json")
    keys = 'keys "butterfly_cm", "yarns[0].shop", "yarns[0].dyed"'
    assert told == f"chart chart.json: unknown {keys}: kept in the file, and without effect"
    assert b"butterfly_cm" in write_chart(chart)


def test_a_journals_numbers_are_numbers() -> None:
    data = full_json()
    mend = {"mend": "paint", "value": "row 1=A", "group": 1, "words": "w", "before": {}}
    data["mends"] = [{**mend, "cost": {"blocks": "2"}}]
    with pytest.raises(BadInput, match="mends: cost of paint: blocks: Expected int, got str"):
        read_chart(encoded(data), "chart.json")


def test_the_keys_of_the_file_are_the_agreed_ones() -> None:
    data = full_json()
    assert list(data) == [
        *("pix2block", "version", "title", "width", "height", "last_row", "start_corner", "hand"),
        *("block", "terms", "turn", "habit", "weight", "tail_cm", "tail_ending"),
        *("butterfly_m", "reserve", "pace", "yarns", "blocks", "swatch"),
        *("border", "hook_mm", "gauge", "editions", "page", "marks", "source"),
    ]
    assert data["pix2block"] == "chart"
    assert data["version"] == VERSION == 1
    assert list(data["habit"]) == ["name", "reach", "rest", "edge"]
    assert list(data["pace"]) == ["block", "change", "tail"]
    assert list(data["yarns"][0]) == [
        *("name", "color", "weight", "held", "fibre", "grams", "metres", "skeins", "lot", "price"),
        *("note", "shop"),
    ]
    assert data["blocks"] == [[0, 1, None], [1, 0, 0]]
    assert data["source"]["means"][0] == ["#000102", "#030405", "#060708"]


def test_the_file_has_a_line_a_chart_line() -> None:
    text = write_chart(read_chart(encoded(full_json()), "x")[0]).decode()
    assert "\n[0,1,null],\n[1,0,0]\n" in text
    assert "\r" not in text


def test_unknown_keys_survive_everywhere() -> None:
    data = full_json()
    data["mine"] = {"deep": [1, None, {"Größe": 2**70}]}
    data["yarns"][1]["ply"] = 4
    data["swatch"]["hook_mm"] = 5.5
    data["source"]["smoothed"] = {"percent": 10}
    data["habit"]["mine"] = "slow"
    data["pace"]["mine"] = [1.5]
    data["border"] = {"rounds": 1, "stitch": "hdc", "yarn": 0, "mine": True}
    data["extra"] = data["yarns"][0]["extra"] = {"extra": 1}
    again = json.loads(write_chart(read_chart(encoded(data), "x")[0]))
    assert again == data
    chart = read_chart(encoded(data), "x")[0]
    options = Options(hand="left", habit="cut", tail=9)
    kept = json.loads(write_chart(with_options(chart, options)))
    assert kept["mine"] == data["mine"]
    assert kept["yarns"] == data["yarns"]
    assert kept["habit"]["mine"] == "slow"


def test_values_left_out_or_null_have_their_defaults() -> None:
    data = full_json()
    for key in ("swatch", "source", "reserve", "border", "hook_mm"):
        del data[key]
    data["yarns"] = [{"name": "Moss", "color": "#5C6B3C"}, {"name": "Chalk", "color": "#f1ede2"}]
    chart, warnings = read_chart(encoded(data), "x")
    assert warnings == ()
    assert (chart.swatch, chart.source, chart.reserve) == (None, None, 0.0)
    assert chart.yarns == (Yarn("Moss", "#5c6b3c"), Yarn("Chalk", "#f1ede2"))
    data["reserve"] = None
    data["yarns"][0]["held"] = None
    assert_equal(read_chart(encoded(data), "x")[0], chart)


def test_names_and_titles_are_cleaned_on_reading() -> None:
    data = full_json()
    data["yarns"][1]["name"] = "Chalk, old"
    data["title"] = " A\nboat\u202e "
    chart, (renamed, _) = read_chart(encoded(data), "x.json")
    assert chart.yarns[1].name == "Chalk old"
    assert chart.title == "A boat"
    assert renamed == 'chart x.json: the name "Chalk, old" is read as "Chalk old"'


@given(st.text(max_size=12))
def test_a_title_is_one_line(text: str) -> None:
    bad = ("Cc", "Cf", "Zl", "Zp", "Cs")
    left = " ".join("".join(" " if unicodedata.category(c) in bad else c for c in text).split())
    if left:
        assert clean_title(text) == left
        assert clean_title(left) == left
    else:
        with pytest.raises(BadInput, match="the title is empty: write a few words"):
            clean_title(text)


# The schema


def test_the_shipped_schema_is_current() -> None:
    shipped = resources.files("pix2block.chart").joinpath(SCHEMA_FILE).read_bytes()
    assert shipped == chart_schema()
    jsonschema.Draft202012Validator.check_schema(json.loads(shipped))


def test_the_schema_can_fail() -> None:
    validator = VALID
    assert validator.is_valid(full_json())
    for key in ("pix2block", "version", "width", "blocks", "yarns", "habit", "turn"):
        data = full_json()
        del data[key]
        assert not validator.is_valid(data), key
    for key, value in {
        "width": 0,
        "hand": "both",
        "weight": 8,
        "yarns": [],
        "blocks": [["x"]],
    }.items():
        assert not validator.is_valid({**full_json(), key: value}), key


# Damaged files


def refusal(data: bytes) -> str:
    """Why a chart is refused, in one line that names the file."""
    with pytest.raises(BadInput) as caught:
        read_chart(data, "boat.json")
    message = str(caught.value)
    assert message.startswith("chart boat.json")
    assert len(message.splitlines()) == 1
    return message


def put(*path: str | int, value: Any) -> Callable[[Json], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        data[path[-1]] = value

    return change


def drop(*path: str | int) -> Callable[[Json], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        del data[path[-1]]

    return change


DAMAGES: dict[str, tuple[Callable[[Json], None], tuple[str, ...]]] = {
    "another kind": (put("pix2block", value="pattern"), ("at pix2block", "pattern")),
    "version 0": (put("version", value=0), ("at version",)),
    "version text": (put("version", value="1"), ("at version", "Expected int, got str")),
    "version true": (put("version", value=True), ("at version",)),
    "a newer version": (put("version", value=2), ("is of version 2", "update pix2block")),
    "title": (put("title", value=7), ("at title: 7: write a text",)),
    "empty title": (put("title", value=" \n"), ("title is empty",)),
    "long title": (put("title", value="x" * 201), ("title has 201 characters",)),
    "width 0": (put("width", value=0), ("at width",)),
    "width 1001": (put("width", value=1001), ("at width",)),
    "width 2.5": (put("width", value=2.5), ("at width", "Expected int")),
    "last_row 2.5": (put("last_row", value=2.5), ("at last_row: 2.5: write a whole number from",)),
    "width 4": (put("width", value=4), ("blocks line 1 has 3 blocks, width says 4",)),
    "height 3": (put("height", value=3), ("blocks has 2 lines, height says 3",)),
    "last_row 0": (put("last_row", value=0), ("at last_row",)),
    "last_row 5": (put("last_row", value=5), ("last_row 5 is beyond", "4 rows")),
    "last_row 2": (put("last_row", value=2), ("line 1, column 2", "holds a block", "rows 1 to 2")),
    "last_row 4": (put("last_row", value=4), ("line 1, column 3", "holds no block")),
    "another corner": (put("start_corner", value="top-left"), ("line 1, column 3",)),
    "start_corner": (put("start_corner", value="bottom"), ("at start_corner", "bottom")),
    "hand": (put("hand", value="both"), ("at hand", "both")),
    "block": (put("block", value="tr"), ("at block", "tr")),
    "terms": (put("terms", value="fr"), ("at terms", "fr")),
    "turn": (put("turn", value=None), ("at turn",)),
    "habit": (put("habit", value="cut"), ("at habit", "Expected object, got str")),
    "habit reach": (put("habit", "reach", value=-1), ("at habit.reach",)),
    "habit rest": (put("habit", "rest", value=1.5), ("at habit.rest",)),
    "habit edge gone": (drop("habit", "edge"), ("at habit", "edge")),
    "weight": (put("weight", value=8), ("at weight",)),
    "tail_cm": (put("tail_cm", value=-1), ("at tail_cm: -1: write a number from 0 to 100",)),
    "reserve": (put("reserve", value="10 %"), ("at reserve",)),
    "pace": (put("pace", "change", value=None), ("at pace.change",)),
    "no yarns": (put("yarns", value=[]), ("at yarns",)),
    "a yarn is no object": (put("yarns", 1, value="Chalk"), ("at yarns[1]",)),
    "no name": (drop("yarns", 1, "name"), ("at yarns[1]", "name")),
    "empty name": (put("yarns", 1, "name", value="."), ("yarn has no name",)),
    "long name": (put("yarns", 1, "name", value="x" * 61), ("61 characters",)),
    "same name": (put("yarns", 1, "name", value="MOSS"), ("two yarns have the same name",)),
    "color word": (
        put("yarns", 0, "color", value="red"),
        ('at yarns[0].color: "red": write #rrggbb',),
    ),
    "color short": (put("yarns", 0, "color", value="#abc"), ("at yarns[0].color",)),
    "color and more": (put("yarns", 0, "color", value="#aabbccd"), ("at yarns[0].color",)),
    "color and a line end": (put("yarns", 0, "color", value="#aabbcc\n"), ("yarns[0].color",)),
    "held": (put("yarns", 0, "held", value=3), ("at yarns[0].held",)),
    "metres": (put("yarns", 0, "metres", value=0), ("at yarns[0].metres",)),
    "grams": (put("yarns", 0, "grams", value=-50), ("at yarns[0].grams",)),
    "skeins": (put("yarns", 0, "skeins", value="3"), ("at yarns[0].skeins",)),
    "blocks text": (put("blocks", value="0 1 0"), ("at blocks", "Expected array")),
    "a line is no list": (put("blocks", 0, value=None), ("at blocks[0]",)),
    "a short line": (drop("blocks", 1, 0), ("blocks line 2 has 2 blocks, width says 3",)),
    "a line gone": (drop("blocks", 0), ("blocks has 1 lines, height says 2",)),
    "an unknown yarn": (put("blocks", 1, 2, value=2), ("line 2, column 3", "names yarn 2")),
    "a negative yarn": (put("blocks", 1, 2, value=-1), ("at blocks[1][2]",)),
    "a hole": (put("blocks", 1, 1, value=None), ("line 2, column 2", "holds no block")),
    "a block too many": (put("blocks", 0, 2, value=0), ("line 1, column 3", "holds a block")),
    "half a yarn": (put("blocks", 0, 0, value=0.5), ("at blocks[0][0]",)),
    "swatch": (put("swatch", "block_cm", value=0), ("at swatch.block_cm",)),
    "swatch error": (put("swatch", "loop_cm_error", value=-1), ("at swatch.loop_cm_error",)),
    "source": (put("source", value=[]), ("at source",)),
    "source means": (put("source", "means", 0, 1, value="x"), ("at source.means[0][1]",)),
    "source means and a line end": (
        put("source", "means", 0, 1, value="#aabbcc\n"),
        ("source.means",),
    ),
    "source means short": (drop("source", "means", 1), ("source.means has 1 lines",)),
    "source means line short": (drop("source", "means", 1, 0), ("source.means line 2 has 2",)),
    "source weights": (drop("source", "weights", 0, 0), ("source.weights line 1 has 2",)),
    "source weight negative": (
        put("source", "weights", 0, 0, value=-1),
        ("at source.weights[0][0]",),
    ),
}


@pytest.mark.parametrize("name", DAMAGES)
def test_damage_is_named_by_its_place(name: str) -> None:
    change, words = DAMAGES[name]
    data = full_json()
    change(data)
    message = refusal(encoded(data))
    for word in words:
        assert word in message


OPTIONAL = (
    *(
        "tail_ending",
        "butterfly_m",
        "reserve",
        "swatch",
        "border",
        "hook_mm",
        "gauge",
        "editions",
        "page",
        "marks",
        "source",
    ),
)


@pytest.mark.parametrize("key", [k for k in full_json() if k not in OPTIONAL])
def test_a_missing_key_is_named(key: str) -> None:
    data = full_json()
    del data[key]
    assert f"missing required field {key}" in refusal(encoded(data))


def test_an_older_chart_has_the_usual_tails_and_bobbins() -> None:
    data = full_json()
    del data["tail_ending"], data["butterfly_m"]
    chart, _ = read_chart(encoded(data), "boat.json")
    assert (chart.tail_ending, chart.butterfly_m) == ("woven", 8.0)


@pytest.mark.parametrize(
    "data",
    [
        *(b"", b"{", b"nothing", b"\xff\xfe\x00", b"[" * 100_000, b'{"a": NaN}', b"{'a': 1}"),
        '{"title": "\ud800"}'.encode("utf-8", "surrogatepass"),
        b'{"title": "\\ud800"}',
    ],
    ids=range(9),
)
def test_what_is_no_json(data: bytes) -> None:
    assert refusal(data).startswith("chart boat.json is no JSON file: ")


@pytest.mark.parametrize("data", [b"[]", b"null", b"3", b'"chart"', b"true", b"{}", b"[{}]"])
def test_json_that_is_no_chart(data: bytes) -> None:
    assert f"compare it with {SCHEMA_FILE}" in refusal(data)


def test_numbers_too_large() -> None:
    text = encoded(full_json()).decode()
    assert "out of range" in refusal(text.replace('"tail_cm": 15.0', '"tail_cm": 1e999').encode())
    assert "at width" in refusal(text.replace('"width": 3', f'"width": {10**40}').encode())


def test_a_file_cut_off_anywhere_is_refused() -> None:
    data = encoded(full_json())
    for length in range(0, len(data), 7):
        assert refusal(data[:length])


def _places(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    found = [path] if path else []
    steps = data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    for step in steps:
        found += _places(data[step], (*path, step))
    return found


@settings(max_examples=80)
@given(st.sampled_from(_places(full_json())), values)
@example(("last_row",), 10**30)
@example(("reserve",), 1e308)
def test_any_change_is_read_or_refused(path: tuple[str | int, ...], value: Any) -> None:
    data = full_json()
    put(*path, value=copy.deepcopy(value))(data)
    try:
        chart, _ = read_chart(encoded(data), "boat.json")
    except BadInput:
        refusal(encoded(data))
    else:
        assert len(chart.yarn_rgb) == len(chart.yarns)
        assert_equal(read_chart(write_chart(chart), "boat.json")[0], chart)


# CSV grids

MOSS, CHALK, TAR = Yarn("Moss", "#5c6b3c"), Yarn("Chalk", "#f1ede2"), Yarn("Tar", "#222222")
SHELF = (MOSS, CHALK, TAR)


def grid_refusal(text: str, shelf: tuple[Yarn, ...] = SHELF) -> str:
    with pytest.raises(BadInput) as caught:
        read_grid(text, "grid.csv", shelf)
    message = str(caught.value)
    assert message.startswith("grid.csv")
    return message


def test_names_are_looked_up_on_the_shelf() -> None:
    grid = read_grid("Tar,moss, MOSS \nt a r,Chalk,Tar\n", "grid.csv", SHELF)
    assert grid.yarns == (MOSS, CHALK, TAR)
    assert grid.blocks.tolist() == [[2, 0, 0], [2, 1, 2]]
    assert grid.warnings == ()


def test_yarns_come_in_the_shelfs_order_and_only_those_in_the_grid() -> None:
    grid = read_grid("Tar,Moss\nTar,Tar\n", "grid.csv", SHELF)
    assert grid.yarns == (MOSS, TAR)
    assert grid.blocks.tolist() == [[1, 0], [1, 1]]


def test_colors_are_found_on_the_shelf_or_named() -> None:
    grid = read_grid("#F1EDE2,#c0282d\n#c0282d,#c0282e\n", "grid.csv", SHELF)
    assert grid.yarns == (CHALK, Yarn("Red", "#c0282d"), Yarn("Red 2", "#c0282e"))
    assert grid.blocks.tolist() == [[0, 1], [1, 2]]
    assert grid.warnings == ()


def test_colors_alone_give_yarns_by_blocks_falling() -> None:
    grid = read_grid("#111111,#fbfbfb,#FBFBFB\n#c0282d,#c0282d,#fbfbfb\n", "grid.csv")
    assert [yarn.color for yarn in grid.yarns] == ["#fbfbfb", "#c0282d", "#111111"]
    assert grid.blocks.tolist() == [[2, 0, 0], [1, 1, 0]]


def test_short_and_long_colors_are_the_same_yarn() -> None:
    grid = read_grid("#abc,#aabbcc\n#AABBCC,#ABC\n", "grid.csv")
    assert len(grid.yarns) == 1
    assert (grid.blocks == 0).all()


def test_names_without_a_shelf_have_their_words_colors_or_stand_ins() -> None:
    grid = read_grid("Navy,Driftwood\nnavy,Kelp\n", "grid.csv")
    by_name = {yarn.name: yarn.color for yarn in grid.yarns}
    assert by_name["Navy"] == "#131f40"
    assert list(by_name) == ["Navy", "Driftwood", "Kelp"]
    assert len(set(by_name.values())) == 3
    assert len(grid.warnings) == 1
    assert "gives no colour for Driftwood, Kelp: stand-in colours are used" in grid.warnings[0]
    assert "with shelf FILE" in grid.warnings[0]


def test_names_that_differ_only_in_case_or_spaces_are_one_yarn() -> None:
    grid = read_grid("Sea kelp,SEA KELP\nseakelp, sea  kelp\n", "grid.csv")
    assert [yarn.name for yarn in grid.yarns] == ["Sea kelp"]


def test_a_color_does_not_take_the_name_of_another_yarn() -> None:
    grid = read_grid("Red,#c0282d\nRed,#c0282d\n", "grid.csv")
    names = [yarn.name for yarn in grid.yarns]
    assert sorted(names) == ["Red", "Red c0282d"]
    assert Chart("Test", grid.blocks, grid.yarns, last_row=3).width == 2


@given(
    st.lists(
        st.sampled_from(
            ["Red", "red ", "R ed", "#c0282d", "#c0282e", "#C0282D", "Red 2", "Grey", "#808080"]
        ),
        min_size=6,
        max_size=6,
    ),
    st.booleans(),
)
def test_names_of_a_grid_are_never_twins(cells: list[str], with_shelf: bool) -> None:
    shelf = (Yarn("Red", "#ee0000"), Yarn("Red 2", "#c0282d"), Yarn("Grey", "#777777"))
    text = ",".join(cells[:3]) + "\n" + ",".join(cells[3:]) + "\n"
    grid = read_grid(text, "grid.csv", shelf if with_shelf else ())
    chart = Chart("Test", grid.blocks, grid.yarns, last_row=4)
    assert int(chart.blocks_by_yarn.sum()) == 6
    assert chart.blocks_by_yarn.min() > 0


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_delimiters_and_line_ends(delimiter: str, end: str) -> None:
    lines = [["Moss", "Chalk", ""], ["Tar", "Moss", "Moss"]]
    text = end.join(delimiter.join(line) for line in lines)
    for after in ("", end, end + end):
        grid = read_grid(text + after, "grid.csv", SHELF)
        assert grid.blocks.tolist() == [[0, 1, -1], [2, 0, 0]]


@st.composite
def pieces(draw: st.DrawFn, /) -> tuple[np.ndarray[Any, Any], Layout]:
    width, height = draw(st.integers(1, 6)), draw(st.integers(1, 6))
    corner: StartCorner = draw(st.sampled_from(START_CORNERS))
    hand: Hand = draw(st.sampled_from(HANDS))
    last_row = draw(st.integers(1, width + height - 1))
    rng = np.random.default_rng(draw(st.integers(0, 999)))
    blocks = end_early(random_blocks(rng, width, height, 3), last_row, corner)
    return blocks, Layout(width, height, last_row, corner, hand)


@given(pieces())
def test_a_grid_that_was_written_is_read(piece: tuple[np.ndarray[Any, Any], Layout]) -> None:
    blocks, layout = piece
    text = io.StringIO()
    rows = [["" if n < 0 else SHELF[n].name for n in line] for line in blocks.tolist()]
    csv.writer(text, lineterminator="\n").writerows(rows)
    grid = read_grid(text.getvalue(), "grid.csv", SHELF)
    names = [["" if n < 0 else grid.yarns[n].name for n in line] for line in grid.blocks.tolist()]
    assert names == rows
    corner = layout.start_corner
    usual: StartCorner = "bottom-right" if layout.hand == "right" else "bottom-left"
    assert fit_last_row(grid.blocks, corner, usual, layout.hand) == (corner, layout.last_row)
    found, last_row = fit_last_row(grid.blocks, None, usual, layout.hand)
    chart = Chart("Test", grid.blocks, grid.yarns, last_row, found, layout.hand)
    assert int(chart.runs.blocks.sum()) == int((blocks >= 0).sum())


def test_empty_cells_tell_corner_and_last_row(tmp_path: Path) -> None:
    grids: dict[StartCorner, str] = {
        "bottom-right": ",,Moss\n,Moss,Tar\n",
        "bottom-left": "Moss,,\nTar,Moss,\n",
        "top-right": ",Moss,Tar\n,,Moss\n",
        "top-left": "Moss,Tar,\nTar,,\n",
    }
    for corner, text in grids.items():
        path = tmp_path / f"{corner}.csv"
        path.write_text(text)
        chart = open_chart(path).chart
        assert (chart.start_corner, chart.last_row) == (corner, 2)
        assert chart.ends_early
        assert (chart.blocks < 0).sum() == 3
        assert open_chart(path, Options(corner=corner)).chart.start_corner == corner


def test_a_full_grid_starts_at_the_hands_usual_corner(tmp_path: Path) -> None:
    path = tmp_path / "sea_chart.csv"
    path.write_text("Moss,Tar\nTar,Moss\n")
    chart = open_chart(path).chart
    assert (chart.title, chart.start_corner, chart.last_row) == ("Sea chart", "bottom-right", 3)
    assert open_chart(path, Options(hand="left")).chart.start_corner == "bottom-left"
    chosen = open_chart(path, Options(hand="left", corner="top-right", title="Mine")).chart
    assert (chosen.start_corner, chosen.hand, chosen.title) == ("top-right", "left", "Mine")


def test_a_grid_with_its_shelf(tmp_path: Path) -> None:
    (tmp_path / "shelf.csv").write_text("name,color,metres\nMoss,#5c6b3c,200\nTar,#222222,\n")
    (tmp_path / "grid.csv").write_bytes("tar,moss\nmoss,tar\n".encode("utf-8-sig"))
    made = open_chart(tmp_path / "grid.csv", Options(shelf=str(tmp_path / "shelf.csv")))
    assert made.chart.yarns == open_shelf(tmp_path / "shelf.csv").yarns
    assert made.chart.blocks.tolist() == [[1, 0], [0, 1]]
    assert made.notes == ()


def test_empty_cells_that_no_piece_leaves_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "grid.csv"
    for text in ("Moss,Tar,Moss\nTar,,Tar\nMoss,Tar,Moss\n", ",Moss,\nMoss,Moss,Moss\n"):
        path.write_text(text)
        with pytest.raises(BadInput, match="not the end of a piece from any start corner"):
            open_chart(path)
    path.write_text(",Moss\nMoss,Tar\n")
    assert open_chart(path).chart.last_row == 2
    with pytest.raises(BadInput, match="not the end of a piece from start corner top-left"):
        open_chart(path, Options(corner="top-left"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Moss,Tar\nTar,Mos\n", ("line 2, column 2", 'unknown yarn "Mos"', 'mean "Moss"')),
        ("Moss,Tar\nTar,Zinc\n", ("line 2, column 2", 'unknown yarn "Zinc"', "Moss, Chalk, Tar")),
        ("Moss,#12345\n", ("line 1, column 2", "write #rrggbb")),
        ("Moss,Tar\n|,Tar\n", ("line 2, column 1", "a yarn has no name")),
        ("Moss,Tar\n" + "x" * 61 + ",Tar\n", ("line 2, column 1", "61 characters")),
        ("Moss,Tar\nMoss\n", ("line 2", "1 cells, line 1 has 2")),
        ("Moss,Tar\nMoss,Tar,Tar\n", ("line 2", "3 cells, line 1 has 2")),
        ("Moss,Tar\n\nMoss,Tar\n", ("line 2", "1 cells, line 1 has 2")),
        (",\n,\n", ("every cell is empty",)),
        ("", ("is empty", "write a line a chart line")),
        ("\n\n", ("is empty",)),
        ('"Moss,Tar\n', ("line 1", "no comma-separated cells", "mend its quotes")),
        (",".join(["Moss"] * 1001), ("1001 x 1 blocks", "at most 1000")),
        ("Moss\n" * 1001, ("1 x 1001 blocks", "at most 1000")),
    ],
)
def test_a_bad_grid_is_named_by_line_and_column(text: str, words: tuple[str, ...]) -> None:
    message = grid_refusal(text)
    for word in words:
        assert word in message
    assert "\n" not in message


def test_a_grid_and_a_shelf_are_parted_alike() -> None:
    yarns = (Yarn("Chalk", "#f1ede2"), Yarn("Moss dark", "#5c6b3c"))
    for text in (
        'Chalk;"Moss, dark";Chalk\n"Moss, dark";Chalk;Chalk\n',
        "Chalk;Moss, dark;Chalk\nMoss, dark;Chalk;Chalk\n",
        "Chalk;Moss, dark;Chalk\nMoss, dark;Moss, dark;Chalk\n",
        'Chalk\t"Moss; dark"\tChalk\nMoss, dark\tChalk\tChalk\n',
        'sep=;\r\nChalk;"Moss, dark";Chalk\r\nMoss, dark;Chalk;Chalk\r\n',
        "sep=,\nChalk,Moss. dark,Chalk\nMoss dark,Chalk,Chalk\n",
    ):
        grid = read_grid(text, "grid.csv", yarns)
        assert grid.blocks.shape == (2, 3), text
        assert {yarn.name for yarn in grid.yarns} == {"Chalk", "Moss dark"}
    assert "line 3, column 2" in grid_refusal("sep=;\nMoss;Tar\nTar;Mos\n")
    assert "grid.csv, line 3: 1 cells, line 2 has 2" in grid_refusal("sep=;\nMoss;Tar\nMoss\n")


def test_numbers_around_a_grid_are_left_aside() -> None:
    grid = read_grid(",1,2,3\n1,Moss,Tar,Tar\n2,Tar,Moss,Chalk\n", "grid.csv", SHELF)
    assert grid.blocks.tolist() == [[0, 2, 2], [2, 0, 1]]
    for text in ("1,2,3\n1,Moss,Tar\n2,Tar,Moss\n", ",1,3\n1,Moss,Tar\n2,Tar,Moss\n"):
        with pytest.raises(BadInput, match='unknown yarn "1"'):
            read_grid(text, "grid.csv", SHELF)


def test_a_line_of_headings_is_no_line_of_a_grid() -> None:
    for headings in ("A,B,C,D", "first,second,third,fourth"):
        text = headings + "\n" + "Moss,Tar,Tar,Chalk\n" * 4
        for shelf in (SHELF, ()):
            message = grid_refusal(text, shelf)
            assert message.startswith("grid.csv, line 1: ")
            assert "are names of columns, not of yarns" in message
    assert "no grid: give it as the shelf" in grid_refusal("name,color\nMoss,#5c6b3c\n", ())
    assert len(read_grid("A,B,C,D\n" + "Moss,Tar,Tar,D\n" * 4, "grid.csv").yarns) == 6


def test_a_table_that_a_report_writes_is_no_grid(tmp_path: Path) -> None:
    blocks = np.array([[0, 0, 1, 1], [0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 1, 0]])
    amounts = amounts_of(Chart("Sea", blocks, (MOSS, TAR), last_row=7))
    path = tmp_path / "table.csv"
    for table in (rows_csv, strands_csv, bobbins_csv, tails_csv, yarn_csv):
        path.write_text(table(amounts))
        with pytest.raises(
            BadInput, match=r"no grid: give (a chart\.json, or take|it as the shelf)"
        ) as caught:
            open_chart(path)
        assert "\n" not in str(caught.value)


def test_at_most_200_yarns_in_a_grid() -> None:
    cells = [f"#0000{n:02x}" for n in range(200)]
    assert len(read_grid(",".join(cells), "grid.csv").yarns) == 200
    assert "201 yarns: use at most 200" in grid_refusal(",".join([*cells, "#ff0000"]), ())


# Nouns where they are made


def nouns_in(noun: Kept, path: str = "") -> Iterator[tuple[str, Kept]]:
    """A noun and all within it, each with its place in the file."""
    yield path, noun
    for name, member in members_of(type(noun)).items():
        value = getattr(noun, name)
        for number, one in enumerate(value if member.many else (value,)):
            if isinstance(one, Kept):
                yield from nouns_in(
                    one, f"{path}.{name}[{number}]" if member.many else f"{path}.{name}"
                )


def rich_chart() -> Chart:
    """A chart with one of every noun in it."""
    chart, _ = read_chart(encoded(full_json()), "x")
    assert chart.source
    assert chart.swatch
    source = replace(
        chart.source,
        minded=[Place("asked", 0, 0, 1, 1, 5)],  # type: ignore[arg-type]
        seen=Seen(1, 2, "0a"),
        calmed=Calmed(3, 1, 1, 9, 5, 4, np.array([[1, 1, 1]]), "0a"),
    )
    parted = replace(chart.yarns[1], parts=(ColorPart("#102030", 60.5), ColorPart("#FFFFFF", 39.5)))
    return replace(
        chart,
        source=source,
        yarns=(chart.yarns[0], parted),
        border=Border(2, "sc", 0),
        hook_mm=5,
        swatch=replace(chart.swatch, yarns=(OwnLoop("Moss", 4.5, 0.5),)),
    )


RICH = rich_chart()
FIELDS = [
    (path, noun, member)
    for path, noun in nouns_in(RICH)
    for member in members_of(type(noun)).values()
]


def beyond(noun: Kept, member: Member) -> list[Any]:
    """Values that a field does not take: just outside its range, and of other types."""
    of = range_of(member.kind)
    if not (member.noun or member.array or words_of(member.kind)) and of.low is None:
        return [7, True, []] if member.optional else [7, True, [], None]  # a text
    wrong: list[Any] = [True, {}, "nowhere", "left\n", b"x", np.nan]
    if not member.many or (isinstance(noun, Chart) and not member.when_any):
        wrong.append([])
    if of.low is not None:
        wrong.append(of.low if of.above else of.low - (1 if of.whole else 1e-3))
    if of.high is not None:
        wrong.append(of.high + (1 if of.whole else 1e-3))
    return [*wrong, 2.5] if of.whole else [*wrong, np.inf]


def test_every_noun_is_among_them() -> None:
    names = {type(noun).__name__ for _, noun, _ in FIELDS}
    assert names == {
        *("Chart", "Yarn", "ColorPart", "Habit", "Pace", "Swatch", "OwnLoop", "Border"),
        *("Source", "Place", "Seen", "Calmed"),
    }


@pytest.mark.parametrize(
    ("path", "noun", "member"), [pytest.param(*f, id=f"{f[0]}.{f[2].name}") for f in FIELDS]
)
def test_a_field_out_of_range_is_refused_where_it_is_made_and_read(
    path: str, noun: Kept, member: Member
) -> None:
    for value in beyond(noun, member):
        with pytest.raises(BadInput) as caught:
            replace(noun, **{member.name: value})
        assert member.name in str(caught.value)
        assert caught.value.about == member.name
        assert len(str(caught.value).splitlines()) == 1
        if isinstance(value, bytes) or value in (np.nan, np.inf) or (value == [] and member.array):
            continue  # what no JSON holds, or what is named by its lines
        data = json.loads(write_chart(RICH))
        put(*steps_of(path), member.name, value=value)(data)
        where = f"{path}.{member.name}".removeprefix(".")
        assert refusal(encoded(data)).startswith(f"chart boat.json at {where}: ")


def steps_of(path: str) -> list[str | int]:
    return [int(step) if step.isdigit() else step for step in re.findall(r"\w+", path)]


@settings(max_examples=10)
@given(charts(most_side=5), st.randoms())
def test_what_a_chart_holds_is_its_own(chart: Chart, chance: random.Random) -> None:
    blocks = chart.blocks.copy()
    made = replace(chart, blocks=blocks)
    assert blocks.flags.writeable
    blocks[:] = chance.randint(0, 9)
    np.testing.assert_array_equal(made.blocks, chart.blocks)
    with pytest.raises(ValueError, match="read-only"):
        made.blocks[0, 0] = 0
    assert replace(made, title="Other").blocks is made.blocks  # and not copied for nothing


def test_a_view_of_frozen_blocks_is_copied() -> None:
    blocks = np.zeros((2, 2), dtype=np.int64)
    view = blocks.view()
    view.setflags(write=False)
    chart = Chart("x", view, YARNS, 3)
    blocks[:] = 1
    assert chart.blocks.tolist() == [[0, 0], [0, 0]]


def made(noun: Any, *values: Any, **named: Any) -> Any:
    return noun(*values, **named)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: made(Chart, "x", [[0]], YARNS, 1, hand="LEFT"),
            'unknown hand "LEFT": did you mean',
        ),
        (lambda: made(Yarn, "A", "red"), 'color "red": write #rrggbb'),
        (lambda: made(Yarn, "A, b", "#000000"), 'name "A, b": write "A b"'),
        (
            lambda: made(Chart, "x", [[0, 0], [0]], YARNS, 2),
            "blocks: its lines are not equally long",
        ),
        (
            lambda: made(Chart, "x", [0, 0], YARNS, 2),
            "blocks: an array of shape (2,): give one (height",
        ),
        (lambda: made(Chart, "x", [[0.5]], YARNS, 1), "blocks: a value is out of range"),
        (lambda: made(Chart, "x", [[-2]], YARNS, 1), "blocks: a value is out of range"),
        (
            lambda: made(Chart, "x", np.zeros((1, 1001), int), YARNS, 1001),
            "width 1001: a side has a",
        ),
        (lambda: made(Chart, "x", np.zeros((0, 3), int), YARNS, 1), "height 0: a side has a"),
        (lambda: made(Chart, "x", [[0]], (), 1), "0 yarns: give from 1 to 200"),
        (lambda: made(Chart, " ", [[0]], YARNS, 1), "the title is empty"),
        (lambda: made(Chart, "x", [[0]], YARNS, 2), "last_row 2 is beyond the last of its 1 rows"),
        (lambda: Pace(block=-1), "block -1: write a number from 0 to 1000"),
        (lambda: ColorPart("#000000", 0), "share 0: write a number above 0, up to 100"),
        (
            lambda: replace(RICH, source=Source("x", "", np.zeros((1, 3, 3), np.uint8))),
            "source holds 3 x 1 blocks, the chart 3 x 2",
        ),
        (
            lambda: Source("x", "", np.zeros((1, 3, 3), np.uint8), weights=np.ones((3, 1))),
            "weights of shape (3, 1) do not fit means",
        ),
    ],
)
def test_what_cannot_be_is_refused_where_it_is_made(make: Callable[[], Noun], words: str) -> None:
    with pytest.raises(BadInput) as caught:
        make()
    assert words in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_what_is_only_spelt_otherwise_is_converted() -> None:
    yarn = made(Yarn, "A", "#ABCDEF", metres=200, grams=np.float64(50))
    assert (yarn.color, type(yarn.metres), type(yarn.grams)) == ("#abcdef", float, float)
    chart = made(Chart, " A\nboat", [[np.int8(0)]], [yarn], np.int64(1), tail_cm=9)
    assert (chart.title, chart.yarns, chart.last_row, chart.tail_cm) == ("A boat", (yarn,), 1, 9.0)
    assert write_chart(read_chart(write_chart(chart), "x")[0]) == write_chart(chart)


def test_a_byte_order_mark_is_no_fault() -> None:
    data = encoded(full_json())
    assert_equal(read_chart(b"\xef\xbb\xbf" + data, "x")[0], read_chart(data, "x")[0])


def test_large_charts_are_read_quickly() -> None:
    rng = np.random.default_rng(3)
    blocks = random_blocks(rng, 300, 300, 4)
    source = Source("x", "", rng.integers(0, 256, (300, 300, 3), np.uint8), rng.random((300, 300)))
    data = write_chart(Chart("Large", blocks, YARNS, 599, source=source))
    timer = time.process_time
    best = min(timeit.repeat(lambda: read_chart(data, "x"), timer=timer, number=1, repeat=3))
    assert best < 1.0  # some 0.1 s; a Python loop over the colours alone takes longer
