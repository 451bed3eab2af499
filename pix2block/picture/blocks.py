"""Block colours: the mean of the picture in linear light over each block, parts of pixels too.

Light adds linearly: a checkerboard of black and white averages to sRGB 188, not 128.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import MOST_BLOCKS_A_SIDE
from pix2block.ground.units import round_half_up
from pix2block.picture.picture import Picture

# Small strips stay in the processor's cache: 400,000 pixels at once took up to five times as long.
FEWEST_SQUARES = 8  # a side, of a picture that is told to be a chart
_PIXELS_AT_ONCE = 60_000
_PIXELS_AVERAGED = 10_000  # of lines already averaged
_SMALLEST_BLOCK = 1e-6  # of a pixel; below it, sums of shares lose their digits
# Of a larger chart some by some blocks are one where parts are sought: its parts are large too.
_MOST_FOR_PARTS = 120_000


@dataclass(frozen=True)
class Frame:
    """The part of a turned picture that becomes the chart: left, top and block in pixels,
    width and height in blocks. Blocks are square."""

    left: float
    top: float
    block: float
    width: int
    height: int

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom in pixels."""
        right = self.left + self.block * self.width
        return self.left, self.top, right, self.top + self.block * self.height

    def finer(self, samples: int) -> Frame:
        """The same part of the picture with so many samples to a side of a block."""
        size = (self.width * samples, self.height * samples)
        return Frame(self.left, self.top, self.block / samples, *size)


def frame_picture(
    size: tuple[int, int],
    width: int | None = None,
    height: int | None = None,
    crop: tuple[float, float, float, float] = (0, 0, 100, 100),
) -> Frame:
    """How a picture of `size` pixels (width, height) fills a chart.

    width, height: in blocks; with one given, the other keeps the picture's proportion, rounded
    half up, at least 1. What does not fit is cropped, centred; nothing is stretched. crop: left,
    top, width, height in per cent.

    Raises BadInput where a side would be below 1 or over 1,000 blocks, or a crop too small.
    """
    x, y, w, h = crop
    left, top = size[0] * x / 100, size[1] * y / 100
    across, down = size[0] * w / 100, size[1] * h / 100
    if width is None and height is None:
        raise BadInput("the chart needs a width or a height in blocks")
    if height is None:
        assert width is not None
        height = max(1, round_half_up(width * down / across))
    elif width is None:
        width = max(1, round_half_up(height * across / down))
    for side, blocks in (("width", width), ("height", height)):
        if not 1 <= blocks <= MOST_BLOCKS_A_SIDE:
            raise BadInput(
                f"the chart would be {width} x {height} blocks: "
                f"choose a {side} from 1 to {MOST_BLOCKS_A_SIDE}"
            )
    block = min(across / width, down / height)
    if block < _SMALLEST_BLOCK:
        raise BadInput("so small a crop holds next to nothing of the picture: make it larger")
    return Frame(
        left=left + (across - block * width) / 2,
        top=top + (down - block * height) / 2,
        block=block,
        width=width,
        height=height,
    )


def block_means(
    picture: Picture, frame: Frame, progress: Callable[[int, int], None] | None = None
) -> Bytes:
    """(height, width, 3) 8-bit sRGB: the mean light of each block.

    progress: called with lines of blocks done and in all.
    """
    return encode_bytes(block_light(picture, frame, progress))


