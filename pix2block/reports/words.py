"""What a maker wants to know of a piece, in her words, a line each."""

from __future__ import annotations

import math

from pix2block.amounts.endings import Ending
from pix2block.amounts.yarn_use import Amounts, YarnAmount
from pix2block.design.area_words import area_words, color_word, faded_words, named_color
from pix2block.design.areas import Area
from pix2block.design.hues import Faded
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.settings import FRIENDLY_SIDE_CM, LARGE_SIDE_CM
from pix2block.ground.units import (
    round_half_up,
    say_count,
    say_hours,
    say_metres,
    say_side,
)
from pix2block.pattern.yarn_words import size_words
from pix2block.proof.compare import Proof
from pix2block.reports.forecast import forecast_lines, rip_back_lines
from pix2block.reports.shopping import cost_lines
from pix2block.reports.ways_words import better_lines
from pix2block.study.study import Study


def study_lines(study: Study) -> list[str]:
    """All that is worth a word of a piece: what it takes and costs, what would save, what is lost,
    what was decided, whether the pattern gives the chart, whether the yarn lasts."""
    return [
        *piece_lines(study.amounts),
        *cost_lines(study.amounts, study.costs),
        *calm_lines(study),
        *lost_lines(study),
        *study.decided,
        *((proof_line(study.proof),) if study.proof else ()),
        *(forecast_lines(study.run_out, study.rescue) if study.run_out and study.rescue else ()),
        *(rip_back_lines(study.chart, study.ripping) if study.ripping else ()),
        *better_lines(study.better),
    ]


def note_lines(study: Study) -> list[str]:
    """What a maker should know of how the piece came about, and of what its files cannot show."""
    notes = [*study.notes]
    if "pdf" not in (study.options.without or ()):
        notes += [note for edition in study.editions.values() for note in edition.notes]
    advice = size_advice(study)
    return list(dict.fromkeys([*notes, *([advice] if advice else [])]))


def piece_lines(amounts: Amounts) -> list[str]:
    """What a maker wants to know first: size, rows, tails, yarn, hours."""
    chart, plan = amounts.chart, amounts.plan
    attached = plan.attached_by_row
    across, down = chart.layout.extent
    guess = ""
    if amounts.measures.guessed:
        band = amounts.measures.size_band
        wide, *_ = amounts.wingspan_depth_cm or amounts.whole_size_cm
        guess = say_side(wide * (1 - band), wide * (1 + band))
        guess = f" (a guess: {guess} wide; a swatch would tell)"
    lines = [
        f"{chart.title}: {size_words(amounts)}, {across} × {down} blocks{guess}",
        f"{say_count(chart.last_row, 'diagonal row')}, "
        f"{say_count(int(chart.runs.blocks.sum()), 'block')}, "
        f"{say_count(int(amounts.changes_by_row.sum()), 'colour change')}",
        f"{say_count(plan.tails, 'tail')} {_how_ended(amounts.ending)}; most yarns hanging at "
        f"once: {attached.max()}, first in row {attached.argmax() + 1}",
    ]
    if amounts.joins:
        lines[-1] += f"; {say_count(amounts.joins, 'join')} where a skein ends"
    lines.append(_bobbin_words(amounts))
    name_wide = max(len(yarn.name) for yarn in chart.yarns)
    for yarn, amount in zip(chart.yarns, amounts.yarns, strict=True):
        if amount.metres:
            lines.append(f"  {yarn.name:<{name_wide}}  {_yarn_words(amount)}")
    unused = [y.name for y, a in zip(chart.yarns, amounts.yarns, strict=True) if not a.metres]
    if unused:
        lines.append(f"  not used: {', '.join(unused)}")
    lines.append(
        f"{say_hours(amounts.hours)} of crochet, and {say_hours(amounts.weave_in_hours)} of "
        f"{'weaving in' if chart.tail_ending == 'woven' else 'ending tails'}"
    )
    return lines


def _how_ended(ending: Ending) -> str:
    words = {
        "woven": "to weave in",
        "over": "to work over in the next blocks",
        "border": f"to end, {ending.taken:,} of them in the border",
        "fringe": f"to end, {ending.taken:,} of them as fringe",
    }
    return words[ending.way]


def _bobbin_words(amounts: Amounts) -> str:
    at_edges = int(amounts.tails.at_edges.sum())
    edges = f"{say_count(at_edges, 'tail')} at the edges"
    if all(bobbin.from_skein for bobbin in amounts.bobbins):
        return f"{edges}; no bobbins: work from the skeins"
    wound = [b for b in amounts.bobbins if b.number is not None and not b.from_skein]
    long = sum(bobbin.over_hand for bobbin in wound)
    words = f"{edges}; {say_count(len(wound), 'bobbin')} to wind"
    if long:
        words += f", {long:,} longer than a hand's butterfly ({amounts.chart.butterfly_m:g} m)"
    return words


