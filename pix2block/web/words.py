"""How the page says figures, and what is typed into its fields, as an option reads it."""

from __future__ import annotations

import re

_SIDES = re.compile(r"([\d.,]+)\s*(?:cm|in)?\s*[x×]\s*([\d.,]+)")


def with_unit(size: str) -> str:
    """A size as an option reads it: "110x90" is in cm, as the page says sizes."""
    said = size.strip().lower()
    bare = _SIDES.fullmatch(said) and not said.endswith(("cm", "in"))
    return f"{said}cm" if bare else said


def figure(text: str) -> str:
    """Words that do not break over lines."""
    return text.replace(" ", "\u00a0")
