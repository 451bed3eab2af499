"""What a mend costs: figures before and after, and the same in words."""

from __future__ import annotations

from typing import Any

from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.units import say_count

Cost = dict[str, Any]


def cost_of(before: Amounts, after: Amounts, blocks: int) -> Cost:
    """Blocks touched; tails, minutes (of crochet and of ending tails), the most yarns hanging and
    whole skeins, before and after; skeins of the yarns where they differ, None where unknown."""
    return {
        "blocks": blocks,
        "tails": [before.plan.tails, after.plan.tails],
        "minutes": [_minutes(before), _minutes(after)],
        "hanging": [int(a.plan.attached_by_row.max()) for a in (before, after)],
        "skeins": _skeins(before, after),
    }


def _minutes(amounts: Amounts) -> float:
    return round(60 * (amounts.hours + amounts.weave_in_hours), 1)


def _skeins(before: Amounts, after: Amounts) -> dict[str, list[int | None]]:
    was, now = (
        {yarn.name: use.skeins for yarn, use in zip(of.chart.yarns, of.yarns, strict=True)}
        for of in (before, after)
    )
    both = {name: [was.get(name), now.get(name)] for name in (*was, *now)}
    return {name: pair for name, pair in both.items() if pair[0] != pair[1]}


def cost_words(cost: Cost) -> str:
    """ "2 blocks: tails 188 → 190, 4 minutes more"."""
    was, now = cost["tails"]
    parts = [f"tails {was:,} → {now:,}" if was != now else f"tails stay {now:,}"]
    minutes = round(cost["minutes"][1] - cost["minutes"][0])
    if minutes:
        parts.append(f"{say_count(abs(minutes), 'minute')} {'more' if minutes > 0 else 'less'}")
    was, now = cost["hanging"]
    if was != now:
        parts.append(f"yarns hanging at once {was} → {now}")
    for name, (was, now) in cost["skeins"].items():
        if was is not None and now is not None:
            parts.append(f"{name}: {was} → {now} skeins")
    return f"{say_count(cost['blocks'], 'block')}: {', '.join(parts)}"
