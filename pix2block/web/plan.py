"""A stripe plan at the worktable: its text, said in a sentence whose words change it."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.ground.toml import NotToml, read_toml
from pix2block.ground.units import say_count
from pix2block.stripes.plan_file import FULL_LENGTH, THE_OTHERS
from pix2block.web.slip_nouns import Field, Part, Place, Sentence, Slip, Word, number_words

OUT, END = "until a yarn runs out", "to the end"
_PART = re.compile(r"part-(\d+)-(order|gradient|rows|grow|metres|random|lasts|more|gone)")
_OF_SHAPE = ("length", "wingspan")
_OF_PLAN = (*_OF_SHAPE, "buy")
_LISTS = ("order", "gradient", "buy")


def data_of(text: str) -> dict[str, Any]:
    """A plan's keys and values. Raises BadInput for a text that is no TOML."""
    try:
        return read_toml(text)
    except NotToml as error:
        raise BadInput(f"the plan is no TOML: {error}") from None


def text_of(data: dict[str, Any]) -> str:
    """A plan's text: its own keys, then its yarns and parts, a table each."""
    tables = {key: value for key, value in data.items() if _is_tables(value)}
    lines = [f"{key} = {_toml(value)}" for key, value in data.items() if key not in tables]
    for key, every in tables.items():
        for table in every:
            lines += ["", f"[[{key}]]", *(f"{name} = {_toml(v)}" for name, v in table.items())]
    return "\n".join(lines) + "\n"


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _toml(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)  # texts, numbers and lists are alike


def is_plan_word(word: str) -> bool:
    """Whether a word is one of a plan's."""
    return bool(_PART.fullmatch(word)) or word in _OF_PLAN


def with_word(text: str, word: str, value: str) -> str:
    """The plan with another value of a word, as it is typed. Raises BadInput for a part that there
    is not."""
    data = data_of(text)
    if data.get("shape") == "triangle" and word in (*_OF_SHAPE, "blocks", "width"):
        for key in ("rows", "wingspan"):
            data.pop(key, None)
        meant = _meant("rows", value.lower().partition("x")[0])
        is_rows = isinstance(meant, int) or meant == FULL_LENGTH
        data |= {"rows": meant} if is_rows else {"wingspan": meant}
        return text_of(data)
    if word in ("blocks", "width"):
        across, _, down = value.lower().replace("×", "x").replace("by", "x").partition("x")
        data["width"] = _meant("width", across)
        if down.strip():
            data["length"] = _meant("length", down)
        return text_of(data)
    if word in _OF_PLAN:
        data[word] = _meant(word, value)
        return text_of(data)
    found = _PART.fullmatch(word)
    parts = data.get("part", [])
    if not found or not 1 <= int(found[1]) <= len(parts):
        raise BadInput(f"the plan has {say_count(len(parts), 'part')}, and none that {word} names")
    at, key = int(found[1]) - 1, found[2]
    part = parts[at]
    if key == "gone":
        del parts[at]
    elif key == "more":
        if part.get("lasts", END) == END:
            part["lasts"] = "1 repeat"
        parts.insert(at + 1, {"order": THE_OTHERS, "rows": part.get("rows", 1), "lasts": END})
    else:
        for other in _beside(key):
            part.pop(other, None)
        part[key] = _meant(key, value)
    return text_of(data)


def _beside(key: str) -> tuple[str, ...]:
    """Keys that a part cannot have with another."""
    return {
        "rows": ("metres", "grow"),
        "metres": ("rows", "grow"),
        "grow": ("metres",),
        "order": ("gradient", "random"),
        "gradient": ("order", "grow", "metres", "random"),
    }.get(key, ())


