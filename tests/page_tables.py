"""The tables of the written pages, from the tables that the program works by: every file in the
manual, the everyday options in the README.

Run: python tests/page_tables.py
It writes both anew.
"""

from __future__ import annotations

import re
from itertools import groupby
from pathlib import Path
from typing import Any

from pix2block.colorways.recipe import RECOLOR_OUTPUTS
from pix2block.command.help import cells
from pix2block.comparing.recipe import COMPARE_OUTPUTS
from pix2block.estimate.recipe import ESTIMATE_OUTPUTS
from pix2block.options.table import specs
from pix2block.recipes.outputs import OUTPUTS
from pix2block.stripes.striped import PLANS_OUTPUTS, STRIPE_OUTPUTS
from pix2block.study.output import Output
from pix2block.trial.recipe import TRIAL_OUTPUTS

ROOT = Path(__file__).parent.parent
README, MANUAL = ROOT / "README.md", ROOT / "pix2block" / "MANUAL.md"
FILES = "| file | what it is for |\n| --- | --- |\n"
OPTIONS = "| option | what it does | when it is not given |\n| --- | --- | --- |\n"
EVERYDAY = (
    *("width", "size", "weight", "swatch", "crop", "colors", "shelf", "hand", "corner", "block"),
    *("terms", "calm", "habit", "tails", "border", "out", "title", "page", "done"),
)
EVERY: tuple[Output[Any], ...] = (
    *OUTPUTS,
    *STRIPE_OUTPUTS,
    *PLANS_OUTPUTS,
    *TRIAL_OUTPUTS,
    *COMPARE_OUTPUTS,
    *RECOLOR_OUTPUTS,
    *ESTIMATE_OUTPUTS,
)


def files_table() -> str:
    """A line for each file, or for some that are for one thing."""
    lines = []
    for (option, purpose), rows in groupby(EVERY, key=lambda row: (row.option, row.purpose)):
        names = ", ".join(f"`{row.name}`" for row in rows)
        when = f"with {{{option.replace('_', '-')}}}: " if option else ""
        words = re.sub(r"\{(.*?)\}", r"`--\1`", when + purpose)
        lines.append(f"| {names} | {words} |\n")
    return FILES + "".join(lines)


def everyday_table() -> str:
    """A line for each option that most pieces need."""
    return OPTIONS + "".join(f"{cells(spec)}\n" for spec in specs() if spec.name in EVERYDAY)


def table_in(text: str, head: str) -> str:
    """The table with this head as it stands in a page."""
    start = text.index(head)
    return text[start : text.index("\n\n", start) + 1]


if __name__ == "__main__":
    for page, head, table in ((MANUAL, FILES, files_table()), (README, OPTIONS, everyday_table())):
        before = page.read_text(encoding="utf-8")
        page.write_text(before.replace(table_in(before, head), table), encoding="utf-8")
