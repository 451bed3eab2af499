"""A piece's title: one line that every file can hold."""

from __future__ import annotations

import re
import unicodedata

from pix2block.ground.errors import BadInput
from pix2block.ground.settings import LONGEST_TITLE


def clean_title(text: str) -> str:
    """A title in one line: control and line-separating characters become single spaces.

    Raises BadInput where nothing or too much is left.
    """
    kept = "".join(
        " " if unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Cs") else c for c in text
    )
    title = re.sub(r"\s+", " ", kept).strip()
    if not title:
        raise BadInput("the title is empty: write a few words")
    if len(title) > LONGEST_TITLE:
        raise BadInput(f"the title has {len(title)} characters: shorten it to {LONGEST_TITLE}")
    return title