def _meant(key: str, value: str) -> Any:
    """What a word's text means in a plan."""
    words = " ".join(value.split())
    if key in _LISTS and words != THE_OTHERS:
        return [one for one in (one.strip() for one in words.split(",")) if one]
    numbers = [one.strip() for one in words.replace(" and ", ",").split(",")]
    if all(one.isascii() and one.isdecimal() and len(one) < 9 for one in numbers):
        return int(numbers[0]) if len(numbers) == 1 else [int(one) for one in numbers]
    if re.fullmatch(r"-?\d{1,6}\.\d{1,6}", words):
        return float(words)
    return words


# In words


def plan_parts(text: str) -> tuple[Part, ...]:
    """What a plan says behind "in", up to the sentence's stop."""
    data = data_of(text)
    full = FULL_LENGTH in (data.get("length"), data.get("rows"))
    said: list[Part] = []
    parts = data.get("part", [])
    for at, part in enumerate(parts, 1):
        lead = ", in " if at == 1 else "; then "
        last = at == len(parts)
        said += [lead, *_clause(at, part, at == 1), *_lasts(at, part, last, full)]
    return tuple(said)


def _clause(at: int, part: dict[str, Any], first: bool) -> list[Part]:
    rows = Word(f"part-{at}-rows", _width_words(part), "chosen", "how wide a stripe is")
    if "gradient" in part:
        names = ", ".join(map(str, part["gradient"]))
        yarns = Word(f"part-{at}-gradient", names, "chosen", "yarns that pass into one another")
        return ["stripes of ", rows, " that pass gradually through ", yarns]
    order = part.get("order", ())
    names = order if isinstance(order, str) else ", ".join(map(str, order))
    yarns = Word(f"part-{at}-order", names, "chosen", "the yarns of its stripes, in order")
    by_chance = " in an order drawn by chance" if "random" in part else ""
    if first:
        return ["stripes of ", rows, ": ", yarns, by_chance]
    return [yarns, " in stripes of ", rows, by_chance]


def _width_words(part: dict[str, Any]) -> str:
    if "metres" in part:
        return f"{part['metres']} m of yarn each"
    rows = part.get("rows", 1)
    widths = rows if isinstance(rows, list) else [rows]
    said = [str(one) for one in widths]
    words = f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else number_words(widths[0])
    grows = part.get("grow")
    more = (
        f", each {grows:g} wider than the last" if isinstance(grows, int | float) and grows else ""
    )
    return f"{words} row{'' if widths == [1] else 's'}{more}"


def _lasts(at: int, part: dict[str, Any], last: bool, full: bool) -> list[Part]:
    lasts = str(part.get("lasts", END))
    if last and full and lasts == END:
        return [", ", Word("length", FULL_LENGTH, "chosen", "how long the piece is")]
    word = f"part-{at}-lasts"
    if lasts.startswith("until"):
        words = "until one runs out" if lasts == OUT else lasts
        return [", again and again ", Word(word, words, "chosen", "how long this lasts")]
    words = {"1 repeat": "once"}.get(lasts, lasts.replace("repeats", "times"))
    return [", ", Word(word, words, "chosen", "how long this lasts")]


# What opens


