"""The hook: works the rows of a pattern one by one, each as its words say."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from functools import partial

from pix2block.ground.frozen import dataclass
from pix2block.proof.bobbins import Bobbins
from pix2block.proof.fabric import Fabric, Unworkable
from pix2block.proof.lines import Fault
from pix2block.proof.parts import Counts, Kind, Step, parts_of
from pix2block.proof.told import RowWords

Turning = Callable[[int], str]
Taken = tuple[str, Step]  # a step, and the yarn that was on the hook


@dataclass(frozen=True)
class Worked:
    """A pattern worked off. counts: stitches of each row; steps: of the rows that were watched, by
    number; whole: nothing stopped the hook."""

    fabric: Fabric
    bobbins: Bobbins
    counts: tuple[Counts, ...]
    steps: Mapping[int, Sequence[Taken]]
    faults: tuple[Fault, ...]
    whole: bool


def work(
    rows: Sequence[RowWords], kind: Kind, turn: Turning, watched: Container[int] = ()
) -> Worked:
    """Work the rows in the order they stand. turn: of a row's number, whether a colour that changes
    at the turn into it comes in early or late; watched: rows whose every step is wanted."""
    hook = _Hook(kind, turn, rows[0].runs[0][1])
    steps: dict[int, Sequence[Taken]] = {}
    whole = True
    for i, row in enumerate(rows):
        if row.number != i + 1:
            hook.fault(f"stands where row {i + 1} should", row.number)
        hook.taken = [] if row.number in watched else None
        try:
            hook.work_row(row, i)
        except Unworkable as why:
            hook.fault(str(why), row.number, hook.fabric.run)
            whole = False
            break
        if hook.taken is not None:
            steps[row.number] = hook.taken
    if whole:
        hook.finish(rows[-1].number)
    counts, faults = tuple(hook.counts), tuple(hook.faults)
    return Worked(hook.fabric, hook.bobbins, counts, steps, faults, whole)


class _Hook:
    def __init__(self, kind: Kind, turn: Turning, first: str) -> None:
        self.turn = turn
        self.fabric = Fabric(kind, first)
        self.parts = {
            part: [(step, self._act(step)) for step in steps]
            for part, steps in parts_of(kind).items()
        }
        self.stitches = int(parts_of(kind)["Block"][-1][1])
        self.bobbins = Bobbins()
        self.counts: list[Counts] = []
        self.faults: list[Fault] = []
        self.taken: list[Taken] | None = None

    def fault(self, text: str, row: int, run: int | None = None) -> None:
        self.faults.append(Fault(text, row, run))

    def work_row(self, row: RowWords, before: int) -> None:
        """before: rows worked before it."""
        fabric, made = self.fabric, len(self.fabric.blocks)
        fabric.row, fabric.run = row.number, 1
        if (row.begins == "Corner") != (before == 0):
            raise Unworkable(f"begins with {row.begins}, but is row {before + 1} of the piece")
        told = sum(count for count, _ in row.runs)
        if row.blocks != told:
            self.fault(f"says {row.blocks} blocks, but its runs are {told}", row.number)
        for cut in row.cuts:
            self.bobbins.cut(cut, row.number, partial(self.fault, row=row.number))
        self._begin(row)
        if row.marker:
            fabric.put_marker(fabric.blocks[made])
            self._took(("marker in",))
        for number, (count, name) in enumerate(row.runs, 1):
            self._work_run(row, number, count - (number == 1), name)
        self._end(row)
        side = "right" if fabric.right_side else "wrong"
        if row.side != side:
            self.fault(f"says {row.side} side, but the {side} side faces you", row.number)
        self.counts.append(fabric.counted())

    def _do(self, part: str) -> None:
        for step, act in self.parts[part]:
            if self.taken is not None:
                self._took(step)
            act()

    def _took(self, step: Step) -> None:
        if self.taken is not None:
            self.taken.append((self.fabric.loop, step))

    def _act(self, step: Step) -> Callable[[], None]:
        """What the hook does in a step: looked up once, done many times."""
        fabric = self.fabric
        match step:
            case ("ch", int(count)):
                return partial(fabric.chain, count)
            case ("in chains", *into):
                return partial(fabric.work_in_chains, [int(chain) for chain in into])
            case ("in space", int(count)):
                return partial(fabric.work_in_space, count)
            case ("slip into space", _):
                return fabric.slip_into_space
            case ("slip across", int(count)):
                return partial(fabric.slip_across, count)
            case ("turn up",):
                return fabric.turn_up
            case ("turn over",):
                return fabric.turn_over
        raise AssertionError(f"a step that no hook knows: {step}")

    def _begin(self, row: RowWords) -> None:
        """Up to the first block, which is made too."""
        fabric, name = self.fabric, row.runs[0][1]
        if row.begins == "Travel":
            self._check_travel(row, fabric.blocks[-1].yarn, name)
            for step, act in self.parts["Travel"]:
                if step == ("slip into space", "its"):
                    fabric.loop = name  # drawn through here at the latest
                self._took(step)
                act()
            self._do("Block")
        elif fabric.loop != name:
            raise Unworkable(f"begins with {name}, but a loop of {fabric.loop} is on the hook")
        else:
            self._do(row.begins)

    def _check_travel(self, row: RowWords, old: str, new: str) -> None:
        """The colour of the slip stitches of a travel."""
        told, loop = row.begins_in, self.fabric.loop
        if told is not None and old == new:
            self.fault(f"travels in {told}, but no colour changes at this turn", row.number)
        if told is None and old != new:
            self.fault(
                f"the colour changes to {new}, but which yarn travels is not told", row.number
            )
        elif (told or new) != loop:
            raise Unworkable(f"travels in {told or new}, but a loop of {loop} is on the hook")
        elif old != new and loop != (new if self.turn(row.number) == "early" else old):
            self.fault(f"travels in {loop}, but turns are {self.turn(row.number)}", row.number)

    def _work_run(self, row: RowWords, number: int, count: int, name: str) -> None:
        """The blocks of a run that are left to make."""
        fabric = self.fabric
        first = len(fabric.blocks) - (number == 1)
        fabric.run, fabric.loop = number, name  # drawn through at the last stitch before it
        made = fabric.join_blocks(count, self.stitches) if self.taken is None else 0
        for _ in range(count - made):
            self._do("Join")
            self._do("Block")
        told = row.bobbins[number - 1] if row.bobbins else None
        complain = partial(self.fault, row=row.number, run=number)
        run, blocks = (row.number, number), (first, len(fabric.blocks) - 1)
        self.bobbins.take(run, blocks, name, told, row.in_hand, complain)

    def _end(self, row: RowWords) -> None:
        """After the last block: the next row's yarn, how the row ends, and the old marker."""
        fabric, own = self.fabric, row.runs[-1][1]
        if row.last_loop == own:
            self.fault(f"draws {own} in at its end, which is on the hook already", row.number)
        fabric.loop = row.last_loop or own
        if row.ends == "Stop":
            if (row.ends_in or own) != fabric.loop or row.ends_in == own:
                slip = f"its last slip stitch is told in {row.ends_in or own}"
                self.fault(f"{slip}, but a loop of {fabric.loop} is on the hook", row.number)
            self._do("Stop")
            fabric.end_at_marker()
        else:
            self._do("Full")
            fabric.end_full()
        if row.unmark:
            fabric.take_marker()
            self._took(("marker out",))
        elif row.ends == "Stop":
            self.fault("joins at a marker, but does not say to remove it", row.number)

    def finish(self, last: int) -> None:
        """Nothing is left on the hook, hanging, or marked. last: number of the last row."""
        fabric = self.fabric
        if fabric.loop != fabric.blocks[-1].yarn:
            self.fault(f"draws {fabric.loop} in at its end, but no row follows", last)
        for block in fabric.blocks:
            if block.marker:
                self.fault("its marker is never removed", block.row)
        for strand in self.bobbins.still_hanging():
            row, run = strand.path[-1]
            self.fault(f"{strand} works here last, but is never ended", row, run)
