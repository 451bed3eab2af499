"""How long work tells how far it is."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[int, int], None]  # called with steps that are done, and with all
