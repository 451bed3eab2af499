"""Numbers as they are written and read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pix2block.ground.units import added_up, fixed, rounded


@given(st.floats(-1e9, 1e9), st.integers(0, 6))
def test_a_figure_is_the_same_in_a_table_and_in_json(value: float, places: int) -> None:
    assert rounded(value, places) == float(fixed(value, places))


def test_a_half_that_no_double_holds_is_rounded_as_it_is() -> None:
    """2.675 is a little less as a double; scaling it first, as arrays do, hides that."""
    assert fixed(2.675, 2) == "2.67"
    assert rounded(2.675, 2) == 2.67
    assert rounded(None, 2) is None
    assert fixed(None, 2) == ""


def test_floats_are_added_one_after_the_other() -> None:
    """As every Python does, and not as sums are compensated from 3.12 on."""
    tenths = [0.1] * 10
    assert added_up(tenths) == 0.9999999999999999 != math.fsum(tenths)
    assert added_up([]) == 0
    assert added_up([1e16, 1.0, -1e16]) == 0.0


def test_the_package_adds_no_floats_by_sum() -> None:
    """The guard in conftest.py, over all tests, is at work."""
    code = "total = sum(numbers)"
    exec(code, {"__name__": "pix2block.anything", "numbers": [1, 2]})
    exec(code, {"__name__": "elsewhere", "numbers": [0.5, 0.5]})
    with pytest.raises(AssertionError, match=r"pix2block\.anything adds floats by sum"):
        exec(code, {"__name__": "pix2block.anything", "numbers": [1, 0.5]})
