"""Changes to good inputs, by what they are made of: bytes, words, JSON, files in a zip."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from typing import Any

Change = Callable[[bytes, random.Random], bytes]

NUMBERS: list[Any] = [
    *(0, 1, -1, 2, 7, 57, 99, 100, 255, 256, 999, 1000, 1001, 65535, 10**6, 2**31, 2**63, 2**64),
    *(-(2**63), 10**30, 0.5, -0.0, 1e-9, 1e308, 1.5),
]
TEXTS = [
    *(
        "",
        " ",
        "\0",
        "\n",
        "\r\n",
        "\t",
        "\u2028",
        "\u202e",
        "\ufeff",
        "\ud7ff",
        "é",
        "e\u0301",
        "𝔸",
    ),
    *(
        "=1+1",
        "@SUM(A1)",
        "+cmd",
        "-2",
        "'",
        '"',
        '""',
        ",",
        ";",
        "|",
        ":",
        "#",
        ".",
        "%",
        "\\",
        "/",
    ),
    *("../../x", "/etc/passwd", "C:\\x", "a" * 61, "a" * 300, "a" * 5000, "1" * 4301, "[" * 3000),
    *(
        "<b>x</b>",
        "<script>x</script>",
        "#import x",
        "$x$",
        "*b*",
        "\x1b[31m",
        "]]>",
        "--",
        "--out",
    ),
    *("nan", "inf", "-inf", "NaN", "1e400", "0x10", "１２", "٣", "1_000", "true", "null", "None"),
    *("#ff0000", "#FF0000 60% #000000 40%", "lab(50 10 10)", "rgb(1,2,3)", "red", "#12345", "Moss"),
    *("row 1", "row 3.2", "rows 2 on", "column 1, line 1", "line:1", "centre, line 2", " in ", "@"),
    *(
        "2.5 cm",
        "10x12",
        "1,5",
        "1.000,5",
        "12 in",
        "3 repeats",
        "to the end",
        "12:30",
        "2026-02-30",
    ),
]
_WORD = re.compile(r"[^\W_]+|\s+|.", re.S)
_MOST = 60_000  # bytes; larger inputs are cut


def of_bytes(data: bytes, rng: random.Random) -> bytes:
    """Bytes changed, taken out, put in, repeated, or cut off."""
    changed = bytearray(data or b"\0")
    for _ in range(rng.choice((1, 1, 2, 4, 16))):
        at = rng.randrange(len(changed)) if changed else 0
        much = rng.choice((1, 1, 2, 4, 30))
        kind = rng.randrange(7)
        if kind == 0 and changed:
            changed[at] ^= 1 << rng.randrange(8)
        elif kind == 1 and changed:
            changed[at] = rng.choice((0, 1, 0x7F, 0x80, 0xFF, rng.randrange(256)))
        elif kind == 2:
            del changed[at : at + much]
        elif kind == 3:
            changed[at:at] = rng.randbytes(much)
        elif kind == 4:
            changed[at : at + 4] = rng.choice(NUMBERS[:16]).__and__(0xFFFFFFFF).to_bytes(4, "big")
        elif kind == 5:
            changed[at:at] = changed[at : at + much] * rng.choice((1, 3, 50))
        else:
            del changed[at if rng.random() < 0.1 else len(changed) - much :]
    return bytes(changed)


def of_words(data: bytes, rng: random.Random) -> bytes:
    """Words and lines of a text."""
    text = data.decode("utf-8", "replace")
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        kind = rng.randrange(6)
        lines = text.split("\n")
        at = rng.randrange(len(lines))
        if kind == 0:
            del lines[at : at + rng.choice((1, 1, 3))]
        elif kind == 1:
            lines[at:at] = [rng.choice(lines)] * rng.choice((1, 1, 2, 40))
        elif kind == 2:
            other = rng.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        else:
            words = _WORD.findall(lines[at]) or [""]
            word = rng.randrange(len(words))
            new = rng.choice(TEXTS) if rng.random() < 0.6 else str(rng.choice(NUMBERS))
            words[word : word + (kind > 3)] = [new if kind < 5 else rng.choice(words)]
            lines[at] = "".join(words)
        text = "\n".join(lines)
    return text.encode("utf-8", "replace")


def of_json(data: bytes, rng: random.Random) -> bytes:
    """A field taken out, of another type or size, or one that nobody knows."""
    try:
        kept = json.loads(data)
    except (ValueError, RecursionError):
        return of_bytes(data, rng)
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        kept = _other(kept, rng)
    return json.dumps(kept).encode("utf-8", "replace")


def _other(kept: Any, rng: random.Random) -> Any:
    if isinstance(kept, dict) and kept and rng.random() < 0.9:
        key = rng.choice(list(kept))
        kind = rng.random()
        if kind < 0.1:
            return {name: value for name, value in kept.items() if name != key}
        if kind < 0.15:
            return {**kept, rng.choice(("extra", "", "\u202e", *kept)): _any(rng)}
        if kind < 0.2:
            return {**kept, key: kept[rng.choice(list(kept))]}
        return {**kept, key: _other(kept[key], rng)}
    if isinstance(kept, list) and kept and rng.random() < 0.9:
        at = rng.randrange(len(kept))
        kind = rng.random()
        if kind < 0.1:
            return kept[:at] + kept[at + 1 :]
        if kind < 0.2:
            return kept[:at] + [kept[at]] * rng.choice((2, 2, 30)) + kept[at:]
        return [*kept[:at], _other(kept[at], rng), *kept[at + 1 :]]
    if isinstance(kept, str) and rng.random() < 0.6:
        return of_words(kept.encode("utf-8", "replace"), rng).decode("utf-8", "replace")
    if isinstance(kept, int | float) and rng.random() < 0.6:
        return kept + rng.choice((-1, 1, 10, 0.5))
    return _any(rng)


def _any(rng: random.Random) -> Any:
    texts_and_numbers = [rng.choice(TEXTS), rng.choice(NUMBERS)]
    return rng.choice([*texts_and_numbers, None, True, False, [], {}, [0], [[]], {"a": 1}])


def of_request(data: bytes, rng: random.Random) -> bytes:
    """A request's body, mostly; else its path, or all of it. A fifth are as they were, so that the
    piece moves on."""
    try:
        asked = json.loads(data)
        path, body = asked["path"], asked.get("body", asked.get("raw"))
    except (ValueError, RecursionError, TypeError, KeyError, AttributeError):
        return of_json(data, rng)
    kind = rng.random()
    if kind < 0.2:
        return data
    if kind < 0.25:
        return of_json(data, rng)
    if kind < 0.35 or body in (None, {}):
        head, query, rest = str(path).partition("?")
        part = rng.choice((head[1:], rest) if rest else (head[1:],))
        new = of_words(part.encode("utf-8", "replace"), rng).decode("utf-8", "replace")
        asked["path"] = f"/{new}{query}{rest}" if part == head[1:] else f"{head}?{new}"
    elif "raw" in asked:
        asked["raw"] = of_words(str(body).encode("utf-8", "replace"), rng).decode()
    else:
        asked["body"] = _other(body, rng)
    return json.dumps(asked).encode("utf-8", "replace")


def of_zip(data: bytes, rng: random.Random) -> bytes:
    """A file in a zip changed, renamed or left out; the rest as it was."""
    if rng.random() < 0.15:
        return of_bytes(data, rng)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            files = {name: packed.read(name) for name in packed.namelist()}
    except Exception:  # a zip that is none any more
        return of_bytes(data, rng)
    if files:
        name = rng.choice(list(files))
        kind = rng.random()
        if kind < 0.85:
            files[name] = (of_words if rng.random() < 0.8 else of_bytes)(files[name], rng)
        elif kind < 0.95:
            del files[name]
        else:
            files[rng.choice(TEXTS[14:]) or "x"] = files.pop(name)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, held in files.items():
            packed.writestr(zipfile.ZipInfo(name.replace("\0", "") or "x"), held)
    return out.getvalue()


def of_lines(data: bytes, rng: random.Random) -> bytes:
    """A line of JSON in a file of such lines; or lines left out, repeated, in another order."""
    lines = data.split(b"\n")
    at = rng.randrange(len(lines))
    kind = rng.random()
    if kind < 0.6:
        lines[at] = of_json(lines[at], rng)
    elif kind < 0.7:
        del lines[at]
    elif kind < 0.8:
        lines[at:at] = [rng.choice(lines)] * rng.choice((1, 2, 20))
    elif kind < 0.9:
        other = rng.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines[at] = of_bytes(lines[at], rng)
    return b"\n".join(lines)


def within(change: Change, raw: float = 0.1) -> Change:
    """A change of that kind, now and then one of its bytes; never over 60,000 bytes."""

    def changed(data: bytes, rng: random.Random) -> bytes:
        one = (of_bytes if rng.random() < raw else change)(data, rng)
        return one[:_MOST]

    return changed
