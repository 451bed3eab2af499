"""How a picture is looked at: as a photo, as flat art, or as a chart that it already is."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pix2block.chart.source import Place
from pix2block.color.spaces import Bytes, Floats, decoding_table, encode_bytes, to_lab
from pix2block.design.attention import place_in_frame
from pix2block.design.edges import crisp
from pix2block.design.flat_art import flat_blocks
from pix2block.design.likeness import samples_a_block
from pix2block.design.parts import small_parts
from pix2block.design.subject import SubjectMap, find_subject, samples_to_see, with_heads
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import Progress, heed
from pix2block.picture.artwork import FLAT_SHARE, flat_share
from pix2block.picture.blocks import (
    Frame,
    averaged,
    block_light,
    block_means,
    blocks_of_chart_picture,
    frame_picture,
    squares_of,
)
from pix2block.picture.faces import Box, find_faces, is_face
from pix2block.picture.picture import Picture

WHOLE = (0.0, 0.0, 100.0, 100.0)
_SPARED_PARTS = 60  # small parts, of the subject or not, that keep their colour on an edge
_MOST_HELD = 1_000_000  # samples
_MUCH_LEFT_OUT = 0.05  # a share of the picture that is worth a word


@dataclass(frozen=True)
class Viewing:
    """How a picture is to be looked at. width, height: in blocks, None where it follows the picture
    or, for a chart, is found; crop: left, top, width, height in per cent."""

    width: int | None
    height: int | None
    crop: tuple[float, float, float, float]
    look: settings.Look
    strokes: settings.Strokes


@dataclass(frozen=True, eq=False)
class View:
    """A picture in blocks: the first stage of a chart.

    viewing: what it was made by; look: how it was read; frame: which part of the picture it shows;
    means: (height, width, 3) the mean of each block; colors: (height, width, 3) what yarns are
    matched to; notes: what the maker should know, decisions: what was decided for her, a sentence
    each; behind: (height, width) the blocks whose means are not the picture's, since its backdrop
    was replaced; original: the view before that.
    """

    picture: Picture
    viewing: Viewing
    look: settings.Look
    frame: Frame
    means: Bytes
    colors: Bytes
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()
    behind: NDArray[np.bool_] | None = None
    original: View | None = None

    @cached_property
    def faces(self) -> tuple[Box, ...]:
        """Faces that are found in the picture, and believed, in per cent of it."""
        return tuple(box for box in find_faces(self.picture) if is_face(self.picture, box))

    @cached_property
    def seen_closely(self) -> Floats:
        """(height * n, width * n, 3) CIELAB of the part that is shown, for finding what it is of
        and where edges run."""
        samples, light = samples_to_see(self.frame.width, self.frame.height), self._held_light
        if light is None or self._samples % samples:
            light = block_light(self.picture, self.frame.finer(samples))
        elif self._samples > samples:
            light = averaged(light, self._samples // samples)
        return to_lab(encode_bytes(light))

    @cached_property
    def subject(self) -> SubjectMap:
        """What the picture is of, as it was found; a face is of it."""
        heed()
        found = find_subject(self.seen_closely, len(self.seen_closely) // self.frame.height)
        placed = [self.place("face", box, 1.0) for box in self.faces]
        return with_heads(found, [face for face in placed if face])

    @cached_property
    def crisp(self) -> Bytes:
        """(height, width, 3) the colours of the blocks of a photo, those on an edge of one side."""
        heed()
        everywhere = np.ones(self.means.shape[:2])
        parts = small_parts(self.means, everywhere, _SPARED_PARTS)
        return crisp(self.means, self.seen_closely, parts)

    def place(self, what: str, box: Box, weight: float) -> Place | None:
        """A box in per cent of the picture, in blocks; None where it lies outside."""
        return place_in_frame(what, box, weight, self.picture.size, self.frame)

    def light(self) -> NDArray[Any]:
        """(height * n, width * n, 3) linear sRGB of the part that is shown, n samples a block, in
        single precision."""
        samples, light = self._samples, self._held_light
        if light is None:
            light = self._light()
        if self.behind is None:
            return light
        flat, behind = (
            one.repeat(samples, axis=0).repeat(samples, axis=1)
            for one in (decoding_table().astype(np.float32)[self.means], self.behind)
        )
        return np.where(behind[..., None], flat, light)

    @property
    def _samples(self) -> int:
        return samples_a_block(self.frame.width, self.frame.height)

    def _light(self) -> NDArray[Any]:
        light = block_light(self.picture, self.frame.finer(self._samples), kind=np.float32)
        light.setflags(write=False)
        return light

    @cached_property
    def _held_light(self) -> NDArray[Any] | None:
        """The picture's own light, kept where it is small, since it is looked at twice."""
        samples = self.frame.width * self.frame.height * self._samples**2
        return self._light() if samples <= _MOST_HELD else None

    def before(self, inside: NDArray[np.bool_], means: Bytes, colors: Bytes) -> View:
        """The view with another backdrop. inside: (height, width) the subject; means, colors: of
        all blocks then."""
        return replace(self, means=means, colors=colors, behind=~inside, original=self)


