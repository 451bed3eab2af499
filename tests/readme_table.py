"""README's table of files, from the tables that the program makes them by.

Run: python tests/readme_table.py
It writes the table into README.md anew.
"""

from __future__ import annotations

import re
from itertools import groupby
from pathlib import Path
from typing import Any

from pix2block.colorways.recipe import RECOLOR_OUTPUTS
from pix2block.comparing.recipe import COMPARE_OUTPUTS
from pix2block.estimate.recipe import ESTIMATE_OUTPUTS
from pix2block.recipes.outputs import OUTPUTS
from pix2block.stripes.striped import PLANS_OUTPUTS, STRIPE_OUTPUTS
from pix2block.study.output import Output
from pix2block.trial.recipe import TRIAL_OUTPUTS

README = Path(__file__).parent.parent / "README.md"
HEAD = "| file | what it is for |\n| --- | --- |\n"
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
    return HEAD + "".join(lines)


def table_in(text: str) -> str:
    """The table as it stands in the README."""
    start = text.index(HEAD)
    return text[start : text.index("\n\n", start) + 1]


if __name__ == "__main__":
    before = README.read_text(encoding="utf-8")
    README.write_text(before.replace(table_in(before), files_table()), encoding="utf-8")
