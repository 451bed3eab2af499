"""A line of a chart's journal: what was changed by hand, and how it was before."""

from __future__ import annotations

from typing import Annotated, Any, TypedDict

import msgspec
from msgspec import Meta

from pix2block.chart.source import BlockAt
from pix2block.ground.errors import BadInput
from pix2block.ground.frozen import dataclass
from pix2block.ground.nouns import Kept, when_any

Count = Annotated[int, Meta(ge=0)]


class _Cost(TypedDict, total=False):
    """What of a cost is read again."""

    blocks: Count
    tails: tuple[Count, Count]
    hanging: tuple[Count, Count]


@dataclass(frozen=True)
class Mend(Kept):
    """A change. mend: its verb, value: what was asked of it, as typed; group: changes of one group
    were made at once; words: for people; cost: blocks touched, and tails, minutes, yarns hanging
    and whole skeins before and after; before: what the chart's own keys held where they changed,
    `blocks` as line, column and yarn number, all from 0, `all_blocks` where their shape changed,
    and `lines` of the journal in which a yarn was renamed: place from 0, value, words; placed: line
    and column of each block that a file gave, or that letters have, from 0, whether or not it
    changed.

    Raises BadInput where the cost's numbers are none.
    """

    mend: str
    value: str
    group: Annotated[int, Meta(ge=1)]
    words: str
    cost: dict[str, Any]
    before: dict[str, Any]
    placed: tuple[tuple[BlockAt, BlockAt], ...] = when_any()

    def __post_init__(self) -> None:
        super().__post_init__()
        try:
            msgspec.convert(self.cost, _Cost)
        except msgspec.ValidationError as error:
            reason, _, path = str(error).replace("`", "").partition(" - at $.")
            raise BadInput(f"mends: cost of {self.mend}: {path}: {reason}") from None
