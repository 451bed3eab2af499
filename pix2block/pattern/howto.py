"""How each thing is done, for the chosen hand, block and terms; only what this piece needs.

Where no source is named it is common practice (see `craft.stitches` for the construction).
"""

from __future__ import annotations

from collections.abc import Container, Sequence

from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.terms import words
from pix2block.craft.stitches import BLOCKS
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import CM_PER_INCH
from pix2block.pattern.care import WORKING_OVER
from pix2block.pattern.document import Passage, Topic
from pix2block.pattern.pattern import PatternRow
from pix2block.pattern.words import stitch_parts


@dataclass(frozen=True)
class _Say:
    """The words of this pattern. start, end: the sides where a row begins and ends as it faces
    the maker."""

    tall: str
    slip: str
    over: str
    chain: int
    chain_first: int
    into: str
    start: str
    end: str

    @property
    def space(self) -> str:
        return f"ch-{self.chain} space"


def howto_parts(amounts: Amounts, rows: Sequence[PatternRow]) -> tuple[Passage, ...]:
    """Every topic that the rows call for."""
    chart = amounts.chart
    word, block = words(chart.terms), BLOCKS[chart.block]
    start, end = ("right", "left") if chart.hand == "right" else ("left", "right")
    into = stitch_parts(chart)["Corner"].split("; ")[1]
    say = _Say(
        tall=word[block.stitch],
        slip=word["sl st"],
        over=word["yarn over"],
        chain=block.chain,
        chain_first=block.chain_first,
        into=into,
        start=start,
        end=end,
    )
    begins = {row.row.begins for row in rows}
    ends = {row.row.ends for row in rows}
    colors = {color for row in rows for _, color in row.runs}
    topics = [_first_block(say)]
    if "grow" in begins:
        topics.append(_grow(say))
    if len(rows) > 1 and max(row.row.blocks for row in rows) > 1:
        topics.append(_on_a_block(say))
    if "travel" in begins:
        topics.append(_travel(say))
    if len(rows) > 1:
        topics.append(_full(say))
    if "stop" in ends:
        topics.append(_stop(say))
    if len(rows) > 1:
        topics.append(_turns(say, begins))
    topics.append(_live_loop())
    if len(colors) > 1:
        topics += [_color_change(say), *_color_at_turn(say, chart.turn, rows)]
        if not any(bobbin.from_skein for bobbin in amounts.bobbins):
            topics.append(_winding(chart.butterfly_m))
        topics.append(_leaving())
    if any(use.behind_square is not None for row in rows for use in row.bobbins):
        topics.append(_carrying())
    topics.append(_tails(chart.tail_cm, chart.tail_ending == "over"))
    return tuple(topics)


def _first_block(say: _Say) -> Topic:
    return Topic(
        "The first block",
        (
            f"Chain {say.chain_first}. {say.into[0].upper()}{say.into[1:]}. Three posts now stand "
            f"beside an edge of {say.chain} chains; the space under that edge is the block's "
            f"{say.space}, and everything later hangs on such spaces.",
            f"Hold it with the start corner down: the next one is worked from {say.start} to "
            f"{say.end}.",
        ),
        "first block",
        (
            f"The space under the edge is the block's {say.space}: everything later hangs on such "
            f"spaces. Hold it with the start corner down; the next row is worked from {say.start} "
            f"to {say.end}.",
        ),
    )


def _grow(say: _Say) -> Topic:
    return Topic(
        "A block added at the start (Grow)",
        (
            f"Chain {say.chain_first}. {say.into[0].upper()}{say.into[1:]}: a new block, hanging "
            "by its corner from the last one you made.",
            "Turn the piece up behind the new block, so that the blocks before lie beside it with "
            f"their chain spaces up. Then {say.slip} into the {say.space} of the last block of the "
            "row before: the new block is fixed, and its neighbour comes next.",
        ),
        "grow",
        (
            "The new block hangs by its corner from the last one you made, until the slip stitch "
            "fixes it.",
        ),
    )


def _on_a_block(say: _Say) -> Topic:
    return Topic(
        "A block on a block",
        (
            f"You have just worked {say.slip} into a {say.space}. Chain {say.chain}, then 3 "
            f"{say.tall}, all in that same space. Then {say.slip} into the next {say.space} of the "
            "row before, and the next block can follow.",
        ),
        "join",
        (),
    )


def _travel(say: _Say) -> Topic:
    return Topic(
        "Climbing the edge (Travel)",
        (
            "On an edge that has reached its length, the row begins one block further in. Turn "
            "the piece over, flat, as in any turned row; the yarn now lies in front: bring it "
            f"behind. Work {say.slip} in each of the 3 {say.tall} of the block you made last, then "
            f"{say.slip} into its {say.space}. The first block of the row goes there.",
        ),
        "travel",
        ("On an edge that has reached its length, the row begins one block further in.",),
    )


def _full(say: _Say) -> Topic:
    return Topic(
        "A row that ends with a block (Full)",
        (
            f"The last block sits in the last {say.space} of the row before. No turn belongs to "
            "the end: the next row's beginning turns the piece.",
        ),
    )


