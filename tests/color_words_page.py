"""The page of colour words, from the tables that read them. Run it to write the page again."""

from __future__ import annotations

from pathlib import Path

from pix2block.color.names import ALSO_READ, PLAIN_NAMES, SAME_WORDS, read_color_word

PAGE = Path(__file__).parent.parent / "pix2block" / "color" / "COLOR_WORDS.md"

_HEAD = """\
# Words for colours of yarn

What a shelf may write under `color`, and what it is read as. Letter case, spaces and hyphens do not
matter, and `gray` is `grey`. A word stands for a dyed yarn as it usually looks, not for a screen's
colour of that name, and goes before the CSS colour name of the same spelling; other CSS names are
read as CSS has them. `#rrggbb`, `lab(L a b)` and `color(xyz X Y Z)` are exact. What was read is
told with the chart and drawn in `shelf.png`: look there, and write `#rrggbb` where your yarn
differs.

`light`, `pale`, `dark`, `deep`, `medium` or `mid` may stand before any word, also where the table
does not have the two together: `pale coral`, `dark oatmeal`.
"""


def page() -> str:
    """The page's text."""
    parts = [_HEAD]
    for title, words in (
        ("Also the names that a picture's colours get", PLAIN_NAMES),
        ("Only read", ALSO_READ),
    ):
        parts.append(f"## {title}\n\n| word | read as |\n| --- | --- |")
        parts[-1] += "".join(f"\n| {word.lower()} | `{color}` |" for word, color in words.items())
        parts[-1] += "\n"
    lines = ["## Other ways to say them", ""]
    lines += ["| word | the same as | read as |", "| --- | --- | --- |"]
    for word, same in SAME_WORDS.items():
        lines.append(f"| {word} | {same.lower()} | `{read_color_word(word)}` |")
    parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
