"""Striped pieces: rows by the yarn on hand, tails, pictures, the command."""

from __future__ import annotations

import csv
import io
import json
import time
from dataclasses import replace
from functools import cache
from itertools import chain
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart
from pix2block.command.cli import PLAN_EXAMPLE, run
from pix2block.craft.diagonal import Ints, Layout
from pix2block.drawing.shapes import Shape as Outline
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.mending.apply import apply_mends
from pix2block.options.table import Options
from pix2block.pattern.pattern import write_rows
from pix2block.recipes.outputs import outputs_of
from pix2block.reports.words import study_lines
from pix2block.stripes.edges import stripes_made, tails_by_side
from pix2block.stripes.fill import DoesNotAddUp, fill, layout_of, longest
from pix2block.stripes.laying import steady_rows, stripes_of
from pix2block.stripes.piece import Piece, striped
from pix2block.stripes.plan import FilePlace, Lasts, Length, Part, Plan, Shape
from pix2block.stripes.recipe import open_plan, stripe_plan
from pix2block.stripes.sheet import stripe_outline, stripes_sheet
from pix2block.stripes.spans import Span, others
from pix2block.stripes.striped import Striped
from pix2block.stripes.yarn_ends import last_corner_m, short_yarns, yarn_ends
from pix2block.yarn.yarn import Yarn

SAMPLES = Path(__file__).parent.parent / "sample_images"
PLANS = ("ferry_scarf", "boathouse_shawl", "tallow_blanket")
PLACE = FilePlace("p.toml")
Capture = pytest.CaptureFixture[str]


@cache
def sample(name: str) -> Striped:
    """A sample plan as it is worked by default, made once."""
    return stripe_plan(SAMPLES / f"{name}.toml")


def part(yarns: tuple[int, ...], lasts: Lasts, *widths: int) -> Part:
    return Part(yarns, lasts, PLACE, PLACE, widths or (1,))


def plan_of(yarns: list[Yarn], parts: list[Part], width: int | None, length: int | None) -> Plan:
    shape: Shape = "triangle" if width is None else "rectangle"
    return Plan(
        "p.toml",
        None,
        tuple(yarns),
        tuple(parts),
        shape,
        width,
        Length(length),
        PLACE,
    )


def plenty(*names: str) -> list[Yarn]:
    return [Yarn(name, f"#{40 + 60 * i:02x}4060") for i, name in enumerate(names)]


def rows_of(worked: Striped) -> Ints:
    """(rows,) yarn of each row, which is all of one yarn."""
    runs = worked.chart.runs
    assert len(runs) == worked.chart.last_row
    return runs.color


# What makers know


def test_a_piece_13_blocks_wide() -> None:
    """Common practice: rows of 1 to 13 blocks, then 13 each, row 14 the first with a squared end,
    and at last 12 to 1."""
    plan = plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"), 2)], 13, 40)
    rows = stripe_plan(plan).chart.layout.rows
    blocks = [row.blocks for row in rows]
    assert blocks[:13] == list(range(1, 14))
    assert blocks[13:40] == [13] * 27
    assert blocks[40:] == list(range(12, 0, -1))
    squared = [row.number for row in rows if row.begins == "travel" or row.ends == "stop"]
    assert squared[0] == 14


