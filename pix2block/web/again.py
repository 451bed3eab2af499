"""A piece made again with another option: from its picture, with its mends done again; where the
option needs no picture, from its chart, as a report of it is."""

from __future__ import annotations

import tempfile
import threading
from collections import OrderedDict
from dataclasses import replace
from pathlib import Path
from typing import Any

from pix2block.chart.reading import write_chart
from pix2block.design.view import WHOLE, View
from pix2block.ground.errors import BadInput
from pix2block.ground.progress import Progress, heed
from pix2block.mending.back import steps_of
from pix2block.options.table import CHART, REPORT, STRIPE, Options, specs
from pix2block.recipes.as_asked import with_options
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import Ready, ready_to_work, see
from pix2block.recipes.replay import done_on, work_again
from pix2block.recipes.supplies import open_shelf
from pix2block.stripes.plan_check import refuse_what_cannot_end
from pix2block.stripes.plan_file import read_plan
from pix2block.stripes.recipe import stripe_plan
from pix2block.stripes.striped import Striped
from pix2block.study.study import Study
from pix2block.web.wanted import Wanted, bare_name, in_place
from pix2block.yarn.shelf import Shelf

_SPECS = {spec.name: spec for spec in specs()}
_MOST_READY = 6
_BLINK = 0.05  # seconds

# Options of files alone, and those that a chart keeps and nothing else of it follows from.
_OF_FILES = ("without", "draw", "distance", "compare", "credit")
_OF_PATTERN = ("ink", "rows", "every_row", "letters")
_JUST_KEPT = ("title", "terms", "turn", "tails", "tail", "butterfly", "pace", "reserve")
_JUST_KEPT_TOO = ("page", "editions")
# Options that yarns are chosen without; but within a shelf all of them tell how much is needed.
_LATE = ("hand", "corner", "habit", "reach", "rest", "edge", "calm", "most_hanging", "curve")
AT_ONCE = (*_OF_FILES, *_OF_PATTERN, *_JUST_KEPT, *_JUST_KEPT_TOO)