def _stop(say: _Say) -> Topic:
    return Topic(
        "A row that ends at the marker (Stop)",
        (
            f"Work {say.slip} into the last {say.space} of the row before, the one with the "
            "marker, and make no block there. Take the marker out once you have joined. A marker "
            f"goes into the {say.space} of a first block where the pattern says so; that block is "
            "where the next one ends.",
        ),
        "stop",
        (
            f"A marker goes into the {say.space} of a first block where the pattern says so; that "
            "block is where the next row ends.",
        ),
    )


def _turns(say: _Say, begins: Container[str]) -> Topic:
    texts = ["Each new row turns the piece exactly once, at its beginning"]
    if "grow" in begins:
        texts.append(
            "before a block added at the start, the edge with the hook stays with you and the rest "
            "swings up behind it"
        )
    if "travel" in begins:
        texts.append("before climbing an edge, it goes over flat, like a page")
    return Topic(
        "Turning the piece",
        (
            "; ".join(texts) + ".",
            f"A row that would not run from {say.start} to {say.end} as it faces you has been "
            "turned twice or not at all.",
        ),
    )


def _live_loop() -> Topic:
    return Topic(
        "Putting it down",
        (
            "Draw the loop on the hook long and put the third marker through it: it cannot pull "
            "out overnight.",
        ),
    )


def _color_change(say: _Say) -> Topic:
    return Topic(
        "Drawing in another colour",
        (
            "Two ways are common and change no count. Either: work the last stitch before the new "
            f"colour up to its last {say.over}, and make that one with the new yarn. The loop on "
            f"the hook then has the new colour, and so has the {say.slip} that joins its block. "
            "The rows say so where it falls at a row's end.",
            f"Or: finish the stitch in the old colour and draw the new one through in the joining "
            f"{say.slip} itself. It is quicker, and a speck of the old colour may show beside it. "
            "Keep to one way.",
        ),
        "change",
        (
            f"As common, and of the same count: finish the stitch in the old colour and draw the "
            f"new one through in the joining {say.slip} itself. It is quicker, and a speck of the "
            "old colour may show. Keep to one way.",
        ),
    )


def _color_at_turn(say: _Say, turn: str, rows: Sequence[PatternRow]) -> list[Topic]:
    if not any(row.travel_in is not None for row in rows):
        return []
    late = (
        f"late: the {say.slip} along the edge keep the colour of the row before, and the new one "
        f"comes in at the {say.slip} into the {say.space}. The edge is even."
    )
    early = (
        f"early: the new colour comes in at the last stitch of the row, so that the {say.slip} "
        "along the edge have the colour of the next row. It shows as a line along the edge."
    )
    chosen, other = (late, early) if turn == "late" else (early, late)
    return [
        Topic(
            "A colour that changes at the turn",
            (
                f"Where a row climbs the edge in another colour, this pattern changes {chosen}",
                f"The other way is {other} Both are common; the stitches are the same.",
            ),
            "turn",
            (
                f"Where a row climbs the edge in another colour, this pattern changes {turn}. "
                f"Early: the new colour comes in at the last stitch of the row, so that the "
                f"{say.slip} along the edge have it and show as a line. Late: it comes in at the "
                f"{say.slip} into the {say.space}, and the edge is even.",
            ),
        )
    ]


def _winding(butterfly_m: float) -> Topic:
    return Topic(
        "Winding bobbins, and keeping them apart",
        (
            "Wind a short length in a figure of eight around thumb and little finger, slip it off "
            "and wrap the end around its waist: a butterfly. It pays out from the middle. "
            f"Anything over {butterfly_m:g} m goes on a card or a bobbin, or stays on the skein.",
            "Let them hang behind the work in the order of use. Turn the piece one way after "
            "odd-numbered rows and back the other way after even ones: what one turn twists, the "
            "next untwists.",
        ),
    )


def _leaving() -> Topic:
    return Topic(
        "Leaving a yarn and taking it up",
        (
            "Leave a yarn hanging on the wrong side: behind the work on right-side rows, in front "
            "of it, towards you, on wrong-side rows. Do not cut it unless the pattern says last.",
            "Take it up without pulling: a tight pick-up puckers for good, a loose one can still "
            "be eased.",
        ),
    )


def _carrying() -> Topic:
    return Topic(
        "Carrying yarn behind",
        (
            "The yarn lies on the wrong side, straight from the block where it was left to the "
            "block where it is used. On wrong-side rows that side faces you, so bring the yarn to "
            "the front there. Leave it as long as the piece is when it lies flat.",
            "Catch it once in every block it passes, or work over it, wherever it is longer than "
            "about a block; else it snags. Dark yarn shows through light blocks: catch it on the "
            "wrong side of dark ones where you can.",
        ),
        "float",
        (
            "On wrong-side rows that side faces you: bring the yarn to the front there. Leave it "
            "as long as the piece is when it lies flat. Dark yarn shows through light blocks: "
            "catch it on the wrong side of dark ones where you can.",
        ),
    )


def _tails(tail_cm: float, worked_over: bool) -> Topic:
    return Topic(
        "Tails, and loops cut later",
        (
            f"Leave {tail_cm:g} cm ({tail_cm / CM_PER_INCH:.0f} in) at each start and each end. In "
            f"place of two tails you may leave a loop of {2 * tail_cm:g} cm uncut and go on, where "
            "the same yarn ends here and starts again later; cut its middle when you weave in. The "
            "tails are the same.",
            *([WORKING_OVER] if worked_over else []),
        ),
    )