def test_a_piece_that_is_changed_by_hand_is_in_stripes_no_more() -> None:
    piece = stripe_plan(plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"), 2)], 4, 5))
    painted = apply_mends(piece.chart, [("paint", "row 3.2=B")]).after
    turned = replace(piece.chart, start_corner="top-right")
    for chart in (painted, turned):
        changed = replace(piece, chart=chart)
        names = {row.name for row in outputs_of(changed)}
        assert not {name for name in names if name.startswith("stripes")}
        assert "stripe" not in " ".join(map(str, study_lines(changed)))
    assert "stripes.csv" in {row.name for row in outputs_of(piece)}


@pytest.mark.parametrize("hand", ["right", "left"])
def test_even_stripes_leave_every_tail_on_one_edge(hand: str) -> None:
    """Common practice; odd ones alternate."""
    options = Options.from_words({"hand": hand, "habit": "cut"})
    even = plan_of(plenty("A", "B", "C"), [part((0, 1, 2), Lasts("end"), 2, 4)], 9, 22)
    worked = stripe_plan(even, options)
    sides = tails_by_side(worked.amounts)
    stripes = stripes_made(worked.amounts)
    assert worked.chart.last_row == 30
    assert (sides.odd_begin, sides.odd_end) == (2 * len(stripes), 0)
    assert all(s.tails_begin == s.tails_end == 1 for s in stripes)
    odd = plan_of(plenty("A", "B", "C"), [part((0, 1, 2), Lasts("end"), 3)], 9, 22)
    stripes = stripes_made(stripe_plan(odd, options).amounts)
    sides = tails_by_side(stripe_plan(odd, options).amounts)
    assert sides.odd_begin == sides.odd_end == len(stripes)
    long_edge = {s.begins_at for s in stripes[:6:2]}, {s.begins_at for s in stripes[1:6:2]}
    assert not long_edge[0] & long_edge[1]


def test_row_n_of_a_triangle_has_n_blocks() -> None:
    plan = plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"), 2)], None, 25)
    chart = stripe_plan(plan).chart
    assert [row.blocks for row in chart.layout] == list(range(1, 26))
    assert (chart.width, chart.height, chart.last_row) == (25, 25, 25)


def test_a_triangle_is_told_by_wingspan_and_depth() -> None:
    """The last row's tips lie rows x side apart along both edges; its blocks' outer corners (rows +
    1) half diagonals from the start corner."""
    plan = plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"), 2)], None, 25)
    worked = stripe_plan(plan)
    side = worked.amounts.measures.block_cm
    ends = [np.array([25 * side, 0.0]), np.array([0.0, 25 * side])]
    wingspan = float(np.linalg.norm(ends[0] - ends[1]))
    last_row = [(dx + 1 + (25 - dx)) * side / np.sqrt(2) for dx in range(25)]
    assert worked.amounts.wingspan_depth_cm == pytest.approx((wingspan, max(last_row)))
    said = f"wingspan {wingspan:.0f} × depth {max(last_row):.0f} cm"
    assert said in str(study_lines(worked)[0])
    assert f"- {said}" in worked.pattern_text
    assert f"Pin it to {said}" in " ".join(worked.pattern_text.split())
    assert any(said in item.text for item in worked.stripes.items if hasattr(item, "text"))
    square = plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"), 2)], 25, 25)
    assert stripe_plan(square).amounts.wingspan_depth_cm is None


@pytest.mark.parametrize(("rows", "more"), [(24, 0.4999), (25, -0.5), (25, 0.0)])
def test_a_wingspan_sets_the_rows(rows: int, more: float) -> None:
    plan = plan_of(plenty("A"), [part((0,), Lasts("end"))], None, 5)
    side = stripe_plan(plan).amounts.measures.block_cm
    wingspan = Length(cm=(rows + more) * side * 2**0.5 + 1e-9)
    assert stripe_plan(Plan(**{**vars(plan), "length": wingspan})).chart.last_row == rows


def test_stripes_change_early() -> None:
    plan = plan_of(plenty("A", "B"), [part((0, 1), Lasts("end"))], 3, 5)
    assert stripe_plan(plan).chart.turn == "early"
    assert stripe_plan(plan, Options(turn="late")).chart.turn == "late"


# Parts


def test_parts_follow_each_other() -> None:
    parts = [
        part((0, 1), Lasts("rows", 6), 1, 2),
        part((2, 0, 2), Lasts("repeats", 1), 2),
        part((1,), Lasts("end")),
    ]
    worked = stripe_plan(plan_of(plenty("A", "B", "C"), parts, 4, 14))
    assert "".join("ABC"[i] for i in rows_of(worked)) == "ABBABB" + "CCAACC" + "BBBBB"
    assert [(s.first_row, s.last_row) for s in worked.spans] == [(1, 6), (7, 12), (13, 17)]


def test_counted_parts_give_the_length() -> None:
    parts = [part((0, 1), Lasts("repeats", 3), 2), part((0,), Lasts("rows", 2), 2)]
    base = plan_of(plenty("A", "B"), parts, 5, None)
    chart = stripe_plan(Plan(**{**vars(base), "length": None})).chart
    assert (chart.width, chart.height, chart.last_row) == (5, 10, 14)


def test_length_in_cm_is_rounded_to_blocks() -> None:
    plan = plan_of(plenty("A"), [part((0,), Lasts("end"))], 5, None)
    worked = stripe_plan(Plan(**{**vars(plan), "length": Length(cm=101.0)}))
    block = worked.amounts.measures.block_cm
    assert abs(worked.chart.height * block - 101.0) <= block / 2


@pytest.mark.parametrize(
    ("lasts", "message"),
    [
        (Lasts("rows", 20), "part 1 would end in row 20 or later, the piece ends after row 14"),
        (Lasts("rows", 14), "part 2 would end in row 15"),
        (Lasts("repeats", 9), "part 1 would end in row 15 or later"),
    ],
)
def test_rows_that_do_not_add_up(lasts: Lasts, message: str) -> None:
    parts = [part((0, 1), lasts), part((1,), Lasts("end"))]
    with pytest.raises(BadInput, match=f"^p.toml: {message}"):
        stripe_plan(plan_of(plenty("A", "B"), parts, 5, 10))


def test_rows_that_are_too_few() -> None:
    parts = [part((0, 1), Lasts("rows", 10))]
    with pytest.raises(BadInput, match="add up to 10 rows, the piece has 14"):
        stripe_plan(plan_of(plenty("A", "B"), parts, 5, 10))


# The yarn decides


def stock(metres: list[float]) -> list[Yarn]:
    colors = ("#203040", "#a0b0c0", "#d04030", "#f0f0f0")
    return [
        Yarn(f"Y{i}", colors[i], metres=20.0, grams=10, skeins=m / 20) for i, m in enumerate(metres)
    ]


def random_plan(rng: np.random.Generator) -> Plan:
    """A small plan of one to three parts, whose yarn is for about eight rows of each."""
    count = int(rng.integers(2, 4))
    yarns = stock([float(m) for m in rng.uniform(2.3, 20, count)])
    order = tuple(int(i) for i in rng.permutation(count))
    if rng.random() < 0.4:
        order = (*order, order[1])
    widths = tuple(int(w) for w in rng.integers(1, 4, int(rng.integers(1, 3))))
    parts = []
    if rng.random() < 0.8:
        named = order[int(rng.integers(len(order)))] if rng.random() < 0.4 else None
        parts.append(part(order, Lasts("out", yarn=named), *widths))
        if count == 3 and rng.random() < 0.25:
            parts.append(part((), Lasts("out"), 1))
        last = () if rng.random() < 0.6 else tuple(int(i) for i in rng.permutation(count))
    else:
        last = order
    parts.append(part(last, Lasts("end"), int(rng.integers(1, 4))))
    return plan_of(yarns, parts, None if rng.random() < 0.3 else int(rng.integers(1, 4)), None)


def without(order: list[int], ended: int) -> list[int]:
    """An order without a yarn; stripes of one yarn that only it kept apart become one."""
    kept: list[int] = []
    for i, yarn in enumerate(order):
        if yarn != ended and not (kept and kept[-1] == yarn and order[i - 1] == ended):
            kept.append(yarn)
    if ended in (order[0], order[-1]) and len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    return kept or order


class ByTrying:
    """The best rows of a piece, by plain counting: every end of a part with every yarn that may be
    out there."""

    def __init__(self, plan: Plan, chart: Chart, layout: Layout) -> None:
        self.plan, self.chart, self.layout = plan, chart, layout
        self.most = layout.last_row
        self.known: dict[tuple[int, ...], set[int]] = {}

    def short(self, rows: list[int]) -> set[int]:
        key = tuple(rows)
        if key not in self.known:
            self.known[key] = short_in(self.chart, self.layout, rows)
        return self.known[key]

    def best(
        self,
        truly_out: bool,
        number: int = 0,
        rows: tuple[int, ...] = (),
        others: list[int] | None = None,
    ) -> list[int] | None:
        if number == len(self.plan.parts):
            return None if self.short(list(rows)) else list(rows)
        one = self.plan.parts[number]
        order, others = list(one.yarns), others or []
        if not order:
            start = next((i for i, y in enumerate(others) if not rows or y != rows[-1]), 0)
            order = others[start:] + others[:start]
        stripes: list[list[int]] = []
        here = len(rows)
        while here < self.most:
            i = len(stripes)
            stripes.append([order[i % len(order)]] * one.widths[i % len(one.widths)])
            here += len(stripes[-1])
        upto = [
            (*rows, *chain.from_iterable(stripes[:n]))[: self.most] for n in range(len(stripes) + 1)
        ]
        to_the_end = self.best(truly_out, number + 1, upto[-1], list(one.yarns) or others)
        if to_the_end or one.lasts.how == "end":
            return to_the_end
        found = []
        yarns = [stripe[0] for stripe in stripes]
        for count in range(len(stripes)):
            for yarn in set(yarns) if one.lasts.yarn is None else {one.lasts.yarn} & set(yarns):
                left = without(list(one.yarns) or others, yarn)
                made = self.best(truly_out, number + 1, upto[count], left)
                wait = (yarns[count:] + yarns[:count][::-1]).index(yarn)
                with_next = upto[min(count + wait + 1, len(stripes))]
                if yarn not in yarns[count:]:
                    with_next = upto[-1]
                if made and truly_out:
                    then = [*with_next, *made[len(with_next) :]]
                    made = made if yarn in self.short(then) else None
                if made:
                    joins = count > 0 and made[len(upto[count]) - 1] == made[len(upto[count])]
                    found.append((joins, -count, wait, yarn, made))
        most = max((-count for _, count, *_ in found), default=0)
        in_time = [one for one in found if one[3] not in yarns[-one[1] : most]]
        return min(in_time)[-1] if in_time else None


def short_in(chart: Chart, layout: Layout, rows: list[int]) -> set[int]:
    """Yarns that do not reach; by blocks alone where that tells it."""
    made = striped(chart, layout, np.array(rows))
    return set(short_yarns(amounts_of(made)))


def test_the_longest_length_is_that_of_trying_every_one() -> None:
    """26 random plans; that feasibility is not monotone occurs among them (in one of some hundred:
    so they are not the first), and parts that end before the turn of the yarn that is out."""
    rng = np.random.default_rng(40)
    most, gaps, none, early = 11, 0, 0, 0
    for number in range(50):
        plan = random_plan(rng)
        chart = Chart("T", np.zeros((1, 1), dtype=np.int64), plan.yarns, 1, turn="early")
        if rng.random() < 0.3:
            chart = Chart("T", chart.blocks, plan.yarns, 1, turn="early", habit=HABITS["carry"])
        if number < 24:
            continue
        piece = Piece(chart, chart.layout)
        layouts = {length: layout_of(plan, piece, length) for length in range(most, 0, -1)}
        tried = {length: ByTrying(plan, chart, layout) for length, layout in layouts.items()}
        ways = ((tried[n].best(out), n) for out in (True, False) for n in layouts)
        best, length = next((way for way in ways if way[0]), (None, 0))
        found = longest(plan, piece, most)
        if best is None:
            assert found is None
            none += 1
            continue
        assert found is not None
        assert found.piece.layout == layouts[length]
        assert found.rows.tolist() == best
        early += any(not span.follows for span in found.spans)
        gaps += any(tried[n].best(False) is None for n in range(1, length))
    assert gaps > 0
    assert early > 5
    assert none < 6


def test_a_yarn_is_out_before_the_part_ends_and_two_stripes_do_not_join() -> None:
    """The others go on in a yarn that did not work last, and no stripe grows by them."""
    yarns = stock([60.0, 60.0, 24.0])
    parts = [part((0, 1, 2), Lasts("out", yarn=2), 2), part((), Lasts("end"), 3)]
    worked = stripe_plan(plan_of(yarns, parts, 3, None))
    rows, span = rows_of(worked), worked.spans[0]
    names = [yarn.name for yarn in worked.chart.yarns]
    out = names.index("Y2")
    last_of_it = int(np.flatnonzero(rows == out).max()) + 1
    assert span.first_row <= last_of_it <= span.last_row
    assert rows[span.last_row - 1] != rows[span.last_row]
    assert "are one stripe" not in " ".join(map(str, worked.decided))
    then = rows.copy()
    then[last_of_it + 4 : last_of_it + 6] = out  # its next turn
    assert out in short_yarns(amounts_of(striped(worked.chart, worked.chart.layout, then)))


def test_stripes_that_join_at_a_seam_are_told() -> None:
    parts = [part((0, 1), Lasts("rows", 4), 2), part((1, 0), Lasts("end"), 3)]
    worked = stripe_plan(plan_of(plenty("A", "B"), parts, 3, 9))
    assert "Part 2 goes on in B: rows 3 to 7 are one stripe of 5 rows." in map(str, worked.decided)


def test_a_part_ends_where_its_yarn_is_out_though_others_could_go_on() -> None:
    """What would be the longer piece by leaving a yarn unused is none that was asked for."""
    worked = sample("ferry_scarf")
    (end,) = [e for e in yarn_ends(worked.amounts) if worked.chart.yarns[e.yarn].name == "Slate"]
    stripe = 2 * worked.chart.width * worked.amounts.metres / worked.amounts.chart.blocks.size
    assert end.left_m is not None
    assert end.left_m < 1.3 * stripe


def test_rows_of_a_steady_part_are_those_of_its_stripes() -> None:
    for order, widths, grow in (
        ((0, 1), (2,), 0.0),
        ((2, 0, 1), (1, 2, 5), 0.5),
        ((1,), (9, 2), -1),
    ):
        one = replace(part(order, Lasts("end"), *widths), grow=grow)
        for rows in (1, 7, 40):
            stripes = stripes_of(one, order, None, 1, rows, np.zeros((3, rows)), ())
            laid = [yarn for stripe in stripes for yarn in [stripe.yarn] * stripe.rows]
            assert steady_rows(one, order, rows).tolist() == laid


def test_the_others_have_no_two_stripes_of_a_yarn_side_by_side() -> None:
    plan = plan_of(stock([90.0, 20.0, 90.0]), [], 3, 40)
    for order, left in (((0, 1, 0, 2), (0, 2)), ((1, 0, 2, 0), (0, 2)), ((0, 2, 0, 1), (0, 2))):
        parts = (part(order, Lasts("out")), part((), Lasts("end")))
        with_parts = Plan(**{**vars(plan), "parts": parts})
        assert others(with_parts, 1, (Span(0, 1, 9, 1),), None) == left
        assert others(with_parts, 1, (Span(0, 1, 9, 1),), left[0]) == left[::-1]


def test_no_stripe_is_begun_that_cannot_be_finished() -> None:
    for name in PLANS:
        worked = sample(name)
        plan = worked.planned
        named = {plan.yarns[i].name for i in plan.bought}
        for end in yarn_ends(worked.amounts):
            assert end.out_in_row is None
            assert end.left_m is not None
            assert end.left_m >= 0 or worked.chart.yarns[end.yarn].name in named


def test_one_more_stripe_would_not_reach() -> None:
    worked = sample("ferry_scarf")
    span = worked.spans[0]
    names = [yarn.name for yarn in worked.chart.yarns]
    assert span.ended is not None
    ended = names.index(worked.planned.yarns[span.ended].name)
    rows = rows_of(worked).copy()
    rows[span.last_row : span.last_row + 2] = ended
    longer = striped(worked.chart, worked.chart.layout, rows)
    assert ended in short_yarns(amounts_of(longer))


def test_the_last_corner_is_kept_back_for() -> None:
    """A yarn that must close the piece is not used up before, though there is still some of it."""
    parts = [part((1, 2), Lasts("out"), 1), part((0, 1), Lasts("end"), 3, 1)]
    yarns = stock([46.0, 13.8, 46.0])
    worked = stripe_plan(plan_of(yarns, parts, 4, 12))
    span = worked.spans[0]
    assert span.ended == 1
    assert 1 in rows_of(worked)[span.last_row :]
    assert last_corner_m(worked.amounts)
    assert not short_yarns(worked.amounts)
    begun = np.append(rows_of(worked)[: span.last_row], 1)  # one more stripe, and an early end
    layout = Layout(4, 12, len(begun), worked.chart.start_corner, "right")
    assert not short_yarns(amounts_of(striped(worked.chart, layout, begun)))


def test_a_length_that_the_yarn_does_not_reach_for() -> None:
    yarns = stock([20.0, 60.0])
    plan = plan_of(yarns, [part((0, 1), Lasts("end"), 2)], 4, 30)
    with pytest.raises(BadInput) as caught:
        stripe_plan(plan)
    message = str(caught.value)
    assert "Y0 runs out in row " in message
    assert 'add buy = ["Y0"]' in message
    reach = int(message.split("a length of ")[1].split()[0])
    assert stripe_plan(plan_of(yarns, list(plan.parts), 4, reach)).chart.height == reach
    with pytest.raises(BadInput):
        stripe_plan(plan_of(yarns, list(plan.parts), 4, reach + 1))
    bought = Plan(**{**vars(plan), "bought": frozenset({0, 1})})
    assert stripe_plan(bought).chart.height == 30


def test_as_far_as_the_yarn_goes_needs_skeins() -> None:
    plan = plan_of(plenty("A"), [part((0,), Lasts("end"))], 4, None)
    with pytest.raises(BadInput, match="needs the skeins and metres of a yarn"):
        stripe_plan(plan)


def test_40_by_400_blocks_in_time() -> None:
    parts = [
        part((0, 1, 2, 3), Lasts("out"), 2),
        part((), Lasts("out"), 1),
        part((), Lasts("end"), 3),
    ]
    yarns = stock([4300.0, 3363.0, 2957.0, 1705.0])
    plan = plan_of(yarns, parts, 40, None)
    start = time.process_time()
    worked = stripe_plan(plan)
    took = time.process_time() - start
    assert 380 < worked.chart.height < 460
    assert took < 5


def test_parts_that_do_not_add_up_are_told_while_filling() -> None:
    plan = plan_of(plenty("A"), [part((0,), Lasts("rows", 9))], 2, 5)
    chart = Chart("T", np.zeros((1, 1), dtype=np.int64), plan.yarns, 1)
    piece = Piece(chart, layout_of(plan, Piece(chart, chart.layout), 5))
    with pytest.raises(DoesNotAddUp):
        fill(plan, piece)


# Half-way


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def small_scarf() -> str:
    """The sample's scarf, a third as wide and of less yarn."""
    lines = ["Chalk,#f1ede2,4,200,100,0.3", "Slate,#5b6770,4,200,100,0.19"]
    lines += ["Deep Channel,#1f3a5f,4,200,100,0.2"]
    shelf = "\n".join(["name,color,weight,metres,grams,skeins", *lines])
    Path("small.csv").write_text(shelf, encoding="utf-8")
    plan = (SAMPLES / "ferry_scarf.toml").read_text(encoding="utf-8")
    assert "width = 15" in plan
    plan = plan.replace("width = 15", "width = 5").replace("shelf_12.csv", "small.csv")
    Path("scarf.toml").write_text(plan, encoding="utf-8")
    return "scarf.toml"


@pytest.mark.usefixtures("here", "few_files")
def test_the_rest_is_laid_anew_from_what_is_left(capsys: Capture) -> None:
    """Rows that are made stay, in colour and way of working; with less left the piece is shorter,
    with more it is longer; the same call again gives the same piece."""
    plan = small_scarf()
    quick = ["--without", "pdf,preview,proof", "--out", "o"]
    assert run(["stripe", plan, *quick]) == 0

    def laid() -> Chart:
        return read_chart(Path("o/chart.json").read_bytes(), "chart.json")[0]

    def names(chart: Chart) -> list[str]:
        return [chart.yarns[i].name for i in chart.runs.color.tolist()]

    before = laid()
    left = ["--done", "12", "--left", "Slate 18 m, Chalk 51 m, Deep Channel 33 m"]
    assert run(["stripe", plan, *left, *quick]) == 0
    less = laid()
    assert less.height < before.height
    assert names(less)[:12] == names(before)[:12]
    assert (less.habit, less.hand, less.turn) == (before.habit, before.hand, before.turn)
    study = stripe_plan(plan, Options.from_words({"done": "12", "left": left[3], "out": "o"}))
    assert study.chart.done == less.done == made_up_to(before, 12).done
    for one, other in zip(write_rows(before, before.plan)[:10], study.rows, strict=False):
        assert one == other
    assert study.run_out
    assert {of.verdict for of in study.run_out.yarns} == {"enough"}
    assert names(study.chart) == names(less)
    assert "forecast.txt" in {path.name for path in Path("o").iterdir()}
    more = ["--done", "12", "--left", "Slate 26 m, Chalk 53 m, Deep Channel 36 m"]
    assert run(["stripe", plan, *more, *quick]) == 0
    longer = laid()
    assert names(longer)[:12] == names(before)[:12]
    assert longer.height > before.height
    nearly = ["--done", f"{longer.height - 5}", "--left", "Chalk 30 m, Deep Channel 10 m"]
    assert run(["stripe", plan, *nearly, *quick]) == 0
    assert names(laid())[: longer.height - 5] == names(longer)[: longer.height - 5]
    capsys.readouterr()
    kept = Path("o/chart.json").read_bytes()
    for wrong, told in (
        (["--done", "40", "--habit", "carry"], "rows 1 to 40 are made, and stay as they are"),
        (["--done", "900"], "none is left"),
        (["--left", "Slate 9 m"], "--left tells what is left at some row: add --done ROW"),
        (["--done", "40", "--out", "p"], "there is no p/chart.json"),
    ):
        assert run(["stripe", plan, *quick, *wrong]) == 2
        assert told in capsys.readouterr().err
    assert Path("o/chart.json").read_bytes() == kept


# Tails


def test_yarn_is_led_up_the_edge() -> None:
    """Over at most 5 rows; what more, fewer and cutting would do is told and true."""
    plan = plan_of(plenty("A", "B", "C", "D"), [part((0, 1, 0, 2, 1, 3), Lasts("end"), 2)], 6, 43)
    worked = stripe_plan(plan)
    habit = worked.chart.habit
    assert (habit.name, habit.reach, habit.rest, habit.edge) == ("stripes", 1.0, 1, 5)
    climbs = worked.climbs
    assert climbs.more
    assert climbs.fewer
    assert (climbs.more.edge, climbs.fewer.edge) == (7, 3)
    assert climbs.more.tails < climbs.now.tails < climbs.fewer.tails < climbs.cut
    asked = {
        climbs.now: Options(),
        climbs.more: Options(edge=climbs.more.edge),
        climbs.fewer: Options(edge=climbs.fewer.edge),
    }
    for climb, options in asked.items():
        again = stripe_plan(plan, options)
        assert again.chart.habit.edge == climb.edge
        assert again.plan.tails == climb.tails
    cut = stripe_plan(plan, Options(habit="cut"))
    assert cut.plan.tails == climbs.cut == 2 * len(stripes_made(cut.amounts))
    assert cut.climbs.fewer is None
    assert stripe_plan(plan, Options(habit="pickup")).chart.habit == habit
    assert stripe_plan(plan, Options(habit="carry")).chart.habit == HABITS["carry"]
    (line,) = [str(said) for said in worked.decided if "Led up the edge over at most 5" in said]
    assert f"over {climbs.more.edge} rows" in line
    assert f"{climbs.cut}" in line
    assert "A border worked over the edges hides all" in line


def test_stripes_are_worked_from_the_skein() -> None:
    """But for a length of a yarn that starts while another one of it hangs."""
    plan = plan_of(plenty("A", "B", "C"), [part((0, 1, 2), Lasts("end"), 2)], 6, 19)
    worked = stripe_plan(plan)
    assert all(bobbin.from_skein for bobbin in worked.bobbins)
    assert "; no bobbins: work from the skeins" in " ".join(map(str, study_lines(worked)))
    assert "Nothing is to be wound: work from the skein" in " ".join(worked.pattern_text.split())
    assert "#1, rows" not in worked.pattern_text
    odd = plan_of(plenty("A", "B", "C"), [part((0, 1), Lasts("end"), 1, 2, 3, 5)], 6, 49)
    worked = stripe_plan(odd)
    hanging: dict[int, int] = {}
    for bobbin in worked.bobbins:
        assert bobbin.from_skein == (bobbin.first_row > hanging.get(bobbin.yarn, 0))
        hanging[bobbin.yarn] = max(hanging.get(bobbin.yarn, 0), bobbin.last_row)
    wound = sum(not bobbin.from_skein for bobbin in worked.bobbins)
    assert wound
    assert f"; {wound} bobbin" in " ".join(map(str, study_lines(worked)))


# Pictures and files


@pytest.mark.parametrize("corner", ["bottom-right", "top-left"])
@pytest.mark.parametrize(
    ("width", "height", "last"), [(5, 9, 13), (9, 5, 13), (6, 6, 6), (4, 7, 8)]
)
def test_outlines_hold_the_blocks_of_their_rows(
    corner: str, width: int, height: int, last: int
) -> None:
    layout = Layout(width, height, last, corner, "right")  # type: ignore[arg-type]
    for first in range(1, last + 1):
        for end in range(first, last + 1):
            outline = stripe_outline(layout, first, end)
            after = [*outline[1:], outline[0]]
            area = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(outline, after, strict=True))
            blocks = sum(layout.blocks_in(n) for n in range(first, end + 1))
            assert abs(area) / 2 == blocks


