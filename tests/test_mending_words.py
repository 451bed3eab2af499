"""What a mend costs, in figures and in words."""

from __future__ import annotations

from typing import Any

import pytest
from makers import chart_of

from pix2block.amounts.yarn_use import amounts_of
from pix2block.mending.words import cost_of, cost_words


def cost(**more: Any) -> dict[str, Any]:
    alike = {"blocks": 2, "tails": [8, 8], "minutes": [5.0, 5.2], "hanging": [3, 3], "skeins": {}}
    return {**alike, **more}


def test_what_changes_is_told() -> None:
    assert cost_words(cost()) == "2 blocks: tails stay 8"
    assert cost_words(cost(blocks=1, tails=[1888, 1902])) == "1 block: tails 1,888 → 1,902"
    assert cost_words(cost(minutes=[5.0, 9.0])).endswith("8, 4 minutes more")
    assert cost_words(cost(minutes=[5.0, 6.0])).endswith("8, 1 minute more")
    assert cost_words(cost(minutes=[9.0, 8.0])).endswith("8, 1 minute less")
    assert cost_words(cost(hanging=[3, 4])).endswith("8, yarns hanging at once 3 → 4")
    skeins = {"Moss": (1, 2), "Tar": (None, 1), "Fog": (2, None)}
    assert cost_words(cost(skeins=skeins)).endswith("8, Moss: 1 → 2 skeins")


def test_figures_before_and_after() -> None:
    before, after = (amounts_of(chart_of(text)) for text in ("00 00", "01 00"))
    told = cost_of(before, after, 1)
    hours = [one.hours + one.weave_in_hours for one in (before, after)]
    assert told["minutes"] == pytest.approx([60 * one for one in hours], abs=0.051)
    assert all(len(f"{one:.6f}".rstrip("0").partition(".")[2]) <= 1 for one in told["minutes"])
    assert (told["blocks"], told["tails"], told["hanging"]) == (
        1,
        [2, 2 * after.plan.strands],
        [1, 2],
    )
    assert "Moss" not in told["skeins"]
