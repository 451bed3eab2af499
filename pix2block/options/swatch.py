"""The options of a swatch: what a maker measures. Declared once, as those of `options` are."""

from __future__ import annotations

from dataclasses import dataclass

from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.options.asking import Asked, option
from pix2block.options.rules import Choice, Size, Whole, Words
from pix2block.options.yarn_rules import Above, Blocks, Label, Unravelled, Weighed

SWATCH = "swatch"
SWATCH_FILE = "swatch.toml"
MEASURED, SURE = "measured", "how sure"


@dataclass(frozen=True, kw_only=True, repr=False)
class SwatchOptions(Asked):
    """What a maker measured; None where she said nothing."""

    file: str | None = option(
        *("output", Words("FILE"), "where swatches are kept", SWATCH), default=SWATCH_FILE
    )
    yarn: str | None = option(
        *(MEASURED, Words("NAME"), "the yarn, as on the shelf", SWATCH), default="any yarn"
    )
    blocks: tuple[int, int] | None = option(
        MEASURED, Blocks(), "blocks across and down; 6x6 or more", SWATCH
    )
    measured: tuple[float, float] | None = option(
        MEASURED, Size("17x16.6cm"), "its size after blocking, inside the edges", SWATCH
    )
    grams: float | None = option(MEASURED, Weighed(), "its weight, tails cut off", SWATCH)
    label: tuple[float, float] | None = option(
        MEASURED, Label(), Advice("metres and grams of a skein, with ", Ask("grams")), SWATCH
    )
    unravelled: tuple[int, float] | None = option(
        MEASURED, Unravelled(), "or the yarn of its last blocks", SWATCH
    )
    held: int | None = option(
        *(MEASURED, Whole(1, 2, "1|2"), "strands of yarn held together", SWATCH), default="1"
    )
    block: settings.BlockKind | None = option(
        *(MEASURED, Choice(settings.BLOCK_KINDS), "stitch of a block, by its US name", SWATCH),
        default="dc",
    )
    weight: int | None = option(
        *(MEASURED, Whole(0, 7, "0-7"), "weight class of the yarn", SWATCH),
        default="not told",
    )
    hook: float | None = option(MEASURED, Above(settings.HOOK_MM[1], "MM"), "hook", SWATCH)
    scale: float | None = option(
        *(SURE, Above(100, "GRAMS"), "how far the scale may be out", SWATCH),
        default=f"{settings.DEFAULT_SCALE_G:g}",
    )
    ruler: float | None = option(
        *(SURE, Above(50, "MM"), "how far the ruler may be out", SWATCH),
        default=f"{settings.DEFAULT_RULER_MM:g}",
    )
