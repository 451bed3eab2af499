"""What is found in a picture, found once in a process of tests: the same few samples are charted
hundreds of times, and looking for faces alone takes a quarter of a small chart."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from hashlib import blake2b
from typing import Any
from weakref import WeakKeyDictionary

import pytest

from pix2block.design import view
from pix2block.picture.blocks import Frame
from pix2block.picture.picture import Picture

_MOST_PIXELS = 4_000_000  # of larger pictures nothing is kept
_MOST_KEPT = 40
_prints: WeakKeyDictionary[Picture, bytes] = WeakKeyDictionary()


def _print_of(picture: Picture) -> Hashable:
    """What everything that is found in a picture follows from."""
    if picture not in _prints:
        _prints[picture] = blake2b(picture.image.tobytes()).digest()
    of_file = (picture.sha256, picture.background, picture.orientation)
    return (*of_file, picture.image.mode, picture.image.size, _prints[picture])


class _Kept:
    """The last answers of a function by what they follow from."""

    def __init__(self) -> None:
        self.answers: OrderedDict[Hashable, Any] = OrderedDict()

    def answer(self, key: Hashable, made: Callable[[], Any]) -> Any:
        if key not in self.answers:
            self.answers[key] = made()
            if len(self.answers) > _MOST_KEPT:
                self.answers.popitem(last=False)
        self.answers.move_to_end(key)
        return self.answers[key]


def _of_picture(real: Callable[[Picture], Any]) -> Callable[[Picture], Any]:
    kept = _Kept()

    def once(picture: Picture) -> Any:
        width, height = picture.size
        if width * height > _MOST_PIXELS:
            return real(picture)
        return kept.answer(_print_of(picture), lambda: real(picture))

    return once


def _of_frame(real: Callable[..., Any]) -> Callable[..., Any]:
    kept = _Kept()

    def once(picture: Picture, frame: Frame, progress: Any = None, **more: Any) -> Any:
        width, height = picture.size
        if progress or width * height > _MOST_PIXELS:
            return real(picture, frame, progress, **more)
        key = (_print_of(picture), frame, *more.items())
        return kept.answer(key, lambda: real(picture, frame, **more)).copy()

    return once


def _of_light(real: Callable[..., Any]) -> Callable[..., Any]:
    kept = _Kept()

    def once(light: Any, samples: int) -> Any:
        key = (blake2b(light.tobytes()).digest(), light.shape, samples)
        return kept.answer(key, lambda: real(light, samples))

    return once


def found_once(patched: pytest.MonkeyPatch) -> None:
    """Let views keep what they find, by the picture's own pixels; the functions themselves, where
    they are tested, stay as they are."""
    for name, kind in (
        ("find_faces", _of_picture),
        ("flat_share", _of_picture),
        ("block_means", _of_frame),
        ("block_light", _of_frame),
        ("find_subject", _of_light),
    ):
        patched.setattr(view, name, kind(getattr(view, name)))
