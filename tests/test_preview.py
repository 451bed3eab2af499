"""The fabric as it will look: true to its yarns, posts as they are worked."""

from __future__ import annotations

import io
import time
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from makers import YARNS, chart_of, random_blocks
from PIL import Image

from pix2block.chart.chart import Border, Chart
from pix2block.color.difference import ciede2000
from pix2block.color.spaces import Bytes, Floats, decode, encode_bytes, from_hex, to_lab
from pix2block.craft.diagonal import Layout
from pix2block.drawing.style import PAPER
from pix2block.ground.settings import HANDS, START_CORNERS, Hand, StartCorner
from pix2block.options.table import Options
from pix2block.pages.preview import (
    _shades,
    _turned,
    as_png,
    fabric,
    fabric_from_afar,
    fabric_png,
    far_png,
    pixels_a_block,
    preview_png,
)
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn

STRONG = ["#ffffff", "#000000", "#ff0000", "#00ff00", "#0000ff", "#ffff00", "#808080", "#f3efe6"]


def chart_in(colors: list[str], width: int = 16, height: int = 12) -> Chart:
    yarns = tuple(Yarn(f"Yarn {i}", color) for i, color in enumerate(colors))
    blocks = np.random.default_rng(2).integers(0, len(yarns), (height, width))
    return Chart("Piece", blocks, yarns, width + height - 1)


