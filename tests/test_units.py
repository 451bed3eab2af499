"""Numbers as they are written and read."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pix2block.command.say import echo
from pix2block.ground.units import added_up, bind, fixed, rounded, say_metres_range


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


def test_a_range_has_one_unit() -> None:
    assert say_metres_range(456.2, 790) == "456 to 790 m"
    assert say_metres_range(801.0, 1204.0) == "0.8 to 1.2 km"
    assert say_metres_range(0.84, 1.94) == "0.8 to 1.9 m"
    assert say_metres_range(8.6, 10.2) == "9 to 10 m"
    assert say_metres_range(7.5, 7.5) == "7.5 m"


def test_no_number_is_torn_from_its_unit() -> None:
    assert bind("wind 6.3 m of Tan #2, 4 skeins, 47 × 59 in") == (
        "wind 6.3\u00a0m of Tan\u00a0#2, 4\u00a0skeins, 47\u00a0×\u00a059\u00a0in"
    )
    assert bind("row 3 may") == "row 3 may"


def test_a_terminals_lines_break_between_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    line = "  Tan  in all 5.9 m of yarn and 12 skeins for 47 × 59 in of fabric, 240 tails too"
    echo(line)  # to a file or a pipe: whole
    assert capsys.readouterr().out == f"{line}\n"
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    for wide in range(30, 90):
        monkeypatch.setenv("COLUMNS", str(wide))
        echo(line)
        out = capsys.readouterr().out.splitlines()
        assert max(map(len, out)) <= wide
        assert " ".join(" ".join(out).split()) == " ".join(line.split())
        assert all(one.startswith("    ") for one in out[1:])
        assert not any(re.search(r"(\d|×)$", one) for one in out[:-1])