def test_the_picture_has_true_proportions_and_colors() -> None:
    worked = sample("boathouse_shawl")
    sheet = stripes_sheet([worked.amounts, sample("ferry_scarf").amounts])
    assert "Boathouse shawl, Ferry scarf" in sheet.label
    texts = [item.text for item in sheet.items if hasattr(item, "text")]
    for end in yarn_ends(worked.amounts):
        name = worked.chart.yarns[end.yarn].name
        assert f"row {end.last_row}: last of {name}" in texts


@pytest.mark.usefixtures("few_files")
@pytest.mark.parametrize(
    "name",
    [pytest.param(n, marks=[pytest.mark.every_file] * (n == "boathouse_shawl")) for n in PLANS],
)
def test_plans_of_the_scenario(name: str, here: Path, capsys: Capture) -> None:
    some = ["--without", "pdf,preview"]
    assert run(["stripe", str(SAMPLES / f"{name}.toml"), *some]) == 0
    printed = capsys.readouterr()
    assert all(line.startswith("Note: fibres") for line in printed.err.splitlines())
    assert "checked stitch by stitch" in printed.out
    folder = here / "output" / name
    chart, _ = read_chart((folder / "chart.json").read_bytes(), "chart.json")
    assert json.loads((folder / "summary.json").read_text())["checked"] is True
    lines = list(csv.DictReader(io.StringIO((folder / "stripes.csv").read_text())))
    assert sum(int(line["blocks"]) for line in lines) == int(chart.blocks_by_yarn.sum())
    assert sum(int(line["tails_begin"]) + int(line["tails_end"]) for line in lines) == (
        amounts_of(chart).plan.tails
    )
    assert [int(line["first_row"]) for line in lines[1:]] == [
        int(line["last_row"]) + 1 for line in lines[:-1]
    ]
    picture = Image.open(folder / "stripes.png").convert("RGB")
    seen = {color for _, color in picture.getcolors(1 << 24) or []}
    used = np.flatnonzero(chart.blocks_by_yarn)
    assert {chart.yarns[i].rgb for i in used} <= seen


