"""Colours as other eyes see them, against the published matrices and a second program."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from reference import read_reference

from pix2block.color.deficiency import (
    MATRICES,
    SIGHTS,
    Sight,
    in_sight,
    lab_in_sight,
    light_in_sight,
)
from pix2block.color.spaces import decode, encode_bytes, to_lab

KINDS: dict[Sight, str] = {
    "protan": "Protanomaly",
    "deutan": "Deuteranomaly",
    "tritan": "Tritanomaly",
}


@cache
def colour_science() -> Any:
    """The library, loaded where it is asked: each process of tests looks at every file."""
    import colour

    return colour


@pytest.mark.parametrize("sight", MATRICES)
def test_matrices_are_the_published_ones(sight: Sight) -> None:
    lines = [line for line in read_reference("cvd_machado2009.csv") if line["type"] == KINDS[sight]]
    full = [line for line in lines if line["severity"] == "1.0"]
    published = [[float(line[f"m{i}"]) for i in (1, 2, 3)] for line in full]
    assert np.array_equal(np.array(MATRICES[sight]), np.array(published))


@pytest.mark.parametrize("sight", MATRICES)
def test_a_second_program_agrees(sight: Sight) -> None:
    """colour-science: its matrices, and its own sRGB coding, on a lattice of colours."""
    steps = np.arange(0, 256, 51, dtype=np.uint8)
    rgb = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    matrix = colour_science().matrix_cvd_Machado2009(KINDS[sight], 1.0)
    light = colour_science().models.eotf_sRGB(rgb / 255)
    seen = colour_science().models.eotf_inverse_sRGB(np.clip(light @ np.asarray(matrix).T, 0, 1))
    assert np.abs(in_sight(rgb, sight) - seen * 255).max() <= 0.5 + 1e-6


@pytest.mark.parametrize("sight", SIGHTS)
def test_greys_stay(sight: Sight) -> None:
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    assert np.abs(in_sight(greys, sight).astype(int) - greys).max() <= 1


def test_it_works_in_linear_light() -> None:
    """On coded values the same matrices would give something else."""
    rgb = np.array([[200, 60, 40]], dtype=np.uint8)
    coded = np.clip(rgb / 255 @ np.array(MATRICES["deutan"]).T, 0, 1) * 255
    assert np.abs(in_sight(rgb, "deutan") - coded).max() > 5
    assert np.array_equal(
        in_sight(rgb, "deutan"), encode_bytes(light_in_sight(decode(rgb / 255), "deutan"))
    )


def test_red_and_green_come_together_but_not_for_tritan_eyes() -> None:
    pair = np.array([[150, 110, 60], [110, 130, 60]], dtype=np.uint8)

    def apart(sight: Sight) -> float:
        one, other = to_lab(in_sight(pair, sight))
        return float(np.hypot(*(one - other)[1:]))

    assert apart("deutan") < 0.4 * apart("normal")
    assert apart("tritan") > 0.6 * apart("normal")


def test_grey_keeps_luminance() -> None:
    rgb = np.array([[250, 0, 0], [0, 200, 90]], dtype=np.uint8)
    grey = in_sight(rgb, "grey")
    assert (grey == grey[:, :1]).all()
    light = decode(rgb / 255) @ np.array([0.2126, 0.7152, 0.0722])
    np.testing.assert_allclose(decode(grey[:, 0] / 255), light, atol=0.004)


@pytest.mark.parametrize("sight", SIGHTS)
def test_figures_are_taken_before_rounding_to_bytes(sight: Sight) -> None:
    """CIELAB as a second program has it of what is seen; bytes are up to half a level off, in the
    dark some 0.3 of L*."""
    rgb = np.random.default_rng(4).integers(0, 60, (200, 3)).astype(np.uint8)
    seen = light_in_sight(colour_science().models.eotf_sRGB(rgb / 255), sight)
    xyz = colour_science().RGB_to_XYZ(seen, "sRGB")
    white = colour_science().CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    ours, theirs = lab_in_sight(rgb, sight), colour_science().XYZ_to_Lab(xyz, white)
    assert np.abs(ours - theirs).max() < 0.02
    if sight != "normal":
        assert np.abs(to_lab(in_sight(rgb, sight)) - theirs).max() > 0.1
