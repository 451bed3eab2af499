"""Yarn at the piece as the proof follows it, run by run."""

from __future__ import annotations

from pix2block.proof.bobbins import Bobbins
from pix2block.proof.told import WrittenBobbin


def moss(number: int | None = 1, **told: bool) -> WrittenBobbin:
    return WrittenBobbin("Moss", number, **told)  # type: ignore[arg-type]


class Work:
    """Runs one after another, a row each, and what is complained of."""

    def __init__(self) -> None:
        self.bobbins, self.told, self.row = Bobbins(), list[str](), 0

    def take(self, told: WrittenBobbin | None, keep: bool = False, name: str = "Moss") -> list[str]:
        self.row += 1
        before, at = len(self.told), (2 * self.row, 2 * self.row + 1)
        self.bobbins.take((self.row, 1), at, name, told, keep, self.told.append)
        return self.told[before:]

    def cut(self, told: WrittenBobbin) -> list[str]:
        before = len(self.told)
        self.bobbins.cut(told, self.row + 1, self.told.append)
        return self.told[before:]

    def strands(self) -> list[tuple[str, int]]:
        return [(str(strand), len(strand.path)) for strand in self.bobbins.strands]


def test_a_bobbin_goes_on_from_where_it_was_left() -> None:
    work = Work()
    assert work.take(moss(new=True)) == work.take(moss()) == work.take(None, keep=True) == []
    assert work.strands() == [("Moss #1", 3)]
    assert [(link.left, link.entered) for link in work.bobbins.links] == [(3, 4), (5, 6)]
    assert [(link.before, link.run) for link in work.bobbins.links] == [
        *(((1, 1), (2, 1)), ((2, 1), (3, 1)))
    ]


def test_what_is_in_hand_is_of_the_yarn_and_hangs() -> None:
    none = "goes on in the bobbin in hand, but none of {} is in hand"
    work = Work()
    work.take(moss(new=True))
    assert work.take(None, True, "Chalk") == [
        *(none.format("Chalk"), "no bobbin is told, and no bobbins of Chalk hang")
    ]
    assert work.strands()[1] == ("Chalk #1", 1)
    assert work.take(moss(last=True)) == []
    assert work.take(None, True) == [
        *(none.format("Moss"), "no bobbin is told, and no bobbins of Moss hang")
    ]
    work.take(moss(2, new=True))
    assert work.take(None) == ["no bobbin is told, and 2 bobbins of Moss hang"]
    assert work.strands()[2:] == [("Moss #1", 2), ("Moss #2", 1)]


def test_a_bobbin_that_does_not_hang_is_told_and_begun() -> None:
    work = Work()
    work.take(moss(new=True))
    assert work.take(moss(2)) == ["Moss #2 is taken up, but does not hang"]
    assert work.take(moss(None)) == ["Moss #None is taken up, but does not hang"]
    assert work.strands() == [("Moss #1", 1), ("Moss #2", 1), ("Moss", 1)]
    assert work.cut(moss(3)) == ["Moss #3 is cut, but does not hang"]
    assert work.cut(moss(2)) == []
    assert [str(strand) for strand in work.bobbins.still_hanging()] == ["Moss #1"]
    assert work.take(WrittenBobbin("Chalk", 1)) == ["works Moss, but a bobbin of Chalk is told"]


def test_numbers_are_the_lowest_that_have_rested() -> None:
    work = Work()
    assert work.take(moss(new=True)) == []
    assert work.take(moss(new=True)) == ["Moss #1 is new, but that number is in use"]
    work.take(moss(last=True))  # in row 3
    assert work.take(moss(new=True)) == ["Moss #1 is new, but its number rests for a row yet"]
    rested = Work()
    rested.take(moss(new=True))
    rested.take(moss(last=True))
    assert rested.take(moss(2, new=True)) == []
    assert rested.take(moss(3, new=True)) == ["Moss #3 is new, but #1 is free"]
    assert rested.take(moss(1, new=True)) == []
    first = Work()
    assert first.take(moss(2, new=True)) == ["Moss #2 is new, but #1 is free"]


def test_one_run_alone_needs_no_number() -> None:
    work = Work()
    assert work.take(moss(None, new=True, last=True)) == []
    alone = "Moss #1 works this run alone: it needs no number, but “only”"
    assert work.take(moss(new=True, last=True)) == [alone]
    assert work.bobbins.still_hanging() == []
    assert work.strands() == [("Moss", 1), ("Moss #1", 1)]