class Again:
    """Makes a folder's piece again. The last pictures in blocks, with their yarns, are kept, so
    that what is tried and then kept is worked out once."""

    def __init__(self, folder: Path, made: View | None = None) -> None:
        """made: the picture as the piece was just made from it, so that it is decoded once."""
        self.folder = folder
        self._made = made
        self._ready: OrderedDict[str, Ready] = OrderedDict()
        self._lock = threading.Lock()

    def made(
        self,
        now: Study,
        wanted: Wanted,
        name: str,
        progress: Progress | None = None,
    ) -> Study:
        """The piece as it stands, with the option of that name as it is wanted. Raises BadInput for
        one that cannot be, or that needs the picture where it is not at hand."""
        spec = _SPECS[name]
        options = wanted.options(self.folder)
        value = getattr(options, name)
        if name in (*_OF_FILES, *_OF_PATTERN):
            return replace(now, options=options)
        if name in (*_JUST_KEPT, *_JUST_KEPT_TOO) and value is not None:
            chart = with_options(now.chart, Options(**{name: value}))
            return replace(now, chart=chart, options=options)
        if wanted.plan:
            if STRIPE in spec.commands:
                return self.from_plan(now, wanted)
            raise BadInput(f"{name.replace('_', ' ')}: a stripe plan has none of this")
        if CHART in spec.commands and wanted.picture:
            return self.from_picture(now, wanted, progress)
        if REPORT in spec.commands:
            return self._from_chart(now, options, name)
        raise BadInput(
            f"{name.replace('_', ' ')}: this needs the picture, which is not at hand: choose it"
        )

    def from_picture(self, now: Study, wanted: Wanted, progress: Progress | None = None) -> Study:
        """From the picture as is wanted; mends and made rows of the piece are done again where it
        was of the same picture. Raises BadInput where that cannot be."""
        options = wanted.options(self.folder)
        ready = self._made_ready(wanted, options, progress)
        source = now.chart.source
        same = source is not None and source.sha256 == ready.view.picture.sha256
        study = work_again(ready, now.chart if same else None, options, progress)
        under_way = now.under_way if same else None
        return replace(study, under_way=under_way, chart_file=now.chart_file)

    def known_view(self, wanted: Wanted, width: int, height: int) -> View | None:
        """The same where it need not be made; else None."""
        crop = wanted.options(self.folder).crop or WHOLE
        for known in reversed(self._views):
            view = known.original or known
            frame, name = view.frame, view.picture.name
            of = (name, frame.width, frame.height, view.viewing.crop)
            if of == (wanted.picture, width, height, crop):
                return view
        return None

    def view(self, wanted: Wanted, width: int, height: int) -> View:
        """The picture in so many blocks, its backdrop its own. Raises BadInput where it is not at
        hand."""
        if not wanted.picture:
            raise BadInput("this needs the picture, which is not at hand: choose it")
        known = self.known_view(wanted, width, height)
        if known is not None:
            return known
        seen = see(self._at_hand(wanted), wanted.options(self.folder)).view
        self._made = seen  # so that what comes next decodes nothing
        return seen

    def from_plan(self, now: Study, wanted: Wanted) -> Study:
        """From the stripe plan as is wanted; mends are done again. Raises BadInput where rows do
        not add up, or the yarn does not reach."""
        options = wanted.options(self.folder)
        own = open_shelf(options.shelf) if options.shelf else None

        def named(name: str) -> Shelf:
            return open_shelf(in_place(self.folder, bare_name(name)))

        plan = read_plan(wanted.plan, wanted.picture, named, own)
        refuse_what_cannot_end(plan)
        study = stripe_plan(plan, replace(options, out=str(self.folder)))
        chart, left_out = done_on(study.kept, steps_of(replace(now.chart, done=None)))
        return replace(
            study,
            chart=chart,
            notes=(*study.notes, *left_out),
            options=options,
            read=(),
            chart_file=now.chart_file,
        )

    def whole(self, now: Study, wanted: Wanted) -> Study:
        """The piece as it stands with what its files show besides: its picture in blocks, or its
        stripes; that may have to be made again."""
        if not wanted.known or not (wanted.picture or wanted.plan):
            return now
        if now.view is not None or isinstance(now, Striped):
            return now
        made = self.from_plan(now, wanted) if wanted.plan else self.from_picture(now, wanted)
        return replace(made, chart=now.chart, chart_file=now.chart_file)

    def make_ready(self, wanted: Wanted) -> None:
        """Work out ahead what every choice of the piece begins with."""
        if wanted.known and wanted.picture:
            self._made_ready(wanted, wanted.options(self.folder), None)

    def _made_ready(self, wanted: Wanted, options: Options, progress: Progress | None) -> Ready:
        later = () if options.within_shelf else _LATE
        early = replace(options, **dict.fromkeys((*AT_ONCE, *later)))
        key = f"{wanted.picture}: {early!r}"
        if progress:
            progress(0, 1)
        while not self._lock.acquire(timeout=_BLINK):
            heed()  # it may be stopped while it waits
        try:  # in which nothing gives way: who is more urgent may wait for it
            ready = self._ready.pop(key, None)
            if ready is None:
                ready = ready_to_work(self._at_hand(wanted), options)
            self._ready[key] = ready
            self._made = None
            while len(self._ready) > _MOST_READY:
                self._ready.popitem(last=False)
        finally:
            self._lock.release()
        return ready

    @property
    def _views(self) -> list[View]:
        """Pictures in blocks that are at hand."""
        made = self._made
        return [*([made] if made else []), *(one.view for one in list(self._ready.values()))]

    def _at_hand(self, wanted: Wanted) -> View | Path:
        """The picture, decoded where it is in memory."""
        path = in_place(self.folder, wanted.picture)
        return next((view for view in self._views if view.picture.name == path.name), path)

    def _from_chart(self, now: Study, options: Options, name: str) -> Study:
        """As a report of the chart with this one option gives it."""
        given: dict[str, Any] = {name: getattr(options, name), "maker": options.maker}
        if options.left and (options.done or now.chart.done):
            given["left"] = options.left
        if name in ("done", "border", "left"):
            given["shelf"] = options.shelf if options.done or options.border else None
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / "chart.json"
            path.write_bytes(write_chart(now.chart))
            study = open_chart(path, Options(**given))
        return replace(
            now,
            chart=study.chart,
            notes=study.notes,
            under_way=study.under_way,
            maker=study.maker,
            options=options,
        )
