"""What the picture is of, as it is asked for and told: on a few blocks made by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from pix2block.color.spaces import Floats
from pix2block.design.subject import SubjectMap
from pix2block.design.view import WHOLE, View, Viewing
from pix2block.ground.errors import BadInput
from pix2block.options.picture_rules import NO_SUBJECT
from pix2block.options.table import Options
from pix2block.picture.blocks import Frame
from pix2block.recipes.subject_map import subject_note, subject_of, subject_words

RED, BLUE, GREEN, GREY = (200, 40, 40), (40, 60, 200), (40, 140, 60), (128, 128, 128)


def seen(look: str = "photo", **frame: Any) -> View:
    """10 x 8 grey blocks of 20 pixels, of a picture that is 240 x 200 pixels large."""
    means = np.full((8, 10, 3), GREY, dtype=np.uint8)
    whole = replace(Frame(20.0, 30.0, 20.0, 10, 8), **frame)
    viewing = Viewing(10, 8, WHOLE, "auto", "keep")
    picture: Any = SimpleNamespace(size=(240, 200), name="x.png")
    return View(picture, viewing, look, whole, means, means)  # type: ignore[arg-type]


def found(*lines: str, sure: float = 1.0, told: bool = False) -> SubjectMap:
    share = np.array([[float(one) for one in line] for line in lines])
    return SubjectMap(
        np.pad(share, [(0, 8 - share.shape[0]), (0, 10 - share.shape[1])]), sure, told
    )


def test_what_is_looked_for() -> None:
    view, flat = seen(), seen("flat")
    map_of = found("1")
    view.__dict__["subject"] = map_of
    assert subject_of(view, Options()) is map_of
    for of, subject in ((view, NO_SUBJECT), (flat, None), (seen("blocks"), (0.0, 0.0, 9.0, 9.0))):
        assert subject_of(of, Options(subject=subject)) is None
    box, polygon = (
        subject_of(flat, Options(subject=asked))
        for asked in ((25.0, 30.0, 25.0, 20.0), (25.0, 30, 50, 30, 50, 50, 25, 50))
    )
    assert box is not None
    assert polygon is not None
    assert box.told
    assert polygon.told
    assert box.share.tolist() == polygon.share.tolist()
    # 60 to 120 pixels across, 60 to 100 down: blocks 3 to 5, and 1.5 to 3.5
    assert np.argwhere(box.share > 0).min(axis=0).tolist() == [1, 2]
    assert np.argwhere(box.share > 0).max(axis=0).tolist() == [3, 4]


def share_of(mask: np.ndarray, folder: Path, **frame: Any) -> Floats:
    path = folder / "mask.png"
    Image.fromarray(mask.astype(np.uint8)).save(path)
    subject = subject_of(seen(**frame), Options(subject=str(path)))
    assert subject is not None
    assert subject.told
    return subject.share


def test_a_mask_of_half_the_size(tmp_path: Path) -> None:
    """Its pixels 10 to 20 across and 15 to 25 down are one block."""
    mask = np.zeros((100, 120))
    mask[25:35, 30:50] = 255
    share = share_of(mask, tmp_path)
    assert share.shape == (8, 10)
    assert share[1, 2:4].tolist() == [1.0, 1.0]
    assert share.sum() == 2


@pytest.mark.parametrize(
    ("size", "fits"),
    [
        *(((200, 240), True), ((199, 240), True), ((198, 240), False), ((202, 240), True)),
        *(((19, 24), True), ((18, 24), False), ((22, 24), False), ((21, 24), True)),
        *(((404, 480), True), ((397, 480), True), ((396, 480), False), ((405, 480), False)),
    ],
)
def test_a_mask_has_the_pictures_proportion(
    size: tuple[int, int], fits: bool, tmp_path: Path
) -> None:
    """Within a hundredth of its height, or a pixel."""
    white = np.full(size, 255)
    if fits:
        assert share_of(white, tmp_path) == pytest.approx(1)
        return
    told = f"is {size[1]} x {size[0]} pixels, the picture 240 x 200"
    with pytest.raises(BadInput, match=told):
        share_of(white, tmp_path)


def test_a_mask_a_little_narrower_or_lower_is_covered(tmp_path: Path) -> None:
    """The frame takes all of the picture; the mask is a pixel short of it."""
    half = np.zeros((199, 240))
    half[:, :120] = 255
    wide = share_of(half, tmp_path, left=0.0, top=0.0, block=24.0)
    assert wide == pytest.approx(1.0 * (np.arange(10)[None] < 5).repeat(8, axis=0))
    high = {"left": 0.0, "top": 0.0, "block": 25.0, "width": 9}
    assert share_of(np.full((199, 240), 255), tmp_path, **high) == pytest.approx(1)


def test_a_subject_outside_is_told() -> None:
    note = subject_note(found("0", told=True))
    assert note.startswith("the subject lies outside the part of the picture that is charted")
    assert subject_note(None) == subject_note(found("0")) == subject_note(found("1", told=True))
    assert subject_note(None) == ""


def words(view: View, subject: SubjectMap) -> str:
    return str(subject_words(view, subject))


def test_what_was_found_is_told_in_colours_places_and_a_box() -> None:
    view = seen()
    blank = ("0000000000",) * 2
    map_of = found(*blank, "0001111111", "0001111111", "0001111111")
    view.means[2:5, 3:8], view.means[2:5, 8:] = RED, BLUE
    told = words(view, map_of)
    # 20 + 3 * 20 = 80 of 240 pixels is 33 %, 220 is 92; 30 + 2 * 20 = 70 of 200 is 35, 130 is 65.
    assert told.startswith("What the picture is of, as it was found: ")
    assert "26 % of the blocks, outlined in subject.png" in told
    assert "subject 33,35,59,30" in told
    red, blue = words_of(RED), words_of(BLUE)
    assert f": {red} and {blue} " in told
    view.means[2:5, 8:] = RED  # one of 21 is blue now, then five, a fifth or more
    view.means[2, 3] = BLUE
    assert f": {red} " in words(view, map_of)
    assert " and " not in words(view, map_of).partition("%")[0]
    view.means[2, 3:8] = BLUE
    assert f": {red} and {blue} " in words(view, map_of)
    five = found("11111")
    view.means[0, :4], view.means[0, 4] = RED, BLUE  # a fifth
    assert f": {red} and {blue} " in words(view, five)


def words_of(color: tuple[int, int, int]) -> str:
    view = seen()
    view.means[0, 0] = color
    told = words(view, found("1"))
    return told.partition("found: ")[2].split(" ")[0]


def test_of_many_colours_the_most_frequent_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """None has a fifth of the blocks."""
    names = [*"abcdefghij", "h"]
    monkeypatch.setattr("pix2block.recipes.subject_map.nearest_names", lambda _: names)
    assert "as it was found: h " in words(seen(), found("1111111111", "1111111111"))
    names[:] = [*"abcabcabc"]  # no more than two
    assert "as it was found: a and b near" in words(seen(), found("111111111"))


def test_a_box_ends_where_the_picture_does() -> None:
    """A frame may reach a little beyond it."""
    assert "subject 8,85,9,10" in words(seen(), found(*"0000000", "1"))
    everywhere = found(*("1" * 10,) * 8)
    assert "subject 10,20,90,80" in words(seen(left=24.0, top=40.0, block=22.0), everywhere)


def test_what_is_not_told() -> None:
    assert subject_words(seen(), None) == ""
    assert words(seen(), found("1", told=True)) == ""
    assert "Nothing in the picture stands out" in words(seen(), found("0"))
    assert "Nothing in the picture stands out" in words(seen(), found("1", sure=0.05))