def block_light(
    picture: Picture,
    frame: Frame,
    progress: Callable[[int, int], None] | None = None,
    kind: type[np.floating] = np.float64,
) -> NDArray[Any]:
    """(height, width, 3) linear sRGB: the mean light of each block. kind: of its numbers."""
    left, top, right, bottom = picture.stored_box(frame.box)
    lines, columns = frame.height, frame.width
    if picture.orientation >= 5:
        lines, columns = columns, lines
    stored_width, stored_height = picture.image.size
    first, last = max(0, math.floor(left + 1e-9)), min(stored_width, math.ceil(right - 1e-9))
    x_edges = np.clip(left + (right - left) * np.arange(columns + 1) / columns, first, last) - first
    y_edges = np.clip(top + (bottom - top) * np.arange(lines + 1) / lines, 0, stored_height)
    means = np.empty((lines, columns, 3), dtype=kind)
    light = np.empty((max(1, _PIXELS_AVERAGED // (last - first)), last - first, 3))
    for start in range(0, lines, len(light)):
        some = range(start, min(start + len(light), lines))
        strip = _Strip(picture, (first, last), (y_edges[some.start], y_edges[some.stop]))
        for at, line in enumerate(some):
            light[at] = strip.mean((y_edges[line], y_edges[line + 1]))
            if progress:
                progress(line + 1, lines)
        means[some.start : some.stop] = _column_means(light[: len(some)], x_edges)
    return picture.turned(picture.profile.to_srgb_light(means))


def taken_as_one(shape: tuple[int, ...]) -> int:
    """How many by how many blocks of a chart of (height, width, …) are one where parts of it are
    sought."""
    return max(1, math.ceil(math.sqrt(shape[0] * shape[1] / _MOST_FOR_PARTS)))


def coarser(means: Bytes, together: int) -> Bytes:
    """Block means of so many by so many blocks as one, in linear light; the last ones repeated
    where they do not fill one."""
    if together == 1:
        return means
    height, width = means.shape[:2]
    lines, columns = -height % together, -width % together
    filled = np.pad(means, ((0, lines), (0, columns), (0, 0)), mode="edge")
    light = decoding_table()[filled].astype(np.float32)
    return encode_bytes(averaged(light, together))


def averaged(light: NDArray[Any], together: int) -> Floats:
    """(height / n, width / n, 3) means of n by n samples of light."""
    parts = light.reshape(-1, together, light.shape[1] // together, together, 3)
    return np.asarray(parts.mean(axis=(1, 3), dtype=np.float64))


def repeated(mask: NDArray[np.bool_], times: int, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """A mask of blocks taken together, of each of them: (height, width) of a shape."""
    if times == 1:
        return mask
    return mask.repeat(times, axis=0).repeat(times, axis=1)[: shape[0], : shape[1]].copy()


class _Strip:
    """The light of some pixel lines, between two heights, read at once where they are few."""

    def __init__(
        self, picture: Picture, columns: tuple[int, int], edges: tuple[float, float]
    ) -> None:
        self.picture, self.columns = picture, columns
        self.wide = columns[1] - columns[0]
        self.first, last = _pixel_lines(edges)
        few = (last - self.first) * self.wide <= _PIXELS_AT_ONCE
        self.light = self._read(self.first, last) if few else None

    def _read(self, first: int, last: int) -> Floats:
        light = self.picture.light((self.columns[0], first, self.columns[1], last))
        return light.reshape(last - first, -1)

    def mean(self, edges: tuple[float, float]) -> Floats:
        """(columns, 3) mean light between two heights, parts of pixel lines by their share."""
        top, bottom = edges
        first, last = _pixel_lines(edges)
        pixel = np.arange(first, last)
        share = np.minimum(pixel + 1, bottom) - np.maximum(pixel, top)
        share /= share.sum()
        if self.light is not None:
            total = share @ self.light[first - self.first : last - self.first]
            return np.asarray(total).reshape(-1, 3)
        total = np.zeros(self.wide * 3)
        step = max(1, _PIXELS_AT_ONCE // self.wide)
        for start in range(first, last, step):
            stop = min(start + step, last)
            total += share[start - first : stop - first] @ self._read(start, stop)
        return total.reshape(-1, 3)


def _pixel_lines(edges: tuple[float, float]) -> tuple[int, int]:
    """The first and the one after the last that have part in what lies between two heights."""
    return math.floor(edges[0] + 1e-9), math.ceil(edges[1] - 1e-9)


def _column_means(light: Floats, edges: Floats) -> Floats:
    """(lines, blocks, 3) means of (lines, pixels, 3) between `edges`, parts of pixels by their
    share."""
    lines, pixels = light.shape[:2]
    sums = np.zeros((lines, pixels + 1, 3))
    np.cumsum(light, axis=1, out=sums[:, 1:])
    pixel = np.minimum(edges.astype(np.int64), pixels - 1)
    at_edges = sums[:, pixel] + light[:, pixel] * (edges - pixel)[:, None]
    return np.asarray(np.diff(at_edges, axis=1) / np.diff(edges)[:, None])


def blocks_of_chart_picture(
    picture: Picture, width: int | None = None, height: int | None = None
) -> Bytes:
    """(height, width, 3) 8-bit sRGB of a picture that already is a chart.

    A block is one pixel, or one equal square of pixels of one colour: as many as width or height
    say, else the largest square that divides the picture evenly.

    Raises BadInput where the picture does not divide so, or a side has over 1,000 blocks.
    """
    across, down = picture.size
    square = largest = _largest_square(picture)
    if width is not None:
        square = across // width or 1
    elif height is not None:
        square = down // height or 1
    blocks = (across // square, down // square)
    if largest % square or blocks[0] != (width or blocks[0]) or blocks[1] != (height or blocks[1]):
        raise BadInput(
            f"picture {picture.name} is {across // largest} x {down // largest} blocks as a chart: "
            "leave out the size, or use ",
            Ask("look", "photo"),
        )
    if max(blocks) > MOST_BLOCKS_A_SIDE:
        raise BadInput(
            f"picture {picture.name} has {blocks[0]} x {blocks[1]} blocks as a chart, over "
            f"{MOST_BLOCKS_A_SIDE} a side: use ",
            Ask("look", "photo"),
        )
    return picture.pixels(every=square)


def squares_of(picture: Picture) -> tuple[int, int] | None:
    """How many equal squares of one colour a picture consists of, across and down; None where they
    are single pixels, or so few or many that it is no chart."""
    square = _largest_square(picture)
    across, down = (side // square for side in picture.size)
    fits = min(across, down) >= FEWEST_SQUARES and max(across, down) <= MOST_BLOCKS_A_SIDE
    return (across, down) if square > 1 and fits else None


def _largest_square(picture: Picture) -> int:
    """Side in pixels of the largest square that divides a picture into parts of one colour each, or
    of a larger one where these were too many for a chart."""
    square = math.gcd(*picture.size)
    if max(picture.size) // square > MOST_BLOCKS_A_SIDE:
        return square
    top = 0
    for strip in picture.strips():
        columns = np.flatnonzero((strip[:, 1:] != strip[:, :-1]).any(axis=(0, 2))) + 1
        lines = np.flatnonzero((strip[1:] != strip[:-1]).any(axis=(1, 2))) + 1 + max(0, top - 1)
        square = math.gcd(square, *columns.tolist(), *lines.tolist())
        if square == 1:
            break
        top += len(strip) - (top > 0)
    return square
