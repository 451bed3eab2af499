"""trial.png: the trial sheet as one picture."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from pix2block.color.spaces import Bytes, from_hex
from pix2block.drawing.style import BODY, INK, MARGIN, NOW, PAPER, TITLE, WARN, font, text_width
from pix2block.pages.preview import as_png
from pix2block.trial.trial import Tried
from pix2block.trial.views import Views, edges_of
from pix2block.trial.words import (
    EYES,
    Trial,
    cost_words,
    label,
    near_or_far,
    reasons,
    rule_words,
    say_away,
    share_words,
    size_lines,
)

_WIDTH = 2200
_WORDS = 560  # pixels for the words beside the views
_GAP = 16
_LINE = 25
_CAPTION = 28


def trial_png(trial: Trial, views: Sequence[Views]) -> bytes:
    """The sheet. views: of each palette in order."""
    head = _head(trial)
    rows = [_row(trial, number, views[number]) for number in range(len(trial.tried))]
    height = sum(part.height for part in (head, *rows)) + 2 * int(MARGIN)
    sheet = Image.new("RGB", (_WIDTH, height), from_hex(PAPER))
    y = int(MARGIN)
    for part in (head, *rows):
        sheet.paste(part, (0, y))
        y += part.height
    return as_png(np.asarray(sheet))


def _head(trial: Trial) -> Image.Image:
    disagree = near_or_far(trial)
    lines = [rule_words(trial), *trial.untold, *([disagree] if disagree else [])]
    wrapped = [part for line in (*lines, *size_lines(trial)) for part in wrap(line, BODY, 1100)]
    side = 220
    small = [_panel(pixels, side, smooth) for pixels, smooth in trial.pictures]
    tall = max(*(panel.height for panel in small), 70 + _LINE * len(wrapped)) + 2 * _GAP
    part = Image.new("RGB", (_WIDTH, tall), from_hex(PAPER))
    x = int(MARGIN)
    for panel in small:
        part.paste(panel, (x, 0))
        x += side + _GAP
    draw, x = ImageDraw.Draw(part), x + _GAP
    _write(draw, x, 34, f"{trial.title}: palettes on trial", TITLE, True)
    for i, line in enumerate(wrapped):
        _write(draw, x, 74 + i * _LINE, line)
    return part


def _row(trial: Trial, number: int, views: Views) -> Image.Image:
    """One palette: words, then its views."""
    tried = trial.tried[number]
    texts = [f"{share_words(tried)}.", f"{cost_words(tried)}.", *reasons(trial, number)]
    wrapped = [part for text in texts for part in wrap(text, BODY, _WORDS - 2 * _GAP)]
    across = (_WIDTH - _WORDS - 2 * int(MARGIN) - 6 * _GAP) // 7
    chart = _outlined(tried, views.chart, across)
    panels = [("Chart", chart), ("Fabric", _panel(views.near, across, True))]
    panels.append((f"From {say_away(trial.far_m)}", _panel(views.far, across, True)))
    for sight, pixels in views.others:
        panels.append((EYES[sight].capitalize(), _panel(pixels, across, False)))
    tall = max(chart.height + _CAPTION, 40 + _LINE * len(wrapped)) + 2 * _GAP
    row = Image.new("RGB", (_WIDTH, tall), from_hex(PAPER))
    draw = ImageDraw.Draw(row)
    left = int(MARGIN)
    draw.line((left, 2, _WIDTH - left, 2), fill=from_hex(INK), width=1)
    _write(draw, left, 30, f"{number + 1}", BODY, True, NOW)
    _write(draw, left + 28, 30, label(trial, tried), BODY, True, INK if tried.clear else WARN)
    for i, line in enumerate(wrapped):
        _write(draw, left, 62 + i * _LINE, line)
    for i, (words, panel) in enumerate(panels):
        x = left + _WORDS + i * (across + _GAP)
        row.paste(panel, (x, _GAP))
        _write(draw, x, _GAP + panel.height + 20, words)
    return row


def _panel(pixels: Bytes, across: int, smooth: bool) -> Image.Image:
    down = max(1, round(across * pixels.shape[0] / pixels.shape[1]))
    how = Image.Resampling.BOX if smooth else Image.Resampling.NEAREST
    return Image.fromarray(pixels).resize((across, down), how)


def _outlined(tried: Tried, pixels: Bytes, across: int) -> Image.Image:
    panel = _panel(pixels, across, False)
    draw = ImageDraw.Draw(panel)
    for color, wide in ((PAPER, 5), (WARN, 2)):
        for feature in tried.lost:
            down, level = (p / m for p, m in zip(panel.size[::-1], feature.mask.shape, strict=True))
            scale = np.array([level, down, level, down])
            for segment in (edges_of(feature.mask) * scale).tolist():
                draw.line(segment, fill=from_hex(color), width=wide)
    return panel


def _write(
    draw: ImageDraw.ImageDraw,
    x: float,
    y: float,
    text: str,
    size: float = BODY,
    bold: bool = False,
    color: str = INK,
) -> None:
    draw.text((x, y), text, fill=from_hex(color), font=font(size, bold), anchor="ls")


def wrap(text: str, size: float, width: float) -> list[str]:
    """Lines no wider than a width, broken between words."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
