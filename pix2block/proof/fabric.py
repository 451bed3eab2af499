"""The fabric: blocks that hang on one another by their chain spaces, and the hook in it.

It knows no diagonals, columns or lines. A block is made in the chain space of a block of the row
before, or on chains of its own; a slip stitch joins it into the chain space of the next block.
Where the blocks lie is found out at the end, from what each hangs on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field

from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Hand
from pix2block.proof.parts import Counts, Kind

Corner = complex  # steps up to the left, and times i up to the right: small, for there are many
_UP_LEFT, _UP_RIGHT = 1 + 0j, 1j


class Unworkable(Exception):
    """An instruction that no hook can follow on the fabric as it is."""


@dataclass(slots=True, eq=False)
class Block:
    """A block as it hangs. row, run: from 1; yarn: its colour; right_side: whether its maker saw
    the right side; on: the block in whose chain space it is made; joined: the one into whose it
    is joined; before: the block made before it in its row; used, filled: whether a slip stitch,
    and a block, is in its own chain space; marker: whether one hangs there."""

    row: int
    run: int
    yarn: str
    right_side: bool
    on: Block | None = None
    joined: Block | None = None
    before: Block | None = None
    used: bool = False
    filled: bool = False
    marker: bool = False


@dataclass(slots=True, eq=False)
class Fabric:
    """The piece on the hook.

    kind: of its blocks; right_side: which side faces the maker; loop: the colour of the loop on
    the hook; space: the block in whose chain space the hook stands; next_space: the one that the
    next slip stitch goes into; newest: the block made last; unjoined: a block that its next slip
    stitch joins; chains: those just made; ch, st, sl: stitches of this row.
    """

    kind: Kind
    loop: str
    blocks: list[Block] = field(default_factory=list)
    right_side: bool = True
    row: int = 1
    run: int = 1
    space: Block | None = None
    next_space: Block | None = None
    newest: Block | None = None
    unjoined: Block | None = None
    chains: int = 0
    over: bool = False
    ch: int = 0
    st: int = 0
    sl: int = 0

    def chain(self, count: int) -> None:
        """Chains, one after another."""
        self.ch += count
        self.chains = count

    def work_in_chains(self, into: Sequence[int]) -> None:
        """A block's stitches in its own chains: it stands in the air beside the newest block."""
        if self.chains != max(into):
            raise Unworkable(f"{self.chains} chains, but a stitch goes into chain {max(into)}")
        if self.blocks and self.over:
            raise Unworkable("a block in the air is made before the piece is turned")
        facing = self.right_side if not self.blocks else not self.right_side
        self._made(Block(self.row, self.run, self.loop, facing), len(into))

    def work_in_space(self, count: int) -> None:
        """A block's stitches in the chain space just joined."""
        space = self.space
        if space is None:
            raise Unworkable("the hook stands in no chain space to make a block in")
        if space.filled:
            raise Unworkable("this chain space already holds a block")
        if space.marker:
            raise Unworkable("a block would be made past the marker where the row should end")
        if self.chains != self.kind.chain:
            raise Unworkable(f"{self.chains} chains before a block in place of {self.kind.chain}")
        space.filled = True
        before = None if self.over else self.newest
        block = Block(self.row, self.run, self.loop, self.right_side, on=space, before=before)
        self._made(block, count)

    def _made(self, block: Block, stitches: int) -> None:
        self.st += stitches
        self.blocks.append(block)
        self.newest = self.unjoined = block
        self.space, self.chains, self.over = None, 0, False

    def turn_up(self) -> None:
        """Turn the piece up behind the new block: the row before lies ready to be joined."""
        if len(self.blocks) < 2 or self.newest is None or self.newest.on is not None:
            raise Unworkable("the piece is turned up behind a new block, and there is none")
        self.right_side = not self.right_side
        self.next_space = self.blocks[-2]

    def turn_over(self) -> None:
        """Turn the piece over, flat."""
        self.right_side = not self.right_side
        self.next_space, self.unjoined, self.over = self.newest, None, True

    def slip_across(self, count: int) -> None:
        """Slip stitches over the stitches of the newest block, to its chain space."""
        if not self.over:
            raise Unworkable("slip stitches over the last block come after turning the piece over")
        self.sl += count

    def slip_into_space(self) -> None:
        """A slip stitch into the next chain space of the row before."""
        space = self.next_space
        if space is None:
            raise Unworkable("no chain space is left in the row before")
        if space.used:
            raise Unworkable("a slip stitch goes into a chain space already used")
        space.used = True
        if self.unjoined is not None:
            self.unjoined.joined = space
        self.sl += 1
        self.space, self.next_space, self.unjoined = space, space.before, None

    def join_blocks(self, count: int, stitches: int) -> int:
        """A slip stitch into the next chain space and a block in it, again and again: what
        `slip_into_space`, `chain` and `work_in_space` do step by step, at once, since most of a
        piece is worked so. How many of so many were made: fewer where a step cannot be worked, or
        is no plain one, and nothing of it is done."""
        space, newest = self.next_space, self.newest
        if self.over or newest is None or self.unjoined is not newest:
            return 0
        blocks, row, run, loop, facing = self.blocks, self.row, self.run, self.loop, self.right_side
        made = 0
        while made < count and space and not (space.used or space.filled or space.marker):
            space.used = space.filled = True
            newest.joined = space
            newest = Block(row, run, loop, facing, space, None, newest)
            blocks.append(newest)
            space = space.before
            made += 1
        if made:
            self.newest = self.unjoined = newest
            self.space, self.next_space, self.chains = None, space, 0
        self.ch += made * self.kind.chain
        self.st += made * stitches
        self.sl += made
        return made

    def end_full(self) -> None:
        """Nothing is left of the row before."""
        left, space = 0, self.next_space
        while space is not None:
            left, space = left + 1, space.before
        if left:
            spaces = "chain space is" if left == 1 else "chain spaces are"
            raise Unworkable(f"it should end full, but {left} {spaces} left in the row before")

    def end_at_marker(self) -> None:
        """The slip stitch just made went into the marked chain space, the last of its row."""
        if self.space is None or not self.space.marker:
            raise Unworkable("it ends with a slip stitch where no marker is")
        self.end_full()

    def put_marker(self, block: Block) -> None:
        """A marker into a block's chain space."""
        if block.marker:
            raise Unworkable("a marker is there already")
        block.marker = True

    def take_marker(self) -> None:
        """The marker out of the chain space just joined."""
        if self.space is None or not self.space.marker:
            raise Unworkable("there is no marker to remove where the row ends")
        self.space.marker = False

    def counted(self) -> Counts:
        """Chains, stitches and slip stitches since this was last asked."""
        counts = self.ch, self.st, self.sl
        self.ch = self.st = self.sl = 0
        return counts


