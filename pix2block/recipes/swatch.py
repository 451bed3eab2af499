"""The swatch at hand: keeping it in a file, saying what it gives."""

from __future__ import annotations

import json
from pathlib import Path

from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.files import save_all
from pix2block.ground.forms import entry_of
from pix2block.ground.units import CM_PER_INCH
from pix2block.options.swatch import SWATCH_FILE, SwatchOptions
from pix2block.recipes.keeping import keep_foreign
from pix2block.recipes.supplies import open_swatches
from pix2block.yarn.swatch import (
    Measured,
    Sizes,
    differing_blocks,
    loops_of_swatch,
    questions,
    sizes_of,
    swatch_of,
)
from pix2block.yarn.swatch_file import checked, with_swatch, write_swatches


def measured_of(asked: SwatchOptions) -> Measured | None:
    """The swatch that options describe, None where they describe none.

    Raises BadInput where something is missing.
    """
    told = (asked.blocks, asked.measured, asked.grams, asked.unravelled)
    if not any(told):
        return None
    if not (asked.blocks and asked.measured):
        raise BadInput(
            "a swatch needs ",
            Ask("blocks"),
            " and ",
            Ask("measured"),
            ", and best ",
            Ask("grams"),
            " or ",
            Ask("unravelled"),
            " too: add what is missing",
        )
    if asked.grams and not asked.label:
        raise BadInput(
            Ask("grams"), " needs the label's metres and grams: add ", Ask("label", "200m/100g")
        )
    given = {
        "yarn": asked.yarn,
        "grams": asked.grams,
        "label_metres": asked.label[0] if asked.label else None,
        "label_grams": asked.label[1] if asked.label else None,
        "unravelled": asked.unravelled[0] if asked.unravelled else None,
        "unravelled_cm": asked.unravelled[1] if asked.unravelled else None,
        "held": asked.held,
        "block": asked.block,
        "weight": asked.weight,
        "hook_mm": asked.hook,
        "scale_g": asked.scale,
        "ruler_mm": asked.ruler,
    }
    kept = {name: value for name, value in given.items() if value is not None}
    return Measured(asked.blocks, asked.measured, **kept)  # type: ignore[arg-type]


def keep_swatch(asked: SwatchOptions) -> tuple[tuple[Measured, ...], Path]:
    """The swatches of the file, with the one that options describe added and kept, and the file.
    One that a hand has written, with words of its own, is first kept beside.

    Raises BadInput where there is neither a file nor a swatch, or where they do not fit.
    """
    every, path, _ = swatch_kept(asked)
    return every, path


def swatch_kept(asked: SwatchOptions) -> tuple[tuple[Measured, ...], Path, tuple[str, ...]]:
    """The same as `keep_swatch`, and what is said of a file that was kept beside."""
    path = Path(asked.file or SWATCH_FILE)
    new = measured_of(asked)
    if new is None:
        if not path.is_file():
            raise BadInput(
                f"no swatch in {path}: give ",
                Ask("blocks", "6x6"),
                " ",
                Ask("measured", "17x17cm"),
                " and ",
                Ask("grams", "25g"),
                " ",
                Ask("label", "200m/100g"),
            )
        return open_swatches(path), path, ()
    kept = open_swatches(path) if path.is_file() else ()
    every = checked(with_swatch(kept, new), str(path) if kept else "this swatch")
    as_written = write_swatches(kept).encode()
    found = keep_foreign(path, lambda data: data == as_written)
    save_all(path.parent, {path.name: write_swatches(every).encode()}, lambda _: found.moves)
    return every, path, found.notes


def swatch_lines(measured: tuple[Measured, ...], path: Path) -> list[str]:
    """What swatches give, in a maker's words; then what looks wrong with them."""
    lines: list[str] = []
    for one in measured:
        sizes = sizes_of(one)
        held = ", held double" if one.held == 2 else ""
        name = one.yarn or "Any yarn"
        lines.append(
            f"{name}{held}: a block is {sizes.block_cm:.2f} cm ± {sizes.block_cm_error:.2f} "
            f"({sizes.block_cm / CM_PER_INCH:.2f} in), a loop {sizes.loop_cm:.2f} cm "
            f"{_how_sure(one, sizes)}"
        )
        skein = _blocks_a_skein(one)
        allowed = 100 * sizes.loop_cm_error / sizes.loop_cm
        by = "with label and hand, " if one.measures_yarn else ""
        lines.append(f"  {sizes.loops:,} loops; {by}plans allow ± {allowed:.0f} %{skein}")
    asked = [q for one in measured for q in questions(one)]
    differ = differing_blocks(measured)
    lines += [f"Look again: {question}" for question in (*asked, *([differ] if differ else []))]
    return [*lines, Advice(f"Kept in {path}: plan with ", Ask("swatch", str(path)))]


def _how_sure(one: Measured, sizes: Sizes) -> str:
    if not one.measures_yarn:
        return "guessed from that size: weigh the swatch to know"
    return f"± {max(0.01, sizes.by_hand):.2f} by {'scale' if one.grams else 'ruler'}"


def _blocks_a_skein(one: Measured) -> str:
    if not one.label_metres:
        return ""
    a_block = loops_of_swatch(one.blocks, one.block) / (one.blocks[0] * one.blocks[1])
    blocks = one.label_metres * 100 / (one.held * a_block * sizes_of(one).loop_cm)
    return f"; about {blocks:.0f} blocks a skein, without tails"


def swatch_json(measured: tuple[Measured, ...]) -> str:
    """What swatches give, for programs."""
    swatch = swatch_of(measured)
    figures = {
        "block_cm": round(swatch.block_cm, 4),
        "block_cm_error": round(swatch.block_cm_error or 0, 4),
        "loop_cm": round(swatch.loop_cm, 4),
        "loop_cm_error": round(swatch.loop_cm_error or 0, 4),
        "yarns": [entry_of(own) for own in swatch.yarns],
        "questions": [q for one in measured for q in questions(one)],
    }
    return json.dumps(figures, indent=1, ensure_ascii=False) + "\n"
