"""shelf.png: each yarn with its name and the colour it was read as."""

from __future__ import annotations

from pathlib import Path

import pytest

from pix2block.color.names import color_words
from pix2block.drawing.shapes import Shape, Text
from pix2block.drawing.style import INK
from pix2block.options.table import Options
from pix2block.pages.shelf_sheet import SWATCH_WIDTH, shelf_sheet
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.outputs import files_of
from pix2block.yarn.shelf import read_shelf
from pix2block.yarn.yarn import Yarn

TEXT = "name;color\nWalnut;brown\nTweed;#a03030 60% cream 40%\nTar;#222222\n"


def test_each_yarn_is_drawn_with_its_name_and_color() -> None:
    yarns = read_shelf(TEXT, "s").yarns
    sheet = shelf_sheet("Sea", yarns)
    texts = [item.text for item in sheet.items if isinstance(item, Text)]
    assert texts == [
        *("Sea: yarns as they were read", "Walnut", "#6e4a2c, brown"),
        *("Tweed", f"{yarns[1].color}, dusty pink", "Tar", "#222222, black"),
    ]
    fills = [item for item in sheet.items if isinstance(item, Shape) and item.fill]
    assert [item.fill for item in fills] == ["#6e4a2c", "#a03030", "#f5ecd2", "#222222"]
    widths = [item.points[1][0] - item.points[0][0] for item in fills]
    assert widths == pytest.approx([SWATCH_WIDTH, 0.6 * SWATCH_WIDTH, 0.4 * SWATCH_WIDTH, 84])
    assert sum(isinstance(item, Shape) and item.stroke == INK for item in sheet.items) == 3


def test_two_hundred_yarns_fit_a_sheet() -> None:
    words = [*color_words().items()][:200]
    sheet = shelf_sheet("Sea", [Yarn(name, color) for name, color in words])
    assert 1 < sheet.width / sheet.height < 2
    for item in sheet.items:
        if isinstance(item, Text):
            assert 0 < item.x < sheet.width
            assert 0 < item.y < sheet.height


def test_it_is_made_where_yarns_come_from_a_shelf(tmp_path: Path) -> None:
    (tmp_path / "shelf.csv").write_text(TEXT)
    (tmp_path / "grid.csv").write_text("Walnut,Tar\nTar,Tar\n")
    options = Options(without=("proof", "pdf", "preview"), shelf=str(tmp_path / "shelf.csv"))
    with_shelf = open_chart(tmp_path / "grid.csv", options)
    assert [yarn.name for yarn in with_shelf.shelf] == ["Walnut", "Tar", "Tweed"]
    assert files_of(with_shelf)["shelf.png"].startswith(b"\x89PNG")
    assert any("Walnut: brown is #6e4a2c" in note for note in with_shelf.notes)
    assert "shelf.png" not in files_of(open_chart(tmp_path / "grid.csv"))
