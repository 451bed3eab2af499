"""Which yarn hangs where: bobbins taken up, left hanging and ended, and the way each goes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from itertools import count

from pix2block.ground.frozen import dataclass
from pix2block.proof.told import WrittenBobbin

Complain = Callable[[str], None]
Run = tuple[int, int]


@dataclass(slots=True, eq=False)
class Strand:
    """One length of yarn. path: its runs as (row, run), from 1; left: number of the block, in the
    order they are made, where it hangs."""

    name: str
    number: int | None
    path: list[Run] = field(default_factory=list)
    left: int = field(init=False)

    def __str__(self) -> str:
        return self.name if self.number is None else f"{self.name} #{self.number}"


@dataclass(frozen=True)
class Link:
    """A strand goes on. before, run: the two runs; left, entered: numbers of the blocks where it
    hung and where it is taken up; behind: its float as it is told."""

    strand: str
    before: Run
    run: Run
    left: int
    entered: int
    behind: str | None


@dataclass(slots=True, eq=False)
class Bobbins:
    """All yarn at the piece. hanging: of each yarn, by number, the one in hand too; ended: of each
    yarn, by number, the row in which it was last borne; strands: every one so far; links: each
    time one went on."""

    ended: dict[str, dict[int, int]] = field(default_factory=dict)
    hanging: dict[str, dict[int, Strand]] = field(default_factory=dict)
    strands: list[Strand] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    in_hand: Strand | None = None

    def take(
        self,
        run: Run,
        blocks: tuple[int, int],
        name: str,
        told: WrittenBobbin | None,
        keep_in_hand: bool,
        complain: Complain,
    ) -> None:
        """Work a run with the bobbin told. blocks: numbers of its first and last block; told: None
        where no bobbin is, and the yarn has but one; keep_in_hand: it goes on in the one in hand.
        """
        hanging = self.hanging.setdefault(name, {})
        if told is None:
            strand = self._one_in_hand(name, complain) if keep_in_hand else None
            if strand is None:
                strand = self._only(name, complain)
        elif told.name != name:
            complain(f"works {name}, but a bobbin of {told.name} is told")
            return
        elif told.new:
            strand = self._new(told, run[0], complain)
        else:
            strand = hanging.get(told.number or 0)
            if strand is None:
                complain(f"{name} #{told.number} is taken up, but does not hang")
                strand = self._start(name, told.number)
        if strand.path:
            behind = told.behind if told else None
            link = Link(str(strand), strand.path[-1], run, strand.left, blocks[0], behind)
            self.links.append(link)
        strand.path.append(run)
        strand.left = blocks[1]
        self.in_hand = strand
        if told is not None and told.last:
            self._end(name, told.number, run[0])
            if told.number and len(strand.path) == 1 and told.new:
                complain(f"{strand} works this run alone: it needs no number, but “only”")

    def _one_in_hand(self, name: str, complain: Complain) -> Strand | None:
        hand = self.in_hand
        if hand and hand.name == name and hand in self.hanging[name].values():
            return hand
        complain(f"goes on in the bobbin in hand, but none of {name} is in hand")
        return None

    def _only(self, name: str, complain: Complain) -> Strand:
        hanging = self.hanging[name]
        if len(hanging) == 1:
            return next(iter(hanging.values()))
        how_many = len(hanging) or "no"
        complain(f"no bobbin is told, and {how_many} bobbins of {name} hang")
        return next(iter(hanging.values())) if hanging else self._start(name, 1)

    def cut(self, told: WrittenBobbin, row: int, complain: Complain) -> None:
        """End a strand that hangs; row: where that is told, and its number begins to rest."""
        if told.number in self.hanging.get(told.name, {}):
            self._end(told.name, told.number, row)
        else:
            complain(f"{told.name} #{told.number} is cut, but does not hang")

    def _end(self, name: str, number: int | None, row: int) -> None:
        if number is not None:
            self.hanging[name].pop(number)
            self.ended.setdefault(name, {})[number] = row

    def _new(self, told: WrittenBobbin, row: int, complain: Complain) -> Strand:
        hanging, number = self.hanging[told.name], told.number
        if told.behind is not None:
            complain(f"{told.name} #{number} is new, but comes from behind")
        if number is not None:
            if number in hanging:
                complain(f"{told.name} #{number} is new, but that number is in use")
            else:
                ended = self.ended.get(told.name, {})
                free = next(k for k in count(1) if k not in hanging and ended.get(k, -1) < row - 1)
                if ended.get(number, -1) >= row - 1:
                    complain(f"{told.name} #{number} is new, but its number rests for a row yet")
                elif number != free:
                    complain(f"{told.name} #{number} is new, but #{free} is free")
        return self._start(told.name, number)

    def _start(self, name: str, number: int | None) -> Strand:
        strand = Strand(name, number)
        self.strands.append(strand)
        if number is not None:
            self.hanging[name][number] = strand
        return strand

    def still_hanging(self) -> Sequence[Strand]:
        """Strands that were never ended."""
        return [strand for of_name in self.hanging.values() for strand in of_name.values()]
