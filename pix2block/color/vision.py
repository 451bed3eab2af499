"""Colours as an eye sees them from a distance: S-CIELAB.

Zhang & Wandell (1996), "A spatial extension of CIELAB for digital color image reproduction", SID
Digest 27: each opponent plane is blurred by its own sum of Gaussians, exp(-(x^2 + y^2) / s^2) with
s in degrees, weights scaled to sum 1. The opponent matrix has +0.077 where copies of the paper
print -0.077: the authors' own cone matrices give the plus sign, and only with it is white nearly
free of red-green. A sample is a flat square, and what is seen is taken at its centre: so each
Gaussian is integrated over the squares, exactly, by its transfer, with mirrored borders.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.difference import plane_differences
from pix2block.color.spaces import XYZ_OF_RGB, lab_of_xyz, lab_planes
from pix2block.ground.units import added_up

# To luminance, red-green, blue-yellow from XYZ (Y of white = 1).
OPPONENT = ((0.279, 0.720, -0.107), (-0.449, 0.290, 0.077), (0.086, -0.590, 0.501))
# Of each plane: weight and spread in degrees of each Gaussian.
BLURS = (
    ((0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336)),
    ((0.531, 0.0392), (0.330, 0.494)),
    ((0.488, 0.0536), (0.371, 0.386)),
)
SAMPLES_A_BLOCK = 8
NEAR_DEGREES = 0.75  # across a block: one of 2.5 cm seen from 1.9 m
FAR_DEGREES = 0.2  # the same from 7.2 m
_AT_ONCE = 16_384
_MOST_COMPARED = 1_000_000


def degrees_across(block_cm: float, metres: float) -> float:
    """How large a block is seen from so far."""
    return math.degrees(2 * math.atan(block_cm / 200 / metres))


def metres_away(block_cm: float, degrees: float) -> float:
    """From how far a block is seen so large."""
    return block_cm / 200 / math.tan(math.radians(degrees) / 2)


def seen_lab(light: NDArray[Any], samples_a_degree: float) -> NDArray[Any]:
    """(h, w, 3) CIELAB (D65) of (h, w, 3) linear sRGB light as seen; plain areas stay the same."""
    spectrum = _spectrum(light)
    return _seen(spectrum * _passed(spectrum, samples_a_degree))


def seen_light(light: NDArray[Any], samples_a_degree: float) -> NDArray[Any]:
    """(h, w, 3) linear sRGB of (h, w, 3) linear sRGB light blurred as the eye would, to be looked
    at: without the one wide Gaussian of negative weight, which does not blur but darkens what lies
    near light (whoever looks does that anew), and in opponent planes that are 0 for greys, so that
    grey stays grey."""
    opponent = np.array(OPPONENT)
    of_white = opponent @ XYZ_OF_RGB.sum(axis=1)
    opponent[1:] -= np.outer(of_white[1:] / of_white[0], opponent[0])
    spectrum = _spectrum(light, opponent)
    blurs = [[(weight, spread) for weight, spread in plane if weight > 0] for plane in BLURS]
    xyz = _seen_xyz(spectrum * _passed(spectrum, samples_a_degree, blurs), opponent)
    return np.asarray(xyz @ np.linalg.inv(XYZ_OF_RGB).T.astype(xyz.dtype))


def seen_differences(
    one: NDArray[Any], other: NDArray[Any], samples_a_degree: Sequence[float]
) -> list[float]:
    """Mean CIEDE2000 over the samples of two fields of linear sRGB light, as seen from each
    distance: (h, w, 3), and the same or (h / n, w / n, 3), flat squares of n by n samples. Of more
    than a million samples over a part of them, spread evenly. In single precision, good to 0.001,
    with a part of them to 0.003. A plane at a time, so that large fields take little memory."""
    compared = _compared(one.shape[0], one.shape[1])
    seen = _seen_samples((one, other), samples_a_degree, compared)
    means = []
    for ours, theirs in zip(*seen, strict=True):
        total = 0.0
        for start in range(0, len(compared), _AT_ONCE):
            part = np.s_[:, start : start + _AT_ONCE]
            total += float(plane_differences(ours[part], theirs[part]).sum(dtype=np.float64))
        means.append(total / len(compared))
    return means


def _compared(height: int, width: int) -> NDArray[np.int64]:
    """Which of the samples, line by line, are compared: a step that shares no factor with a line's
    length meets every column alike."""
    step = max(1, math.ceil(height * width / _MOST_COMPARED))
    while math.gcd(step, width) > 1 < step:
        step += 1
    return np.arange(0, height * width, step)


def _seen_samples(
    lights: Sequence[NDArray[Any]],
    samples_a_degree: Sequence[float],
    compared: NDArray[np.int64],
) -> list[list[NDArray[Any]]]:
    """Of each field of linear sRGB light, as seen from each distance, the CIELAB of some samples,
    (3, compared). lights: as for `seen_differences`."""
    from scipy.fft import dctn, idctn

    matrix = (np.array(OPPONENT) @ XYZ_OF_RGB).astype(np.float32)
    shape = (len(lights), len(samples_a_degree), 3, len(compared))
    found = np.empty(shape, dtype=np.float32)
    every = len(compared) == lights[0].shape[0] * lights[0].shape[1]
    for plane in range(3):
        spectra = []
        for light in lights:
            mixed = _mixed([light[..., i] for i in range(3)], matrix[plane])
            if (times := lights[0].shape[0] // len(mixed)) > 1:
                mixed = mixed.repeat(times, axis=0).repeat(times, axis=1)
            spectra.append(dctn(mixed, norm="ortho", overwrite_x=True))
        for far, samples in enumerate(samples_a_degree):
            passed = _passed(spectra[0][None], samples, BLURS[plane : plane + 1])[0]
            for of, spectrum in enumerate(spectra):
                back = idctn(spectrum * passed, norm="ortho", overwrite_x=True)
                found[of, far, plane] = back.ravel() if every else back.ravel()[compared]
    to_xyz = np.linalg.inv(np.array(OPPONENT)).astype(np.float32)
    for of, far in np.ndindex(found.shape[:2]):
        for start in range(0, len(compared), _AT_ONCE):  # few enough to stay in the cache
            part = found[of, far, :, start : start + _AT_ONCE]
            xyz = np.stack([_mixed(part, row) for row in to_xyz])
            lab_planes(np.maximum(xyz, 0, out=xyz), part)
    return [list(of) for of in found]


def _mixed(planes: Iterable[NDArray[Any]], shares: NDArray[Any]) -> NDArray[Any]:
    """The sum of three planes by their shares, in single precision: for so few, a matrix product
    has more to arrange than to add."""
    first, second, third = (
        plane.astype(np.float32, copy=False) * share
        for plane, share in zip(planes, shares, strict=True)
    )
    first += second
    first += third
    return np.asarray(first)


def _spectrum(light: NDArray[Any], opponent: Any = OPPONENT) -> NDArray[Any]:
    """(3, h, w) cosine transforms of the opponent planes: the borders are mirrored."""
    from scipy.fft import dctn

    matrix = (np.array(opponent) @ XYZ_OF_RGB).astype(light.dtype)
    planes = np.ascontiguousarray(np.moveaxis(light @ matrix.T, -1, 0))
    return np.asarray(dctn(planes, type=2, axes=(1, 2), norm="ortho"))


def _passed(
    spectrum: NDArray[Any],
    samples_a_degree: float,
    of_planes: Sequence[Sequence[tuple[float, float]]] = BLURS,
) -> NDArray[Any]:
    """(3, h, w) what each plane's blurs let through of a spectrum; 1 of a plain area."""
    _, height, width = spectrum.shape
    passed = np.empty_like(spectrum)
    for plane, blurs in enumerate(of_planes):
        down, across = (
            np.stack([_transfer(side, spread * samples_a_degree) for _, spread in blurs], axis=1)
            for side in (height, width)
        )
        weights = np.array([weight for weight, _ in blurs])
        down *= weights / added_up(weights.tolist())
        one, other = (side.astype(passed.dtype) for side in (down, across))
        np.matmul(one, other.T, out=passed[plane])
    return passed


