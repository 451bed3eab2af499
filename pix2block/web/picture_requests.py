"""What the page asks of a piece's picture: how it is seen, its part, what it is of."""

from __future__ import annotations

from typing import Any

from pix2block.web.answering import Asked
from pix2block.web.aside import aside_state
from pix2block.web.cropped import crop_json
from pix2block.web.seen import seen_png
from pix2block.web.session import Session
from pix2block.web.subject import bring_subject, lies_as_pictured, subject_json, view_of

_MOST_BRUSHED = 1_400_000  # characters of 1,000 by 1,000 blocks


def crop(session: Session, _: Asked) -> Any:
    return crop_json(view_of(session), session.state.wanted.both_sides)


def subject(session: Session, _: Asked) -> Any:
    return subject_json(session)


def brushed(session: Session, asked: Asked) -> Any:
    return {"value": bring_subject(session, asked.text("blocks", _MOST_BRUSHED))}


def seen(session: Session, asked: Asked) -> Any:
    """A picture of the piece, or of one that lies aside."""
    pixels, aside = asked.query.get("pixels", "32"), asked.query.get("aside", "")
    state = aside_state(session, int(aside)) if aside.isdecimal() else session.state
    chart, view = state.study.chart, state.study.view
    if asked.path["what"] == "whole":
        view = view_of(session)
    view = view or session.again.known_view(state.wanted, chart.width, chart.height)
    view = view if lies_as_pictured(chart) else None
    return seen_png(
        state.study,
        asked.path["what"],
        asked.query.get("eyes", "normal"),
        int(pixels) if pixels.isdecimal() else 0,
        view and (view.original or view),
    )
