"""One door for each kind of error: every message says what is wrong, where, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from pix2block.ground.advice import Advice, Ask

MOST_FAULTS = 20  # of one input that are told


class Pix2blockError(Exception):
    """Base of all errors meant for the maker; only the doors catch it.

    Its words may name options. about: the option that it is about, by default the first that is
    named; None where it is about no option.
    """

    exit_code = 2

    def __init__(self, *words: str | Ask, about: str | None = None) -> None:
        super().__init__("".join(map(str, words)))
        self.advice = Advice(*words)
        named = self.advice.asks
        self.about = about or (named[0].option if named else None)

    def lines(self, how: Callable[[Ask], str] = str) -> list[str]:
        """What a door shows, a line a fault. how: writes an option."""
        return [" ".join(self.advice.said(how).split())]


class BadInput(Pix2blockError):
    """A file, value or call that cannot be used as it stands: one fault, or several of `faults`."""

    @property
    def faults(self) -> tuple[BadInput, ...]:
        """Each fault, an error of its own."""
        return (self,)

    def within(self, place: str) -> BadInput:
        """The same, its words behind those of a place: "shelf.csv, line 3: …"."""
        return BadInput(f"{place}: ", *self.advice.parts, about=self.about)


class SeveralFaults(BadInput):
    """Several faults of one input, told at once."""

    def __init__(self, faults: Sequence[BadInput]) -> None:
        self._faults = tuple(one for error in faults for one in error.faults)
        super().__init__("\n".join(map(str, self._faults)), about=self._faults[0].about)

    @property
    def faults(self) -> tuple[BadInput, ...]:
        return self._faults

    def within(self, place: str) -> BadInput:
        return SeveralFaults([fault.within(place) for fault in self._faults])

    def lines(self, how: Callable[[Ask], str] = str) -> list[str]:
        """A line a fault, the first 20, then how many more there are."""
        told = [line for fault in self._faults[:MOST_FAULTS] for line in fault.lines(how)]
        more = len(self._faults) - MOST_FAULTS
        return [*told, f"and {more} more"] if more > 0 else told


def refuse(faults: Sequence[BadInput]) -> None:
    """Raises the fault, or all of several as one error; nothing without any."""
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise SeveralFaults(faults)


class Interrupted(KeyboardInterrupt):
    """Ctrl-C came while finished files were moved into place; they are all there."""


class CheckFailed(Pix2blockError):
    """A check ran and did not hold; the files stay for inspection."""

    exit_code = 1


def nearest(word: str, known: Iterable[str], likeness: float = 0.5) -> str | None:
    """The known word most like `word`, letter case aside, or None where none is near.

    likeness: from 0 to 1, what a word must have to be near; among many words take more, so that a
    word of their kind that is not among them gets no hint to another.
    """
    import difflib

    by_fold = {k.casefold(): k for k in known}
    hits = difflib.get_close_matches(word.casefold(), by_fold, n=1, cutoff=likeness)
    return by_fold[hits[0]] if hits else None


def unknown(kind: str, word: str, known: Iterable[str]) -> str:
    """'unknown KIND "word": did you mean "near"?' or the list of what there is."""
    words = list(dict.fromkeys(known))
    near = nearest(word, words)
    hint = f'did you mean "{near}"?' if near else f"known: {', '.join(words) or 'none'}"
    return f'unknown {kind} "{word}": {hint}'
