"""How a picture is to be looked at: what options ask of its view, and what matters in it: places
that a maker minds, colours that are to get a yarn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pix2block.amounts.border import border_of
from pix2block.amounts.measures import measures_of
from pix2block.chart.chart import Border, Chart
from pix2block.chart.source import Place
from pix2block.color.spaces import Bytes, Floats
from pix2block.design.attention import aimed_weights, minded_weights
from pix2block.design.features import Feature
from pix2block.design.parts import small_parts
from pix2block.design.subject import SubjectMap, subject_weights
from pix2block.design.view import WHOLE, View, Viewing
from pix2block.ground import settings
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import round_half_up
from pix2block.options.picture_rules import FACES, NO_SUBJECT, Minded
from pix2block.options.table import Options
from pix2block.options.yarn_rules import NO_BORDER
from pix2block.picture.faces import Box
from pix2block.recipes.subject_map import subject_note, subject_of, subject_words
from pix2block.yarn.swatch import Swatch
from pix2block.yarn.yarn import Yarn, name_key


def viewing_of(
    options: Options, swatch: Swatch | None = None, shelf: Sequence[Yarn] = ()
) -> Viewing:
    """What options ask of a view. swatch: what tells a block's side, None for a guess from the
    weight class; shelf: yarns among which a border's may be.

    Raises BadInput for options that do not go together.
    """
    look = options.look or settings.DEFAULT_LOOK
    width, height = options.width, options.height
    if look == "blocks" and (options.size or options.crop):
        raise BadInput(
            Ask("look", "blocks"),
            " takes the whole picture: leave out ",
            Ask("size"),
            " and ",
            Ask("crop"),
        )
    if options.size:
        if width or height:
            raise BadInput(
                Ask("size"), " sets both sides: leave out ", Ask("width"), " and ", Ask("height")
            )
        block_cm, added_cm = _block_and_border_cm(options, swatch, shelf)
        width, height = (
            max(1, round_half_up((side - added_cm) / block_cm)) for side in options.size
        )
    elif not (width or height or look == "blocks"):
        width = settings.DEFAULT_WIDTH
    return Viewing(
        width, height, options.crop or WHOLE, look, options.strokes or settings.DEFAULT_STROKES
    )


def _block_and_border_cm(
    options: Options, swatch: Swatch | None, shelf: Sequence[Yarn]
) -> tuple[float, float]:
    """A block's side, and what a border adds to a side, as a chart of one block has them."""
    asked = NO_BORDER if options.border is None else options.border
    named = (yarn for yarn in shelf if name_key(yarn.name) == name_key(asked.yarn))
    one = Chart(
        "One block",
        np.zeros((1, 1), dtype=np.int64),
        (next(named, Yarn(asked.yarn or "Yarn", "#000000")),),
        last_row=1,
        block=options.block or settings.DEFAULT_BLOCK,
        weight=settings.DEFAULT_WEIGHT if options.weight is None else options.weight,
        swatch=swatch,
        border=None if asked == NO_BORDER else Border(asked.rounds, asked.stitch, 0),
        hook_mm=options.hook,
        gauge=options.gauge,
    )
    measures = measures_of(one)
    border = border_of(one, measures, 0.0)
    return measures.block_cm, border.added_cm if border else 0.0


FACE_COUNTS = 2.5  # a found face
_FACE_BLOCKS = 20  # across, for eyes to be seen


@dataclass(frozen=True, eq=False)
class Matters:
    """colors: (height, width, 3) what yarns are matched to; weights: (height, width) how much each
    block counts when colours are chosen; minded: the places behind them; spots: (n, 3) colours that
    are to get a yarn; parts: small ones of the subject; even: (height, width) the weights without a
    subject; reads: whether yarns are chosen for the eye, not for the least error; subject: what the
    picture is of, None where every block is to count alike; notes, decisions: for the maker, a
    sentence each."""

    colors: Bytes
    weights: Floats
    minded: tuple[Place, ...]
    spots: Bytes
    even: Floats
    parts: tuple[Feature, ...] = ()
    reads: bool = False
    subject: SubjectMap | None = None
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()


