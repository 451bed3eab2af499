"""What the command line prints: options are written as they are typed."""

from __future__ import annotations

from pix2block.ground.advice import Advice, Ask
from pix2block.options.asking import flag_of


def typed(ask: Ask) -> str:
    """`--width 78`."""
    return ask.said(flag_of(ask.option))


def in_words(text: str) -> str:
    """A sentence, as it is printed."""
    return text.said(typed) if isinstance(text, Advice) else text


def note(text: str) -> str:
    """A note, in one line."""
    return f"Note: {' '.join(in_words(text).split())}"
