"""Parts of a picture that lose their colour: a flame that has become sky, a ring that has become
disc."""

from __future__ import annotations

import numpy as np
import pytest

from pix2block.color.spaces import Bytes
from pix2block.design.area_words import faded_words
from pix2block.design.hues import faded_in
from pix2block.design.remedies import one_more_yarn

SKY, POST, FLAME, GREY = (250, 248, 244), (40, 52, 50), (240, 160, 60), (150, 150, 150)


def lantern(flame: tuple[int, int, int] = FLAME) -> Bytes:
    """A flame between two dark bars, before a pale sky: to its sides it touches the sky alone."""
    colors = np.empty((16, 14, 3), dtype=np.uint8)
    colors[:] = SKY
    colors[2:6, 3:11] = colors[11:14, 3:11] = POST
    colors[6:11, 4:10] = flame
    return colors


def ring(color: tuple[int, int, int] = FLAME) -> Bytes:
    line, column = np.indices((21, 21)) - 10
    away = np.hypot(line, column)
    colors = np.empty((21, 21, 3), dtype=np.uint8)
    colors[:] = SKY
    colors[away <= 9.4] = color
    colors[away <= 7.6] = POST
    return colors


def test_a_flame_that_has_become_sky_is_lost() -> None:
    (lost,) = faded_in(lantern(), lantern(flame=SKY))
    assert (lost.blocks, lost.place) == (30, "in the middle")
    assert faded_words(lost).endswith("in the middle (30 blocks) has lost its colour")
    remedy = one_more_yarn(lost, lantern(), np.array([SKY, POST], dtype=np.uint8))
    assert remedy is not None
    assert remedy.count == 30
    spare = np.array([GREY], dtype=np.uint8)  # by which it is shown again, if in grey
    assert one_more_yarn(lost, lantern(), np.array([SKY, POST], dtype=np.uint8), spare) is not None


@pytest.mark.parametrize("beside", [SKY, POST])
def test_a_ring_that_has_become_what_is_beside_it_is_lost(beside: tuple[int, int, int]) -> None:
    (lost,) = faded_in(ring(), ring(color=beside))
    assert "around the middle" in faded_words(lost)


@pytest.mark.parametrize("shown", [GREY, (200, 120, 60)])
def test_what_is_shown_in_grey_or_in_its_hue_is_not_lost(shown: tuple[int, int, int]) -> None:
    assert faded_in(lantern(), lantern(flame=shown)) == ()
    assert faded_in(ring(), ring(color=shown)) == ()


def test_what_has_no_colour_fades_not() -> None:
    assert faded_in(lantern(flame=GREY), lantern(flame=SKY)) == ()
