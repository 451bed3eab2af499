"""Tables of files: a row a file, with what it is for, when it is made, and how."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.frozen import dataclass
from pix2block.ground.progress import heed
from pix2block.ground.settings import Extra
from pix2block.options.table import Options

N = TypeVar("N")


def _always(_: Any) -> bool:
    return True


@dataclass(frozen=True)
class Output(Generic[N]):
    """A file that can be made of a noun.

    purpose: what it is for, in words for a maker; an option in it stands in braces. make: its
    bytes. can: whether the noun has what it is made of. option: the one that asks for it, "" where
    it is made unasked. without: the word that leaves it out, None where nothing does. begin: of
    what is made best while others are: it does all but a last part, and returns that, which leaves
    the interpreter free; its bytes are those of `make`.
    """

    name: str
    purpose: str
    make: Callable[[N], bytes]
    can: Callable[[N], bool] = _always
    option: str = ""
    without: Extra | None = None
    begin: Callable[[N], Callable[[], bytes]] | None = None

    def is_asked(self, options: Options) -> bool:
        """Whether options ask for it, or leave it in."""
        asked = not self.option or getattr(options, self.option) not in (None, False)
        return asked and self.without not in (options.without or ())


class HasOutputs(Protocol):
    """What knows its own table of files: a trial, plans side by side."""

    @property
    def outputs(self) -> tuple[Output[Any], ...]:
        """Every file that can be made of it."""

    @property
    def read(self) -> tuple[Path, ...]:
        """The files that were read for it."""


def make_files(
    noun: N,
    table: Iterable[Output[N]],
    options: Options,
    only: Sequence[str] | None = None,
    beside: bool = True,
) -> dict[str, bytes]:
    """Files of a noun, by name: those that options ask for, or only those that are named, which are
    then made whether or not options ask for them. beside: what can be made while others are, is;
    else after them, so that large ones do not take their memory together.

    Raises BadInput for a name of none that can be made.
    """
    by_name = {row.name: row for row in table}
    if only is None:
        asked = [row for row in by_name.values() if row.is_asked(options) and row.can(noun)]
        return _made(noun, asked, beside)
    for name in only:
        if name not in by_name or not by_name[name].can(noun):
            raise BadInput(
                unknown("file", name, [n for n, row in by_name.items() if row.can(noun)])
            )
    return _made(noun, [by_name[name] for name in only], beside)


def _made(noun: N, rows: Sequence[Output[N]], beside: bool) -> dict[str, bytes]:
    """The bytes of each row: those that leave the interpreter free beside the others, or last."""
    if not beside:
        made = {row.name: _of(row, noun) for row in sorted(rows, key=lambda row: bool(row.begin))}
        return {row.name: made[row.name] for row in rows}
    with ThreadPoolExecutor(1) as thread:
        begun = {row.name: thread.submit(row.begin(noun)) for row in rows if row.begin}
        made = {row.name: _of(row, noun) for row in rows if row.name not in begun}
        made |= {name: last.result() for name, last in begun.items()}
    return {row.name: made[row.name] for row in rows}


def _of(row: Output[N], noun: N) -> bytes:
    heed()
    return row.make(noun)