@dataclass(frozen=True)
class LaidOut:
    """Where the blocks lie, the first corner down and the right side up. places: of each block,
    its steps up to the left and up to the right of the first; left_at, entered_at: the corner,
    in such steps, where the yarn leaves and enters each."""

    places: tuple[Corner, ...]
    left_at: tuple[Corner, ...]
    entered_at: tuple[Corner, ...]


def lay_out(blocks: Sequence[Block], hand: Hand) -> LaidOut:
    """Lay the fabric flat, each block from those it hangs on.

    A right-handed maker works to the left: the block in whose space she works lies below to the
    right, the one she joins into below to the left. On the wrong side, or in the left hand, the
    other way round; both, as in the first.

    Raises Unworkable where the fabric does not lie flat.
    """
    place: dict[Block, Corner] = {}
    taken: dict[Corner, Block] = {}
    left_at: list[Corner] = []
    entered_at: list[Corner] = []
    for block in blocks:
        to_left = block.right_side == (hand == "right")
        ways = (_UP_LEFT, _UP_RIGHT) if to_left else (_UP_RIGHT, _UP_LEFT)
        on, joined = block.on, block.joined
        at = None if place else 0j
        if on is not None:
            at = place[on] + ways[0]
        if joined is not None:
            found = place[joined] + ways[1]
            if on is not None and at != found:
                raise Unworkable(_where(block) + "does not lie flat")
            at = found
        if at is None:
            raise Unworkable(_where(block) + "hangs on nothing")
        if at in taken:
            raise Unworkable(f"row {block.row}: a block lies on one of row {taken[at].row}")
        place[block], taken[at] = at, block
        tips = at + _UP_LEFT, at + _UP_RIGHT
        entered_at.append(left_at[-1] if block.before is None and left_at else tips[to_left])
        left_at.append(tips[not to_left])
    return LaidOut(tuple(place.values()), tuple(left_at), tuple(entered_at))


def _where(block: Block) -> str:
    return f"row {block.row}, run {block.run}: a block of {block.yarn} "
