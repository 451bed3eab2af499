"""The options of opening the worktable that are no piece's."""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, option
from pix2block.options.rules import Flag
from pix2block.options.table import OPEN

OPENING = "in the browser"


@dataclass(frozen=True, kw_only=True, repr=False)
class OpenOptions(Asked):
    """How the worktable is opened; None where nothing is said."""

    # fmt: off
    no_browser: bool | None = option(OPENING, Flag(), (OPEN,),
        "print the address, and open no browser")
    # fmt: on
