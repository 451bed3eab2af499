"""Numbers as they are written and read."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pix2block.ground.units import fixed, rounded


@given(st.floats(-1e9, 1e9), st.integers(0, 6))
def test_a_figure_is_the_same_in_a_table_and_in_json(value: float, places: int) -> None:
    assert rounded(value, places) == float(fixed(value, places))


def test_a_half_that_no_double_holds_is_rounded_as_it_is() -> None:
    """2.675 is a little less as a double; scaling it first, as arrays do, hides that."""
    assert fixed(2.675, 2) == "2.67"
    assert rounded(2.675, 2) == 2.67
    assert rounded(None, 2) is None
    assert fixed(None, 2) == ""
