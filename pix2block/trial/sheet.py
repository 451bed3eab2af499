"""trial.html: palettes side by side, in one file that needs no network."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pix2block.drawing.style import PAPER, WARN
from pix2block.pages.shipped import style_sheet
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


def trial_html(trial: Trial, views: Sequence[Views]) -> str:
    """The sheet. views: of each palette in order."""
    title = f"{escape(trial.title)}: palettes on trial"
    disagree = near_or_far(trial)
    sizes = "".join(f"<p>{escape(line)}</p>" for line in size_lines(trial))
    parts = [
        f'<div class="top"><div>{_pictures(trial)}</div><div>',
        f"<h1>{title}</h1><p>{escape(_opening(trial))}</p><p>{escape(rule_words(trial))}</p>",
        "".join(f"<p>{escape(line)}</p>" for line in trial.untold),
        f"<p>{escape(disagree)}</p>" if disagree else "",
        sizes,
        "</div></div>",
        *(_article(trial, number, views[number]) for number in range(len(trial.tried))),
        _figures(trial),
        '<section class="notes"><h2>How this was worked out</h2>',
        *(f"<p>{escape(note)}</p>" for note in (*_NOTES, *trial.notes)),
        "</section>",
    ]
    body = "\n".join(part for part in parts if part)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title><style>{style_sheet('trial', body)}</style></head><body><main>\n"
        f"{body}\n</main></body></html>\n"
    )


def _pictures(trial: Trial) -> str:
    """The picture itself, and it in blocks."""
    return "".join(
        _image(jpeg_address(pixels), "The picture")
        if smooth
        else _image(png_address(pixels), "The picture in blocks", "blocks")
        for pixels, smooth in trial.pictures
    )


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
