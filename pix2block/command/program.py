"""The program as a whole: what it does with its first word, and where its help is asked for."""

from __future__ import annotations

import gc
import os
import sys
from collections import defaultdict
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from importlib.util import LazyLoader
from pathlib import Path
from types import ModuleType
from typing import Any

import click

from pix2block.command.help import options_markdown, options_text
from pix2block.ground.errors import BadInput, unknown
from pix2block.options.table import CHART


class Program(click.Group):
    """The commands; a picture in the place of one is charted."""

    def __init__(self, name: str, **more: Any) -> None:
        super().__init__(name, context_settings={"help_option_names": ["-h", "--help"]}, **more)
        self.add_command(_help_command(self))
        self.add_command(_OPTIONS)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if args and self._begins_a_chart(args[0], self.get_params(ctx)):
            args = [CHART, *args]
        return super().parse_args(ctx, args)

    def _begins_a_chart(self, word: str, own: list[click.Parameter]) -> bool:
        """Whether a first word is a picture, or an option that charts alone have."""
        if word in self.commands:
            return False
        if word.startswith("-"):
            flag = word.partition("=")[0]
            own_flags = {opt for parameter in own for opt in parameter.opts}
            of_charts = {opt for parameter in self.commands[CHART].params for opt in parameter.opts}
            return flag in of_charts - own_flags
        return Path(word).name != word or bool(Path(word).suffix) or Path(word).exists()

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            raise BadInput(unknown("command or file", args[0], self.commands))
        return super().resolve_command(ctx, args)


def with_streams() -> None:
    """Lead streams that whoever calls has closed nowhere: else the next file that is opened is one
    of them, and what is printed lands in it."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # which gets the lowest number that is free
    sys.stdout = sys.stdout or open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stderr = sys.stderr or open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115


class _Later:
    """Finds what SciPy names when it is imported, and nothing of ours touches: it is read where it
    is touched (https://docs.python.org/3/library/importlib.html#importlib.util.LazyLoader)."""

    names = frozenset(
        {
            *("numpy.f2py", "numpy.polynomial", "numpy.testing", "pydoc"),
            *("scipy.cluster.hierarchy", "scipy.spatial.transform"),
        }
    )

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname not in self.names and fullname != _Undescribed.module:
            return None
        found = PathFinder.find_spec(fullname, path, target)
        if found and found.origin and fullname == _Undescribed.module:
            found.loader = _Undescribed(fullname, found.origin)
        elif found and found.loader:
            found.loader = LazyLoader(found.loader)
        return found


class _Undescribed(SourceFileLoader):
    """Loads what SciPy goes through the docstrings of its functions with when it is imported, to
    add a table to each: it finds all of them empty."""

    module = "scipy._lib._docscrape"

    def exec_module(self, module: ModuleType) -> None:
        super().exec_module(module)
        vars(module)["FunctionDoc"] = _NoSections


class _NoSections(defaultdict[str, list[Any]]):
    """The sections of a docstring that says nothing. Written out, a line for the signature comes
    first, which SciPy takes off."""

    def __init__(self, _: object) -> None:
        super().__init__(list)

    def __str__(self) -> str:
        return "\n"


def quicken() -> None:
    """Settings of a process that is ours alone and ends soon, made before NumPy is imported: its
    products are small, and threads for them wait longer than they work; Python need not look for
    garbage in cycles as often as by default, since nouns make none; and what libraries import for
    their own tests, and for other work than ours, is left unread."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(100_000, 50, 100)
    sys.meta_path.insert(0, _Later())


_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3  # of mallopt(3)
_KEPT, _LARGE = 256 << 20, 128 << 20  # bytes


def keep_memory() -> None:
    """What is freed is kept for what comes next, up to so much. By default glibc gives large arrays
    back at once, and for each new one the system clears pages anew: a tenth of a large chart's
    time. Of a system with another C library nothing is asked."""
    import ctypes

    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt and mallopt(_MMAP_THRESHOLD, _LARGE):
        mallopt(_TRIM_THRESHOLD, _KEPT)


def _help_command(program: click.Group) -> click.Command:
    def call(command: str | None) -> None:
        if command is not None and command not in program.commands:
            raise BadInput(unknown("command", command, program.commands))
        words = ["--help"] if command is None else [command, "--help"]
        program.main(words, prog_name=program.name, standalone_mode=False)

    return click.Command(
        "help",
        params=[click.Argument(["command"], required=False)],
        callback=call,
        help="Shows this page, or that of a command.",
    )


def _options(markdown: bool) -> None:
    click.echo(options_markdown() if markdown else options_text(), nl=False)


_OPTIONS = click.Command(
    "options",
    params=[click.Option(["--markdown"], is_flag=True, help="as tables in Markdown")],
    callback=_options,
    help="Lists every option of every command.",
)
