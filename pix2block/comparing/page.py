"""compare.html: what changed, in one file that needs no network."""

from __future__ import annotations

from html import escape

from pix2block.comparing.compared import Compared, compared_lines
from pix2block.drawing.style import PAPER, WARN
from pix2block.ground.units import say_count
from pix2block.pages.shipped import style_sheet
from pix2block.trial.views import edges_of, png_address

_MOST_LISTED = 500


def compare_page(compared: Compared) -> str:
    """The page: what changed in words, the new chart with each changed block outlined, and a line
    for each block, at most 500; compare.csv has them all."""
    title = f"{escape(compared.new.title)}: what changed"
    words = "".join(f"<li>{escape(line)}</li>" for line in compared_lines(compared))
    parts = [f"<h1>{title}</h1><ul>{words}</ul>"]
    if compared.alike:
        parts.append(_chart(compared))
    if compared.changes:
        parts.append(_blocks(compared))
    body = "\n".join(parts)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title><style>{style_sheet('compare', body)}</style></head><body><main>\n"
        f"{body}\n</main></body></html>\n"
    )


def _chart(compared: Compared) -> str:
    chart = compared.new
    rgb = chart.yarn_rgb[chart.blocks]
    rgb[chart.blocks < 0] = 255
    path = "".join(
        f"M{x1} {y1}L{x2} {y2}" for x1, y1, x2, y2 in edges_of(compared.changed).tolist()
    )
    lines = "".join(
        f'<path d="{path}" fill="none" stroke="{color}" stroke-width="{wide}" '
        'vector-effect="non-scaling-stroke" stroke-linecap="square"/>'
        for color, wide in ((PAPER, 4), (WARN, 2))
        if path
    )
    size = f'width="{chart.width}" height="{chart.height}"'
    caption = "The new chart, blocks that changed outlined" if path else "The new chart"
    return (
        f'<figure><svg viewBox="0 0 {chart.width} {chart.height}" role="img" '
        f'aria-label="{caption}"><image href="{png_address(rgb)}" {size} class="blocks"/>{lines}'
        f"</svg><figcaption>{caption}.</figcaption></figure>"
    )


def _blocks(compared: Compared) -> str:
    heads = "".join(
        f'<th scope="col">{head}</th>' for head in ("Row", "Block", "Column", "Line", "Old", "New")
    )
    rows = "".join(
        f"<tr><td>{c.row}</td><td>{c.block}</td><td>{c.column}</td><td>{c.line}</td>"
        f"<td>{escape(c.old or 'no block')}</td><td>{escape(c.new or 'no block')}</td></tr>"
        for c in compared.changes[:_MOST_LISTED]
    )
    left = len(compared.changes) - _MOST_LISTED
    more = f"<p>{say_count(left, 'more block')}: see compare.csv.</p>" if left > 0 else ""
    return (
        '<section><h2>Blocks, row by row</h2><div class="wide" tabindex="0" role="region" '
        f'aria-label="Blocks"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
        f"</div>{more}</section>"
    )
