"""Options given by a program and as words: the same values, or the same refusals."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as settings_of
from hypothesis import strategies as st

from pix2block.amounts.under_way import Done, Left
from pix2block.chart.chart import Chart
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import MOST_YARNS, Pace
from pix2block.options.asking import Asked, Spec, specs_of
from pix2block.options.picture_rules import Backdrop, Minded
from pix2block.options.rules import Choice, Flag, Number, Several, Whole
from pix2block.options.swatch import SwatchOptions
from pix2block.options.table import Options, specs
from pix2block.options.yarn_rules import BorderAsked
from pix2block.yarn.guess import Gauge

LETTERS = st.text("abcdefgh XYZ", min_size=1, max_size=12)
NAMES = LETTERS.map(lambda text: " ".join(text.split())).filter(bool)
PARTS = st.tuples(*[st.integers(0, 49).map(float)] * 2, *[st.floats(0.5, 50)] * 2)
QUARTERS = st.integers(16, 160).map(lambda number: number / 4)
AMOUNTS = st.floats(0, 10_000, allow_subnormal=False)
LEFT = st.builds(Left, NAMES, AMOUNTS, st.sampled_from(["g", "m", "skeins"]))


def values_of(spec: Spec) -> st.SearchStrategy[object]:
    """Values that an option may have, as a program gives them and as they are kept."""
    rule = spec.rule
    if isinstance(rule, Whole):
        return st.integers(rule.low, rule.high)
    if isinstance(rule, Number):
        return st.floats(0, rule.high, exclude_min=rule.above, allow_subnormal=False)
    if isinstance(rule, Choice):
        return st.sampled_from(rule.words)
    if isinstance(rule, Several):
        every = rule.words
        return st.sets(st.sampled_from(every), min_size=1).map(
            lambda some: tuple(word for word in every if word in some)
        )
    return {
        "Flag": st.booleans(),
        "Words": NAMES,
        "Pair": st.tuples(NAMES, NAMES),
        "Size": st.tuples(*[st.floats(0.01, 1000)] * 2),
        "Distance": st.floats(0.1, 1000),
        "Crop": PARTS,
        "Mind": st.one_of(st.just("faces"), st.builds(Minded, PARTS, st.floats(0, 100))),
        "SubjectRule": st.one_of(
            st.just("none"),
            PARTS,
            st.lists(st.tuples(*[st.floats(0, 100)] * 2), min_size=3, max_size=9).map(
                lambda corners: tuple(side for corner in corners for side in corner)
            ),
        ),
        "BackdropRule": st.one_of(
            st.just(Backdrop()),
            st.builds(Backdrop, st.just("quiet"), st.integers(1, MOST_YARNS)),
            st.builds(Backdrop, st.just("plain"), yarn=st.just("") | NAMES),
        ),
        "Spot": st.tuples(*[st.floats(0, 100)] * 2),
        "Color": st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}"),
        "Minutes": st.builds(Pace, *[st.floats(0, 1000)] * 3),
        "BorderText": st.builds(
            BorderAsked, st.integers(1, 50), st.sampled_from(["sc", "hdc", "dc"]), NAMES
        ),
        "DoneText": st.builds(Done, st.integers(1, 99_999), st.none() | st.integers(1, 99_999)),
        "GaugeText": st.one_of(
            st.builds(Gauge, st.just("sc"), QUARTERS, st.none() | QUARTERS),
            st.builds(Gauge, st.just("dc"), QUARTERS, QUARTERS),
        ),
        "LeftText": st.lists(LEFT, min_size=1, max_size=3).map(tuple),
        "Weighed": AMOUNTS,
        "Blocks": st.tuples(*[st.integers(1, 100)] * 2),
        "Label": st.tuples(*[st.floats(0.01, 1000)] * 2),
        "Unravelled": st.tuples(st.integers(1, 99_999), AMOUNTS),
    }[type(rule).__name__]


EVERY = [(table, spec) for table in (Options, SwatchOptions) for spec in specs_of(table)]


@pytest.mark.parametrize(("table", "spec"), EVERY, ids=[f"{t.__name__}-{s.name}" for t, s in EVERY])
@settings_of(max_examples=8, deadline=None)
@given(data=st.data())
def test_words_and_values_agree(table: type[Asked], spec: Spec, data: st.DataObject) -> None:
    """An option is the same whether it is typed or given by a program."""
    value = data.draw(values_of(spec))
    words = spec.rule.as_words(value)
    typed = getattr(table.from_words({spec.name: words}), spec.name)
    assert typed == ((value,) if spec.many else value)
    for one in (value, words, typed):
        kept = getattr(table(**{spec.name: one}), spec.name)
        assert kept == typed
        assert type(kept) is type(typed)


@pytest.mark.parametrize(
    ("values", "kept"),
    [
        ({"hand": "LEFT"}, "left"),
        ({"width": "60"}, 60),
        ({"width": np.int64(60)}, 60),
        ({"tail": 12}, 12.0),
        ({"tail": np.float32(12.5)}, 12.5),
        ({"left": "Moss 62 g"}, (Left("Moss", 62.0, "g"),)),
        ({"left": Left("Moss", 62, "g")}, (Left("Moss", 62.0, "g"),)),
        ({"done": 12}, Done(12)),
        ({"done": "12.3"}, Done(12, 3)),
        ({"background": "Navy"}, "#000080"),
        ({"pace": [1, 0.5, 3]}, Pace(1.0, 0.5, 3.0)),
        ({"size": (120, 150)}, (120.0, 150.0)),
        ({"distance": 3}, 3.0),
        ({"without": ["PDF", "proof"]}, ("proof", "pdf")),
        ({"without": ()}, ()),
        ({"lock": "Moss"}, ("Moss",)),
        ({"lock": ["Moss", "Tar"]}, ("Moss", "Tar")),
        ({"spot": (42, 17.5)}, ((42.0, 17.5),)),
        ({"spot": [(1, 2), "3,4"]}, ((1.0, 2.0), (3.0, 4.0))),
        ({"mind": (10, 0, 80, 100)}, (Minded((10.0, 0.0, 80.0, 100.0)),)),
        ({"mind": ["Faces", "1,2,3,4:2"]}, ("faces", Minded((1.0, 2.0, 3.0, 4.0), 2.0))),
        ({"shelf": Path("my/shelf.csv")}, str(Path("my/shelf.csv"))),
        ({"connect": ["Deep  Channel", "Chalk"]}, ("Deep Channel", "Chalk")),
        ({"border": "2 SC Chalk"}, BorderAsked(2, "sc", "Chalk")),
    ],
    ids=str,
)
def test_values_are_kept_as_what_they_mean(values: dict[str, object], kept: object) -> None:
    (name,) = values
    found = getattr(Options(**values), name)  # type: ignore[arg-type]
    assert found == kept
    assert type(found) is type(kept)


NOTHINGS = {
    "object": object(),
    "nan": float("nan"),
    "dict": {"a": 1},
    "none in": (1, None),
    "nested": ((1,), 2),
    "bytes": b"12",
    "far below": -(10**30),
    "true": True,
}


@pytest.mark.parametrize("spec", specs(), ids=lambda s: s.name)
def test_values_that_fit_nothing_are_refused(spec: Spec) -> None:
    taken = {name for name, value in NOTHINGS.items() if not refused(spec, value)}
    assert taken == ({"true"} if isinstance(spec.rule, Flag) else set())


def refused(spec: Spec, value: object) -> bool:
    """Whether it is refused, with words that begin with the option's name."""
    try:
        Options(**{spec.name: value})  # type: ignore[arg-type]
    except BadInput as error:
        return str(error).startswith(f"{spec.name} ") and error.about == spec.name
    return False


