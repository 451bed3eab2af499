"""The figures of a trial: as lines of a table for a page, and trial.csv."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from pix2block.color.deficiency import SIGHTS, Sight
from pix2block.ground.delimited import table
from pix2block.ground.units import fixed, say_hours, say_metres
from pix2block.trial.trial import Tried
from pix2block.trial.words import EYES, Trial, advice, say_away, yarns_used

_UNKNOWN = "–"
_TEXTS = ("shelf", "clear", "worst_region_place", "merging", "shares", "hardly_used", "advice")


def figure_lines(trial: Trial) -> list[tuple[str, list[str]]]:
    """What each line of the table says, and its value for each palette in order."""
    near, far = say_away(trial.near_m), say_away(trial.far_m)
    of: list[tuple[str, Callable[[Tried], str]]] = [
        ("Yarns", lambda t: str(yarns_used(t.chart))),
        ("Things lost", lambda t: str(len(t.lost))),
        ("Colour error, mean", lambda t: f"{t.error_mean:.1f}"),
        ("19 of 20 blocks within", lambda t: f"{t.error_p95:.1f}"),
        ("Worst region", lambda t: f"{t.worst[0]:.1f}"),
        (f"Error seen from {near}", lambda t: f"{t.near:.1f}"),
        (f"Error seen from {far}", lambda t: f"{t.far:.1f}"),
        ("Light and dark kept", lambda t: _percent(t.structure)),
    ]
    of += [(f"Weakest pair, {EYES[sight]}", _weak_words(sight)) for sight in SIGHTS]
    of += [(f"In lightness, {EYES[sight]}", _light_words(sight)) for sight in SIGHTS]
    of += [
        ("Colour changes", lambda t: f"{int(t.amounts.changes_by_row.sum()):,}"),
        *((f"Tails, {_HABITS[i]}", _tails_words(i)) for i in range(3)),
        ("Most yarns hanging", lambda t: str(int(t.amounts.plan.attached_by_row.max()))),
        ("Hours, with weaving in", _hours_words),
        ("Yarn", lambda t: say_metres(t.amounts.metres)),
        ("Skeins", lambda t: _UNKNOWN if t.skeins is None else str(t.skeins)),
        ("Price", lambda t: _UNKNOWN if t.price is None else t.candidate.money.say(t.price)),
    ]
    return [(words, [value(t) for t in trial.tried]) for words, value in of]


_HABITS = ("cut at every change", "picked up", "carried")


def _percent(share: float | None) -> str:
    return _UNKNOWN if share is None else f"{100 * share:.0f} %"


def _hours_words(tried: Tried) -> str:
    return say_hours(tried.amounts.hours + tried.amounts.weave_in_hours)


def _tails_words(habit: int) -> Callable[[Tried], str]:
    return lambda tried: f"{tried.tails_by_habit[habit][1]:,}"


def _weak_words(sight: Sight) -> Callable[[Tried], str]:
    def words(tried: Tried) -> str:
        weak = tried.weakest_in(sight)
        return f"{weak.color.difference:.1f}" if weak else _UNKNOWN

    return words


def _light_words(sight: Sight) -> Callable[[Tried], str]:
    def words(tried: Tried) -> str:
        weak = tried.weakest_in(sight)
        return f"{weak.light.difference:.1f}" if weak else _UNKNOWN

    return words


def trial_csv(trial: Trial) -> str:
    """trial.csv: a line a palette, in their order."""
    return table(_header(), _csv_lines(trial))


def trial_json(trial: Trial) -> str:
    """The same for programs: an object a palette, null where unknown."""
    palettes = [
        {name: _value(name, value) for name, value in zip(_header(), line, strict=True)}
        for line in _csv_lines(trial)
    ]
    return json.dumps(palettes, indent=1, ensure_ascii=False) + "\n"


def _value(column: str, cell: object) -> object:
    """A cell as JSON has it: numbers as numbers."""
    if cell == "":
        return None
    is_text = column in _TEXTS or column.endswith("_pair")
    return cell if is_text or not isinstance(cell, str) else float(cell)


def _csv_lines(trial: Trial) -> list[list[object]]:
    return [_csv_line(number, tried) for number, tried in enumerate(trial.tried, start=1)]


def _header() -> list[str]:
    header = ["rank", "shelf", "asked", "yarns", "width", "height", "clear", "features_lost"]
    header += ["color_error_mean", "color_error_p95", "worst_region", "worst_region_place"]
    header += ["seen_near", "seen_far", "structure"]
    for sight in SIGHTS:
        header += [f"weakest_{sight}_pair", f"weakest_{sight}"]
        header += [f"lightness_{sight}_pair", f"lightness_{sight}"]
    header += ["merging", "shares", "hardly_used", "changes"]
    header += ["tails", "tails_cut", "tails_pickup", "tails_carry", "most_attached", "hours"]
    header += ["weave_in_hours", "metres", "skeins", "price", "advice"]
    return header


def _csv_line(rank: int, tried: Tried) -> list[object]:
    chart, amounts = tried.chart, tried.amounts
    names = [yarn.name for yarn in chart.yarns]
    line: list[object] = [rank, tried.candidate.shelf, tried.candidate.asked or ""]
    line += [yarns_used(chart), chart.width, chart.height, "yes" if tried.clear else "no"]
    line += [len(tried.lost), fixed(tried.error_mean, 3), fixed(tried.error_p95, 3)]
    line += [fixed(tried.worst[0], 3), tried.worst[1], fixed(tried.near, 3), fixed(tried.far, 3)]
    line.append(fixed(tried.structure, 4))
    for sight in SIGHTS:
        weak = tried.weakest_in(sight)
        for one in (weak.color, weak.light) if weak else ():
            pair = f"{names[one.pair.one]} | {names[one.pair.other]}"
            line += [pair, fixed(one.difference, 3)]
        line += [""] * (0 if weak else 4)
    merging = [
        f"{names[m.pair.one]} and {names[m.pair.other]} {m.place} {m.difference:.3f}"
        for m in tried.merging
    ]
    line.append(" | ".join(merging))
    shares = zip(names, amounts.yarns, strict=True)
    line.append(" | ".join(f"{name} {a.share:.4f}" for name, a in shares if a.blocks))
    line.append(" | ".join(names[drop.yarn] for drop in tried.dropped))
    line += [int(amounts.changes_by_row.sum()), amounts.plan.tails]
    line += [tails for _, tails in tried.tails_by_habit]
    line += [int(amounts.plan.attached_by_row.max()), fixed(amounts.hours, 2)]
    line += [fixed(amounts.weave_in_hours, 2), fixed(amounts.metres, 2)]
    line += ["" if tried.skeins is None else tried.skeins, fixed(tried.price, 2)]
    line.append(" | ".join(advice(tried)))
    return line


def pairs_of(tried: Tried, sights: Sequence[Sight] = SIGHTS) -> str:
    """Which two yarns are the weakest pair in each sight."""
    names = [yarn.name for yarn in tried.chart.yarns]
    same: dict[tuple[int, int], list[str]] = {}
    for sight in sights:
        weak = tried.weakest_in(sight)
        if weak:
            pair = weak.color.pair
            same.setdefault((pair.one, pair.other), []).append(EYES[sight])
    return "; ".join(
        f"{names[one]} and {names[other]} ({', '.join(eyes)})"
        for (one, other), eyes in same.items()
    )
