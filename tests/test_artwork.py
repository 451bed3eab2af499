"""Flat art: its own colours, lines thinner than a block, lettering."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import skimage.data
from drawings import (
    AMBER,
    SEA,
    Art,
    beetle,
    lined_face,
    path,
    ring_logo,
    sign,
)
from drawings import (
    INK as DRAWN,
)
from drawings import (
    PAPER as WHITE,
)
from linework import pieces_drawn, pieces_kept, share_in
from PIL import Image, ImageDraw
from scipy.ndimage import label
from small import small_sample

import pix2block
from pix2block.color.difference import difference_table
from pix2block.color.spaces import Bytes, rgb_array, to_hex
from pix2block.ground.advice import Advice
from pix2block.picture.artwork import (
    FLAT_SHARE,
    Artwork,
    flat_share,
    most_covering,
    read_artwork,
)
from pix2block.picture.blocks import block_means, frame_picture
from pix2block.picture.lettering import LEAST_BLOCKS, find_lettering
from pix2block.picture.picture import Picture, open_picture
from pix2block.picture.strokes import NO_STROKE, find_strokes
from pix2block.recipes.from_picture import see

SAMPLES = Path(__file__).parent.parent / "sample_images"
BADGE = ["#1f3a50", "#f5ecd8", "#e0a23c", "#3f8c8c"]
INK, RED, PAPER = (38, 40, 52), (196, 52, 44), (255, 255, 255)


class Pen:
    """Draws at four times the size and averages, so that edges are smooth."""

    def __init__(self, width: int, height: int, ground: tuple[int, int, int] = PAPER) -> None:
        self.image = Image.new("RGB", (width * 4, height * 4), ground)
        self.draw = ImageDraw.Draw(self.image)

    def line(
        self, points: list[tuple[float, float]], color: tuple[int, int, int], w: float
    ) -> None:
        self.draw.line([(x * 4, y * 4) for x, y in points], color, round(w * 4), joint="curve")

    def box(self, corners: tuple[float, float, float, float], color: tuple[int, int, int]) -> None:
        self.draw.rectangle([c * 4 for c in corners], color)

    def save(self, path: Path, **how: object) -> Picture:
        self.image.reduce(4).save(path, **how)  # type: ignore[arg-type]
        return open_picture(path)


@cache
def sample_art(name: str, width: int) -> Artwork:
    """Made once for all tests that look at it; of fewer pixels where blocks are many."""
    path = SAMPLES / name if width <= 40 else small_sample(name, 480)
    return artwork_of(open_picture(path), width)


def artwork_of(picture: Picture, width: int) -> Artwork:
    return read_artwork(picture, frame_picture(picture.size, width))


@pytest.mark.parametrize(
    ("name", "flat"),
    [
        ("club_badge.png", True),
        ("boathouse_lines.png", True),
        ("tallow_cat.jpg", False),
        ("fog_morning.png", False),
        ("lantern_cutout.png", False),
    ],
)
def test_samples_are_told_apart(name: str, flat: bool) -> None:
    assert (flat_share(open_picture(SAMPLES / name)) >= FLAT_SHARE) == flat


@pytest.mark.parametrize("name", ["astronaut", "camera", "chelsea", "coffee", "rocket"])
def test_open_photos_are_photos(name: str, tmp_path: Path) -> None:
    """scikit-image's own pictures."""
    Image.fromarray(getattr(skimage.data, name)()).save(tmp_path / "a.png", compress_level=1)
    assert flat_share(open_picture(tmp_path / "a.png")) < FLAT_SHARE


@pytest.mark.parametrize("quality", [75, 85, 92])
@pytest.mark.parametrize("name", ["club_badge", "boathouse_lines"])
def test_compressed_flat_art_is_still_flat(name: str, quality: int, tmp_path: Path) -> None:
    Image.open(SAMPLES / f"{name}.png").convert("RGB").save(tmp_path / "a.jpg", quality=quality)
    assert flat_share(open_picture(tmp_path / "a.jpg")) >= FLAT_SHARE


