"""shopping.txt: each yarn needed, on hand and to buy; what the piece costs; for people."""

from __future__ import annotations

from typing import Any

from pix2block.amounts.money import Costs, Money
from pix2block.amounts.yarn_use import Amounts, YarnAmount
from pix2block.ground.units import (
    rounded,
    say_count,
    say_grams_ounces,
    say_hours,
    say_metres_range,
    say_metres_yards,
)
from pix2block.pattern.yarn_words import join_sentences
from pix2block.yarn.mixed import mixed_lines, several_colors_line
from pix2block.yarn.yarn import Yarn


def shopping_text(amounts: Amounts, costs: Costs) -> str:
    """The shopping list."""
    chart = amounts.chart
    entries = [
        (yarn, of)
        for yarn, of, used in zip(chart.yarns, amounts.yarns, chart.used, strict=True)
        if used
    ]
    basis = "a guess: a swatch makes it surer" if amounts.measures.guessed else "by your swatch"
    reserve = f", {chart.reserve:g} % of reserve in the most" if chart.reserve else ""
    lines = [
        f"Shopping list: {chart.title}",
        "",
        f"Likely need and, in brackets, from least to most ({basis}{reserve}). To buy is for the "
        "most.",
    ]
    for yarn, of in entries:
        lines += ["", *_entry(yarn, of, costs.money)]
    lines += ["", *cost_lines(amounts, costs), _time_line(amounts)]
    used = [yarn for yarn, _ in entries]
    several = several_colors_line(used)
    notes = [*join_sentences(amounts), *mixed_lines(used, chart.weight)]
    notes += [several] if several else []
    if notes:
        sentences = [f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in notes]
        lines += ["", "To know", *(f"- {sentence}" for sentence in sentences)]
    return "\n".join(lines) + "\n"


def _entry(yarn: Yarn, of: YarnAmount, money: Money) -> list[str]:
    told = [yarn.color, f"dye lot {yarn.lot}" if yarn.lot else "", yarn.fibre or ""]
    told.append("held double" if yarn.held == 2 else "")
    guessed = ", a guess" if of.grams_guessed else ""
    lines = [
        f"{yarn.name} ({', '.join(word for word in told if word)})",
        f"  needed   {say_metres_yards(of.metres)} "
        f"[{say_metres_range(of.metres_low, of.metres_high)}], "
        f"{say_grams_ounces(of.grams)}{guessed}",
    ]
    if of.on_hand is None:
        lines.append("  on hand  not told")
    else:
        metres = f", {say_metres_yards(of.on_hand * yarn.metres)}" if yarn.metres else ""
        lines.append(f"  on hand  {say_skeins(of.on_hand)}{metres}")
    lines.append(f"  to buy   {_to_buy(yarn, of, money)}")
    return [*lines, f"  note     {yarn.note_line}"] if yarn.note_line else lines


def _to_buy(yarn: Yarn, of: YarnAmount, money: Money) -> str:
    if of.to_buy is None:
        grams = of.grams * (of.metres_high / of.metres if of.metres else 1)
        return f"{say_metres_yards(of.metres_high)}, {say_grams_ounces(grams)}"
    if not of.to_buy:
        over = f"; {say_metres_yards(of.leftover)} left over" if of.leftover else ""
        return f"nothing{over}"
    words = f"{say_skeins(of.to_buy)} of {yarn.metres:g} m"
    if yarn.grams:
        words += f" and {yarn.grams:g} g"
    if of.short_by:
        words += f" ({say_metres_yards(of.short_by)} short)"
    if yarn.lot and of.on_hand:
        words += f", of dye lot {yarn.lot} if it is to be had"
    return words + (f": {money.say(of.cost)}" if of.cost is not None else "")


def cost_lines(amounts: Amounts, costs: Costs) -> list[str]:
    """What is to buy, what the yarn in the piece costs, and what the piece costs to make."""
    money = costs.money
    without = ""
    if costs.unpriced and len(costs.unpriced) < int(amounts.chart.used.sum()):
        without = f", without {', '.join(costs.unpriced)}, whose price is not told"
    lines = []
    if costs.skeins_to_buy is not None:
        cost = f": {money.say(costs.to_buy)}{without}" if costs.to_buy else ""
        skeins = costs.skeins_to_buy
        lines.append(f"In all {say_skeins(skeins)} to buy{cost}." if skeins else "Nothing to buy.")
    if costs.yarn is not None:
        lines.append(f"The yarn in the piece costs about {money.say(costs.yarn)}{without}.")
    if costs.work is not None and money.hour is not None:
        words = f"At {money.say(money.hour)} an hour the work is worth {money.say(costs.work)}"
        if costs.piece is not None:
            words += f"; with its yarn the piece costs about {money.say(costs.piece)} to make"
        lines.append(f"{words}.")
    return lines


def _time_line(amounts: Amounts) -> str:
    parts = [f"{say_hours(amounts.hours)} of crochet"]
    parts.append(f"{say_hours(amounts.weave_in_hours)} of weaving in")
    if amounts.border:
        parts.append(f"{say_hours(amounts.border.hours)} of border")
    return f"Time: {', '.join(parts)}."


def say_skeins(skeins: float) -> str:
    """ "1 skein", "2.5 skeins"."""
    if skeins == int(skeins):
        return say_count(int(skeins), "skein")
    return f"{skeins:g} skeins"


def cost_figures(amounts: Amounts, costs: Costs) -> dict[str, Any]:
    """What is to buy, what the piece costs and its border, for summary.json."""
    border = amounts.border
    of_border = None
    if border:
        of_border = {
            "rounds": border.border.rounds,
            "stitch": border.border.stitch,
            "yarn": amounts.chart.yarns[border.border.yarn].name,
            "stitches": [r.stitches for r in border.rounds],
            "metres": rounded(border.metres, 2),
            "hours": rounded(border.hours, 2),
            "added_cm": rounded(border.added_cm, 2),
        }
    return {
        "skeins_to_buy": costs.skeins_to_buy,
        "cost_to_buy": rounded(costs.to_buy, 2),
        "cost_of_yarn": rounded(costs.yarn, 2),
        "worth_of_work": rounded(costs.work, 2),
        "currency": costs.money.currency or None,
        "border": of_border,
    }
