"""hookside.html: row by row, beside the hook; one file that needs no network.

Its script is written in small modules (`templates/hookside/`), which import one another as any
browser's do; here they are put into one, in the order in which they are needed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from functools import cache
from html import escape

from pix2block.amounts.yarn_use import Amounts
from pix2block.drawing.style import PAPER
from pix2block.pages.hookside_data import piece_data
from pix2block.pages.shipped import style_sheet, template
from pix2block.pattern.pattern import PatternRow

MODULES = (
    "piece",
    "progress",
    "words",
    "yarn",
    "pace",
    "voice",
    "fabric",
    "screen",
    "pause",
    "start",
)
_IMPORT = re.compile(r"^import .*;\n", re.M)
_EXPORT = re.compile(r"^export (?:\{.*\};\n)?", re.M)
_LANGUAGE = "en-GB"


def hookside_page(amounts: Amounts, rows: Sequence[PatternRow]) -> str:
    """The whole page. rows: as `write_rows` gives them."""
    chart = amounts.chart
    data = json.dumps(piece_data(amounts, rows), ensure_ascii=False, separators=(",", ":"))
    data = data.replace("<", "\\u003c")  # in a name, it must not end the element
    said = " ".join([chart.title, *(yarn.name for yarn in chart.yarns)])
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{_LANGUAGE}">',
            "<head>",
            '<meta charset="utf-8"/>',
            '<meta name="viewport" content="width=device-width, initial-scale=1"/>',
            f'<meta name="theme-color" content="{PAPER}"/>',
            f"<title>{escape(chart.title)}, beside the hook</title>",
            f"<style>\n{style_sheet('hookside/hookside', said)}</style>",
            "</head>",
            f'<body class="{chart.hand}">',
            template("hookside/page.html").rstrip(),
            f'<script type="application/json" id="piece-data">{data}</script>',
            f"<script>\n{script()}start();\n</script>",
            "</body>",
            "</html>",
            "",
        )
    )


@cache
def script() -> str:
    """The modules as one script, without the words by which they find one another."""
    parts = (template(f"hookside/{name}.js") for name in MODULES)
    return "".join(_EXPORT.sub("", _IMPORT.sub("", part)) for part in parts)
