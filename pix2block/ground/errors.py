"""One door for each kind of error: every message says what is wrong, where, and what to do."""

from __future__ import annotations

from collections.abc import Iterable


class Pix2blockError(Exception):
    """Base of all errors meant for the maker; only the doors catch it."""

    exit_code = 2


class BadInput(Pix2blockError):
    """A file, value or call that cannot be used as it stands."""


class Interrupted(KeyboardInterrupt):
    """Ctrl-C came while finished files were moved into place; they are all there."""


class CheckFailed(Pix2blockError):
    """A check ran and did not hold; the files stay for inspection."""

    exit_code = 1


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`, letter case aside, or None where none is near."""
    import difflib

    by_fold = {k.casefold(): k for k in known}
    hits = difflib.get_close_matches(word.casefold(), by_fold, n=1, cutoff=0.5)
    return by_fold[hits[0]] if hits else None


def unknown(kind: str, word: str, known: Iterable[str]) -> str:
    """'unknown KIND "word": did you mean "near"?' or the list of what there is."""
    words = list(known)
    near = nearest(word, words)
    hint = f'did you mean "{near}"?' if near else "known: " + ", ".join(words)
    return f'unknown {kind} "{word}": {hint}'