def test_every_fault_is_told() -> None:
    with pytest.raises(BadInput) as caught:
        Options(width=0, hand="both", tail=12)  # type: ignore[arg-type]
    assert [fault.about for fault in caught.value.faults] == ["width", "hand"]
    with pytest.raises(BadInput) as caught:
        Options.from_words({"width": "x", "colours": "8", "tail": "-1", "habit": "cut"})
    first, *others = caught.value.faults
    assert str(first).startswith('unknown option "colours"')
    assert [fault.about for fault in others] == ["width", "tail"]


def test_every_fault_of_a_call_is_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "none.png", "--width", "x", "--tail", "15cm"]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines == [
        'pix2block: --width "x": write a whole number from 1 to 1000',
        'pix2block: --tail "15cm": write a number from 0 to 100',
    ]


def test_what_a_chart_keeps_is_named_in_the_table() -> None:
    options = Options(hand="left", tail=12, corner="top-left", width=5)
    assert options.kept_in_chart() == {"hand": "left", "tail_cm": 12.0, "start_corner": "top-left"}
    fields = {field.name for field in dataclasses.fields(Chart)}
    assert {spec.kept for spec in specs() if spec.kept} <= fields


def test_forms_know_unit_and_range() -> None:
    rules = {spec.name: spec.rule for spec in specs()}
    told = {name: (rule.unit, rule.low, rule.high) for name, rule in rules.items()}
    assert told["width"] == ("blocks", 1, 1000)
    assert told["tail"] == ("cm", 0.0, 100.0)
    assert told["distance"] == ("metres", 0.1, 1000.0)
    assert told["title"] == ("", None, None)