def view_picture(
    picture: Picture | View, viewing: Viewing, progress: Progress | None = None
) -> View:
    """The picture in blocks. A view that was made in this way is taken as it is.

    progress: called with lines of the picture averaged, and in all.

    Raises BadInput for a size that the picture does not fill.
    """
    if isinstance(picture, View):
        picture = picture.original or picture
        if picture.viewing == viewing:
            return picture
        picture = picture.picture
    if viewing.look == "blocks":
        means = blocks_of_chart_picture(picture, viewing.width, viewing.height)
        height, width = means.shape[:2]
        frame = frame_picture(picture.size, width, height)
        return View(picture, viewing, "blocks", frame, means, means)
    frame = frame_picture(picture.size, viewing.width, viewing.height, viewing.crop)
    notes = _left_out(picture, frame, viewing)
    means = block_means(picture, frame, progress)
    decisions: tuple[str, ...] = ()
    if viewing.look == "auto":
        look, decisions = _flat_or_photo(picture)
    else:
        look = "photo" if viewing.look == "tones" else viewing.look
    if look == "photo":
        return View(picture, viewing, look, frame, means, means, notes, decisions)
    colors, told = flat_blocks(picture, frame, viewing.crop, viewing.strokes)
    told += _already_a_chart(picture, frame, viewing)
    return View(picture, viewing, look, frame, means, colors, (*notes, *told), decisions)


def _already_a_chart(picture: Picture, frame: Frame, viewing: Viewing) -> list[str]:
    squares = squares_of(picture) if viewing.crop == WHOLE else None
    if squares is None or squares == (frame.width, frame.height):
        return []
    across, down = squares
    return [
        Advice(
            f"{picture.name} is made of equal squares, a chart of {across} x {down} blocks: ",
            Ask("look", "blocks"),
            " takes it exactly.",
        )
    ]


def _left_out(picture: Picture, frame: Frame, viewing: Viewing) -> tuple[str, ...]:
    _, _, w, h = viewing.crop
    asked = picture.size[0] * w / 100 * (picture.size[1] * h / 100)
    left_out = 1 - frame.block**2 * frame.width * frame.height / asked
    if left_out <= _MUCH_LEFT_OUT:
        return ()
    return (
        f"{frame.width} x {frame.height} blocks leave out {100 * left_out:.0f} % of the "
        "picture, as much on either side; nothing is stretched.",
    )


def _flat_or_photo(picture: Picture) -> tuple[settings.Look, tuple[str, ...]]:
    flat = flat_share(picture) >= FLAT_SHARE
    return "flat" if flat else "photo", (
        Advice(
            f"Read as {'flat art' if flat else 'a photo'} (",
            Ask("look", "photo" if flat else "flat"),
            " for the other way).",
        ),
    )
