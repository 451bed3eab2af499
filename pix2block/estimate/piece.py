"""A piece that was tried: what it shows of the picture, and what it costs."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pix2block.amounts.money import all_hours
from pix2block.amounts.yarn_use import Amounts
from pix2block.chart.chart import Chart
from pix2block.design.features import Feature
from pix2block.options.asking import specs_of
from pix2block.options.rules import Flag
from pix2block.options.table import CHART, Options
from pix2block.study.study import Study


@dataclass(frozen=True, eq=False)
class Piece:
    """A piece. number: in the order tried; picture: its path; options: what `chart` would be asked
    for to make it; near, far: mean CIEDE2000 as seen from near, and from one distance for all."""

    number: int
    picture: str
    options: Options
    study: Study
    near: float
    far: float

    @property
    def chart(self) -> Chart:
        """Its chart."""
        return self.study.chart

    @property
    def amounts(self) -> Amounts:
        """What it takes."""
        return self.study.amounts

    @cached_property
    def lost(self) -> tuple[Feature, ...]:
        """Features of the picture that it no longer shows."""
        return self.study.lost

    @property
    def yarns(self) -> int:
        """How many it uses."""
        return int(np.count_nonzero(self.chart.blocks_by_yarn))

    @property
    def tails(self) -> int:
        """To end, without those of joins."""
        return self.amounts.plan.tails

    @property
    def most_hanging(self) -> int:
        """Yarns that hang at once, at most."""
        return int(self.amounts.plan.attached_by_row.max())

    @property
    def weave_in_hours(self) -> float:
        """Hours of ending its tails."""
        return self.amounts.weave_in_hours

    @property
    def all_hours(self) -> float:
        """Crochet and weaving in, with its border."""
        return all_hours(self.amounts)

    @property
    def longest_float(self) -> float:
        """In block sides."""
        return float(self.amounts.plan.float_sides.max(initial=0.0))

    @property
    def price(self) -> float | None:
        """Of the skeins that are still to buy; None where no yarn has a price."""
        return self.study.costs.to_buy

    @property
    def lacks(self) -> tuple[str, ...]:
        """Yarns of which less is on hand than it takes, or of which that is not told."""
        used = zip(self.chart.yarns, self.amounts.yarns, strict=True)
        return tuple(
            yarn.name for yarn, of in used if of.metres and (of.short_by or of.short_by is None)
        )

    @cached_property
    def truth(self) -> tuple[int, float, float]:
        """What orders pieces by how true they are, the truest first: features lost; the error seen
        from far, then that from near, each to a tenth."""
        return len(self.lost), round(self.far, 1), round(self.near, 1)

    @cached_property
    def costs(self) -> tuple[float, ...]:
        """What a maker would rather have less of: untruth, then work, then money."""
        work = (self.tails, round(self.all_hours, 2), self.most_hanging)
        return (*self.truth, *work, round(self.price or 0.0, 2))

    @property
    def rank(self) -> tuple[float, ...]:
        """What orders pieces that reach the same goals: the truest, then the least work."""
        return (*self.costs, self.far, self.near, self.number)

    def beats(self, other: Piece) -> bool:
        """Whether it is nowhere worse, somewhere better, and loses no feature that the other
        keeps."""
        if not _keeps_all(self, other):
            return False
        mine, others = self.costs, other.costs
        return mine != others and all(a <= b for a, b in zip(mine, others, strict=True))

    @property
    def words(self) -> list[str]:
        """The words of the command that makes it."""
        path = self.picture if not self.picture.startswith("-") else f"./{self.picture}"
        words = ["pix2block", CHART, path]
        for spec in specs_of(Options, CHART):
            value = getattr(self.options, spec.name)
            for one in (value if spec.many else (value,)) if value is not None else ():
                if not isinstance(spec.rule, Flag):
                    words += [spec.flag, spec.rule.as_words(one)]
                elif one:
                    words.append(spec.flag)
        return words

    @property
    def command(self) -> str:
        """The command that makes it, as it is typed into a POSIX shell."""
        return shlex.join(self.words)


def _keeps_all(one: Piece, other: Piece) -> bool:
    """Whether one loses no feature that the other keeps; of charts of two sizes, no more."""
    if one.chart.blocks.shape != other.chart.blocks.shape:
        return len(one.lost) <= len(other.lost)
    return _marks(one) <= _marks(other)


def _marks(piece: Piece) -> set[bytes]:
    return {np.packbits(feature.mask).tobytes() for feature in piece.lost}


def front_of(pieces: list[Piece]) -> list[Piece]:
    """Those that no other beats; of pieces that cost and show the same, the first tried."""
    kept: list[Piece] = []
    for piece in sorted(pieces, key=lambda p: p.rank):
        alike = any(
            k.costs == piece.costs and _keeps_all(k, piece) and _keeps_all(piece, k) for k in kept
        )
        if not alike and not any(k.beats(piece) for k in kept):
            kept.append(piece)
    return sorted(kept, key=lambda p: p.rank)
