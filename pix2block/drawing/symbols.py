"""What the drawings of one SVG document, or of one page, share: each thing is written once."""

from __future__ import annotations

from functools import lru_cache

from pix2block.drawing.marks import Mark

_MANY = 8  # a symbol of many marks holds at most so many smaller ones


@lru_cache(100_000)
def plain(value: float, decimals: int = 2) -> str:
    """A number with at most so many decimals."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    if text in ("-0", ""):
        return "0"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def use(name: str, x: float, y: float, more: str = "") -> str:
    """A symbol at a place."""
    at_x = f' x="{plain(x, 3)}"' if x else ""
    at_y = f' y="{plain(y, 3)}"' if y else ""
    return f'<use href="#{name}"{at_x}{at_y}{more}/>'


class Symbols:
    """Elements with ids, defined once for all drawings that are written with them.

    on_screen: for a page in a browser. There a mark is a pattern and the blocks that have it one
    path, drawn from its one definition by every chart of the page: 90,000 blocks are some dozen
    elements. Drawing programs and printers do better with a mark at every place.
    """

    def __init__(self, on_screen: bool = False) -> None:
        self.on_screen = on_screen
        self._ids: dict[tuple[object, ...], str] = {}
        self._definitions: list[str] = []

    def defined(self) -> list[str]:
        """The element that defines them, for the same document; none where there are none."""
        return [f"<defs>{''.join(self._definitions)}</defs>"] if self._definitions else []

    def define(self, tag: str, rest: str) -> str:
        """The id of an element: its tag, and its attributes, content and end. The same element
        has the same id."""
        key = (tag, rest)
        if key not in self._ids:
            self._ids[key] = f"m{len(self._definitions)}"
            self._definitions.append(f'<{tag} id="{self._ids[key]}"{rest}')
        return self._ids[key]

    def mark(self, mark: Mark, share: float, up: float, turn: float) -> str:
        """The id of a mark in a block whose corners are (0, 0) and (1, 1); upright, though the
        block be turned."""
        key = ("mark", mark.name, share, up, turn)
        if key not in self._ids:
            self._ids[key] = self.define("path", _mark(mark, share, up, turn, ""))
        return self._ids[key]

    def run(self, mark: str, count: int) -> str:
        """The id of so many marks one beside the other.

        It is made of smaller runs, of the sizes 1, 8, 64, …, so that long ones take few symbols
        and none lies deep within others.
        """
        if count == 1:
            return mark
        key = ("run", mark, count)
        if key not in self._ids:
            part = 1
            while part * _MANY < count:
                part *= _MANY
            pieces = [(start, part) for start in range(0, count - part + 1, part)]
            if count % part:
                pieces.append((count - count % part, count % part))
            uses = "".join(use(self.run(mark, length), start, 0) for start, length in pieces)
            self._ids[key] = self.define("g", f">{uses}</g>")
        return self._ids[key]

    def pattern(self, mark: Mark, share: float, up: float, turn: float, color: str) -> str:
        """The id of a fill with a mark in every block."""
        drawn = _mark(mark, share, up, turn, f' fill="{color}"')
        size = 'width="1" height="1" patternUnits="userSpaceOnUse"'
        return self.define("pattern", f" {size}><path{drawn}</pattern>")


@lru_cache(1000)
def _mark(mark: Mark, share: float, up: float, turn: float, more: str) -> str:
    """A mark's path without its tag, in a block of side 1."""
    path = "".join(
        "M"
        + " ".join(f"{plain(x * share, 3)} {plain(y * share - up, 3)}" for x, y in outline)
        + "z"
        for outline in (*mark.outlines, *mark.holes)
    )
    turned = f" rotate({plain(-turn)})" if turn else ""
    place = f'transform="translate(.5 .5){turned}"'
    return f' {place} fill-rule="evenodd"{more} d="{path}"/>'
