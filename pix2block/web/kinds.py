"""What kind of piece it is: blanket, cushion or scarf by its size, stripes and a shawl by a stripe
plan, which a piece from a picture becomes in its own yarns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.ground.quantities import parse_size_cm
from pix2block.ground.units import round_half_up
from pix2block.options.table import STRIPE
from pix2block.stripes.plan_file import FULL_LENGTH
from pix2block.study.study import Study
from pix2block.web.plan import data_of, text_of
from pix2block.web.rest import SPECS
from pix2block.web.slip_nouns import Field, Place, Slip
from pix2block.web.wanted import Wanted, bare_name
from pix2block.web.words import figure, size_asked
from pix2block.yarn.columns import FIELDS
from pix2block.yarn.yarn import Yarn

USUAL_CM = {  # shorter and longer side; common practice
    "cushion": (45, 45),
    "cot blanket": (75, 100),
    "lap blanket": (100, 120),
    "bed throw": (130, 170),
    "scarf": (25, 180),
}
SHAWL_CM = 150  # from tip to tip; common practice
STRIPES, SHAWL = "stripes", "shawl"
_MOST_IN_TURN = 5  # yarns of a plan that is made for her
_ROWS = 2  # of a stripe


def kind_slip(study: Study, wanted: Wanted) -> Slip:
    """What opens under its word."""
    places = [Place(None, "as it is", True, "kind")]
    if wanted.plan:
        full = _full(data_of(wanted.plan))
        for name in ("lap blanket", "scarf"):
            words = f"a {name}, {USUAL_CM[name][0]} cm wide, {FULL_LENGTH}"
            places.append(Place(name, words, False, "kind") if full else _sized(name, "kind", name))
        if not study.chart.is_triangle:
            words = f"a shawl, {FULL_LENGTH if full else f'{SHAWL_CM} cm from tip to tip'}"
            places.append(Place(SHAWL, words, False, "kind"))
        picture = Field("", "or a piece from a picture", "file", "picture")
        return Slip("kind", "what kind of piece it is", "", tuple(places), True, (picture,))
    wide = study.chart.width > study.chart.height
    fields: tuple[Field, ...] = ()
    if wanted.picture:
        places += [_sized(name, "size", "", wide) for name in ("cushion", "lap blanket", "scarf")]
    else:
        fields = (Field("", "another size needs the picture", "file", "picture"),)
    places += [
        Place(STRIPES, "stripes in its yarns", False, "kind"),
        Place(SHAWL, "a shawl, striped in its yarns", False, "kind"),
    ]
    said = "Of a picture, what does not fit is left away on both sides. Stripes have no picture."
    return Slip("kind", "what kind of piece it is", said, tuple(places), True, fields)


def usual_sizes(wide: bool) -> list[Place]:
    """Sizes of blankets that are usual."""
    return [_sized(name, "size", "", wide) for name in ("cot blanket", "lap blanket", "bed throw")]


def _sized(name: str, word: str, value: str, wide: bool = False) -> Place:
    short, long = USUAL_CM[name]
    across, down = (long, short) if wide else (short, long)
    size = f"{across}x{down}cm"
    return Place(value or size, f"a {name}, {figure(f'{across} × {down} cm')}", False, word)


def of_kind(study: Study, wanted: Wanted, kind: str) -> Wanted:
    """What is asked of a piece of another kind: of a plan its shape and size, else a plan of the
    piece's yarns. Raises BadInput for a kind that there is not."""
    side = study.amounts.measures.block_cm
    if wanted.plan:
        data = data_of(wanted.plan)
        known = _full(data)
        _shape(data, kind, side, FULL_LENGTH if known else None)
        plan = text_of(data)
    else:
        width, height = study.chart.width, study.chart.height
        own = [y for y, used in zip(study.chart.yarns, study.chart.used, strict=True) if used]
        shelf = "shelf" in wanted.words
        plan = striped_plan(study.chart.title, own, kind, side, (width, height), shelf)
    words = {name: said for name, said in wanted.words.items() if STRIPE in SPECS[name].commands}
    name = wanted.picture if wanted.plan else f"{bare_name(study.chart.title)}.toml"
    return replace(wanted, words=words, picture=name, known=True, plan=plan)


def as_far_as_yarn(text: str) -> str:
    """A plan that is as long as the yarn on hand allows."""
    data = data_of(text)
    data["rows" if data.get("shape") == "triangle" else "length"] = FULL_LENGTH
    data.pop("wingspan", None)
    return text_of(data)


def striped_plan(
    title: str,
    yarns: Sequence[Yarn],
    kind: str,
    side_cm: float,
    blocks: tuple[int, int] | None = None,
    shelf: bool = False,
) -> str:
    """The text of a plan of yarns in turn. blocks: across and down, where they are told; shelf:
    whether the yarns are of a shelf that is given with it. Raises BadInput for a kind that
    there is not."""
    data: dict[str, Any] = {"title": title}
    if blocks and kind != SHAWL:
        data |= {"width": blocks[0], "length": blocks[1]}
    else:
        _shape(data, kind, side_cm, None)
    if not shelf:
        data["yarn"] = [yarn_table(yarn) for yarn in yarns]
    data["part"] = [{"order": [yarn.name for yarn in yarns[:_MOST_IN_TURN]], "rows": _ROWS}]
    return text_of(data)


def plan_size(text: str, side_cm: float) -> tuple[int, int] | None:
    """Blocks across and down of a size as it is typed; None where none is. Raises BadInput for one
    that cannot be read."""
    if not text.strip():
        return None
    asked = size_asked(text, 1.0, 1.0)
    if "width" in asked:
        return int(asked["width"]), int(asked.get("height", asked["width"]))
    width, height = parse_size_cm(asked["size"])
    return max(1, round_half_up(width / side_cm)), max(1, round_half_up(height / side_cm))


def _full(data: dict[str, Any]) -> bool:
    return FULL_LENGTH in (data.get("length"), data.get("rows"))


def _shape(data: dict[str, Any], kind: str, side_cm: float, full: str | None) -> None:
    """Another shape and size of a plan. full: its length, where that is as far as yarn goes. Raises
    BadInput for a kind that there is not."""
    if kind not in (STRIPES, SHAWL, *USUAL_CM):
        raise BadInput(f'no kind "{kind}": choose one of those that are shown')
    for key in ("shape", "width", "length", "rows", "wingspan"):
        data.pop(key, None)
    if kind == SHAWL:
        data["shape"] = "triangle"
        data |= {"rows": full} if full else {"wingspan": f"{SHAWL_CM} cm"}
        return
    short, long = USUAL_CM["lap blanket" if kind == STRIPES else kind]
    data["width"] = max(1, round_half_up(short / side_cm))
    data["length"] = full or f"{long} cm"


def yarn_table(yarn: Yarn) -> dict[str, Any]:
    """A yarn as a plan has it."""
    cells = ((name, getattr(yarn, name)) for name in FIELDS)
    plain = (int, float, str)
    return {
        name: cell if isinstance(cell, plain) else str(cell)
        for name, cell in cells
        if cell not in (None, "")
    }