def what_matters(view: View, options: Options) -> Matters:
    """What was minded, as far as the view shows it."""
    asked, told = _asked(view, options)
    places, notes = [], list(told)
    for what, box, weight in asked:
        place = view.place(what, box, weight)
        if place is None:
            notes.append(
                f"{','.join(f'{side:g}' for side in box[: 2 if what == 'spot' else 4])} lies "
                "outside the part of the picture that is charted, and is left aside."
            )
        else:
            places.append(place)
    shape = (view.frame.height, view.frame.width)
    weights = minded_weights(shape, [p for p in places if p.what != "spot"])
    aim = options.aim or settings.DEFAULT_AIM
    reads = view.look == "photo" and not (aim == "area" and options.subject == NO_SUBJECT)
    subject = subject_of(view, options)
    colors = view.crisp if reads else view.colors
    aimed = aimed_weights(colors, aim)
    even = weights * aimed
    parts: tuple[Feature, ...] = ()
    if subject is not None:
        parts = small_parts(colors, subject.believed) if reads else ()
        weights = weights * subject_weights(subject.believed, parts)
    weights = _rounded(weights * aimed)
    spots = [view.colors[int(p.top), int(p.left)] for p in places if p.what == "spot"]
    return Matters(
        colors,
        weights,
        tuple(places),
        np.array(spots, dtype=np.uint8).reshape(-1, 3),
        even,
        parts,
        reads,
        subject,
        notes=(*notes, *filter(None, [subject_note(subject)])),
        decisions=tuple(filter(None, [subject_words(view, subject)])),
    )


def _asked(view: View, options: Options) -> tuple[list[tuple[str, Box, float]], list[str]]:
    """What was minded: what it is, its box in per cent of the picture, its weight; and notes."""
    asked: list[tuple[str, Box, float]] = []
    notes: list[str] = []
    for mind in options.mind or ():
        if isinstance(mind, Minded):
            asked.append(("asked", mind.box, mind.weight))
            continue
        where = "; ".join(",".join(f"{side:.0f}" for side in box) for box in view.faces)
        notes.append(
            Advice(
                f"faces found at {where} (left, top, width, height in per cent): look at the "
                "boxes in subject.png, and use ",
                Ask("mind", "X,Y,W,H"),
                " where they are wrong.",
            )
            if where
            else Advice("no face was found: use ", Ask("mind", "X,Y,W,H"), " to say what matters.")
        )
    by_itself = view.look == "photo" and options.subject != NO_SUBJECT
    if by_itself or FACES in (options.mind or ()):
        asked += [("face", box, FACE_COUNTS) for box in view.faces]
        notes += _small_faces(view)
    asked += [("spot", (x, y, 0.0, 0.0), 1.0) for x, y in options.spot or ()]
    return asked, notes


def _small_faces(view: View) -> list[str]:
    """How to give a face blocks enough for eyes, where it has too few."""
    notes: list[str] = []
    across, down = view.picture.size
    for x, y, w, h in view.faces:
        blocks = w * across / 100 / view.frame.block
        if not 1 <= blocks < _FACE_BLOCKS:
            continue
        wide = min(2 * w, 100.0)
        high = min(wide * across / down * 1.25, 100.0)
        left = min(max(x + w / 2 - wide / 2, 0), 100 - wide)
        top = min(max(y + h / 2 - high / 2, 0), 100 - high)
        then = view.frame.width * w / wide
        if then < blocks * 1.2:
            continue
        notes.append(
            Advice(
                f"a face is {blocks:.0f} blocks wide, and eyes need some {_FACE_BLOCKS}: ",
                Ask("crop", ",".join(f"{side:.0f}" for side in (left, top, wide, high))),
                f" gives it {then:.0f}.",
            )
        )
    return notes


def _rounded(weights: Floats) -> Floats:
    """To four digits, as they are kept."""
    digits = 10.0 ** (3 - np.floor(np.log10(np.where(weights > 0, weights, 1))))
    return np.asarray(np.round(weights * digits) / digits)
