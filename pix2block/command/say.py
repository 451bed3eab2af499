"""What the command line prints: options are written as they are typed."""

from __future__ import annotations

import codecs
import json
import re
import shutil
import sys
from collections.abc import Iterable
from textwrap import wrap
from typing import TextIO

import click

from pix2block.ground.advice import Advice
from pix2block.ground.units import bind
from pix2block.options.asking import typed

MOST_CHARACTERS = 600  # of a line that is printed
_BEYOND_ASCII = re.compile(r"[^\x00-\x7f]")
_LEAST_WIDE = 30  # characters, on the narrowest terminal


def echo(text: str, err: bool = False) -> None:
    """Print a line or lines. What a terminal would obey instead of showing it becomes a space, and
    a line that somebody's file made very long is cut in its middle."""
    lines = ("".join(c if c.isprintable() else " " for c in line) for line in text.split("\n"))
    wide = _columns(sys.stderr if err else sys.stdout)
    click.echo("\n".join(_wrapped(_cut(line), wide) for line in lines), err=err)


def _columns(stream: TextIO) -> int | None:
    """How wide the terminal is; None where a line goes elsewhere, and stays whole."""
    return shutil.get_terminal_size().columns if stream.isatty() else None


def _wrapped(line: str, wide: int | None) -> str:
    """A line broken between words, never between a number and its unit; what goes on stands
    further in."""
    if wide is None or len(line) <= wide:
        return line
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    lines = wrap(
        bind(line),
        max(wide, _LEAST_WIDE),
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join(lines).replace("\u00a0", " ")


def _cut(line: str) -> str:
    half = MOST_CHARACTERS // 2
    return line if len(line) <= MOST_CHARACTERS else f"{line[:half]} … {line[-half:]}"


def in_words(text: str) -> str:
    """A sentence, as it is printed."""
    return text.said(typed) if isinstance(text, Advice) else text


def echo_json(text: str) -> None:
    """Print JSON for a program: where standard output is no UTF-8, as it is in a pipe on Windows,
    the letters beyond ASCII are written in JSON's own way (RFC 8259, section 7)."""
    code = codecs.lookup(sys.stdout.encoding or "ascii").name
    click.echo(text if code == "utf-8" else _BEYOND_ASCII.sub(_escaped, text), nl=False)


def _escaped(found: re.Match[str]) -> str:
    return json.dumps(found[0])[1:-1]


def notes(told: Iterable[str]) -> None:
    """Print notes, a line each, on standard error."""
    for text in told:
        echo(note(text), err=True)


def note(text: str) -> str:
    """A note, in one line."""
    return f"Note: {' '.join(in_words(text).split())}"
