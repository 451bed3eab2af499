"""What the same picture, yarns or page come to, worked out once in a process of tests: the same few
samples are charted hundreds of times, and looking for faces alone takes a quarter of a small chart.

Each answer is kept by all it follows from. Tests that two runs agree take the fixture `afresh`."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import fields, is_dataclass
from functools import cache
from hashlib import blake2b
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
import pytest
from PIL import Image

from pix2block.calming import charts
from pix2block.chart import chart
from pix2block.command.progress import ProgressBar
from pix2block.design import view
from pix2block.drawing import png
from pix2block.drawing.typesetter import typeset
from pix2block.pages import pattern_pictures, pdf, preview
from pix2block.picture.blocks import Frame
from pix2block.picture.picture import Picture
from pix2block.recipes import yarns

_MOST_PIXELS = 4_000_000  # of larger pictures nothing is kept
_MOST_KEPT = 40
_MANY_RUNS = 1000
_prints: WeakKeyDictionary[Picture, bytes] = WeakKeyDictionary()


def _print_of(picture: Picture) -> Hashable:
    """What everything that is found in a picture follows from."""
    if picture not in _prints:
        _prints[picture] = blake2b(picture.image.tobytes()).digest()
    of_file = (picture.sha256, picture.background, picture.orientation)
    return (*of_file, picture.image.mode, picture.image.size, _prints[picture])


def _content(value: Any) -> Hashable:
    """What a value of nouns and arrays says."""
    if isinstance(value, np.ndarray):
        return (value.shape, value.dtype.str, blake2b(value.tobytes()).digest())
    if isinstance(value, Picture):
        return _print_of(value)
    if isinstance(value, Image.Image):
        return (value.mode, value.size, blake2b(value.tobytes()).digest())
    if isinstance(value, tuple | list):
        return tuple(map(_content, value))
    if isinstance(value, dict):
        return tuple((key, _content(one)) for key, one in value.items())
    if is_dataclass(value):
        own = (_content(getattr(value, field.name)) for field in fields(value))
        return (type(value).__name__, *own)
    if callable(value):
        raise TypeError(f"{value} says nothing")
    return value  # type: ignore[no-any-return]


class Kept:
    """The last answers of a function by what they follow from. afresh: none is taken."""

    afresh = False

    def __init__(self, most: int = _MOST_KEPT) -> None:
        self.most = most
        self.answers: OrderedDict[Hashable, Any] = OrderedDict()

    def answer(self, key: Hashable, made: Callable[[], Any]) -> Any:
        if Kept.afresh:
            return made()
        if key not in self.answers:
            self.answers[key] = made()
            if len(self.answers) > self.most:
                self.answers.popitem(last=False)
        self.answers.move_to_end(key)
        return self.answers[key]


def _of_picture(real: Callable[[Picture], Any]) -> Callable[[Picture], Any]:
    kept = Kept()

    def once(picture: Picture) -> Any:
        width, height = picture.size
        if width * height > _MOST_PIXELS:
            return real(picture)
        return kept.answer(_print_of(picture), lambda: real(picture))

    return once


def _of_frame(real: Callable[..., Any]) -> Callable[..., Any]:
    kept = Kept()

    def once(picture: Picture, frame: Frame, progress: Any = None, **more: Any) -> Any:
        width, height = picture.size
        if progress or width * height > _MOST_PIXELS:
            return real(picture, frame, progress, **more)
        key = (_print_of(picture), frame, *more.items())
        return kept.answer(key, lambda: real(picture, frame, **more)).copy()

    return once


def _of_light(real: Callable[..., Any]) -> Callable[..., Any]:
    kept = Kept()

    def once(light: Any, samples: int) -> Any:
        key = (blake2b(light.tobytes()).digest(), light.shape, samples)
        return kept.answer(key, lambda: real(light, samples))

    return once


def _of_content(real: Callable[..., Any]) -> Callable[..., Any]:
    kept = Kept()

    def once(*words: Any, **more: Any) -> Any:
        return kept.answer(_content((words, more)), lambda: real(*words, **more))

    return once


def _of_flat_art(real: Callable[..., Any]) -> Callable[..., Any]:
    once = _of_content(real)

    def copied(*words: Any) -> Any:
        colors, notes = once(*words)
        return colors.copy(), [*notes]

    return copied


def _of_task(real: Callable[..., Any]) -> Callable[..., Any]:
    """Calming: a task's areas follow from the chart. Whoever watches it has it done."""
    kept = Kept()

    def once(plain: Any, task: Any, progress: Any = None, spared: Any = ()) -> Any:
        if progress is not None and not isinstance(progress, ProgressBar):
            return real(plain, task, progress, spared)
        said = [getattr(task, field.name) for field in fields(task) if field.name != "areas"]
        key = _content((plain, said, spared))
        return kept.answer(key, lambda: real(plain, task, progress, spared))

    return once


def _of_runs(real: Callable[..., Any]) -> Callable[..., Any]:
    """Strands of small pieces."""
    kept = Kept(most=400)

    def once(runs: Any, *words: Any) -> Any:
        if len(runs) > _MANY_RUNS:
            return real(runs, *words)
        return kept.answer(_content((runs, words)), lambda: real(runs, *words))

    return once


def _of_typesetter(real: Callable[[], Any]) -> Callable[[], Any]:
    """Where nobody may end it; else it is a process of its own."""
    kept = _of_content(typeset)

    def once() -> Any:
        setting = real()
        return kept if setting is typeset else setting

    return once


def found_once(patched: pytest.MonkeyPatch) -> None:
    """Let what is found in a picture be kept by its own pixels, and what is chosen, calmed and set
    by what it follows from; the functions themselves, where they are tested, stay as they are."""
    for module, name, kind in (
        (view, "find_faces", _of_picture),
        (view, "flat_share", _of_picture),
        (view, "block_means", _of_frame),
        (view, "block_light", _of_frame),
        (view, "find_subject", _of_light),
        (view, "flat_blocks", _of_flat_art),
        (yarns, "yarns_from_picture", _of_content),
        (yarns, "colors_that_read", _of_content),
        (chart, "plan_strands", _of_content),
        (charts, "calmed_chart", _of_task),
        (chart, "plan_strands", _of_runs),
        (pattern_pictures, "howto_drawings", cache),
        (pdf, "typesetter", _of_typesetter),
        (png, "typeset", _of_content),
        (png, "packed", _of_content),
        (pattern_pictures, "packed", _of_content),
        (preview, "packed", _of_content),
    ):
        patched.setattr(module, name, kind(getattr(module, name)))
