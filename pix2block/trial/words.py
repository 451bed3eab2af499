"""A trial in words: why a palette stands where it does, what would help, what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from pix2block.color.deficiency import Sight
from pix2block.color.spaces import Bytes, encode_bytes
from pix2block.design.area_words import area_words, color_word, faded_words
from pix2block.design.areas import Area
from pix2block.design.features import Feature, place_words
from pix2block.design.hues import Faded
from pix2block.ground.advice import Advice
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import say_count, say_hours, say_metres
from pix2block.study.output import Output
from pix2block.trial.neighbours import TOLD_APART
from pix2block.trial.trial import Seeing, Tried
from pix2block.trial.views import Views, views_of

if TYPE_CHECKING:
    from pix2block.chart.chart import Chart

_MOST_NAMED = 3
_PICTURE_SIDE = 600  # pixels of the picture itself, at most
_NOTICED = 0.1  # of mean CIEDE2000, that one palette is truer
_AS_MANY = 0.02  # of the tails: what nobody feels
CLOSE_LIGHT = 5.0  # L*: nearer yarns look alike in grey
EYES: dict[Sight, str] = {
    "normal": "usual sight",
    "protan": "protan",
    "deutan": "deutan",
    "tritan": "tritan",
    "grey": "black and white",
}


@dataclass(frozen=True, eq=False)
class Trial:
    """What was tried. tried: in their order; seeing: of each in the same order; near_m, far_m: how
    far away the piece is seen from; matters: what matters in the picture, in words, where
    sizes are compared; features_that_matter: those of the finest size that lie in it;
    untold: what was asked for and is not shown, and why; outputs: the files that can be made of it;
    read: those that were read for it."""

    title: str
    picture: str
    tried: tuple[Tried, ...]
    seeing: tuple[Seeing, ...]
    near_m: float
    far_m: float
    matters: str = ""
    features_that_matter: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    outputs: tuple[Output[Trial], ...] = ()
    read: tuple[Path, ...] = ()

    def __repr__(self) -> str:
        return f"Trial({self.title!r}, {len(self.tried)} palettes)"

    @cached_property
    def views(self) -> tuple[Views, ...]:
        """Every view of each, in the same order."""
        return tuple(views_of(t.chart, s) for t, s in zip(self.tried, self.seeing, strict=True))

    @cached_property
    def pictures(self) -> tuple[tuple[Bytes, bool], ...]:
        """The picture itself, and it in blocks, of the finest size tried, in pixels of 8-bit sRGB,
        and whether these are to be smoothed; of a chart or grid, which is its own picture, its
        blocks alone."""
        finest = max(self.seeing, key=lambda s: s.means.size)
        in_blocks = (finest.means, False)
        if finest.light.shape[0] < 2 * finest.means.shape[0]:
            return (in_blocks,)
        step = -(-max(finest.light.shape) // _PICTURE_SIDE)
        return (encode_bytes(finest.light[::step, ::step]), True), in_blocks

    @property
    def sizes(self) -> list[tuple[int, int]]:
        """Widths and heights tried, smallest first."""
        return sorted({(t.chart.width, t.chart.height) for t in self.tried})


def label(trial: Trial, tried: Tried) -> str:
    """ "shelf_12, 6 yarns", or "shelf_12, 6 of 10 yarns" where more might have been used; with the
    size where several were tried."""
    used, most = yarns_used(tried.chart), tried.candidate.asked or len(tried.chart.yarns)
    count = say_count(used, "yarn") if used == most else f"{used} of {say_count(most, 'yarn')}"
    words = f"{tried.candidate.shelf}, {count}"
    if len(trial.sizes) > 1:
        words += f", {tried.chart.width} × {tried.chart.height} blocks"
    return words


def yarns_used(chart: Chart) -> int:
    """Yarns that have a block."""
    return int((chart.blocks_by_yarn > 0).sum())


def rule_words(trial: Trial) -> str:
    """How palettes are ranked."""
    return (
        "First come the palettes that lose nothing that stands out and whose touching yarns all "
        f"differ by {TOLD_APART:g} or more; among these and among the others, the truest as seen "
        f"from {say_away(trial.far_m)}, then the one with fewer tails."
    )


def say_away(metres: float) -> str:
    """ "8 m", "2.1 m"."""
    return f"{metres:.0f} m" if metres >= 5 else f"{metres:.1f} m".replace(".0 m", " m")


def reasons(trial: Trial, number: int) -> list[str]:
    """Why the palette at this place of the order (from 0) stands there, a sentence each."""
    tried = trial.tried[number]
    names = [yarn.name for yarn in tried.chart.yarns]
    areas = (one for one in tried.lost if isinstance(one, Area))
    lines = [f"{area_words(area, names[area.yarn])}." for area in areas]
    lines += [f"{faded_words(one)}." for one in tried.lost if isinstance(one, Faded)]
    features = tried.features_lost
    if features:
        named = [
            f"{_blocks_of(tried, f)} of {color_word(f.color)} {place_words(f, f.mask.shape)}"
            for f in features[:_MOST_NAMED]
        ]
        more = len(features) - len(named)
        rest = f" and {more} more" if more > 0 else ""
        lines.append(
            f"Loses {say_count(len(features), 'thing')} that stood out: {'; '.join(named)}{rest}."
        )
    for merging in tried.merging[:_MOST_NAMED]:
        pair = merging.pair
        lines.append(
            f"{names[pair.one]} and {names[pair.other]} merge {merging.place}: difference "
            f"{merging.difference:.1f}, and {merging.seen_far:.1f} at {say_away(trial.far_m)}."
        )
    weak = tried.weakest_in("normal")
    if tried.clear:
        apart = f"; what touches differs by {weak.color.difference:.1f} or more" if weak else ""
        lines.append(f"Keeps everything that stands out{apart}.")
    lines += _other_eyes(tried, names)
    if number + 1 < len(trial.tried):
        lines += _against_next(trial, tried, trial.tried[number + 1], number)
    return lines


def _blocks_of(tried: Tried, feature: Feature) -> str:
    blocks = feature.blocks * tried.chart.blocks.size / feature.mask.size
    return say_count(max(1, round(blocks)), "block")


def _other_eyes(tried: Tried, names: Sequence[str]) -> list[str]:
    """Who else can not tell yarns apart that usual sight can."""
    merged = {m.pair for m in tried.merging}
    lines = []
    for sight in ("protan", "deutan", "tritan"):
        weak = tried.weakest_in(sight)
        if weak and weak.color.difference < TOLD_APART and weak.color.pair not in merged:
            pair = weak.color.pair
            lines.append(
                f"To {EYES[sight]} eyes {names[pair.one]} and {names[pair.other]} merge: "
                f"difference {weak.color.difference:.1f}."
            )
    grey = tried.weakest_in("grey")
    if grey and grey.light.difference < CLOSE_LIGHT and grey.light.pair not in merged:
        pair = grey.light.pair
        lines.append(
            f"In black and white {names[pair.one]} and {names[pair.other]} are alike: "
            f"{grey.light.difference:.1f} apart in lightness."
        )
    return lines


def _against_next(trial: Trial, tried: Tried, after: Tried, number: int) -> list[str]:
    if tried.clear != after.clear:
        return []
    far, other = f"{tried.far:.1f}", f"{after.far:.1f}"
    ahead = f"Ahead of number {number + 2}: "
    if far != other:
        away = say_away(trial.far_m)
        words = f"{ahead}truer from {away}, error {far} against {other}"
        if tried.near > after.near:
            words += f", though from {say_away(trial.near_m)} that one is truer"
        return [words + "."]
    tails = tried.amounts.plan.tails, after.amounts.plan.tails
    if tails[0] < (1 - _AS_MANY) * tails[1]:
        return [f"{ahead}as true, with {tails[0]:,} tails against {tails[1]:,}."]
    fewer = len(after.lost) - len(tried.lost)
    if fewer or len(after.merging) != len(tried.merging):
        return [] if fewer <= 0 else [f"{ahead}as true from afar, with {fewer} fewer lost."]
    return [f"A tie with number {number + 2}: as true from afar, and as much to weave in."]


def advice(tried: Tried) -> list[str]:
    """Swaps and yarns to drop, as they were tried, a sentence each."""
    names = [yarn.name for yarn in tried.chart.yarns]
    lines = []
    for swap in tried.swaps:
        words = (
            f"{swap.into.name} for {names[swap.out]}: weakest pair {swap.weakest[0]:.1f} → "
            f"{swap.weakest[1]:.1f}, colour error {swap.error[0]:.1f} → {swap.error[1]:.1f}"
        )
        if swap.lost[0] != swap.lost[1]:
            words += f", things lost {swap.lost[0]} → {swap.lost[1]}"
        if swap.tails[0] != swap.tails[1]:
            words += f", tails {swap.tails[0]:,} → {swap.tails[1]:,}"
            words += " before calming" if swap.before_calming else ""
        lines.append(words + ".")
    for drop in tried.dropped:
        words = (
            f"{names[drop.yarn]} has {say_count(drop.blocks, 'block')}. Without it: colour error "
            f"{tried.error_mean:.2f} → {drop.error:.2f}, tails {tried.amounts.plan.tails:,} → "
            f"{drop.tails:,}"
        )
        more = drop.lost - len(tried.features_lost)
        if more > 0:
            words += f", and {say_count(more, 'thing')} more lost"
        lines.append(words + ".")
    return lines


def cost_words(tried: Tried) -> str:
    """What it costs to make, in a line."""
    amounts = tried.amounts
    words = [
        say_count(amounts.plan.tails, "tail"),
        f"{say_hours(amounts.hours + amounts.weave_in_hours)} with weaving in",
        say_metres(amounts.metres),
    ]
    if tried.skeins is not None:
        words.append(say_count(tried.skeins, "skein"))
    if tried.price is not None:
        words.append(f"price {tried.candidate.money.say(tried.price)}")
    return ", ".join(words)


def share_words(tried: Tried) -> str:
    """Each yarn's share, the largest first."""
    used = [
        (-a.share, y.name)
        for y, a in zip(tried.chart.yarns, tried.amounts.yarns, strict=True)
        if a.blocks
    ]
    return ", ".join(f"{name} {_percent(-share)}" for share, name in sorted(used))


