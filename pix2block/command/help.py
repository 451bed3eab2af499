"""Commands whose help shows their options in groups."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from pix2block.command.say import in_words
from pix2block.options.asking import Spec
from pix2block.options.rules import Flag
from pix2block.options.table import CHART, FIRST_GROUPS, MORE_GROUPS, OUTPUT, REPORT, STRIPE

_GROUPS = (("", FIRST_GROUPS), ("more: ", MORE_GROUPS))


class GroupedHelp(click.Command):
    """A command whose help shows options in groups, the usual ones first."""

    def __init__(
        self,
        *args: Any,
        of: Sequence[Spec],
        groups: Sequence[tuple[str, tuple[str, ...]]] = _GROUPS,
        **more: Any,
    ) -> None:
        super().__init__(*args, **more)
        self.of, self.groups = of, groups

    def format_options(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for heading, groups in self.groups:
            for group in groups:
                lines = [(spec.form, _help_of(spec)) for spec in self.of if spec.group == group]
                if group == OUTPUT:
                    short = self.name not in (CHART, STRIPE, REPORT)
                    what = "what came of it" if short else "summary.json's content"
                    lines.append(("--json", f"print {what} and nothing else"))
                if lines:
                    with formatter.section(f"{heading}{group}"):
                        formatter.write_dl(lines, col_max=28)
        with formatter.section("help"):
            formatter.write_dl([("--help", "show this page")])


def _help_of(spec: Spec) -> str:
    words = in_words(spec.help)
    return f"{words} [{spec.shown_default}]" if spec.shown_default else words


def given_words(words: dict[str, Any], of: Sequence[Spec]) -> dict[str, Any]:
    """The words of the options that were given, as texts; several words of one are joined."""
    joined = {spec.name for spec in of if spec.rule.takes > 1}
    return {
        key: ",".join(text) if key in joined else text
        for key, text in words.items()
        if text not in (None, ())
    }


def as_click(spec: Spec) -> click.Option:
    """An option as Click takes it; its words are read later, by its rule."""
    if isinstance(spec.rule, Flag):
        return click.Option([spec.flag, spec.name], is_flag=True, flag_value="yes", default=None)
    return click.Option([spec.flag, spec.name], multiple=spec.many, nargs=spec.rule.takes)
