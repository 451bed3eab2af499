"""A shelf from a photo of skeins on white paper, at the worktable."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.picture.blocks import block_light, frame_picture
from pix2block.picture.picture import open_picture
from pix2block.web.wanted import bring, in_place
from pix2block.yarn.photographed import Photographed, Spot, photographed, shelf_csv

_ACROSS = 480  # blocks in which a photo's light is looked at
_MOST_SKEINS = settings.MOST_YARNS


def read_photo(folder: Path, name: str, paper: Any, skeins: Any) -> list[Photographed]:
    """The yarns of a photo that was brought. paper: spots; skeins: {"name", "at"} each. Raises
    BadInput for what is no spot, or cannot be read."""
    whites = [_spot(one) for one in _listed(paper)]
    touched = [_skein(one, i) for i, one in enumerate(_listed(skeins), 1)]
    picture = open_picture(in_place(folder, name), settings.DEFAULT_BACKGROUND)
    across = min(_ACROSS, *picture.size)
    light = block_light(picture, frame_picture(picture.size, across))
    return photographed(light, whites, touched)


def photo_json(yarns: list[Photographed]) -> list[dict[str, str]]:
    """Yarns for the page."""
    return [{"name": yarn.name, "color": yarn.color, "doubt": yarn.doubt} for yarn in yarns]


def keep_shelf(folder: Path, name: str, yarns: list[Photographed]) -> str:
    """Keep the yarns of a photo as a shelf in the piece's place; its name there."""
    stem = name.rpartition(".")[0] or name
    return bring(folder, f"{stem}.csv", shelf_csv(yarns).encode())


def _listed(given: Any) -> list[Any]:
    if not isinstance(given, list) or len(given) > _MOST_SKEINS:
        raise BadInput(f"touch at most {_MOST_SKEINS} places")
    return given


def _skein(given: Any, number: int) -> tuple[str, Spot]:
    """A skein's name, or one by its number, and where it was touched. Raises BadInput."""
    if not isinstance(given, dict) or not given.keys() <= {"name", "at"}:
        raise BadInput('a skein is {"name": text, "at": [across, down]}')
    return str(given.get("name") or f"Yarn {number}")[:80], _spot(given.get("at"))


def _spot(given: Any) -> Spot:
    if not isinstance(given, list) or len(given) != 2:
        raise BadInput("a spot is two numbers, across and down")
    x, y = (one if isinstance(one, int | float) else -1 for one in given)
    return float(x), float(y)
