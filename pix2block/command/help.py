"""Help: a command's options in groups, and the tables of all options."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from pix2block.command.say import in_words
from pix2block.options.asking import Spec, specs_of
from pix2block.options.goals import GOALS, TRIED, EstimateOptions
from pix2block.options.mends import JOURNAL, OF_BLOCKS, OF_SHAPE, OF_WORDS, OF_YARNS, MendOptions
from pix2block.options.opening import OPENING, OpenOptions
from pix2block.options.rules import Flag
from pix2block.options.send import SEND, SENDING, SendOptions
from pix2block.options.swatch import MEASURED, SURE, SWATCH, SwatchOptions
from pix2block.options.table import (
    CHART,
    ESTIMATE,
    FIRST_GROUPS,
    MEND,
    MORE_GROUPS,
    OPEN,
    OUTPUT,
    REPORT,
    STRIPE,
    specs,
)

_GROUPS = (("", FIRST_GROUPS), ("more: ", MORE_GROUPS))
SWATCH_GROUPS = (("", (MEASURED, SURE, OUTPUT)),)
_MENDS = (OF_YARNS, OF_BLOCKS, OF_WORDS, OF_SHAPE, JOURNAL)
ESTIMATE_GROUPS = (("", (GOALS, TRIED, *FIRST_GROUPS)), ("more: ", MORE_GROUPS))
OPEN_GROUPS = (("", (*FIRST_GROUPS, OPENING)), ("more: ", MORE_GROUPS))
MEND_GROUPS = (("", (*_MENDS, *FIRST_GROUPS)), ("more: ", MORE_GROUPS))


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
                if group == OUTPUT and any("--json" in one.opts for one in self.params):
                    short = self.name not in (CHART, STRIPE, REPORT, MEND)
                    what = "what came of it" if short else "summary.json's content"
                    lines.append(("--json", f"print {what} and nothing else"))
                if lines:
                    with formatter.section(f"{heading}{group}"):
                        formatter.write_dl(lines, col_max=28)
        with formatter.section("help"):
            formatter.write_dl([("-h, --help", "show this page")])


def _help_of(spec: Spec) -> str:
    words = in_words(spec.help)
    return f"{words} [{spec.shown_default}]" if spec.shown_default else words


def options_text() -> str:
    """Every option, in groups, with the commands that take it."""
    formatter = click.HelpFormatter(width=80)
    for group in (*FIRST_GROUPS, *MORE_GROUPS):
        _write_group(formatter, group, [spec for spec in specs() if spec.group == group])
    for group in (MEASURED, SURE, OUTPUT):
        of_swatch = [spec for spec in specs_of(SwatchOptions) if spec.group == group]
        _write_group(formatter, f"{SWATCH}: {group}", of_swatch)
    for group in (GOALS, TRIED):
        of_goals = [spec for spec in specs_of(EstimateOptions) if spec.group == group]
        _write_group(formatter, f"{ESTIMATE}: {group}", of_goals)
    _write_group(formatter, f"{SEND}: {SENDING}", specs_of(SendOptions))
    _write_group(formatter, f"{OPEN}: {OPENING}", specs_of(OpenOptions))
    for group in _MENDS:
        of_mend = [spec for spec in specs_of(MendOptions) if spec.group == group]
        _write_group(formatter, f"{MEND}: {group}", of_mend)
    return formatter.getvalue().lstrip("\n")


def _write_group(formatter: click.HelpFormatter, name: str, of: Sequence[Spec]) -> None:
    with formatter.section(name):
        formatter.write_dl(
            [(spec.form, f"{_help_of(spec)}; {', '.join(spec.commands)}") for spec in of],
            col_max=28,
        )


_OWN_TABLES: tuple[tuple[str, type[Any]], ...] = (
    (SWATCH, SwatchOptions),
    (ESTIMATE, EstimateOptions),
    (MEND, MendOptions),
    (SEND, SendOptions),
    (OPEN, OpenOptions),
)


def every_spec() -> list[Spec]:
    """Every option of every command."""
    return [*specs(), *(spec for _, table in _OWN_TABLES for spec in specs_of(table))]


def options_markdown() -> str:
    """The same as tables for a page in Markdown."""
    lines = ["| option | what it does | when it is not given | commands |", "| --- " * 4 + "|"]
    lines += [f"{cells(spec)} {', '.join(spec.commands)} |" for spec in specs()]
    for name, table in _OWN_TABLES:
        lines += ["", f"Those of `pix2block {name}`{'' if name == SWATCH else ' alone'}:", ""]
        lines += ["| option | what it does | when it is not given |", "| --- " * 3 + "|"]
        lines += [cells(spec) for spec in specs_of(table)]
    return "\n".join(lines) + "\n"


def cells(spec: Spec) -> str:
    """An option's row of such a table: how it is written, what it does, when it is not given."""
    form = spec.form.replace("|", "/")  # a bar would end the cell
    return f"| `{form}` | {in_words(spec.help)} | {spec.shown_default or ''} |"


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