def block_means(picture: Bytes, pixels: int) -> Floats:
    """(height, width, 3) mean linear light of each block."""
    light = decode(picture / 255)
    height, width = (side // pixels for side in picture.shape[:2])
    return np.asarray(light.reshape(height, pixels, width, pixels, 3).mean(axis=(1, 3)))


@pytest.mark.parametrize("pixels", [2, 5, 8, 24])
def test_each_blocks_mean_light_is_its_yarns(pixels: int) -> None:
    rng = np.random.default_rng(4)
    some = [f"#{value:06x}" for value in rng.integers(0, 1 << 24, 30).tolist()]
    chart = chart_in([*STRONG, *some], 40, 30)
    means = to_lab(encode_bytes(block_means(fabric(chart, pixels=pixels), pixels)))
    off = ciede2000(means, to_lab(chart.yarn_rgb[chart.blocks]))
    assert off.max() < 1.5
    assert off.mean() < 0.6


def test_a_wrong_mean_would_be_seen() -> None:
    chart = chart_in(["#c09060"])
    darker = (fabric(chart, pixels=8) * 0.9).astype(np.uint8)
    means = to_lab(encode_bytes(block_means(darker, 8)))
    assert ciede2000(means, to_lab(chart.yarn_rgb)[0][None, None]).min() > 1.5


def grooves(block: Floats) -> str:
    """Which way the posts of a block lie: along them light changes less."""
    down = np.abs(np.diff(block, axis=0)).mean()
    across = np.abs(np.diff(block, axis=1)).mean()
    return "upright" if across > down else "across"


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("hand", HANDS)
def test_posts_stand_in_one_row_and_lie_in_the_next(corner: StartCorner, hand: Hand) -> None:
    blocks = np.zeros((6, 8), dtype=np.int64)
    chart = Chart("Piece", blocks, YARNS[:1], 13, start_corner=corner, hand=hand)
    light = decode(fabric(chart, pixels=24) / 255)[..., 0]
    rows = chart.layout.row_numbers()
    for line in range(6):
        for column in range(8):
            block = light[line * 24 : line * 24 + 24, column * 24 : column * 24 + 24]
            across = chart.layout.begins_vertical(int(rows[line, column]))
            assert grooves(block) == ("across" if across else "upright")


@pytest.mark.parametrize("corner", START_CORNERS)
@pytest.mark.parametrize("upright", [False, True])
def test_posts_lead_away_from_the_start_corner_and_so_lies_the_chain(
    corner: StartCorner, upright: bool
) -> None:
    """By craft: a block stands on the one before it along dy where posts are upright, along dx
    where they lie; the next row is worked into its chain edge, on the other side away."""
    layout = Layout(5, 4, 8, corner, "right")
    block = np.zeros((4, 4))
    block[:, 0] = 1.0  # the chain edge
    block[-1, 1:] = 2.0  # heads of the posts
    lying = _turned(block, layout.start_corner, upright)
    columns, lines = lying[1:-1], lying[:, 1:-1].T
    left, top = corner.endswith("left"), corner.startswith("top")
    chain, heads = (columns, lines) if upright else (lines, columns)
    away = (left, top) if upright else (top, left)
    assert (chain[:, -1 if away[0] else 0] == 1).all()
    assert (heads[:, -1 if away[1] else 0] == 2).all()


def test_no_two_seeds_alike_and_the_same_seed_the_same() -> None:
    chart = chart_in(["#c09060", "#305070"])
    one = preview_png(chart, seed=1)
    assert preview_png(chart, seed=1) == one
    assert preview_png(chart, seed=2) != one


def test_neighbours_in_one_yarn_are_not_all_alike() -> None:
    picture = fabric(Chart("Piece", np.zeros((8, 8), dtype=np.int64), YARNS[:1], 15), pixels=12)
    tiles = {picture[y : y + 12, x : x + 12].tobytes() for y in range(0, 96, 12) for x in (0, 12)}
    assert len(tiles) > 6


def test_where_no_block_is_there_is_paper() -> None:
    chart = chart_of("..0\n.01\n010", last_row=3, start_corner="bottom-right")
    picture = fabric(chart, pixels=10)
    assert (picture[:10, :20] == from_hex(PAPER)).all()
    assert not (picture[20:, 20:] == from_hex(PAPER)).all(axis=2).any()


def test_a_border_goes_around() -> None:
    chart = chart_in(["#c09060"])
    plain = fabric(chart, pixels=10)
    bordered = fabric(chart, border=("#305070", "#f0e0c0"), pixels=10)
    grown = (bordered.shape[0] - plain.shape[0]) // 4
    assert grown >= 3
    assert np.array_equal(bordered[2 * grown : -2 * grown, 2 * grown : -2 * grown], plain)
    outer = encode_bytes(decode(bordered[:grown] / 255).mean(axis=(0, 1)))
    inner_line = bordered[grown : 2 * grown, grown:-grown]
    inner = encode_bytes(decode(inner_line / 255).mean(axis=(0, 1)))
    assert ciede2000(to_lab(outer)[None], to_lab(np.array([[0xF0, 0xE0, 0xC0]], np.uint8))) < 1.5
    assert ciede2000(to_lab(inner)[None], to_lab(np.array([[0x30, 0x50, 0x70]], np.uint8))) < 1.5


def test_the_size_is_bounded() -> None:
    assert pixels_a_block(40, 40) == 24
    assert pixels_a_block(60, 75) == 23
    assert pixels_a_block(60, 75, rounds=3) == 22
    assert pixels_a_block(300, 300) == 8
    assert pixels_a_block(1000, 1000) == 2
    rng = np.random.default_rng(1)
    large = Chart("Piece", random_blocks(rng, 300, 300, 4), YARNS, 599)
    with Image.open(io.BytesIO(preview_png(large))) as image:
        assert image.size == (2400, 2400)


def test_it_is_quick() -> None:
    rng = np.random.default_rng(1)
    chart = Chart("Piece", random_blocks(rng, 60, 75, 4), YARNS, 134)
    preview_png(chart)
    start = time.process_time()
    preview_png(chart)
    assert time.process_time() - start < 1.5  # 0.2 s when nothing else runs


def test_from_afar_fine_things_go_and_the_mean_stays() -> None:
    blocks = (np.indices((40, 40)).sum(axis=0) // 1 % 2).astype(np.int64)
    chart = Chart("Piece", blocks, (Yarn("Tar", "#222222"), Yarn("Chalk", "#e0e0d8")), 79)
    near, far = (fabric_from_afar(chart, degrees) for degrees in (2.0, 0.02))
    spread = [float(to_lab(p[80:-80, 80:-80])[..., 0].std()) for p in (near, far)]
    assert spread[0] > 10
    assert spread[1] < 2
    means = [decode(p[80:-80, 80:-80] / 255).mean() for p in (near, far)]
    assert means[0] == pytest.approx(means[1], rel=0.03)


def test_from_afar_a_yarn_has_no_grid_and_words_say_what_is_seen() -> None:
    chart = chart_in(["#c09060"], 9, 7)
    seen = fabric_from_afar(chart, 0.3)
    assert np.ptp(seen.reshape(-1, 3), axis=0).max() <= 1
    with Image.open(io.BytesIO(far_png(chart, 0.3, "Piece, as seen from 3 m"))) as image:
        words = np.asarray(image.convert("L"))[seen.shape[0] :]
    assert (words < 100).any()


@pytest.mark.parametrize("colors", [1, 2, 255, 256, 257, 4000])
def test_png_is_the_picture(colors: int) -> None:
    rng = np.random.default_rng(colors)
    palette = rng.choice(1 << 24, colors, replace=False)
    picture = palette[np.append(np.arange(colors), rng.integers(0, colors, 6000 - colors))]
    rgb = np.stack([picture >> 16, picture >> 8 & 255, picture & 255], axis=1).astype(np.uint8)
    with Image.open(io.BytesIO(as_png(rgb.reshape(60, 100, 3)))) as image:
        assert image.mode == ("P" if colors <= 256 else "RGB")
        assert np.array_equal(np.asarray(image.convert("RGB")).reshape(-1, 3), rgb)


@pytest.mark.parametrize(("count", "border"), [(8, 2), (40, 1)])
def test_a_preview_is_small(count: int, border: int) -> None:
    """60 x 75 blocks, clumped, more speckled than a calmed photo is. Measured: 606, 486 kB; without
    its border the first, 513 kB."""
    rng = np.random.default_rng(1)
    clumps = np.kron(rng.integers(0, count, (15, 12)), np.ones((5, 5), dtype=np.int64))
    speckled = np.where(rng.random((75, 60)) < 0.08, rng.integers(0, count, (75, 60)), clumps)
    hues = rng.integers(0, 256, (count, 3))
    yarns = tuple(Yarn(f"Yarn {i}", "#{:02x}{:02x}{:02x}".format(*h)) for i, h in enumerate(hues))
    chart = Chart("Piece", speckled, yarns, 134)
    chart = replace(chart, border=Border(rounds=border, stitch="sc", yarn=1))
    data = preview_png(chart)
    assert Image.open(io.BytesIO(data)).mode == "P"
    assert len(data) <= 600_000 + 20_000 * border


def test_reports_hold_the_fabric_unless_left_out() -> None:
    chart = chart_in(["#c09060", "#305070"], 6, 5)
    files = files_of(Study(chart, options=Options(without=("proof", "pdf"))))
    assert files["preview.png"] == preview_png(chart)
    assert "preview_far.png" not in files
    near, far = (
        files_of(
            Study(chart, options=Options(without=("proof", "pdf", "preview"), distance=metres))
        )
        for metres in (2.0, 20.0)
    )
    for files in (near, far):
        assert "preview.png" not in files
        with Image.open(io.BytesIO(files["preview_far.png"])) as image:
            assert image.width >= 48
            assert 60 < image.height < 90  # five blocks, and a line of words
    assert near["preview_far.png"] != far["preview_far.png"]


def test_the_charts_own_border_is_drawn() -> None:
    chart = chart_in(["#c09060", "#305070"], 6, 5)
    bordered = replace(chart, border=Border(rounds=2, stitch="sc", yarn=1))
    with Image.open(io.BytesIO(preview_png(bordered))) as image:
        drawn = np.asarray(image.convert("RGB"))
    assert np.array_equal(drawn, fabric(chart, border=("#305070", "#305070")))
    early = replace(chart_of("..0\n.01\n010", last_row=3), border=bordered.border)
    assert preview_png(early) == preview_png(replace(early, border=None))


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("corner", START_CORNERS)
def test_early_turns_show_along_the_edge(corner: StartCorner, hand: Hand) -> None:
    """Where a row travels, the slip stitches before it lie on the outer edge of the last block:
    early in the colour that comes, late in the block's own. Stripes of a row, far from the start
    corner's edges: there the piece only travels."""
    layout = Layout(5, 3, 7, corner, hand)
    yarns = (Yarn("Red", "#c03020"), Yarn("Blue", "#2040c0"))
    blocks = (layout.row_numbers() % 2).astype(np.int64)
    late = Chart("Piece", blocks, yarns, 7, corner, hand, turn="late")
    early = replace(late, turn="early")
    pixels = 20
    before, after = fabric(late, pixels=pixels), fabric(early, pixels=pixels)
    changed = (before != after).any(axis=2)
    edge = np.ones_like(changed)
    edge[3:-3, 3:-3] = False
    assert changed.any()
    assert not changed[~edge].any()
    # Rows 5, 6 and 7 travel, each over the last block of the row before.
    held = changed.reshape(3, pixels, 5, pixels).any(axis=(1, 3))
    lines, columns, numbers = layout.order
    over = {
        (int(lines[i - 1]), int(columns[i - 1]))
        for i in np.flatnonzero(np.diff(numbers, prepend=0))
        if layout.rows[numbers[i] - 1].begins == "travel"
    }
    assert {tuple(place) for place in np.argwhere(held).tolist()} == over
    assert len(over) == sum(row.begins == "travel" for row in layout)
    for line, column in over:
        seen = (slice(line * pixels, (line + 1) * pixels), slice(column * pixels, None))
        part = changed[seen][:, :pixels]
        came = after[seen][:, :pixels][part].mean(axis=0)
        came_blue = came[2] > came[0]
        assert came_blue != (yarns[blocks[line, column]].name == "Blue")


def test_turns_of_one_colour_show_nothing() -> None:
    one = Chart("Piece", np.zeros((3, 5), dtype=np.int64), YARNS[:1], 7, turn="early")
    assert (fabric(one) == fabric(replace(one, turn="late"))).all()


def test_each_piece_has_a_fabric_of_its_own() -> None:
    """What was drawn last is kept for the same piece alone: two charts are never equal."""
    one, other = chart_of("01 10"), chart_of("11 10 00")
    assert one != other
    assert len({one, other}) == 2
    drawn = fabric_png(one, 8, 1)
    assert fabric_png(other, 8, 1) != drawn
    assert fabric_png(one, 8, 1) == drawn


def test_preview_and_front_page_share_one_fabric(monkeypatch: pytest.MonkeyPatch) -> None:
    worked = []

    def counted(*given: Any, **more: Any) -> Bytes:
        worked.append(given)
        return fabric(*given, **more)

    monkeypatch.setattr("pix2block.pages.preview.fabric", counted)
    study = Study(chart_in(["#c09060", "#305070"], 7, 5))
    files_of(study, only=["preview.png", "pattern.pdf"])
    assert len(worked) == 1


def test_surfaces_that_are_kept_give_the_same_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also of another corner, size or seed in between."""
    charts = [chart_of("01 12", start_corner=corner) for corner in ("bottom-right", "top-left")]

    def every() -> list[bytes]:
        of = [(chart, seed, pixels) for chart in charts for seed in (1, 2) for pixels in (6, 8)]
        return [fabric(c, seed, pixels=side).tobytes() for c, seed, side in (*of, *of[::-1])]

    kept = every()
    monkeypatch.setattr("pix2block.pages.preview._shades", _shades.__wrapped__)
    assert every() == kept
    assert len(set(kept)) == 8
