"""A piece that was tried: what it shows of the picture, what it costs, and how it is made."""

from __future__ import annotations

import shlex
from functools import cached_property

from pix2block.ground.frozen import dataclass
from pix2block.options.asking import specs_of
from pix2block.options.rules import Flag
from pix2block.options.table import CHART, Options
from pix2block.study.study import Study
from pix2block.study.worked import Worked, keeps_all


@dataclass(frozen=True, eq=False, kw_only=True)
class Piece(Worked):
    """A piece. number: in the order tried; picture: its path; study: of it, whose options are what
    `chart` would be asked for to make it."""

    number: int
    picture: str
    study: Study
    near: float
    far: float

    @property
    def options(self) -> Options:
        """What `chart` would be asked for."""
        return self.study.options

    @property
    def lacks(self) -> tuple[str, ...]:
        """Yarns of which less is on hand than it takes, or of which that is not told."""
        used = zip(self.chart.yarns, self.amounts.yarns, strict=True)
        return tuple(
            yarn.name for yarn, of in used if of.metres and (of.short_by or of.short_by is None)
        )

    @cached_property
    def pains(self) -> tuple[float, ...]:
        """What a maker would rather have less of: untruth, then work, then money."""
        work = (self.tails, round(self.all_hours, 2), self.most_hanging)
        return (*self.truth, *work, round(self.price or 0.0, 2))

    @property
    def rank(self) -> tuple[float, ...]:
        """What orders pieces that reach the same goals: the truest, then the least work."""
        return (*self.pains, self.far, self.near, self.number)

    def beats(self, other: Piece) -> bool:
        """Whether it is nowhere worse, somewhere better, and loses no feature that the other
        keeps."""
        if not keeps_all(self, other):
            return False
        mine, others = self.pains, other.pains
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


def piece_of(number: int, picture: str, study: Study, near: float, far: float) -> Piece:
    """A study as a piece that was tried. near, far: how it is seen."""
    return Piece(
        number=number,
        picture=picture,
        study=study,
        amounts=study.amounts,
        near=near,
        far=far,
        money=study.maker.money,
    )


def front_of(pieces: list[Piece]) -> list[Piece]:
    """Those that no other beats; of pieces that cost and show the same, the first tried."""
    kept: list[Piece] = []
    for piece in sorted(pieces, key=lambda p: p.rank):
        alike = any(
            k.pains == piece.pains and keeps_all(k, piece) and keeps_all(piece, k) for k in kept
        )
        if not alike and not any(k.beats(piece) for k in kept):
            kept.append(piece)
    return sorted(kept, key=lambda p: p.rank)
