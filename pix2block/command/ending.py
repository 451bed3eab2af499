"""How a call ends: each kind of error in a line of its own, and the exit code."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from typing import Any, TextIO

import click

from pix2block.command.say import echo
from pix2block.ground.errors import BadInput, Interrupted, Pix2blockError, nearest
from pix2block.ground.swap import ON_WINDOWS
from pix2block.options.asking import typed

INTERRUPTED = 130
_NOTHING_WRITTEN = "Interrupted; nothing was written."


def ended(call: Callable[[], Any]) -> int:
    """Do what was called, and end as it did: the exit code. Each error for the maker is a line on
    standard error."""
    try:
        code = call()
    except (click.Abort, KeyboardInterrupt) as stop:
        late = isinstance(stop.__cause__ or stop.__context__ or stop, Interrupted)
        said = "Interrupted, but the files were already written." if late else _NOTHING_WRITTEN
        echo(said, err=True)
        return INTERRUPTED
    except Pix2blockError as error:
        for line in error.lines(typed):
            echo(f"pix2block: {line}", err=True)
        return error.exit_code
    except click.exceptions.NoArgsIsHelpError as error:
        echo(error.format_message())
        return 0
    except click.ClickException as error:
        echo(f"pix2block: {_one_line(error)}", err=True)
        return BadInput.exit_code
    except SystemExit:  # of Click alone, where the reader of our output has left
        return 0
    except OSError as error:
        if ON_WINDOWS and error.errno == errno.EINVAL:  # what a reader that has left is there
            _close_quietly(sys.stdout)
            return 0
        with suppress(OSError):
            echo(f"pix2block: nothing more can be printed: {error.strerror or error}", err=True)
        _close_quietly(sys.stdout)
        return BadInput.exit_code
    return code if isinstance(code, int) else 0


def _close_quietly(stream: TextIO) -> None:
    """Drop what could not be printed, so that Python does not try it again at its end."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _one_line(error: click.ClickException) -> str:
    """What is wrong, where, and what to do."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "pix2block"
    if isinstance(error, click.NoSuchOption):
        known = [o for p in context.command.params for o in p.opts] if context else []
        near = nearest(error.option_name, [o for o in [*known, "--help"] if o.startswith("--")])
        hint = f"did you mean {near}?" if near else f"see {path} --help"
        name = " ".join(error.option_name.split())
        return f"no option {name} for {path}: {hint}"
    message = " ".join(error.format_message().split()).rstrip(".")
    return f"{message}; see {path} --help"