def test_several_plans_side_by_side(here: Path, capsys: Capture) -> None:
    paths = [str(SAMPLES / f"{name}.toml") for name in PLANS]
    assert run(["stripe", *paths]) == 0
    out = capsys.readouterr().out
    assert "Ferry scarf" in out
    assert "Tallow's blanket" in out
    assert {path.name for path in (here / "output" / "plans").iterdir()} == {
        "plans.svg",
        "plans.png",
    }
    small = small_scarf()
    assert run(["stripe", small, small, "--json", "--out", "o"]) == 0
    figures = json.loads(capsys.readouterr().out)
    assert [one["plan"] for one in figures] == [small, small]


def test_what_connects_two_colors(here: Path, capsys: Capture) -> None:
    plan, quick = small_scarf(), ["--without", "pdf,preview,proof"]
    assert run(["stripe", plan, "--connect", "Deep Channel", "chalk", "--out", "o", *quick]) == 0
    out = capsys.readouterr().out
    assert "From Deep Channel to Chalk the colour step is " in out
    assert "\n  Slate: " in out
    assert "The gentlest order of its yarns: Chalk, Slate, Deep Channel" in out
    assert "Between Deep Channel and Chalk" in (here / "o" / "connect.svg").read_text()
    assert (here / "o" / "connect.png").is_file()
    assert run(["stripe", plan, "--connect", "Deep Chanel", "Chalk", "--out", "p"]) == 2
    assert 'unknown yarn "Deep Chanel": did you mean "Deep Channel"?' in capsys.readouterr().err
    assert not (here / "p").exists()