@pytest.mark.parametrize("width", [25, 40])  # those that others look at
def test_the_badges_own_colors(width: int) -> None:
    """Exactly the four it was drawn in, and no blend of two of them."""
    art = sample_art("club_badge.png", width)
    assert sorted(to_hex(c) for c in art.colors) == sorted(BADGE)


def test_every_yarn_is_one_of_the_artworks_colors() -> None:
    for name, most in (("club_badge.png", 3), ("club_badge.png", 8), ("boathouse_lines.png", 4)):
        picture = small_sample(name, 480)
        chart = pix2block.chart_picture(picture, pix2block.Options(width=25, colors=most)).chart
        own = sample_art(name, 40).colors
        assert difference_table(chart.yarn_rgb, own).min(axis=1).max() < 3
        assert len(chart.yarns) == min(most, 4)


def test_flat_blocks_have_the_color_that_covers_most(tmp_path: Path) -> None:
    pen = Pen(100, 40)
    pen.box((0, 0, 56, 40), RED)  # block 5 (pixels 50 to 60) is 6 parts red
    pen.box((80, 0, 84, 40), INK)  # and block 8 is 4 parts ink
    art = artwork_of(pen.save(tmp_path / "a.png"), 10)
    blocks = art.colors[most_covering(art)]
    assert [to_hex(c) for c in blocks[2]] == ["#c4342c"] * 6 + ["#ffffff"] * 4


def lines_drawing(tmp_path: Path) -> Picture:
    """Lines of known place, 2 pixels wide where a block has 10: level at 105, upright at 65,
    a slanting red one, and a closed ring."""
    pen = Pen(400, 300)
    pen.line([(20, 105), (380, 105)], INK, 2)
    pen.line([(65, 20), (65, 280)], INK, 2)
    pen.line([(120, 180), (360, 260)], RED, 2)
    ring = [(300 + 30 * np.cos(a), 50 + 30 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 60)]
    pen.line(ring, INK, 2)
    return pen.save(tmp_path / "lines.png")


def test_lines_stay_lines(tmp_path: Path) -> None:
    picture = lines_drawing(tmp_path)
    art = artwork_of(picture, 40)
    strokes = find_strokes(art)
    assert share_in(strokes, strokes.blocks, art) >= 0.95
    assert share_in(strokes, most_covering(art), art) < 0.3
    assert pieces_drawn(strokes, art) == pieces_kept(strokes) == 3
    ink = int(np.argmin(difference_table(np.array([INK], np.uint8), art.colors)))
    red = int(np.argmin(difference_table(np.array([RED], np.uint8), art.colors)))
    assert (strokes.blocks[10, 3:37] == ink).all()
    assert (strokes.blocks[3:27, 6] == ink).all()
    # One block wide: nothing beside the level line but the upright one.
    assert ((strokes.blocks[[9, 11], 8:24] == NO_STROKE).all(axis=0)).all()
    slanting = np.argwhere(strokes.blocks == red)
    assert label(strokes.blocks == red, np.ones((3, 3)))[1] == 1
    assert len(slanting) <= 36  # 24 columns on a slope of 1 in 3, corners now and then


def test_lines_would_be_grey_without(tmp_path: Path) -> None:
    """The share of a line's length in blocks of its colour, before and after: two pixels wide where
    a block has ten."""
    path = tmp_path / "line.png"
    pen = Pen(200, 80)
    pen.line([(20, 45), (180, 45)], INK, 2)
    pen.box((150, 55, 200, 80), RED)
    pen.save(path)

    def dark_share(**more: object) -> float:
        options = pix2block.Options(width=20, colors=3, **more)  # type: ignore[arg-type]
        chart = pix2block.chart_picture(path, options).chart
        rgb = chart.yarn_rgb[chart.blocks]
        return float((rgb[4, 3:17].max(axis=1) < 80).mean())

    assert dark_share(look="photo") < 0.2
    assert dark_share(look="flat", strokes="mean") < 0.2
    assert dark_share(look="flat") == 1.0
    assert dark_share() == 1.0  # read as flat art by itself


