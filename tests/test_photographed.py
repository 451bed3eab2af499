"""Yarns' colours from photos of known colours, painted here under a warm, falling light."""

from __future__ import annotations

import numpy as np
import pytest

from pix2block.color.difference import ciede2000
from pix2block.color.spaces import (
    Floats,
    decode,
    encode_bytes,
    from_hex,
    rgb_array,
    to_hex,
    to_lab,
)
from pix2block.ground.errors import BadInput
from pix2block.yarn.photographed import PAPER, photographed, shelf_csv
from pix2block.yarn.shelf import read_shelf

# Six patches of the classic photographic colour chart of 1976, in sRGB from memory: they are what
# is painted, and what must come back.
PATCHES = ("#735244", "#627a9d", "#576c43", "#c15a63", "#e7c71f", "#343434")
WARM = np.array([1.0, 0.78, 0.52])  # of a lamp of some 3,500 K, beside daylight, in linear sRGB


def photo(fall: float = 0.0, bright: float = 0.8, mixed: bool = False) -> Floats:
    """(120, 240, 3) skeins in a row on paper: strands with glints and gaps between them, under a
    lamp that falls off to the right."""
    grains = np.random.default_rng(1)
    scene = np.full((120, 240, 3), PAPER)
    for i, color in enumerate(PATCHES):
        light = decode(np.array(from_hex(color)) / 255.0)
        strands = np.ones((40, 30)) + 0.12 * np.sin(np.arange(40) * 1.7)[:, None]
        strands[grains.random((40, 30)) < 0.05] = 2.2  # glints
        strands[grains.random((40, 30)) < 0.05] = 0.2  # gaps
        skein = strands[..., None] * light
        if mixed:
            skein[:20] = decode(np.array(from_hex(PATCHES[(i + 3) % 6])) / 255.0)
        scene[40:80, 5 + 39 * i : 35 + 39 * i] = skein
    lamp = 1 - fall * np.arange(240) / 240
    return np.asarray(np.clip(scene * WARM * bright * lamp[None, :, None], 0, 1))


SKEINS = [(f"Yarn {i}", ((20 + 39 * i) / 240, 0.5)) for i in range(6)]
BESIDE = [((20 + 39 * i) / 240, 0.2) for i in range(6)]


def error(found: list[str]) -> Floats:
    return ciede2000(to_lab(rgb_array(found)), to_lab(rgb_array(list(PATCHES))))


def test_known_colors_under_a_warm_light() -> None:
    found = photographed(photo(), [(0.1, 0.1)], SKEINS)
    assert error([yarn.color for yarn in found]).max() < 2.5
    assert [yarn.doubt for yarn in found] == [""] * 6
    as_seen = [to_hex(encode_bytes(photo()[60, 20 + 39 * i])) for i in range(6)]
    assert error(as_seen).mean() > 8  # what the photo's own pixels would have given


def test_a_falling_light_is_told_and_paper_beside_each_skein_corrects_it() -> None:
    one = photographed(photo(fall=0.5), BESIDE[:1], SKEINS)
    each = photographed(photo(fall=0.5), BESIDE, SKEINS)
    assert error([yarn.color for yarn in one]).max() > 6
    assert error([yarn.color for yarn in each]).max() < 4.5
    assert all("uneven" in yarn.doubt for yarn in each)


@pytest.mark.parametrize(
    ("light", "word"),
    [
        (photo(bright=1.3), "so bright"),
        (photo(bright=0.08), "little light"),
        (photo() * np.array([1.0, 0.9, 0.5]), "coloured"),
        (photo(mixed=True), "several colours"),
    ],
)
def test_a_doubt_is_told(light: Floats, word: str) -> None:
    assert word in photographed(light, [(0.1, 0.1)], SKEINS)[0].doubt


def test_it_is_a_shelf() -> None:
    found = photographed(photo(), [(0.1, 0.1)], [('=A "B", c', SKEINS[0][1]), SKEINS[1]])
    shelf = read_shelf(shelf_csv(found), "shelf")
    assert [yarn.color for yarn in shelf.yarns] == [yarn.color for yarn in found]


@pytest.mark.parametrize(
    ("paper", "skeins"),
    [([], SKEINS), ([(0.1, 0.1)], []), ([(0.1, 1.1)], SKEINS), ([(0.1, 0.1)], [("A", (-1, 0))])],
)
def test_what_cannot_be_read(
    paper: list[tuple[float, float]], skeins: list[tuple[str, tuple[float, float]]]
) -> None:
    with pytest.raises(BadInput):
        photographed(photo(), paper, skeins)
