"""Bytes of those files of a piece that take more than one call; the table of files names them."""

from __future__ import annotations

from pix2block.chart.reading import write_chart
from pix2block.color.vision import degrees_across
from pix2block.drawing.png import png
from pix2block.drawing.svg import svg
from pix2block.pages.chart_sheet import chart_sheet
from pix2block.pages.preview import far_png
from pix2block.reports.forecast import forecast_text
from pix2block.reports.tables import calm_csv
from pix2block.study.study import Study

_SCALE = 1.5  # of sheets for looking


def held(study: Study) -> bytes:
    """How it lies in the hands."""
    floats = study.options.draw == "floats"
    return svg(chart_sheet(study.amounts, held=True, floats=floats)).encode()


def from_afar(study: Study) -> bytes:
    """The fabric from afar."""
    metres = study.options.distance
    assert metres
    degrees = degrees_across(study.amounts.measures.block_cm, metres)
    return far_png(study.chart, degrees, f"{study.chart.title}, as seen from {metres:g} m")


def shelf(study: Study) -> bytes:
    """Its yarns as they were read."""
    from pix2block.pages.shelf_sheet import shelf_sheet

    return png(shelf_sheet(study.chart.title, study.shelf), _SCALE)


def forecast(study: Study) -> bytes:
    """Whether the yarn lasts."""
    assert study.run_out
    assert study.rescue
    return forecast_text(study.run_out, study.rescue).encode()


def stand_in(study: Study) -> bytes:
    """The chart with a yarn that steps in."""
    assert study.rescue
    return write_chart(study.rescue.chart)


def curve_table(study: Study) -> bytes:
    """Calming's curve as a table."""
    assert study.curve
    return calm_csv(study.curve).encode()


def curve_sheet(study: Study) -> bytes:
    """Calming's curve as a sheet."""
    from pix2block.pages.calm_sheet import calm_sheet

    assert study.curve
    return png(calm_sheet(study.chart.title, study.curve), _SCALE)
