"""The shape of chart.json, made of the chart's own fields, and the JSON Schema of it."""

from __future__ import annotations

import json
from typing import Annotated, Literal

import msgspec

from pix2block.chart.chart import Chart
from pix2block.ground.forms import form_of
from pix2block.ground.settings import Side

VERSION = 1
SCHEMA_FILE = "chart.schema.json"
_ABOUT = """chart.json. `blocks` has `height` lines from the top, each `width` long from the left,
right side facing; a block is a yarn's number from 0, or null exactly when its row is beyond
`last_row`. `marks` gives, by a yarn's name, the mark that its blocks once got and keep."""
_HEAD = {
    "pix2block": Literal["chart"],
    "version": Annotated[int, msgspec.Meta(ge=1)],
    "width": Side,
    "height": Side,
}
ChartFile = form_of(Chart, _HEAD, _ABOUT)


def chart_schema() -> bytes:
    """The JSON Schema of chart.json, as shipped beside this module."""
    schema = msgspec.json.schema(ChartFile)
    return (json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n").encode()