def test_lines_closer_than_a_block_merge(tmp_path: Path) -> None:
    pen = Pen(400, 200)
    pen.line([(20, 98), (380, 98)], INK, 2)
    pen.line([(20, 103), (380, 103)], INK, 2)
    strokes = find_strokes(artwork_of(pen.save(tmp_path / "a.png"), 40))
    assert (strokes.blocks != NO_STROKE).any(axis=1).sum() == 1
    assert pieces_kept(strokes) == 1


def test_smooth_borders_are_no_strokes(tmp_path: Path) -> None:
    """The grey between two areas, and the corners that an opening rounds off, are not lines."""
    pen = Pen(400, 300)
    pen.draw.ellipse([400, 200, 1200, 1000], INK)
    pen.box((10, 10, 90, 90), RED)
    art = artwork_of(pen.save(tmp_path / "a.png"), 40)
    assert sorted(to_hex(c) for c in art.colors) == ["#262834", "#c4342c", "#ffffff"]
    assert (find_strokes(art).blocks == NO_STROKE).all()


def test_strokes_of_the_samples() -> None:
    for name in ("boathouse_lines.png", "club_badge.png"):
        art = sample_art(name, 40)
        strokes = find_strokes(art)
        assert strokes.length > 0
        assert share_in(strokes, strokes.blocks, art) >= 0.95


def test_lettering_says_how_large_it_must_be() -> None:
    small, large = (find_lettering(sample_art("boathouse_lines.png", width)) for width in (60, 128))
    assert small is not None
    assert large is not None
    assert small.letters == large.letters == len("LANTERN")
    assert not small.legible
    assert large.legible
    assert large.height == pytest.approx(small.height * 128 / 60, rel=0.1)
    assert find_lettering(sample_art("club_badge.png", 60)) is None
    seen = see(small_sample("boathouse_lines.png", 480), pix2block.Options(width=60))
    (note,) = [n for n in seen.view.notes if "lettering" in n]
    wide = int(note.split(", so width ")[1].split()[0])
    assert wide * small.height / 60 >= LEAST_BLOCKS
    assert wide < 128


