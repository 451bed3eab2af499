"""Our `dataclass` is the standard library's, but for when its methods are made."""

from __future__ import annotations

import dataclasses
from dataclasses import field, fields, replace
from typing import Any

import pytest

from pix2block.ground.frozen import dataclass


def both(**options: Any) -> list[Any]:
    """The same class by the standard library's decorator and by ours."""
    made = []
    for decorator in (dataclasses.dataclass, dataclass):

        class Yarn:
            name: str
            metres: float = 1.5
            used: list[int] = field(default_factory=list, compare=False, repr=False)
            note: str = field(default="", kw_only=True)

        made.append(decorator(frozen=True, **options)(Yarn))
    return made


def what_it_does(Yarn: Any) -> list[object]:
    def told(call: Any) -> str:
        with pytest.raises((TypeError, AttributeError)) as error:
            call()
        return f"{type(error.value).__name__}: {error.value}"

    tan = Yarn("Tan", note="soft")
    return [
        repr(tan),
        tan == Yarn("Tan", 1.5, [3], note="soft"),
        tan == replace(tan, metres=2.0),
        tan == ("Tan", 1.5, "soft"),
        len({tan, Yarn("Tan", note="soft")}),
        [tan.used, Yarn("Tan").used is Yarn("Tan").used],
        [f.name for f in fields(tan)],
        Yarn.__match_args__,
        told(lambda: Yarn()),
        told(lambda: Yarn("Tan", 1.0, [], "soft")),
        told(lambda: Yarn("Tan", weight=1)),
        told(lambda: setattr(tan, "name", "Grey")),
        told(lambda: delattr(tan, "name")),
    ]


@pytest.mark.parametrize("options", [{}, {"eq": False}, {"repr": False}, {"kw_only": False}])
def test_a_frozen_class_does_what_the_standard_one_does(options: dict[str, Any]) -> None:
    theirs, ours = (what_it_does(made) for made in both(**options))
    if "repr" in options:  # that of `object` has an address
        theirs, ours = theirs[1:], ours[1:]
    elif options.get("eq") is False:
        assert ours[1] is False
    assert ours == theirs


@dataclass(frozen=True)
class _Base:
    length: int

    def __post_init__(self) -> None:
        if self.length < 0:
            raise ValueError("too short")


@dataclass(frozen=True)
class _Longer(_Base):
    width: int = 2

    def __repr__(self) -> str:
        return "as it says itself"


class _Alone(_Longer):
    pass


def test_what_a_class_inherits_is_made_with_it() -> None:
    assert (_Longer(1).length, _Longer(1, 3).width, repr(_Longer(1))) == (1, 3, "as it says itself")
    assert _Alone(4, 5) == _Alone(4, 5) != _Longer(4, 5)
    with pytest.raises(ValueError, match="too short"):
        _Longer(-1)


def test_a_class_that_is_not_frozen_is_the_standard_librarys() -> None:
    @dataclass(eq=False)
    class Count:
        blocks: int = 0

    count = Count()
    count.blocks += 2
    assert repr(count).endswith("Count(blocks=2)")
