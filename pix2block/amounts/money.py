"""What a piece costs: its yarn, and the work at what an hour is worth to the maker."""

from __future__ import annotations

from pix2block.amounts.yarn_use import Amounts
from pix2block.ground.frozen import dataclass
from pix2block.ground.units import added_up


@dataclass(frozen=True)
class Money:
    """currency: as written behind a sum, "" where none is; hour: what an hour of work is worth in
    it, None where the maker does not say."""

    currency: str = ""
    hour: float | None = None

    def say(self, value: float) -> str:
        """ "26.90 EUR"; a sum without currency stands alone."""
        return f"{value:,.2f} {self.currency}".rstrip()


NO_MONEY = Money()


@dataclass(frozen=True)
class Costs:
    """money: what they are told in; to_buy: of the skeins to buy; yarn: of what is likely worked
    up, whatever is on hand; work: hours at their worth; unpriced: yarns that these leave out. None
    where nothing is known."""

    money: Money
    skeins_to_buy: int | None
    to_buy: float | None
    yarn: float | None
    work: float | None
    unpriced: tuple[str, ...]

    @property
    def piece(self) -> float | None:
        """Yarn and work together, where both are known."""
        return None if self.yarn is None or self.work is None else self.yarn + self.work


def all_hours(amounts: Amounts) -> float:
    """Crochet, weaving in and border."""
    border = amounts.border.hours if amounts.border else 0.0
    return amounts.hours + amounts.weave_in_hours + border


def costs_of(amounts: Amounts, money: Money = NO_MONEY) -> Costs:
    """What a piece costs; sums leave yarns without a price out."""
    used = [
        (yarn.name, of)
        for yarn, of in zip(amounts.chart.yarns, amounts.yarns, strict=True)
        if of.metres
    ]
    skeins = [of.to_buy for _, of in used if of.to_buy is not None]
    bought = [of.cost for _, of in used if of.cost is not None]
    worked = [of.worth for _, of in used if of.worth is not None]
    return Costs(
        money=money,
        skeins_to_buy=sum(skeins) if skeins else None,
        to_buy=added_up(bought) if bought else None,
        yarn=added_up(worked) if worked else None,
        work=None if money.hour is None else all_hours(amounts) * money.hour,
        unpriced=tuple(name for name, of in used if of.worth is None),
    )