def test_a_wrong_plan_writes_nothing(here: Path, capsys: Capture) -> None:
    Path("a.toml").write_text("width = 3\nlenght = 4\n")
    assert run(["stripe", "a.toml"]) == 2
    err = capsys.readouterr().err
    assert (
        err == 'pix2block: a.toml, line 2, column 1: unknown key "lenght": did you mean "length"?\n'
    )
    assert run(["stripe", "b.toml"]) == 2
    assert "plan b.toml: no such file" in capsys.readouterr().err
    assert run(["stripe"]) == 2
    assert [path.name for path in here.iterdir()] == ["a.toml"]


def test_the_plan_in_the_help_works(here: Path) -> None:
    (here / "shelf_12.csv").write_bytes((SAMPLES / "shelf_12.csv").read_bytes())
    (here / "plan.toml").write_text(PLAN_EXAMPLE)
    worked = stripe_plan("plan.toml")
    assert (worked.chart.width, worked.chart.height) == (15, 110)


def test_another_shelf_goes_before_the_plans(here: Path) -> None:
    (here / "s.csv").write_text("name,color\nChalk,white\nSlate,grey\nDeep Channel,navy\n")
    plan = open_plan(SAMPLES / "ferry_scarf.toml", Options(shelf="s.csv"))
    assert [yarn.color for yarn in plan.yarns] == ["#fbfbfb", "#808080", "#131f40"]


def test_a_triangle_is_drawn_as_it_is_worn() -> None:
    """Its start corner points down, its last row lies level on top."""
    amounts = sample("boathouse_shawl").amounts
    (outline,) = (
        item.points
        for item in stripes_sheet([amounts]).items
        if isinstance(item, Outline) and item.fill is None
    )
    x, y = np.array(outline).T
    rows = amounts.chart.last_row
    assert np.ptp(x) / np.ptp(y) == pytest.approx(2 * rows / (rows + 1))
    assert x[y.argmax()] == pytest.approx((x.min() + x.max()) / 2)