def plan_slip(word: str, text: str, yarns: Sequence[str]) -> Slip:
    """What opens under a word of a plan. yarns: names that may be used. Raises BadInput."""
    data = data_of(text)
    if word in _OF_PLAN:
        keys = (word,) if word == "buy" else ("length", "rows", "wingspan")
        now = next((data[key] for key in keys if key in data), "")
        value = ", ".join(now) if isinstance(now, list) else str(now)
        places = [Place(FULL_LENGTH, FULL_LENGTH, value == FULL_LENGTH)] if word == "length" else []
        field = Field(value, "blocks, as 110, or a length, as 180 cm or 70 in")
        if data.get("shape") == "triangle":
            field = Field(value, "rows, as 60, or from tip to tip, as 170 cm or 67 in")
        if word == "buy":
            field = Field(value, f"yarns of which more can be bought; known: {', '.join(yarns)}")
        if not any(place.now for place in places):
            places.insert(0, Place(value, value or "as it is", True))
        beside: Sentence = ("More can be bought of ", Word("buy", _bought(data)), ".")
        of_length = (beside,) if word == "length" else ()
        return Slip(word, word, "", tuple(places), True, (field,), beside=of_length)
    found = _PART.fullmatch(word)
    parts = data.get("part", [])
    if not found or not 1 <= int(found[1]) <= len(parts):
        raise BadInput(f"the plan has {say_count(len(parts), 'part')}, and none that {word} names")
    at, key = found[1], found[2]
    part = parts[int(at) - 1]
    value = part.get(key, END if key == "lasts" else "")
    typed = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    choices, hint = _choices(key, part, yarns)
    places = [Place(v, words, (k, v) == (key, typed), f"part-{at}-{k}") for k, v, words in choices]
    if not any(place.now for place in places):
        words = _width_words(part) if key == "rows" else typed or "as it is"
        places.insert(0, Place(typed, words, True))
    others = _beside_part(at, len(parts))
    what = {"rows": "how wide a stripe is", "lasts": "how long this lasts"}.get(key, key)
    return Slip(word, what, "", tuple(places[:6]), True, (Field(typed, hint),), beside=(others,))


def _bought(data: dict[str, Any]) -> str:
    return ", ".join(map(str, data.get("buy", ()))) or "none"


def _beside_part(at: str, count: int) -> tuple[Part, ...]:
    said: list[Part] = ["Or "]
    for key, words in (("grow", "each wider than the last"), ("metres", "equal yarn in each")):
        said += [Word(f"part-{at}-{key}", words, "chosen", key), ", "]
    said += [
        Word(f"part-{at}-random", "drawn by chance", "chosen", "random"),
        ", ",
        Word(f"part-{at}-gradient", "one passing into another", "chosen", "gradient"),
        "; ",
        Word(f"part-{at}-more", "one more part behind it", "chosen", "a part"),
    ]
    if count > 1:
        said += [", ", Word(f"part-{at}-gone", "without this part", "chosen", "a part")]
    return (*said, ".")


def _choices(
    key: str, part: dict[str, Any], yarns: Sequence[str]
) -> tuple[list[tuple[str, str, str]], str]:
    """Key, value and words of each choice of a part's key, and how it is typed."""
    order = part.get("order", part.get("gradient", ()))
    names = [str(one) for one in order] if isinstance(order, list) else list(yarns)
    if key == "rows":
        every = [("rows", one, f"{number_words(int(one))} rows") for one in ("1", "2", "3", "4")]
        every[0] = ("rows", "1", "one row")
        return [*every, ("rows", "1, 2, 3, 5", "1, 2, 3 and 5 rows")], "rows, or several in turn"
    if key in ("order", "gradient"):
        turned, back = [*names[1:], *names[:1]], names[::-1]
        there = [*names, *names[-2:0:-1]]
        every = [(key, ", ".join(one), ", ".join(one)) for one in (turned, back, there)]
        if key == "order":
            every.append(("gradient", ", ".join(dict.fromkeys(names)), "passing gradually"))
        return every, f"yarns, commas between; known: {', '.join(yarns)}"
    if key == "lasts":
        every = [(key, one, one) for one in (OUT, END, "1 repeat", "3 repeats", "24 rows")]
        return every, "24 rows, 3 repeats, until NAME runs out, to the end"
    if key == "random":
        return [(key, one, f"draw {one}") for one in ("1", "2", "3", "7")], "a number: another draw"
    if key == "grow":
        return [(key, "1", "a row wider"), (key, "0.5", "half a row wider")], "rows wider each time"
    if key == "metres":
        return [(key, "10", "10 m each"), (key, "25", "25 m each")], "metres of yarn a stripe"
    words = "one more part: the others" if key == "more" else "without this part"
    return [(key, "yes", words)], ""
