"""How long work tells how far it is, and how it is ended.

`progress` is handed on from call to call and counts steps. Whether work is still wanted is asked in
between, in loops that count nothing, by `heed`; who begins work that may be ended says so once:

    with heeding(raise_if_not_wanted):
        chart_picture(…)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

Progress = Callable[[int, int], None]  # called with steps that are done, and with all
Heed = Callable[[], None]  # raises where work is not wanted any more; returns at once

_HEED: ContextVar[Heed | None] = ContextVar("heed", default=None)


@contextmanager
def heeding(heeds: Heed) -> Iterator[None]:
    """What is done within the block, in this thread, may be ended by what `heeds` raises."""
    before = _HEED.set(heeds)
    try:
        yield
    finally:
        _HEED.reset(before)


def heed() -> None:
    """Ask whether the work is still wanted. Raises what `heeding` was told to raise."""
    heeds = _HEED.get()
    if heeds is not None:
        heeds()


def heeded() -> Heed | None:
    """What `heed` asks here, for another thread that goes on with this work; None where work is
    never ended."""
    return _HEED.get()
