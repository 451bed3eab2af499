"""Blocks on an edge take one side, lines and spots stay; specks go, parts stay."""

from __future__ import annotations

import numpy as np

from pix2block.color.spaces import Bytes, Floats, decode, encode_bytes, to_lab
from pix2block.design.edges import crisp
from pix2block.design.features import Feature
from pix2block.design.outlines import edges_near_outline, with_outlines
from pix2block.design.palette import nearest_yarns
from pix2block.design.sides import on_one_side
from pix2block.design.specks import without_specks

RED, BLUE = (200, 50, 40), (40, 60, 160)


def seen(fine: Bytes, samples: int) -> tuple[Bytes, Floats]:
    """Block means, and CIELAB of the samples."""
    light = decode(fine / 255.0)
    height, width = (side // samples for side in fine.shape[:2])
    means = light.reshape(height, samples, width, samples, 3).mean(axis=(1, 3))
    return encode_bytes(means), to_lab(fine)


def test_a_blend_takes_the_larger_side() -> None:
    for edge in (41, 42, 43, 44):
        fine = np.full((80, 80, 3), RED, dtype=np.uint8)
        fine[:, edge:] = BLUE
        means, closely = seen(fine, 5)
        assert (means[:, 8] != means[:, 7]).any()
        out = crisp(means, closely)
        side = RED if edge > 42 else BLUE
        assert (np.abs(out[:, 8].astype(int) - side) <= 1).all()
        np.testing.assert_array_equal(np.delete(out, 8, axis=1), np.delete(means, 8, axis=1))


def test_a_line_and_a_spot_stay() -> None:
    fine = np.full((80, 80, 3), RED, dtype=np.uint8)
    fine[:, 41:43] = BLUE  # two fifths of a block
    fine[21:24, 61:64] = BLUE
    means, closely = seen(fine, 5)
    np.testing.assert_array_equal(crisp(means, closely), means)


def test_the_top_of_something_round_is_a_blend() -> None:
    """Between black hair and sky, with sky on both its sides, a block still has one's colour."""
    fine = np.full((80, 80, 3), (160, 190, 216), dtype=np.uint8)
    fine[43:60, 35:45] = (24, 20, 18)
    fine[47:60, 30:50] = (24, 20, 18)
    means, closely = seen(fine, 5)
    out = crisp(means, closely)
    assert means[8, 7].tolist() not in ([160, 190, 216], [24, 20, 18])
    assert np.abs(out[8, 7].astype(int) - (160, 190, 216)).max() < 3


def test_too_few_samples_leave_the_means() -> None:
    means, closely = seen(np.full((20, 20, 3), RED, dtype=np.uint8), 2)
    assert crisp(means, closely) is means


def test_specks_go_but_not_parts_nor_what_stands_out() -> None:
    blocks = np.zeros((12, 12), dtype=np.int64)
    blocks[2, 2] = blocks[5, 5] = blocks[8, 8] = 1
    blocks[9, 2:5] = 1  # three are no speck
    colors = np.full((12, 12, 3), (120, 120, 120), dtype=np.uint8)
    colors[blocks == 1] = (130, 130, 130)
    colors[8, 8] = (250, 250, 250)
    mask = np.zeros((12, 12), dtype=bool)
    mask[5, 5] = True
    yarns = np.array([(120, 120, 120), (130, 130, 130)], dtype=np.uint8)
    clean = without_specks(blocks, colors, yarns, (Feature(mask, "#828282", 5.0),))
    expected = blocks.copy()
    expected[2, 2] = 0
    np.testing.assert_array_equal(clean, expected)


def test_an_outline_between_alike_yarns_is_seen() -> None:
    """A brown thing before a darker brown, both nearest to one yarn: the thing takes the lighter
    yarn along its outline, but only where the subject ends."""
    colors = np.full((16, 16, 3), (80, 55, 35), dtype=np.uint8)
    colors[:, 8:] = (104, 72, 46)
    yarns = np.array([(88, 60, 38), (122, 86, 56), (250, 250, 250)], dtype=np.uint8)
    blocks = nearest_yarns(colors, yarns)
    assert (blocks == 0).all()
    share = np.zeros((16, 16))
    np.testing.assert_array_equal(with_outlines(blocks, colors, share, yarns), blocks)
    share[:, 8:] = 1.0
    seen = with_outlines(blocks, colors, share, yarns)
    assert (seen[:, 8] == 1).all()
    assert (seen[:, :7] == 0).all()
    assert (seen[:, 11:] == 0).all()


def test_a_block_on_an_edge_takes_no_third_yarn() -> None:
    """Between black and white lies a column of blends, nearest to the grey yarn; a grey line on
    white, and a part, stay grey."""
    means = np.full((14, 16, 3), 250, dtype=np.uint8)
    means[:, :8] = 8
    means[:, 8] = 215
    means[:, 12] = 150
    yarns = np.array([(8, 8, 8), (205, 205, 205), (250, 250, 250)], dtype=np.uint8)
    blocks = nearest_yarns(means, yarns)
    assert (blocks[:, 8] == 1).all()
    part = np.zeros(blocks.shape, dtype=bool)
    part[4, 8] = True
    sided = on_one_side(blocks, means, means, yarns, (Feature(part, "#d7d7d7", 5.0),))
    assert (np.delete(sided[:, 8], 4) == 2).all()
    assert sided[4, 8] == 1
    np.testing.assert_array_equal(sided[:, 12], blocks[:, 12])


def test_a_speck_stays_where_an_outline_would_break_without_it() -> None:
    """Two blocks of a dark yarn are all that parts a brown subject from a brown ground."""
    colors = np.full((12, 12, 3), (120, 90, 60), dtype=np.uint8)
    colors[:, 6:] = (150, 118, 84)
    yarns = np.array([(135, 104, 72), (96, 70, 44)], dtype=np.uint8)
    blocks = np.zeros((12, 12), dtype=np.int64)
    blocks[5:7, 5] = 1
    share = np.zeros((12, 12))
    share[:, 6:] = 1.0
    assert (without_specks(blocks, colors, yarns) == 0).all()
    kept = without_specks(blocks, colors, yarns, (), edges_near_outline(colors, share))
    np.testing.assert_array_equal(kept, blocks)