def _transfer(count: int, spread: float) -> NDArray[np.float64]:
    """(count,) transfer of exp(-(x / spread)^2), integrated over samples, at a cosine transform's
    frequencies. By Poisson's sum: the Gaussian's transfer exp(-(pi s f)^2) times the square's,
    sinc f, over all aliases that matter in double precision."""
    aliases = math.ceil(2 / spread) + 1
    cycles = np.arange(count)[:, None] / (2 * count) + np.arange(-aliases, aliases + 1)
    return np.asarray((np.sinc(cycles) * np.exp(-((np.pi * spread * cycles) ** 2))).sum(axis=1))


def _seen(spectrum: NDArray[Any]) -> NDArray[Any]:
    """(h, w, 3) CIELAB of a spectrum already blurred, which is used up."""
    return np.asarray(lab_of_xyz(np.maximum(_seen_xyz(spectrum), 0)))


def _seen_xyz(spectrum: NDArray[Any], opponent: Any = OPPONENT) -> NDArray[Any]:
    """(h, w, 3) XYZ of a spectrum already blurred, which is used up."""
    from scipy.fft import idctn

    planes = idctn(spectrum, type=2, axes=(1, 2), norm="ortho", overwrite_x=True)
    back = np.linalg.inv(np.array(opponent)).astype(spectrum.dtype)
    return np.asarray(np.moveaxis(planes, 0, -1) @ back.T)
