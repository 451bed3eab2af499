"""The views of a palette on a trial sheet."""

from __future__ import annotations

import base64
import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from pix2block.chart.chart import Chart
from pix2block.color.deficiency import Sight, in_sight
from pix2block.color.spaces import Bytes, from_hex
from pix2block.drawing.style import PAPER
from pix2block.ground.frozen import dataclass
from pix2block.pages.preview import as_png, fabric, fabric_from_afar
from pix2block.trial.trial import Seeing

_FABRIC_SIDE = 800  # pixels, about, of the longer side
_FABRIC_PIXELS = (2, 14)  # a block
OTHER_SIGHTS: tuple[Sight, ...] = ("grey", "protan", "deutan", "tritan")


@dataclass(frozen=True, eq=False)
class Views:
    """chart: (height, width, 3) 8-bit sRGB, a pixel a block; near, far: of the fabric, larger;
    others: the chart in grey and as other eyes see it."""

    chart: Bytes
    near: Bytes
    far: Bytes
    others: tuple[tuple[Sight, Bytes], ...]


def views_of(chart: Chart, seeing: Seeing) -> Views:
    """Every view of a chart."""
    low, high = _FABRIC_PIXELS
    pixels = max(low, min(high, _FABRIC_SIDE // max(chart.width, chart.height)))
    paper = np.array([from_hex(PAPER)], dtype=np.uint8)
    colors = np.concatenate([chart.yarn_rgb, paper])[chart.blocks]
    return Views(
        chart=colors,
        near=fabric(chart, pixels=pixels),
        far=fabric_from_afar(chart, seeing.far),
        others=tuple((sight, in_sight(colors, sight)) for sight in OTHER_SIGHTS),
    )


def edges_of(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """(n, 4) x1, y1, x2, y2 of the sides between a block of a mask and one outside it."""
    padded = np.pad(mask, 1)
    upright = padded[1:-1, 1:] != padded[1:-1, :-1]
    level = padded[1:, 1:-1] != padded[:-1, 1:-1]
    y, x = np.nonzero(upright)
    sides = [np.stack([x, y, x, y + 1], axis=1)]
    y, x = np.nonzero(level)
    sides.append(np.stack([x, y, x + 1, y], axis=1))
    return np.concatenate(sides)


def png_address(pixels: Bytes) -> str:
    """A picture inside a page, without loss."""
    return "data:image/png;base64," + base64.b64encode(as_png(pixels)).decode()


def jpeg_address(pixels: Bytes) -> str:
    """A picture inside a page, small."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=82)
    return "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode()
