"""Areas that a chart shows in the yarn of what is around them, and the yarn that parts them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from scipy.ndimage import label

import pix2block
from pix2block.color.spaces import Bytes
from pix2block.design.area_words import area_words
from pix2block.design.areas import lost_areas, pieces_of
from pix2block.design.palette import nearest_yarns
from pix2block.design.remedies import one_more_yarn
from pix2block.reports.summary import summary
from pix2block.reports.words import lost_lines

WALL, SKIN, HAIR = (206, 198, 192), (222, 178, 150), (60, 42, 30)


def portrait() -> Bytes:
    """(40, 40, 3) blocks: a face before a wall, hair on top of it, a little noise."""
    image = Image.new("RGB", (40, 40), WALL)
    pen = ImageDraw.Draw(image)
    pen.ellipse([10, 8, 29, 34], SKIN)
    pen.pieslice([9, 4, 30, 24], 180, 360, HAIR)
    noise = np.random.default_rng(1).integers(-3, 4, (40, 40, 3))
    return np.clip(np.asarray(image).astype(int) + noise, 0, 255).astype(np.uint8)


def in_yarns(means: Bytes, *colors: tuple[int, int, int]) -> tuple[Bytes, np.ndarray]:
    rgb = np.array(colors, dtype=np.uint8)
    return rgb, nearest_yarns(means, rgb)


def test_a_face_in_the_yarn_of_the_wall_is_found_and_parted() -> None:
    means = portrait()
    rgb, blocks = in_yarns(means, (208, 192, 180), HAIR)
    (area,) = lost_areas(means, blocks)
    inside = area.mask[18:30, 14:26]
    assert inside.all()
    assert area.share > 0.5
    assert not area.parted(blocks)
    remedy = one_more_yarn(area, means, rgb)
    assert remedy is not None
    assert area.parted(remedy.blocks)
    assert area_words(area, "Stone") == (
        f"A peach area {area.place} ({area.blocks} blocks) and the pale grey around it "
        "have the same yarn, Stone"
    )


def test_a_face_in_its_own_yarn_is_not_lost() -> None:
    means = portrait()
    _, blocks = in_yarns(means, WALL, SKIN, HAIR)
    assert lost_areas(means, blocks) == ()
    assert lost_areas(means, blocks, [(9, 8, 31, 34)]) == ()


def test_a_passage_without_an_edge_is_no_area() -> None:
    """A sky that pales to the horizon falls into two colours, and has no border between them."""
    levels = np.linspace(90, 230, 40).round().astype(np.uint8)
    means = np.stack([levels, levels, np.full(40, 230, np.uint8)], axis=1)[:, None].repeat(40, 1)
    assert lost_areas(means, np.zeros((40, 40), dtype=np.int64)) == ()


def test_a_face_that_is_named_needs_less_of_a_difference() -> None:
    """Pale skin before a warm wall: 6 CIEDE2000 is little for a cushion, and much for a face."""
    means = portrait()
    means[(means[..., 2] < 175) & (means[..., 0] > 150)] = (214, 190, 172)
    _, blocks = in_yarns(means, (208, 196, 184), HAIR)
    assert lost_areas(means, blocks) == ()
    (face,) = lost_areas(means, blocks, [(9, 8, 31, 34)])
    assert face.face
    assert area_words(face, "Stone").startswith("The face and the pale grey around it")


@pytest.mark.parametrize("colors", [2, 4])
def test_it_is_told_first_with_the_yarn_that_parts(colors: int, tmp_path: Path) -> None:
    pixels = portrait().repeat(5, axis=0).repeat(5, axis=1)
    Image.fromarray(pixels).save(tmp_path / "portrait.png")
    options = pix2block.Options(width=40, colors=colors, look="photo", subject="none", calm=0.0)
    study = pix2block.chart_picture(tmp_path / "portrait.png", options)
    told = lost_lines(study)
    if colors == 4:
        assert not any("same yarn" in line for line in told)
        return
    assert "around it have the same yarn" in told[0]
    assert "one more yarn, " in told[0]
    assert told[0].endswith("would part them.")
    assert summary(study)["features_lost"][0]["blocks"] == study.areas[0].blocks


def test_pieces_are_those_of_an_image_filter() -> None:
    rng = np.random.default_rng(3)
    there, kind = rng.random((30, 40)) < 0.6, rng.integers(0, 2, (30, 40))
    one = there & (kind == 1)
    both = pieces_of(kind, there)
    assert (pieces_of(kind, one) == label(one)[0]).all()
    assert (pieces_of(kind, one, corners=True) == label(one, np.ones((3, 3)))[0]).all()
    assert both.max() == label(one)[1] + label(there & (kind == 0))[1]
    assert (both[~there] == 0).all()
