"""What opens under a word: what is now, the places of its choices, a field, its neighbours."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from pix2block.ground.frozen import dataclass
from pix2block.web.wanted import Value


@dataclass(frozen=True)
class Word:
    """A word that opens. name: which; text: what it says; kind: "chosen", or "follows" of what
    comes of that; what: it is, for who cannot see it."""

    name: str
    text: str
    kind: str = "chosen"
    what: str = ""


_NUMBERS = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
]

Part = str | Word
Sentence = tuple[Part, ...]


@dataclass(frozen=True)
class Place:
    """Where a choice stands, before it is worked out. value: what is chosen, None for what holds
    where nothing is asked; now: whether it is; word: of the choice, where it is not the slip's."""

    value: Value | None
    words: str
    now: bool = False
    word: str = ""


@dataclass(frozen=True)
class Field:
    """Where something is typed, or a file is chosen. value: in it now; hint: how it is written;
    kind: "text", "number" or "file"; name: where a slip has several."""

    value: str = ""
    hint: str = ""
    kind: str = "text"
    name: str = ""


@dataclass(frozen=True)
class Slip:
    """All that opens under a word. what: it is; help: a sentence of it; pictured: whether its
    choices are shown as pictures of the piece, which are worked out one by one; own: what the page
    shows besides, "yarns", "journal" or ""; verb: the mend that a field's words are of, "" where
    they choose; form: how several fields become one text; does: what keeping them is called;
    beside: sentences of neighbours; one that is a single text heads those behind it."""

    word: str
    what: str
    help: str = ""
    places: tuple[Place, ...] = ()
    pictured: bool = False
    fields: tuple[Field, ...] = ()
    own: str = ""
    verb: str = ""
    form: str = ""
    does: str = ""
    beside: tuple[Sentence, ...] = ()


def sentence_json(sentence: Sentence) -> list[Any]:
    """A sentence for a page."""
    return [
        part
        if isinstance(part, str)
        else {"word": part.name, "text": part.text, "kind": part.kind, "what": part.what}
        for part in sentence
    ]


def slip_json(slip: Slip) -> dict[str, Any]:
    """A slip for a page."""
    told = asdict(slip)
    told["beside"] = [sentence_json(sentence) for sentence in slip.beside]
    return told


def number_words(number: int) -> str:
    """ "six", from 13 on in figures."""
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)
