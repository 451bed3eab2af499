"""Numbers and amounts as they are written: rounded, and with units for people."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

CM_PER_INCH = 2.54
CM_PER_YARD = 36 * CM_PER_INCH
GRAMS_PER_OUNCE = 28.349523125


def round_half_up(value: float) -> int:
    """The nearest whole number, halves upwards: for counts of blocks and stitches."""
    return math.floor(value + 0.5)


def added_up(numbers: Iterable[float]) -> float:
    """Their sum, one after the other. The built-in sum carries along what rounding takes off from
    Python 3.12 on, so that its last digit, and files with it, depend on the Python."""
    total = 0.0
    for number in numbers:
        total += number
    return total


def fixed(value: float | None, places: int) -> str:
    """A number as it is written, with so many decimals; nothing where it is unknown."""
    return "" if value is None else f"{value:.{places}f}"


def rounded(value: float | None, places: int) -> float | None:
    """The number that `fixed` writes, None where it is unknown."""
    return None if value is None else float(f"{value:.{places}f}")


def plain(number: float) -> str:
    """A number in full, without exponent: "15", "0.7"."""
    from decimal import Decimal  # only where options are written as words

    return format(Decimal(repr(float(number)).removesuffix(".0")), "f")


def say_count(number: int, one: str, many: str | None = None) -> str:
    """ "1 block", "1,204 tails"."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


_UNITS = "m|km|cm|mm|g|kg|h|min|in|yd|oz|%|×|blocks?|rows?|skeins?|tails?|bobbins?|yarns?"
_TORN = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w-]))|(?<=×) (?=\d)| (?=#\d)")


def bind(text: str) -> str:
    """A text in whose lines no number is torn from its unit, wherever they break."""
    return _TORN.sub("\u00a0", text)


def say_metres(metres: float) -> str:
    """ "2.4 km", "310 m", "7.5 m": what a maker can act on."""
    if metres >= 1000:
        return f"{metres / 1000:.1f} km"
    return f"{metres:.0f} m" if metres >= 10 else f"{metres:.1f} m"


def say_metres_range(low: float, high: float) -> str:
    """ "456 to 790 m", "0.9 to 1.2 km", "1.9 m": one unit for both, that of the longer."""
    if high >= 1000:
        least, most, unit = f"{low / 1000:.1f}", f"{high / 1000:.1f}", "km"
    elif high >= 10:
        least, most, unit = f"{low:.0f}", f"{high:.0f}", "m"
    else:
        least, most, unit = f"{low:.1f}", f"{high:.1f}", "m"
    return f"{most} {unit}" if least == most else f"{least} to {most} {unit}"


def say_yards(metres: float) -> str:
    """ "2,600 yd", "340 yd", "8.2 yd": the same in yards."""
    yards = metres * 100 / CM_PER_INCH / 36
    if yards >= 1000:
        return f"{round(yards, -2):,.0f} yd"
    return f"{yards:.0f} yd" if yards >= 10 else f"{yards:.1f} yd"


def say_hours(hours: float) -> str:
    """ "61 h", "2.5 h", "40 min"."""
    if hours >= 10:
        return f"{hours:,.0f} h"
    return f"{hours:.1f} h" if hours >= 1 else f"{hours * 60:.0f} min"


def say_side(low_cm: float, high_cm: float) -> str:
    """ "96 to 144 cm (38 to 57 in)"."""
    inches = (low_cm / CM_PER_INCH, high_cm / CM_PER_INCH)
    return f"{low_cm:.0f} to {high_cm:.0f} cm ({inches[0]:.0f} to {inches[1]:.0f} in)"


def say_size(width_cm: float, height_cm: float) -> str:
    """ "120 × 150 cm (47 × 59 in)"."""
    inches = (width_cm / CM_PER_INCH, height_cm / CM_PER_INCH)
    return f"{width_cm:.0f} × {height_cm:.0f} cm ({inches[0]:.0f} × {inches[1]:.0f} in)"


def say_triangle(wingspan_cm: float, depth_cm: float) -> str:
    """ "wingspan 170 × depth 86 cm (67 × 34 in)"."""
    inches = (wingspan_cm / CM_PER_INCH, depth_cm / CM_PER_INCH)
    return (
        f"wingspan {wingspan_cm:.0f} × depth {depth_cm:.0f} cm ({inches[0]:.0f} × {inches[1]:.0f} "
        "in)"
    )


def say_numbers(one: str, numbers: Sequence[int], most: int = 6) -> str:
    """ "row 7", "rows 3, 5 and 9 to 12": rising numbers, stretches gathered; at most so many of
    these are told."""
    known = set(numbers)
    starts = [n for n in numbers if n - 1 not in known]
    ends = [n for n in numbers if n + 1 not in known]
    stretches = [str(a) if a == b else f"{a} to {b}" for a, b in zip(starts, ends, strict=True)]
    if len(stretches) > most:
        stretches = [*stretches[:most], f"{len(stretches) - most} more places"]
    *others, last = stretches
    words = f"{', '.join(others)} and {last}" if others else last
    return f"{one if len(numbers) == 1 else one + 's'} {words}"


def say_metres_yards(metres: float) -> str:
    """ "310 m (339 yd)"."""
    yards = metres * 100 / CM_PER_YARD
    return f"{say_metres(metres)} ({yards:,.0f} yd)"


def say_grams_ounces(grams: float) -> str:
    """ "155 g (5.5 oz)"."""
    return f"{grams:,.0f} g ({grams / GRAMS_PER_OUNCE:,.1f} oz)"
