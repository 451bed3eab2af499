"""An estimate against trying everything: on small parts of the samples, whether what it recommends
is what the whole grid of palettes and ways would give, under goals from tight to loose.

    PYTHONPATH=tests:. python tests/bench/estimate.py [FIRST] [LAST]     parts, from 1 to 20
    PYTHONPATH=tests:. python tests/bench/estimate.py time PICTURE WIDTH
"""

from __future__ import annotations

import datetime
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from pix2block.calming import calm as calming
from pix2block.estimate import grid
from pix2block.estimate.answer import Answer
from pix2block.estimate.goals import Goals, goals_of
from pix2block.estimate.grid import shared_out
from pix2block.estimate.recipe import estimate_pieces
from pix2block.options.goals import EstimateOptions
from pix2block.options.table import Options
from pix2block.recipes.from_picture import chart_picture
from pix2block.study.ways import Way

SAMPLES = Path(__file__).parents[2] / "sample_images"
PARTS = [
    *(("tallow_cat.jpg", part) for part in ("0,0,100,100", "10,5,70,60", "0,40,60,60")),
    *(("tallow_cat.jpg", part) for part in ("40,0,60,60", "20,30,50,50", "35,35,65,65")),
    *(("fog_morning.png", part) for part in ("0,0,100,100", "0,0,60,60", "40,0,60,60")),
    *(("fog_morning.png", part) for part in ("0,40,60,60", "40,40,60,60", "20,20,60,60")),
    *(("club_badge.png", part) for part in ("0,0,100,100", "0,0,60,60", "30,30,60,60")),
    *(("lantern_cutout.png", part) for part in ("0,0,100,100", "10,10,70,70", "20,30,60,60")),
    *(("boathouse_lines.png", part) for part in ("0,0,100,100", "20,20,60,60")),
]
WIDTH = 12
DAY = datetime.date(2027, 3, 1)


class EveryWay:
    """All that there is to try; chosen: which of it an estimate tries."""

    def __init__(self) -> None:
        self.chosen: list[int] = []

    def __call__(self, groups: Sequence[tuple[int, Sequence[Way]]]) -> Iterator[tuple[int, Way]]:
        tried = set(shared_out(groups))
        every = [(number, way) for number, (_, ways) in enumerate(groups) for way in ways]
        self.chosen = [i for i, one in enumerate(every) if one in tried]
        yield from every


def tried(picture: Path, part: str) -> Answer:
    asked = EstimateOptions.from_words({"width": str(WIDTH)})
    return estimate_pieces(picture, [], asked, Options.from_words({"crop": part})).answer


def goals_for(whole: Answer) -> list[Goals]:
    """No goal; hours of weaving in that few, some and most of all pieces keep; yarns hanging that
    few and some of them keep."""
    hours = sorted(piece.weave_in_hours for piece in whole.pieces)
    hanging = sorted(piece.most_hanging for piece in whole.pieces)
    asked = [EstimateOptions()]
    asked += [EstimateOptions(weave_in=max(0.02, hours[len(hours) * q // 8])) for q in (1, 3, 6)]
    asked += [EstimateOptions(most_hanging=hanging[len(hanging) * q // 8]) for q in (1, 3)]
    return [goals_of(one, lambda: DAY, priced=False) for one in asked]


def compare(first: int, last: int) -> None:
    same = pictures = 0
    worst = 0.0
    for number, (name, part) in list(enumerate(PARTS, 1))[first - 1 : last]:
        every = EveryWay()
        with patch("pix2block.estimate.search.shared_out", every):
            whole = tried(SAMPLES / name, part)
        quick = replace(whole, pieces=tuple(whole.pieces[i] for i in every.chosen))
        alike, words = True, []
        for goals in goals_for(whole):
            best, found = (replace(one, goals=goals).best for one in (whole, quick))
            further = found.far / best.far - 1 if best.far else 0.0
            lost = len(found.lost) - len(best.lost)
            worst = max(worst, further)
            alike &= found.truth == best.truth and found.tails <= best.tails
            words.append(f"{further:+.1%}, tails {found.tails} of {best.tails}, {lost:+d} lost")
        same += alike
        pictures += 1
        print(
            f"{number:2} {name} {part}: {len(quick.pieces)} of {len(whole.pieces)} pieces; "
            f"{'the same' if alike else 'OTHERS'}: {'; '.join(words)}",
            flush=True,
        )
    print(f"the same best under every goal in {same} of {pictures}; at worst {worst:+.2%} error")


def timed(picture: Path, width: int) -> None:
    """Processor time of an estimate, in charts, in calmings of one, and in what is calmed."""
    spent, count = [0.0], [0]
    real = calming.calm

    def counted(*given: object) -> object:
        begun = time.thread_time()
        try:
            return real(*given)  # type: ignore[arg-type]
        finally:
            spent[0] += time.thread_time() - begun
            count[0] += 1

    with patch("pix2block.calming.charts.calm", counted):
        begun = time.process_time()
        chart_picture(picture, Options(width=width))
        one, once = time.process_time() - begun, spent[0]
        spent[0], count[0] = 0.0, 0
        began, begun = time.perf_counter(), time.process_time()
        asked = (
            EstimateOptions() if width == 60 else EstimateOptions.from_words({"width": str(width)})
        )
        answer = estimate_pieces(picture, [], asked).answer
    print(
        f"{len(answer.pieces)} pieces, {time.process_time() - begun:.1f} CPU s, "
        f"{time.perf_counter() - began:.1f} s; {count[0]} calmings took {spent[0]:.1f} s, "
        f"{spent[0] / once:.1f} times that of one chart ({once:.2f} s of {one:.1f} s); "
        f"bound {grid.MOST_CALMED / (60 * 75) ** grid._GROWS:g}"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["time"]:
        timed(Path(sys.argv[2]), int(sys.argv[3]))
    else:
        ends = [int(word) for word in sys.argv[1:]] or [1, len(PARTS)]
        compare(ends[0], ends[-1])