def _percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%" if share >= 0.01 else "under 1\u00a0%"


def size_lines(trial: Trial) -> list[str]:
    """What each size shows of what stands out at the largest, and what it costs."""
    if len(trial.sizes) < 2:
        return []
    features = max(trial.seeing, key=lambda s: s.means.size).features
    in_it, whole_from = len(trial.features_that_matter), None
    lines = []
    for width, height in trial.sizes:
        those = [t for t in trial.tried if (t.chart.width, t.chart.height) == (width, height)]
        best = min(those, key=lambda t: len(t.features_lost))
        lost = {id(f) for f in best.features_lost}
        words = f"{width} × {height} blocks show {len(features) - len(lost)} of {len(features)}"
        if in_it:
            shown = sum(id(features[i]) not in lost for i in trial.features_that_matter)
            words += f" things, {shown} of {in_it} where it matters"
            whole_from = whole_from or ((width, height) if shown == in_it else None)
        else:
            words += " things"
        lines.append(f"{words}, at best ({label(trial, best)}): {cost_words(best)}.")
    if in_it:
        size = f"from {whole_from[0]} × {whole_from[1]} blocks on" if whole_from else "at no size"
        matters = trial.matters.parts if isinstance(trial.matters, Advice) else (trial.matters,)
        lines.append(Advice("Everything shows of ", *matters, f" {size}."))
    return lines


def near_or_far(trial: Trial) -> str | None:
    """The two palettes that near and far disagree on the most, where any two are."""
    found = [
        (min(other.near - one.near, one.far - other.far), -i, -j)
        for i, one in enumerate(trial.tried)
        for j, other in enumerate(trial.tried)
    ]
    least, i, j = max(found)
    if least < _NOTICED:
        return None
    near, far = trial.tried[-i], trial.tried[-j]
    return (
        f"From {say_away(trial.near_m)} {label(trial, near)} is truer than {label(trial, far)} "
        f"(error {near.near:.1f} against {far.near:.1f}); from {say_away(trial.far_m)} it is the "
        f"other way round ({near.far:.1f} against {far.far:.1f})."
    )


def trial_lines(trial: Trial) -> list[str]:
    """The trial for a terminal: the order with its reasons."""
    lines: list[str] = [rule_words(trial), *trial.untold, ""]
    for number, tried in enumerate(trial.tried):
        lines.append(f"{number + 1}. {label(trial, tried)}: {cost_words(tried)}")
        lines += [f"   {line}" for line in (*reasons(trial, number), *advice(tried))]
    disagree = near_or_far(trial)
    return [*lines, *([disagree] if disagree else []), *size_lines(trial)]
