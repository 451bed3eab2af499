"""Which yarns are chosen, by what matters: the choosing itself stood in for."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from pix2block.design.palette import Palette
from pix2block.design.tone import BETTER_BY
from pix2block.options.table import Options
from pix2block.recipes import yarns
from pix2block.recipes.looking import Matters
from pix2block.recipes.yarns import choose_yarns
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import Yarn

WOOL = (Yarn("Sand", "#c8b890", metres=100.0, skeins=2.0), Yarn("Tar", "#222222", skeins=1.0))


def palette(name: str = "one", **more: Any) -> Palette:
    blank = np.zeros((2, 2), dtype=np.int64)
    return Palette((Yarn(name, "#808080"),), blank, np.zeros((2, 2, 3), np.uint8), **more)


class Stage:
    """What is asked of the choosing, and what it gives."""

    def __init__(self, patched: pytest.MonkeyPatch) -> None:
        self.patched, self.asked = patched, list[tuple[Any, ...]]()
        for name in ("yarns_from_picture", "yarns_from_shelf", "colors_that_read"):
            patched.setattr(yarns, name, self.noted(name))
        for name in ("yarns_that_read", "shelf_tones"):
            patched.setattr(yarns, name, self.noted(name))
        patched.setattr(yarns, "tones_tried", lambda *_: ())

    def noted(self, name: str) -> Any:
        def called(*asked: Any) -> Palette:
            self.asked.append((name, *asked))
            return palette(name)

        return called

    def chosen(self, reads: bool, shelf: tuple[Yarn, ...] = (), **asked: Any) -> str:
        gray = np.full((2, 2, 3), 128, dtype=np.uint8)
        view: Any = SimpleNamespace(look="photo", means=gray, colors=gray)
        ones, spots = np.ones((2, 2)), np.zeros((0, 3), dtype=np.uint8)
        matters = Matters(gray, ones, (), spots, ones, reads=reads)
        chart: Any = lambda one: one  # noqa: E731  of a choice no more than itself
        made = choose_yarns(view, matters, Shelf(shelf), Options(**asked), chart)
        self.told = made.decisions
        return made.palette.yarns[0].name


@pytest.fixture
def stage(monkeypatch: pytest.MonkeyPatch) -> Stage:
    return Stage(monkeypatch)


def test_yarns_of_a_picture_are_changed_for_the_eye_where_it_matters(stage: Stage) -> None:
    assert stage.chosen(reads=False, seed=9) == "yarns_from_picture"
    assert stage.asked[0][4] == 9
    assert stage.chosen(reads=True) == "colors_that_read"
    assert [asked[4] for asked in stage.asked[1:3]] == [1, 1]


def test_yarns_of_a_shelf_are_changed_for_the_eye_but_not_within_it(stage: Stage) -> None:
    assert stage.chosen(False, WOOL, tone="keep") == "yarns_from_shelf"
    assert stage.chosen(True, WOOL, tone="keep") == "yarns_that_read"
    assert stage.chosen(True, WOOL, tone="fit") == "yarns_from_shelf"
    assert stage.chosen(True, WOOL, look="tones") == "shelf_tones"


@pytest.mark.parametrize(("lacks", "told"), [((), 1), (("Sand",), 0)])
def test_blocks_that_moved_to_keep_within_a_shelf_are_told_where_it_lasts(
    lacks: tuple[str, ...], told: int, stage: Stage
) -> None:
    def chart_within(_: Any, choose: Any) -> Any:
        return SimpleNamespace(chart=choose(np.array([1.0, 3.0])), lacks=lacks)

    stage.patched.setattr(yarns, "chart_within", chart_within)
    stage.patched.setattr(yarns, "_moved_words", lambda _: "moved")
    stage.patched.setattr(yarns, "unstocked", lambda _: [])
    assert stage.chosen(True, WOOL, within_shelf=True, tone="keep") == "yarns_from_shelf"
    assert stage.told == ("moved",) * told
    stage.patched.setattr(yarns, "_moved_words", lambda _: "")
    stage.chosen(True, WOOL, within_shelf=True, tone="keep")
    assert stage.told == ()


def test_light_and_dark_are_fitted_for_more_than_a_little(stage: Stage) -> None:
    for gain, fit in ((BETTER_BY, False), (2 * BETTER_BY, True)):
        figures = iter((0.5, 0.5 + gain))
        stage.patched.setattr(yarns, "structure_kept", lambda *_, now=figures: next(now))
        stage.chosen(False, WOOL)
        assert ("fitted to what the shelf spans" in str(stage.told[0])) == fit
