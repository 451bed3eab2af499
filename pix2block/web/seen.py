"""What the page is shown of a piece beside its blocks: the fabric's tiles, the picture in blocks,
the piece from afar; each as other eyes see it too. The pictures are the package's own."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from pix2block.color.deficiency import SIGHTS, Sight, in_sight
from pix2block.color.spaces import Bytes, encode_bytes, from_hex, to_hex
from pix2block.color.vision import degrees_across
from pix2block.design.view import View
from pix2block.ground.errors import BadInput, unknown
from pix2block.study.study import Study
from pix2block.web.cropped import whole_picture

if TYPE_CHECKING:
    from starlette.responses import Response

FAR_METRES = 3.0
TILES = (16, 32, 64)  # pixels of a block's side that the page may ask for
WHAT = ("tiles", "picture", "far", "whole")


@lru_cache(maxsize=512)
def seen_color(color: str) -> dict[str, str]:
    """A yarn's colour as each pair of eyes sees it, "#rrggbb"."""
    rgb = np.array(from_hex(color), dtype=np.uint8)
    return {sight: to_hex(in_sight(rgb, sight)) for sight in SIGHTS}


def seen_picture(
    study: Study, what: str, sight: str, pixels: int, view: View | None = None
) -> Bytes:
    """(h, w, 3) 8-bit sRGB: "tiles" of the fabric, so many pixels a side; the "picture", a
    pixel a block, finer where there is a view of it in so many blocks; the "whole" of it, small;
    the piece from "far".

    Raises BadInput for what there is not.
    """
    if what not in WHAT:
        raise BadInput(unknown("view", what, WHAT))
    eyes = _sight(sight)
    chart = study.chart
    if what == "tiles":
        from pix2block.pages.preview import fabric_tiles

        pixels = min(TILES, key=lambda known: abs(known - pixels))
        return in_sight(fabric_tiles(chart, pixels), eyes)
    if what == "whole" and view is not None:
        return in_sight(whole_picture(view), eyes)
    if what in ("picture", "whole"):
        means = chart.block_means
        if means is None:
            raise BadInput("this piece is not from a picture")
        if view is not None and means.shape[:2] == (view.frame.height, view.frame.width):
            return in_sight(encode_bytes(view.light()), eyes)
        return in_sight(means, eyes)
    from pix2block.pages.preview import fabric_from_afar

    degrees = degrees_across(study.amounts.measures.block_cm, FAR_METRES)
    return in_sight(fabric_from_afar(chart, degrees), eyes)


def seen_png(
    study: Study, what: str, sight: str, pixels: int, view: View | None = None
) -> Response:
    """The same as an answer."""
    from PIL import Image
    from starlette.responses import Response

    from pix2block.drawing.png import packed

    picture = Image.fromarray(seen_picture(study, what, sight, pixels, view))
    return Response(packed(picture), media_type="image/png")


def _sight(name: str) -> Sight:
    for sight in SIGHTS:
        if sight == name:
            return sight
    raise BadInput(unknown("eyes", name, SIGHTS))
