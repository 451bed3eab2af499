"""What a chart keeps of the searches that made it, so that a report need not search again."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from small import small_sample

from pix2block import Chart, Options, Study, chart_picture, open_chart, save, study_lines
from pix2block.chart.reading import read_chart, write_chart
from pix2block.design.features import find_features
from pix2block.design.kept_features import features_of, lost_features, with_features
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS
from pix2block.reports.ways_words import better_lines

CAT = small_sample("tallow_cat.jpg")
SEARCHES = (
    "pix2block.design.kept_features.find_features",
    "pix2block.calming.charts.calmed_for",
)
HEAVY = (
    *("skimage", "scipy.ndimage", "scipy.fft", "wasmtime", "unittest", "numpy.f2py.rules"),
    *("pix2block.picture.picture", "pix2block.design.palette", "pix2block.mending.apply"),
)


@cache
def made() -> Study:
    return chart_picture(CAT, Options(width=24, colors=5, without=("pdf", "preview")))


@cache
def kept() -> Chart:
    return read_chart(write_chart(made().kept), "chart.json")[0]


def refuse(*_: Any) -> None:
    raise AssertionError("searched again")


def test_a_report_searches_for_nothing_that_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    chart, lines, means = kept(), study_lines(made()), made().chart.block_means
    assert means is not None
    features = find_features(means)
    assert features
    for search in SEARCHES:
        monkeypatch.setattr(search, refuse)
    again = Study(chart)
    assert better_lines(again.better) == better_lines(made().better) != []
    assert [str(f) for f in again.lost] == [str(f) for f in made().lost]
    assert [str(line) for line in study_lines(again)] == [
        str(line) for line in lines if not line.startswith(("Read as", "What the picture"))
    ]
    for one, other in zip(features_of(chart), features, strict=True):
        assert (one.mask == other.mask).all()
        assert (one.color, one.difference) == (other.color, other.difference)


def test_what_is_kept_holds_for_its_own_picture_and_way_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    chart = kept()
    assert chart.source is not None
    assert chart.calmed is not None
    ways = [(one.corner, one.habit) for one in chart.calmed.otherwise]
    way = ways[0]
    assert chart.calmed_otherwise(*way) is not None
    assert (way[0], HABITS["cut"]) not in ways
    assert chart.calmed_otherwise(way[0], HABITS["cut"]) is None
    assert replace(chart, hand="left").calmed_otherwise(*way) is None
    blocks = chart.blocks.copy()
    blocks[0, 0] = (blocks[0, 0] + 1) % len(chart.yarns)
    assert replace(chart, blocks=blocks).calmed_otherwise(*way) is None
    other = replace(chart, source=replace(chart.source, means=chart.source.means[::-1]))
    assert len(features_of(chart)) > 1
    monkeypatch.setattr(SEARCHES[0], lambda _: features_of(chart)[:1])
    assert len(features_of(other)) == 1


def test_a_chart_without_a_picture_has_no_features() -> None:
    plain = replace(kept(), source=None)
    assert features_of(plain) == lost_features(plain) == ()
    assert with_features(plain) is plain


def test_a_kept_way_must_fit_the_chart() -> None:
    data = kept()
    assert data.source is not None
    assert data.calmed is not None
    (one, *_) = data.calmed.otherwise
    wrong = replace(one, changed=np.array([[0, 0, len(data.yarns)]]))
    calmed = replace(data.calmed, otherwise=(wrong,))
    with pytest.raises(BadInput, match="names a block or yarn that the chart does not have"):
        replace(data, source=replace(data.source, calmed=calmed))


def test_a_report_imports_nothing_that_only_searches_need(tmp_path: Path) -> None:
    (path,) = save(made(), tmp_path, only=["chart.json"]).paths
    assert open_chart(path).chart.blocks.shape == made().chart.blocks.shape
    code = (
        "import sys; from pix2block.command.program import quicken; quicken(); "
        "from pix2block.command.cli import run; "
        f"assert run(['report', {str(path)!r}, '--without', 'pdf,preview', '--json']) == 0; "
        f"print([name for name in {HEAVY} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_a_chart_is_equal_to_itself_alone() -> None:
    chart = kept()
    assert chart == chart
    assert chart != replace(chart, blocks=chart.blocks[::-1])
    assert chart.source != made().chart.source
