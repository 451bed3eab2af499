"""trial.html: palettes side by side, in one file that needs no network."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pix2block.drawing.style import FONT_FAMILY, INK, NOW, PAPER, WARN
from pix2block.trial.figures import figure_lines, pairs_of
from pix2block.trial.trial import Tried
from pix2block.trial.views import Views, edges_of, jpeg_address, png_address
from pix2block.trial.words import (
    EYES,
    Trial,
    advice,
    cost_words,
    label,
    near_or_far,
    reasons,
    rule_words,
    say_away,
    share_words,
    size_lines,
)

# Sources of the rule's threshold and of the views, for whoever wants to know.
_NOTES = (
    "Differences are CIEDE2000. From 5 on, in CIELAB's older and mostly larger metric, an observer "
    "sees two different colours (Mokrzycki and Tatol 2011); on the grey scale for textiles, "
    "4.8 is grade 2–3 (ISO 105-A02, from memory). Two yarns count as touching from 1 % of all "
    "borders on.",
    "Views from afar: S-CIELAB (Zhang and Wandell 1996). Protan, deutan and tritan views: without "
    "red, green or blue cones (Machado, Oliveira and Fernandes 2009); the tritan view is the least "
    "certain. Light and dark kept: structural similarity of lightness from afar (Wang and others "
    "2004).",
    "Things that stand out differ from what is around them by more than 10; one is lost when it "
    "differs by no more than that, and by less than half of what it did.",
)

_STYLE = f"""
:root {{ --paper: {PAPER}; --ink: {INK}; --now: {NOW}; --warn: {WARN}; --line: #d9d5cc; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.45 "{FONT_FAMILY}", sans-serif; font-variant-numeric: tabular-nums; }}
main {{ max-width: 84rem; margin: 0 auto; padding: 1.5rem 1rem 3rem; }}
h1 {{ font-size: 1.75rem; line-height: 1.2; margin: 0; }}
h2 {{ font-size: 1.25rem; line-height: 1.3; margin: 0; }}
p {{ margin: .5rem 0; max-width: 68ch; }}
.top {{ display: grid; grid-template-columns: minmax(7rem, 14rem) 1fr; gap: 1.5rem; }}
figure {{ margin: 0; }}

img, svg {{ display: block; width: 100%; height: auto; background: {PAPER}; }}
.blocks {{ image-rendering: pixelated; }}
article {{ display: grid; grid-template-columns: minmax(17rem, 24rem) 1fr; gap: 1rem 1.5rem;
  margin-top: 2rem; padding-top: 1rem; border-top: 1px solid var(--line); }}
.views {{ display: grid; grid-template-columns: 2fr 2fr 2fr 2fr; gap: .75rem; align-items: start; }}
.eyes {{ display: grid; grid-template-columns: 1fr 1fr; gap: .5rem; }}
.yarns {{ display: flex; flex-wrap: wrap; gap: .25rem; margin: .5rem 0; padding: 0;
  list-style: none; }}
.yarns li {{ width: 1.5rem; height: 1.5rem; border: 1px solid {INK}; }}
ul.why {{ margin: .5rem 0; padding-left: 1.1rem; }}
.rank {{ color: var(--now); }}
.clear {{ color: var(--now); font-weight: 700; }}
.not {{ color: var(--warn); font-weight: 700; }}
.wide {{ overflow-x: auto; margin-top: .75rem; }}
table {{ border-collapse: collapse; }}
th, td {{ padding: .25rem .6rem; text-align: right; white-space: nowrap;
  border-bottom: 1px solid var(--line); }}
th:first-child {{ text-align: left; position: sticky; left: 0; background: var(--paper);
  font-weight: 400; }}
section {{ margin-top: 2.5rem; }}
@media (prefers-color-scheme: dark) {{
  :root {{ --paper: {INK}; --ink: {PAPER}; --now: #7fd0cf; --warn: #ffb48a; --line: #4a4f57; }}
}}
@media (max-width: 60rem) {{
  article {{ grid-template-columns: 1fr; }}
}}
@media (max-width: 40rem) {{
  .top {{ grid-template-columns: 1fr; }}
  .top figure {{ max-width: 14rem; }}
  .views {{ grid-template-columns: 1fr 1fr; }}
  th, td {{ padding: .25rem .4rem; }}
  th:first-child {{ white-space: normal; width: 8rem; min-width: 8rem; }}
}}
@media print {{
  @page {{ size: A4; margin: 10mm; }}
  :root {{ --paper: #fff; --ink: #000; --now: {NOW}; --warn: {WARN}; --line: #bbb; }}
  body {{ font-size: 9pt; line-height: 1.25; }}
  main {{ max-width: none; padding: 0; }}
  h1 {{ font-size: 16pt; }} h2 {{ font-size: 10pt; }}
  p, .why {{ max-width: none; margin: 1mm 0; }}
  .top {{ grid-template-columns: 22mm 1fr; gap: 4mm; }}
  article {{ grid-template-columns: 99mm 1fr; gap: 3mm; margin-top: 1.5mm; padding-top: 1mm;
    break-inside: avoid; }}
  .words {{ display: flow-root; }}
  .words h2 {{ float: left; margin-right: 3mm; }}
  .words h2 + p {{ margin: 0; }}
  .words > p {{ margin: .3mm 0; }}
  .views {{ grid-template-columns: 1fr 1fr 1fr 1.25fr; gap: 1.5mm; }}
  .views img, .views svg {{ max-height: 26mm; object-fit: contain; object-position: left top; }}
  .eyes {{ gap: .3mm 1mm; }}
  .eyes img {{ max-height: 9mm; }}
  .views figcaption {{ line-height: 1.05; }}
  .yarns {{ margin: .5mm 0; gap: .5mm; clear: both; }}
  .yarns li {{ width: 3mm; height: 3mm; }}
  ul.why {{ padding-left: 4mm; margin: .3mm 0; }}
  .top figcaption {{ display: none; }}
  .advice, .pairs {{ display: none; }}
  img, .yarns li {{ print-color-adjust: exact; }}
  section {{ margin-top: 2mm; break-inside: avoid; }}
  .wide {{ overflow: visible; margin-top: 1mm; }}
  th, td {{ padding: 0 1.2mm; line-height: 1.15; }}
  .notes p {{ margin: .5mm 0; line-height: 1.15; }}
}}
"""


def trial_html(trial: Trial, views: Sequence[Views]) -> str:
    """The sheet. views: of each palette in order."""
    title = f"{escape(trial.title)}: palettes on trial"
    disagree = near_or_far(trial)
    sizes = "".join(f"<p>{escape(line)}</p>" for line in size_lines(trial))
    parts = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{title}</title><style>{_STYLE}</style></head><body><main>",
        f'<div class="top">{_image(_block_picture(trial), "The picture in blocks", "blocks")}<div>',
        f"<h1>{title}</h1><p>{escape(_opening(trial))}</p><p>{escape(rule_words(trial))}</p>",
        f"<p>{escape(disagree)}</p>" if disagree else "",
        sizes,
        "</div></div>",
        *(_article(trial, number, views[number]) for number in range(len(trial.tried))),
        _figures(trial),
        '<section class="notes"><h2>How this was worked out</h2>',
        *(f"<p>{escape(note)}</p>" for note in (*_NOTES, *trial.notes)),
        "</section></main></body></html>",
    ]
    return "\n".join(part for part in parts if part) + "\n"


def _block_picture(trial: Trial) -> str:
    finest = max(trial.seeing, key=lambda s: s.means.size)
    return png_address(finest.means)


def _opening(trial: Trial) -> str:
    clear = sum(tried.clear for tried in trial.tried)
    best = label(trial, trial.tried[0])
    count = len(trial.tried)
    if clear:
        one, many = "of them loses nothing and keeps", "of them lose nothing and keep"
        verbs = f"{one if clear == 1 else many} all yarns apart"
        return f"{count} tried; {clear} {verbs}. {best} comes first."
    return (
        f"{count} tried; none of them both loses nothing and keeps all yarns apart. "
        f"{best} comes nearest."
    )


def _image(address: str, words: str, kind: str = "", caption: str | None = None) -> str:
    of_kind = f' class="{kind}"' if kind else ""
    image = f'<img src="{address}" alt="{escape(words, quote=True)}"{of_kind}>'
    return f"<figure>{image}<figcaption>{escape(caption or words)}</figcaption></figure>"


def _article(trial: Trial, number: int, views: Views) -> str:
    tried = trial.tried[number]
    verdict = (
        '<span class="clear">Loses nothing, yarns stay apart.</span>'
        if tried.clear
        else '<span class="not">Something is lost or merges.</span>'
    )
    swatches = "".join(
        f'<li style="background:{y.color}" title="{escape(y.name, quote=True)}"></li>'
        for y, a in zip(tried.chart.yarns, tried.amounts.yarns, strict=True)
        if a.blocks
    )
    why = "".join(f"<li>{escape(line)}</li>" for line in reasons(trial, number))
    more = "".join(f"<li>{escape(line)}</li>" for line in advice(tried))
    advised = f'<p class="advice">Tried:</p><ul class="why advice">{more}</ul>' if more else ""
    return (
        f'<article><div class="words"><h2><span class="rank">{number + 1}</span> '
        f"{escape(label(trial, tried))}</h2><p>{verdict}</p>"
        f'<ul class="yarns">{swatches}</ul><p>{escape(share_words(tried))}.</p>'
        f'<p>{escape(cost_words(tried))}.</p><ul class="why">{why}</ul>{advised}'
        f'<p class="pairs">Weakest pairs: {escape(pairs_of(tried))}.</p></div>'
        f"{_views(trial, tried, views)}</article>"
    )


def _views(trial: Trial, tried: Tried, views: Views) -> str:
    caption = f"Chart, {len(tried.lost)} lost" if tried.lost else "Chart"
    eyes = "".join(
        _image(png_address(pixels), f"The chart in {EYES[sight]} sight", "blocks", _eye(sight))
        for sight, pixels in views.others
    )
    far = say_away(trial.far_m)
    return (
        f'<div class="views"><figure>{_chart(tried, views)}<figcaption>{caption}</figcaption>'
        f"</figure>{_image(jpeg_address(views.near), 'The fabric', '', 'Fabric')}"
        f"{_image(jpeg_address(views.far), f'The fabric from {far}', '', f'From {far}')}"
        f'<div class="eyes">{eyes}</div></div>'
    )


def _eye(sight: str) -> str:
    return {"grey": "Grey"}.get(sight, sight.capitalize())


def _chart(tried: Tried, views: Views) -> str:
    """The chart, with what is lost outlined in paper and the colour of warnings."""
    height, width = views.chart.shape[:2]
    address = png_address(views.chart)
    path = ""
    for feature in tried.lost:
        down, across = height / feature.mask.shape[0], width / feature.mask.shape[1]
        path += "".join(
            f"M{x1 * across:g} {y1 * down:g}L{x2 * across:g} {y2 * down:g}"
            for x1, y1, x2, y2 in edges_of(feature.mask).tolist()
        )
    lines = "".join(
        f'<path d="{path}" fill="none" stroke="{color}" stroke-width="{wide}" '
        'vector-effect="non-scaling-stroke" stroke-linecap="square"/>'
        for color, wide in ((PAPER, 4), (WARN, 2))
        if path
    )
    return (
        f'<svg viewBox="0 0 {width} {height}" role="img" aria-label="The chart">'
        f'<image href="{address}" width="{width}" height="{height}" class="blocks"/>{lines}</svg>'
    )


def _figures(trial: Trial) -> str:
    heads = "".join(
        f'<th scope="col"><abbr title="{escape(label(trial, t), quote=True)}">{i}</abbr></th>'
        for i, t in enumerate(trial.tried, start=1)
    )
    rows = "".join(
        f'<tr><th scope="row">{escape(words)}</th>'
        + "".join(f"<td>{escape(value)}</td>" for value in values)
        + "</tr>"
        for words, values in figure_lines(trial)
    )
    return (
        '<section><h2>Figures</h2><div class="wide" tabindex="0" role="region" '
        f'aria-label="Figures"><table><thead><tr><th scope="col">Number</th>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div></section>"
    )