def calm_lines(study: Study) -> list[str]:
    """What calming saved and cost, and whether no more yarns hang than were asked for."""
    plan, calmed = study.plan, study.chart.calmed
    if calmed is None:
        return []
    before, after = study.calming_tails or (0, 0)
    lines: list[str] = []
    if after < before:
        then = "" if study.chart.uncalmed else ", when it was calmed"
        lines.append(
            Advice(
                f"Fewer tails: {after:,} in place of {before:,}, for colours a little less true"
                f"{then} (",
                Ask("calm", 0),
                " for the truest picture).",
            )
        )
    elif not calmed.error_before:
        lines.append(
            Advice(
                "The yarns fit this picture exactly, so there was no error for ",
                Ask("calm"),
                " to raise.",
            )
        )
    if calmed.most_hanging is not None:
        attached = plan.attached_by_row
        most, row = int(attached.max()), int(attached.argmax()) + 1
        lines.append(
            f"At most {most} yarns hang in any row, as asked."
            if most <= calmed.most_hanging
            else Advice(
                f"{most} yarns still hang in row {row}, over the {calmed.most_hanging} asked for: "
                "a higher ",
                Ask("calm"),
                " may do it.",
            )
        )
    return lines


def lost_lines(study: Study) -> list[str]:
    """What the yarns no longer show, a line each, with the yarn that brings it back, tried."""
    if not study.lost:
        return []
    from pix2block.design.remedies import more_yarn_words

    names = {yarn.color: yarn.name for yarn in study.spare or ()}
    lines: list[str] = []
    small: list[str] = []
    for feature, remedy in zip(study.lost, study.remedies, strict=False):
        name = (names.get(remedy.added) or named_color(remedy.added)) if remedy else ""
        if isinstance(feature, Area):
            words = area_words(feature, study.chart.yarns[feature.yarn].name)
            if remedy:
                words += f": one more yarn, {name}, would part them"
            lines.append(f"{words}.")
            continue
        if isinstance(feature, Faded):
            words = faded_words(feature)
            words += f": one more yarn, {name}, would bring it back" if remedy else ""
            lines.append(f"{words}.")
            continue
        word = color_word(feature.color)
        words = f"  the {word} {feature.place} ({say_count(feature.blocks, 'block')})"
        if remedy:
            words += f" would need {more_yarn_words(remedy, name)}"
        small.append(words)
    more = len(study.lost) - len(study.remedies)
    if more:
        small.append(f"  and {more} more, in summary.json")
    return [*lines, *(["These no longer stand out in so few yarns:"] if small else []), *small]


def _yarn_words(amount: YarnAmount) -> str:
    words = f"{say_metres(amount.metres):>7}"
    if amount.skeins is not None:
        words += f"  {skeins_words(amount.skeins, amount.skeins_likely or 0.0)}"
        if amount.on_hand is not None:
            words += f", you have {amount.on_hand:g}"
        if amount.short_by:
            words += f": {say_metres(amount.short_by)} short"
    else:
        skeins_100_g = amount.grams * amount.metres_high / amount.metres / 100
        words += f"  about {say_count(max(1, -int(-skeins_100_g // 1)), 'skein')} of 100 g"
    return words


def skeins_words(safe: int, likely: float) -> str:
    """ "5 skeins likely, 7 to be safe": whole ones."""
    whole = max(1, math.ceil(likely))
    if whole >= safe:
        return say_count(safe, "skein")
    return f"{say_count(whole, 'skein')} likely, {safe} to be safe"


def size_advice(study: Study) -> Advice | None:
    """A friendly word where a finished side of a piece from a picture is over 2 m, with the width
    that gives 1.5 m."""
    amounts, chart = study.amounts, study.chart
    longest = max(amounts.whole_size_cm)
    if longest <= LARGE_SIDE_CM or chart.source is None:
        return None
    added = amounts.border.added_cm if amounts.border else 0.0
    share = (FRIENDLY_SIDE_CM - added) / max(amounts.finished_size_cm)
    width = max(1, round_half_up(chart.width * share))
    return Advice(
        f"The longer side would be {longest / 100:.1f} m: ",
        Ask("width", width),
        f" gives about {FRIENDLY_SIDE_CM / 100:.1f} m.",
    )


def proof_line(proof: Proof) -> str:
    """What came of working the pattern, in a line."""
    if not proof.holds:
        faults = say_count(len(proof.faults) + proof.more, "fault")
        return f"checked stitch by stitch: the pattern does not give the chart ({faults})"
    worked = f"{say_count(proof.rows, 'row')}, {say_count(proof.blocks, 'block')}"
    return f"checked stitch by stitch: {worked}, {proof.stitches:,} stitches give the chart"


def fault_lines(proof: Proof) -> list[str]:
    """What is wrong with a pattern, a line each, and how much more is."""
    more = [f"and {proof.more:,} more"] if proof.more else []
    return [*map(str, proof.faults), *more]
