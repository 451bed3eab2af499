"""Steps between yarns, gradients, and what connects two colours."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest

from pix2block.color.difference import ciede2000, difference_table
from pix2block.color.spaces import rgb_array, to_lab
from pix2block.ground.errors import BadInput
from pix2block.stripes.connect import DOUBLE, rank_connections, straight_step
from pix2block.stripes.laying import gradient_path, stripes_of, width_of
from pix2block.stripes.plan import FilePlace, Lasts, Part
from pix2block.stripes.steps import MOST_FREE, boldest_order, gentlest_order
from pix2block.yarn.yarn import Yarn

PLACE = FilePlace("p.toml")
ONES = np.ones((5, 24))
GREYS = [Yarn(f"Grey {v}", f"#{v:02x}{v:02x}{v:02x}") for v in (20, 200, 80, 140, 250)]


def part(**more: object) -> Part:
    given = {"yarns": (0, 1), "lasts": Lasts("end"), "place": PLACE, "lasts_place": PLACE}
    return Part(**{**given, **more})  # type: ignore[arg-type]


def test_the_orders_are_the_best_of_all() -> None:
    rng = np.random.default_rng(3)
    for count in (3, 4, 5, 6):
        colors = rng.integers(0, 256, (count, 3)).astype(np.uint8)
        table = difference_table(colors, colors)
        steps = [[table[a, b] for a, b in pairwise(p)] for p in permutations(range(count))]
        assert max(gentlest_order(colors).steps) == pytest.approx(min(max(s) for s in steps))
        assert min(boldest_order(colors).steps) == pytest.approx(max(min(s) for s in steps))
        ends = [
            s
            for s, p in zip(steps, permutations(range(count)), strict=True)
            if (p[0], p[-1]) == (0, 1)
        ]
        fixed = gentlest_order(colors, (0, 1))
        assert (fixed.yarns[0], fixed.yarns[-1]) == (0, 1)
        assert max(fixed.steps) == pytest.approx(min(max(s) for s in ends))


def test_too_many_yarns_are_not_weighed() -> None:
    colors = np.zeros((MOST_FREE + 1, 3), dtype=np.uint8)
    with pytest.raises(BadInput, match="at most 9 at once"):
        gentlest_order(colors)


def test_a_gradient_goes_through_greys_from_dark_to_light() -> None:
    path = gradient_path(part(yarns=(0, 1, 2, 3, 4), gradient=True), GREYS)
    assert [GREYS[i].color for i in path.yarns] == sorted(yarn.color for yarn in GREYS)


def test_a_gradient_moves_by_even_steps() -> None:
    """Means over stripes move from end to end evenly in CIEDE2000, by the formula itself."""
    asked = part(yarns=(0, 1, 2, 3, 4), gradient=True, widths=(2,))
    stripes = list(stripes_of(asked, (), None, 1, 192, np.ones((5, 192)), GREYS))
    assert sum(stripe.rows for stripe in stripes) == 192
    path = gradient_path(asked, GREYS)
    at = [path.yarns.index(stripe.yarn) for stripe in stripes]
    assert at[0] == 0
    assert at[-1] == 4
    assert np.abs(np.diff(at)).max() == 1
    lab = to_lab(rgb_array([GREYS[stripe.yarn].color for stripe in stripes]))
    ninths = lab[: 96 // 8 * 8].reshape(8, -1, 3).mean(axis=1)
    steps = [float(ciede2000(a, b)) for a, b in pairwise(ninths)]
    assert min(steps) > 0.6 * max(steps)
    assert sum(steps) == pytest.approx(sum(path.steps) * 7 / 8, rel=0.15)


def test_a_gradient_of_two_yarns_passes_from_the_one_to_the_other() -> None:
    order = gentlest_order(np.array([[0, 0, 0], [255, 255, 255]], dtype=np.uint8), (0, 1))
    assert order.yarns == (0, 1)
    assert len(order.steps) == 1
    asked = part(yarns=(0, 1), gradient=True)
    rows = "".join("AB"[s.yarn] for s in stripes_of(asked, (), None, 1, 24, ONES, GREYS))
    assert rows[0] == "A"
    assert rows[-1] == "B"
    assert rows[:8].count("A") > rows[8:16].count("A") > rows[16:].count("A")


def test_stripes_grow() -> None:
    asked = part(widths=(1, 2), grow=0.5)
    assert [width_of(asked, i) for i in range(6)] == [1, 2, 2, 3, 3, 4]
    assert width_of(part(widths=(2,), grow=-1), 5) == 1


def test_a_random_order_has_no_yarn_twice_in_a_row_and_is_the_same_again() -> None:
    asked = part(yarns=(0, 1, 2, 3), seed=4)
    given = (asked, asked.yarns, 2, 1, 500, np.ones((5, 500)), GREYS)
    yarns = [stripe.yarn for stripe in stripes_of(*given)]
    assert yarns[0] != 2
    assert all(a != b for a, b in pairwise(yarns))
    assert set(yarns) == {0, 1, 2, 3}
    assert min(np.bincount(yarns)) > 80
    assert yarns == [stripe.yarn for stripe in stripes_of(*given)]


def test_stripes_of_equal_yarn() -> None:
    metres = np.arange(1.0, 41.0)[None, :].repeat(2, axis=0)
    stripes = list(stripes_of(part(metres=60.0), (0, 1), None, 1, 40, metres, GREYS[:2]))
    row = 0
    for stripe in stripes[:-1]:
        took = metres[0, row : row + stripe.rows].sum()
        longer = took + metres[0, row + stripe.rows]
        shorter = took - metres[0, row + stripe.rows - 1]
        assert abs(took - 60) <= min(abs(longer - 60), abs(shorter - 60))
        row += stripe.rows
    assert stripes[0].rows > stripes[-2].rows


def test_the_yarn_halfway_connects_best() -> None:
    yarns = [
        Yarn("Middle", "#777777"),
        Yarn("Nearly dark", "#232323"),
        Yarn("Red", "#d02020"),
        Yarn("Lighter", "#fdfdfd"),
        Yarn("Darker", "#000000"),
    ]
    ranked = rank_connections("#222222", "#eeeeee", yarns)
    assert ranked[0].yarn.name == "Middle"
    named = {connection.yarn.name: connection for connection in ranked}
    assert named["Nearly dark"].double
    assert named["Nearly dark"].to_first < DOUBLE
    assert not named["Darker"].between
    assert not named["Lighter"].between
    assert named["Red"].aside > named["Middle"].aside + 30
    assert not named["Red"].between
    assert {c.yarn.name for c in ranked if c.between} == {"Middle", "Nearly dark"}
    assert [c.yarn.name for c in ranked[:2]] == ["Middle", "Nearly dark"]
    middle = named["Middle"]
    assert middle.largest_step < straight_step("#222222", "#eeeeee")


def test_connecting_a_color_with_itself_finds_nothing_between() -> None:
    ranked = rank_connections("#808080", "#808080", GREYS)
    assert not any(connection.between for connection in ranked)
