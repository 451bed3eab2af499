"""What options ask of a view, and what was minded in a picture."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from makers import YARNS
from test_from_picture import folder

from pix2block.ground.errors import BadInput
from pix2block.options.table import Options
from pix2block.recipes.from_picture import see
from pix2block.recipes.looking import (
    Matters,
    _asked,
    _rounded,
    _small_faces,
    viewing_of,
    what_matters,
)
from pix2block.yarn.swatch import Swatch

BLOCK_CM = 5.25 * 0.38  # class 4, as guessed
BORDER_CM = 2 * 1.1 * 3.255 / (1.63 * 2.55)  # a round of single crochet, as in its own tests


def asked(**words: str) -> Options:
    return Options.from_words(words)


def test_a_size_in_cm_becomes_blocks_with_the_border_around() -> None:
    view = viewing_of(asked(size="40x30cm"))
    assert (view.width, view.height) == (round(40 / BLOCK_CM), round(30 / BLOCK_CM)) == (20, 15)
    around = viewing_of(asked(size="40x30cm", border="1 sc Moss"), shelf=YARNS)
    inner = [round((side - BORDER_CM) / BLOCK_CM) for side in (40, 30)]
    assert [around.width, around.height] == inner == [19, 14]
    small = viewing_of(asked(size="1x1cm", border="9 dc Moss"))
    assert (small.width, small.height) == (1, 1)
    measured = viewing_of(asked(size="40x30cm"), Swatch(block_cm=4.0, loop_cm=5.0))
    assert (measured.width, measured.height) == (10, 8)
    bulky = viewing_of(asked(size="40x30cm", weight="6"))
    assert bulky.width is not None
    assert bulky.width < 20
    hdc = viewing_of(asked(size="40x30cm", block="hdc"))
    assert hdc.width == round(40 / (5.25 * 0.33))


def test_sides_that_are_asked_for() -> None:
    assert (viewing_of(Options()).width, viewing_of(Options()).height) == (60, None)
    assert viewing_of(asked(height="30")).width is None
    assert viewing_of(asked(width="9")).height is None
    assert viewing_of(asked(look="blocks")).width is None
    assert viewing_of(asked(look="blocks", width="9")).width == 9


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"size": "40x30cm", "width": "9"}, "size sets both sides: leave out width and height"),
        ({"size": "40x30cm", "height": "9"}, "size sets both sides: leave out width and height"),
        ({"look": "blocks", "size": "40x30cm"}, "look blocks takes the whole picture"),
        ({"look": "blocks", "crop": "0,0,50,50"}, "look blocks takes the whole picture"),
    ],
)
def test_what_does_not_go_together(words: dict[str, str], told: str) -> None:
    with pytest.raises(BadInput, match=told):
        viewing_of(Options.from_words(words))


def matters(**words: str) -> Matters:
    options = Options.from_words({"width": "12", "subject": "none", **words})
    return what_matters(see(folder() / "hill_and_sky.png", options).view, options)


def test_a_spot_is_the_colour_there_and_a_place_counts_more() -> None:
    """The red patch lies at 42 to 56 % across, 33 to 50 % down."""
    red = matters(spot="48,42")
    assert red.spots.shape == (1, 3)
    assert red.spots[0, 0] > red.spots[0, 1] + 60
    plain, minded = matters(), matters(mind="0,70,100,30")
    ratio = minded.weights / plain.weights
    assert ratio[:6] == pytest.approx(1, rel=0.01)
    assert (ratio[-2:] > 1.5).all()
    assert [place.what for place in minded.minded] == ["asked"]
    assert (minded.even > plain.even).any()


def test_what_lies_outside_the_crop_is_told() -> None:
    left = matters(crop="0,0,50,100", spot="90,50", mind="80,0,10,10")
    assert [str(note) for note in left.notes] == [
        "80,0,10,10 lies outside the part of the picture that is charted, and is left aside.",
        "90,50 lies outside the part of the picture that is charted, and is left aside.",
    ]
    assert (len(left.spots), left.minded) == (0, ())
    (told,) = matters(mind="faces").notes
    assert str(told).startswith("no face was found: use mind X,Y,W,H")


def faces(block: float, *boxes: tuple[float, float, float, float]) -> list[str]:
    """Of a picture of 1000 x 800 pixels, a block so many of them."""
    frame = SimpleNamespace(block=block, width=round(1000 / block))
    view: Any = SimpleNamespace(faces=boxes, picture=SimpleNamespace(size=(1000, 800)), frame=frame)
    return [str(note) for note in _small_faces(view)]


def test_a_small_face_is_offered_a_crop() -> None:
    """10 % of 1000 pixels are 4 blocks of 25; twice as wide, and 5 : 4 high, it gets 20."""
    assert faces(25, (40, 30, 10, 15)) == [
        "a face is 4 blocks wide, and eyes need some 20: crop 35,22,20,31 gives it 20."
    ]
    assert "crop 0,0,20,31 " in faces(25, (0, 0, 10, 15))[0]
    assert "crop 80,69,20,31 " in faces(25, (95, 90, 10, 15))[0]
    assert "crop 0,0,80,100 gives it 12." in faces(40, (20, 20, 40, 40))[0]
    assert faces(25, (10, 10, 50, 60)) == []  # 20 blocks
    assert faces(25, (10, 10, 2, 2)) == []  # none
    assert faces(50, (5, 5, 90, 90)) == []  # a crop gives no more


def test_weights_have_four_digits() -> None:
    assert _rounded(np.array([1.23456, 0.0123456, 123.456, 0.0])).tolist() == [
        *(1.235, 0.01235, 123.5, 0.0)
    ]


FACE = (40.0, 30.0, 10.0, 15.0)


@pytest.mark.parametrize(
    ("look", "words", "found"),
    [
        ("photo", {}, [("face", FACE, 2.5)]),
        ("photo", {"subject": "none"}, []),
        ("photo", {"subject": "none", "mind": "faces"}, [("face", FACE, 2.5)]),
        ("flat", {}, []),
        ("flat", {"mind": "faces"}, [("face", FACE, 2.5)]),
        ("flat", {"mind": "1,2,3,4"}, [("asked", (1, 2, 3, 4), 5.0)]),
        ("flat", {"spot": "48,42"}, [("spot", (48, 42, 0, 0), 1.0)]),
    ],
)
def test_what_was_minded(look: str, words: dict[str, str], found: list[Any]) -> None:
    """Faces of a photo by themselves, unless no subject is wanted."""
    frame = SimpleNamespace(block=25, width=40)
    size = SimpleNamespace(size=(1000, 800))
    view: Any = SimpleNamespace(faces=(FACE,), picture=size, frame=frame, look=look)
    minded, notes = _asked(view, Options.from_words(words))
    assert minded == found
    assert len(notes) == (found[:1] == [("face", FACE, 2.5)]) + ("faces" in words.values())


def test_area_alone_counts_every_block_alike() -> None:
    area, even = matters(aim="area"), matters()
    assert (area.reads, even.reads) == (False, True)
    assert (area.even == 1).all()
    assert (area.weights == 1).all()
    assert not (even.weights == 1).all()
