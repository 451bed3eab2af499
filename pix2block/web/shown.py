"""A piece as its page is told it: blocks, yarns, figures, rows."""

from __future__ import annotations

import base64
from typing import Any

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.study.study import Study
from pix2block.web.choices import choices_of
from pix2block.web.paragraph import paragraph_json
from pix2block.web.session import Session

NO_BLOCK = 255


def blocks_text(chart: Chart) -> str:
    """(height, width) yarn numbers, a byte each from the top left, in base64; 255: no block."""
    numbers = np.where(chart.blocks < 0, NO_BLOCK, chart.blocks).astype(np.uint8)
    return base64.b64encode(numbers.tobytes()).decode("ascii")


def piece_json(session: Session) -> dict[str, Any]:
    """All that a page shows of a piece as it stands."""
    study = session.study
    chart = study.chart
    return {
        "title": chart.title,
        "width": chart.width,
        "height": chart.height,
        "corner": chart.start_corner,
        "hand": chart.hand,
        "last_row": chart.last_row,
        "blocks": blocks_text(chart),
        "yarns": _yarns(study),
        "paragraph": paragraph_json(study),
        "tails": study.amounts.plan.tails,
        "journal": [{"group": line.group, "words": line.words} for line in chart.mends],
        "back": session.back_words,
        "again": session.again_words,
        "version": session.version,
    }


def choices_json(chart: Chart, word: str) -> list[dict[str, Any]]:
    """A word's choices for a page, each with its blocks, where they are otherwise."""
    return [
        {
            "value": choice.value,
            "words": choice.words,
            "cost": choice.cost,
            "now": choice.now,
            "blocks": blocks_text(choice.chart)
            if (choice.chart.blocks != chart.blocks).any()
            else None,
        }
        for choice in choices_of(chart, word)
    ]


def _yarns(study: Study) -> list[dict[str, Any]]:
    chart = study.chart
    return [
        {
            "name": yarn.name,
            "color": yarn.color,
            "blocks": of.blocks,
            "tails": of.tails,
            "metres": round(of.metres, 1),
            "lack": of.short_by or 0,
        }
        for yarn, of in zip(chart.yarns, study.amounts.yarns, strict=True)
    ]


def row_json(study: Study, number: int) -> dict[str, Any] | None:
    """A row in the words of the pattern; None where there is none of this number."""
    rows = study.rows
    if not 1 <= number <= len(rows):
        return None
    text = study.pattern_text.splitlines()
    for at, line in enumerate(text):
        if line.startswith(f"Row {number},") or _in_range(line, number):
            return {"row": number, "lines": [line, *_indented(text[at + 1 :])]}
    return None


def _indented(lines: list[str]) -> list[str]:
    own: list[str] = []
    for line in lines:
        if not line.startswith("  "):
            break
        own.append(line.strip())
    return own


def _in_range(line: str, number: int) -> bool:
    words = line.split()
    if len(words) < 4 or words[0] != "Rows" or words[2] != "to" or not words[1].isdigit():
        return False
    last = words[3].rstrip(",:")
    return last.isdigit() and int(words[1]) <= number <= int(last)
