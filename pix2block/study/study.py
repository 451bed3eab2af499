"""The study of a piece: a chart, how it was made, what was asked, and all that follows from these.

Everything is worked out once, when it is asked for: a study costs nothing until then. Words and
files take a study; they search for nothing themselves.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pix2block.amounts.bobbins import Bobbin
from pix2block.amounts.money import Costs, costs_of
from pix2block.amounts.rip_back import RipBack, rip_back
from pix2block.amounts.run_out import RunOut, forecast
from pix2block.amounts.under_way import UnderWay
from pix2block.amounts.ways import calming_tails, with_otherwise
from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.calming.curve import Curve
from pix2block.chart.chart import Chart
from pix2block.color.spaces import rgb_array
from pix2block.craft.plan import StrandPlan
from pix2block.craft.tails import Tails
from pix2block.design.areas import Area
from pix2block.design.features import Feature
from pix2block.design.kept_features import with_features
from pix2block.design.likeness import error_figures, with_seen
from pix2block.drawing.marks import with_marks
from pix2block.drawing.shapes import Drawing
from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Habit, StartCorner
from pix2block.options.maker import NOBODY, Maker
from pix2block.options.table import Options
from pix2block.pages.chart_sheet import chart_sheet
from pix2block.pattern.document import Document
from pix2block.pattern.pattern import PatternRow
from pix2block.proof.compare import Proof
from pix2block.study.editions import Edition, editions_of
from pix2block.study.output import Output
from pix2block.study.remade import Again, Remade
from pix2block.study.ways import Better, better_ways, compare_ways
from pix2block.study.worked import Worked, lost_in_yarns, measured
from pix2block.yarn.yarn import Yarn

if TYPE_CHECKING:
    from pix2block.design.remedies import Remedy
    from pix2block.design.stand_in import Rescue
    from pix2block.design.subject import SubjectMap
    from pix2block.design.view import View

NOTHING_ASKED = Options()
MOST_REMEDIES = 6  # lost features for which a remedy is looked for, the most important first


@dataclass(frozen=True, eq=False)
class Study:
    """A piece: its chart, how that was made, what was asked; what follows is worked out once.

    notes: what a maker should know of how it came about, decisions: what was decided for her, a
    sentence each. view: the picture in blocks, where there is one; subject: what that picture is
    of, where blocks of it count for more; spare: yarns of the shelf that were left out, None
    without a shelf; maker: her hook, currency and what an hour of hers is worth; under_way: how far
    the piece is, where it is asked; options: those given; again: makes its chart from its picture
    as other options of working it, or another number of yarns, ask, None without a picture;
    comparing: called with ways compared, and in all; read: the files that were read for it;
    chart_file: that of its chart, where it was kept in one.
    """

    chart: Chart
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()
    view: View | None = None
    subject: SubjectMap | None = None
    spare: tuple[Yarn, ...] | None = None
    maker: Maker = NOBODY
    under_way: UnderWay | None = None
    options: Options = NOTHING_ASKED
    again: Again | None = None
    comparing: Callable[[int, int], None] | None = None
    read: tuple[Path, ...] = ()
    chart_file: Path | None = None

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.chart!r})"

    # How it is worked, and what it takes

    @cached_property
    def amounts(self) -> Amounts:
        """Metres, grams, skeins, joins, hours."""
        return amounts_of(self.chart)

    @property
    def plan(self) -> StrandPlan:
        """Its strands."""
        return self.amounts.plan

    @property
    def tails(self) -> Tails:
        """Every tail, and where it lies."""
        return self.amounts.tails

    @property
    def bobbins(self) -> tuple[Bobbin, ...]:
        """Every strand as a bobbin to wind."""
        return self.amounts.bobbins

    @property
    def shelf(self) -> tuple[Yarn, ...]:
        """The yarns it was made from, those of its chart first; none without a shelf."""
        return () if self.spare is None else (*self.chart.yarns, *self.spare)

    @cached_property
    def costs(self) -> Costs:
        """What it costs: yarn, and work at what an hour is worth to the maker."""
        return costs_of(self.amounts, self.maker.money)

    @property
    def better(self) -> Better:
        """What another start corner, carrying, more calm or fewer yarns would save."""
        return self._advice[0]

    @cached_property
    def _advice(self) -> tuple[Better, dict[tuple[StartCorner, Habit], Chart | None]]:
        """What another way would save, and the charts that were made again to tell."""
        made: dict[tuple[StartCorner, Habit], Chart | None] = {}

        def again(corner: StartCorner, habit: Habit) -> Worked | None:
            worked = self.remade.unseen_way(corner, habit)
            made[corner, habit] = worked.chart if worked else None
            return worked

        otherwise = self.remade.otherwise if self.remade.again else None
        return better_ways(self.amounts, again, otherwise), made

    @cached_property
    def ways(self) -> tuple[Worked, ...]:
        """The same piece from every corner with every habit."""
        now = measured(self.amounts, self.remade.light, self.maker.money)
        return tuple(compare_ways(now, self.remade.seen_way, self.comparing))

    @cached_property
    def curve(self) -> Curve | None:
        """Fewer tails against more colour error: the piece at each calm, as it would be made with
        it; None where it cannot be made anew, or was a chart already."""
        return self.remade.curve(self.comparing) if self.can_curve else None

    @property
    def can_curve(self) -> bool:
        """Whether it can be made at each calm: from a picture that is no chart already."""
        return bool(self.remade.again and self.view and self.view.look != "blocks")

    @cached_property
    def remade(self) -> Remade:
        """Makes it another way, as it would be made from its picture."""
        by_hand = bool(self.chart.mends) or self.chart.done is not None
        light = self.view.light if self.view else None
        again = None if by_hand else self.again
        return Remade(self.chart, self.options, again, light, self.maker.money)

    @cached_property
    def calming_tails(self) -> tuple[int, int] | None:
        """Tails before and after the chart was calmed, worked as it is now; where a hand has
        changed it since, as they were then. None where it was not, or where they are not told."""
        return calming_tails(self.chart, self.plan)

    # The picture behind it

    @cached_property
    def kept(self) -> Chart:
        """The chart as it is kept: with its yarns' marks, and, where its picture is at hand and no
        hand has changed it, with what a report would else search for: the picture's features, the
        chart calmed for other ways of working; and with how it differs to the eye."""
        chart = with_marks(self.chart)
        if self.view is None or chart.mends:
            return chart
        chart = with_seen(with_features(chart), self.view.light())
        return with_otherwise(chart, self._advice[1])

    @cached_property
    def color_error(self) -> tuple[float | None, float | None]:
        """CIEDE2000 between block means and yarns: their mean and 95th percentile."""
        return error_figures(self.chart)

    @property
    def areas(self) -> tuple[Area, ...]:
        """Areas of the picture that have the yarn of what is around them, faces first."""
        return tuple(one for one in self.lost if isinstance(one, Area))

    @cached_property
    def lost(self) -> tuple[Feature, ...]:
        """What of the picture the yarns no longer show, the most important first: areas, then
        features."""
        return lost_in_yarns(self.chart)

    @cached_property
    def remedies(self) -> tuple[Remedy | None, ...]:
        """The yarn that brings each lost feature back, tried; None where none does. Of the first
        few that are lost alone."""
        means, spare = self.chart.block_means, self.spare
        if means is None:
            return ()
        from pix2block.design.remedies import one_more_yarn

        others = None if spare is None else rgb_array([yarn.color for yarn in spare])
        return tuple(
            one_more_yarn(feature, means, self.chart.yarn_rgb, others)
            for feature in self.lost[:MOST_REMEDIES]
        )

    # The pattern

    @cached_property
    def editions(self) -> dict[str, Edition]:
        """The pattern in the chart's own hand and terms, under "", and others that are asked for,
        as "left-uk"."""
        return editions_of(self.amounts, self.options)

    @property
    def own(self) -> Edition:
        """The pattern in the chart's own hand and terms."""
        return self.editions[""]

    @property
    def rows(self) -> tuple[PatternRow, ...]:
        """What each diagonal row says, in working order."""
        return self.own.rows

    @property
    def document(self) -> Document:
        """The pattern as sections, in no format."""
        return self.own.document

    @property
    def pattern_text(self) -> str:
        """The pattern in plain words."""
        return self.own.text

    @cached_property
    def proof(self) -> Proof | None:
        """What came of working the pattern stitch by stitch; None where that is left out. Of
        several editions it is the first that does not hold."""
        if "proof" in (self.options.without or ()):
            return None
        editions = dict.fromkeys(self.editions.values())
        return next((e.proof for e in editions if not e.proof.holds), self.own.proof)

    # Half-way

    @cached_property
    def run_out(self) -> RunOut | None:
        """Whether the yarn lasts, of a piece that is under way."""
        of = self.under_way
        return forecast(self.amounts, of.done, of.left) if of else None

    @cached_property
    def ripping(self) -> RipBack | None:
        """What undoing rows that are made takes and saves, where it is asked."""
        row = self.options.rip_back
        return rip_back(self.chart, row) if row and self.chart.done else None

    @cached_property
    def rescue(self) -> Rescue | None:
        """What could step in for yarns that run out, of a piece that is under way."""
        of, run_out = self.under_way, self.run_out
        if of is None or run_out is None:
            return None
        from pix2block.design.stand_in import find_stand_ins

        return find_stand_ins(run_out, of.shelf)

    # What is drawn, told and written

    @cached_property
    def sheet(self) -> Drawing:
        """The chart as the picture is seen."""
        return chart_sheet(self.amounts)

    @cached_property
    def subject_sheet(self) -> Drawing:
        """What counts most in the picture, on the picture; of a study that has a view alone."""
        from pix2block.pages.subject_sheet import subject_sheet

        assert self.view
        means = (self.view.original or self.view).means
        source = self.chart.source
        minded = source.minded if source else ()
        return subject_sheet(self.chart.title, means, self.subject, minded)

    @property
    def has_subject_sheet(self) -> bool:
        """Whether anything in the picture counts more than the rest."""
        minded = bool(self.chart.source and self.chart.source.minded)
        return self.view is not None and (self.subject is not None or minded)

    @cached_property
    def decided(self) -> tuple[str, ...]:
        """What was decided for the maker, a sentence each."""
        return self.decisions

    @property
    def more_outputs(self) -> tuple[Output[Any], ...]:
        """Files that only this kind of piece has."""
        return ()
