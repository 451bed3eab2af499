"""The options of a swatch: what a maker measures. Declared once, as those of `options` are."""

from __future__ import annotations

from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, option
from pix2block.options.rules import Choice, Number, Size, Whole, Words
from pix2block.options.table import OUTPUT
from pix2block.options.yarn_rules import Blocks, Label, Unravelled, Weighed

SWATCH = "swatch"
SWATCH_FILE = "swatch.toml"
MEASURED, SURE = "measured", "how sure"


@dataclass(frozen=True, kw_only=True, repr=False)
class SwatchOptions(Asked):
    """What a maker measured; None where she said nothing."""

    # fmt: off
    file: str | None = option(OUTPUT, Words("FILE"), (SWATCH,),
        "where swatches are kept", default=SWATCH_FILE)
    yarn: str | None = option(MEASURED, Words("NAME"), (SWATCH,),
        "the yarn, as on the shelf", shown="any yarn")
    blocks: tuple[int, int] | None = option(MEASURED, Blocks(), (SWATCH,),
        "blocks across and down; 6x6 or more")
    measured: tuple[float, float] | None = option(MEASURED, Size("17x16.6cm"), (SWATCH,),
        "its size after blocking, inside the edges")
    grams: float | None = option(MEASURED, Weighed(), (SWATCH,),
        "its weight, tails cut off")
    label: tuple[float, float] | None = option(MEASURED, Label(), (SWATCH,),
        Advice("metres and grams of a skein, with ", Ask("grams")))
    unravelled: tuple[int, float] | None = option(MEASURED, Unravelled(), (SWATCH,),
        "or the yarn of its last blocks")
    held: int | None = option(MEASURED, Whole(1, 2, form="1|2"), (SWATCH,),
        "strands of yarn held together", default=settings.DEFAULT_HELD)
    block: settings.BlockKind | None = option(MEASURED, Choice(settings.BLOCK_KINDS), (SWATCH,),
        "stitch of a block, by its US name", default=settings.DEFAULT_BLOCK)
    weight: int | None = option(MEASURED, Whole(0, 7, form="0-7"), (SWATCH,),
        "weight class of the yarn", shown="not told")
    hook: float | None = option(MEASURED, Number(settings.HOOK_MM[1], "mm", above=True), (SWATCH,),
        "hook")
    scale: float | None = option(SURE, Number(100, "grams", above=True), (SWATCH,),
        "how far the scale may be out", default=settings.DEFAULT_SCALE_G)
    ruler: float | None = option(SURE, Number(50, "mm", above=True), (SWATCH,),
        "how far the ruler may be out", default=settings.DEFAULT_RULER_MM)
    # fmt: on