def test_a_picture_without_flat_colors_is_refused(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    noise: Bytes = rng.integers(0, 256, (90, 90, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.png")
    with pytest.raises(pix2block.BadInput, match="use look photo"):
        pix2block.chart_picture(tmp_path / "noise.png", pix2block.Options(width=9, look="flat"))


def test_flat_art_matches_a_shelf_by_its_own_colors() -> None:
    shelf = str(SAMPLES / "shelf_24.csv")
    options = pix2block.Options(width=25, colors=4, shelf=shelf, tone="keep")
    chart = pix2block.chart_picture(SAMPLES / "club_badge.png", options).chart
    yarns = rgb_array([yarn.color for yarn in pix2block.open_shelf(shelf).yarns])
    nearest = {
        pix2block.open_shelf(shelf).yarns[i].name
        for i in difference_table(rgb_array(BADGE), yarns).argmin(axis=1)
    }
    assert {yarn.name for yarn in chart.yarns} == nearest
    means = block_means(open_picture(SAMPLES / "club_badge.png"), frame_picture((1000, 1000), 25))
    assert chart.source is not None
    assert (chart.source.means == means).all()  # what is kept are the means, whatever is matched


def drawn_chart(art: Art, width: int, a_block: int, folder: Path) -> pix2block.Study:
    """A drawing of so many pixels a block, in as many yarns as it has colours."""
    art.image(width * a_block).save(folder / "drawn.png")
    options = pix2block.Options(width=width, colors=len(art.colors))
    return pix2block.chart_picture(folder / "drawn.png", options)


def test_a_line_thinner_than_a_pixel_has_the_color_that_its_blends_point_to(tmp_path: Path) -> None:
    """Hardly a pixel is as dark as the ink; its blends with paper, moss and amber point to it."""
    art = beetle(0.006)
    pixels = np.asarray(art.image(160)).reshape(-1, 3)
    own = difference_table(pixels, np.array([DRAWN], np.uint8)) < 3
    assert own.mean() < 0.002
    chart = drawn_chart(art, 40, 4, tmp_path).chart
    assert difference_table(np.array([DRAWN], np.uint8), chart.yarn_rgb).min() < 1
    assert art.share_kept(chart.yarn_rgb[chart.blocks]) >= 0.95


@pytest.mark.parametrize(
    ("art", "ink"), [(beetle(0.008), DRAWN), (lined_face(0.008), DRAWN), (ring_logo(0.02), WHITE)]
)
def test_small_originals_keep_lines_and_colors(
    art: Art, ink: tuple[int, int, int], tmp_path: Path
) -> None:
    """Lines of a third of a block, in pictures of four pixels a block: 16 % of them were kept, in
    yarns that were blends."""
    chart = drawn_chart(art, 40, 4, tmp_path).chart
    assert art.share_kept(chart.yarn_rgb[chart.blocks], ink) >= 0.95
    assert len(np.unique(chart.blocks)) == len(art.colors)
    assert difference_table(chart.yarn_rgb, art.colors).min(axis=1).max() < 3


@pytest.mark.parametrize("a_block", [5, 12])
@pytest.mark.parametrize("width", [30, 35])
def test_a_thin_ring_is_whole_and_a_logo_symmetric(
    width: int, a_block: int, tmp_path: Path
) -> None:
    art = ring_logo()
    chart = drawn_chart(art, width, a_block, tmp_path).chart
    shown = chart.yarn_rgb[chart.blocks]
    assert art.share_kept(shown, WHITE) > 0.95
    assert (shown == shown[:, ::-1]).all()
    paper = (shown == WHITE).all(axis=2)
    assert label(paper, np.ones((3, 3)))[1] == 2  # the ring, and the anchor
    assert label(~paper)[1] == 3  # without, within, the eye of the anchor: no gaps


def test_what_is_not_symmetric_stays(tmp_path: Path) -> None:
    art = ring_logo()
    art.area(path((0.1, 0.85), (0.22, 0.85), (0.22, 0.97), (0.1, 0.97)), AMBER)
    chart = drawn_chart(art, 40, 10, tmp_path).chart
    shown = chart.yarn_rgb[chart.blocks]
    assert (shown[36, 6] == AMBER).all()
    assert (shown[36, 33] == SEA).all()
    assert (shown[:32] == shown[:32, ::-1]).all()


def test_a_middle_line_takes_one_column_of_an_odd_number(tmp_path: Path) -> None:
    art = Art(WHITE)
    art.line(path((0.5, 0.1), (0.5, 0.9)), 0.01)
    art.both_sides(path((0.2, 0.2), (0.3, 0.8)), 0.01)
    even, odd = (drawn_chart(art, width, 8, tmp_path) for width in (20, 21))
    (told,) = [note for note in even.notes if "along the middle" in note]
    assert "width 21" in told
    assert not any("along the middle" in note for note in odd.notes)
    wide = [
        int((made.chart.yarn_rgb[made.chart.blocks][10, 9:12].max(axis=1) < 99).sum())
        for made in (even, odd)
    ]
    assert wide == [2, 1]


def test_letters_are_judged_by_what_came_out(tmp_path: Path) -> None:
    """Letters of five blocks whose gaps are under a block run together; those of nine do not."""
    tight, wide = (
        [n for n in drawn_chart(art, 40, 10, tmp_path).notes if "lettering" in n]
        for art in (sign(tall=0.13), sign("LATE", tall=0.22))
    )
    assert not wide
    (told,) = tight
    assert isinstance(told, Advice)
    assert "run together" in told
    assert [ask.option for ask in told.asks] == ["text", "at", "height", "in"]
    assert str(told.asks[1].value).startswith('"column ')


def test_a_broken_ring_is_told_with_the_width_at_which_it_holds(tmp_path: Path) -> None:
    art = ring_logo()
    art.image(240).save(tmp_path / "ring.png")
    kept, broken = (
        see(tmp_path / "ring.png", pix2block.Options(width=30, strokes=strokes)).view
        for strokes in ("keep", "mean")
    )
    assert not any("pieces" in note for note in kept.notes)
    (told,) = [note for note in broken.notes if "pieces" in note]
    assert isinstance(told, Advice)
    (ask,) = told.asks
    assert ask.option == "width"
    again = pix2block.Options(width=int(ask.value or 0), strokes="mean")
    assert not any("pieces" in n for n in see(tmp_path / "ring.png", again).view.notes)
