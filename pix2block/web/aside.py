"""Pieces that are laid aside: as they stood, to be looked at beside the piece and gone on with.
They lie in a place of their own in the piece's folder, and survive a restart."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pix2block.ground.errors import BadInput
from pix2block.ground.files import save_all
from pix2block.ground.swap import bytes_of
from pix2block.web.session import Session
from pix2block.web.shown import study_json
from pix2block.web.states import State, packed_state, unpacked_state
from pix2block.web.wanted import place_of

MOST = 8
_SUFFIX = ".json"


def lay_aside(session: Session) -> list[dict[str, Any]]:
    """Lay the piece aside as it stands; of more than eight the oldest goes. All of them."""
    state, place = session.state, _place(session)
    numbers = _numbers(place)
    packed = packed_state(state)
    same = [number for number in numbers if _read(place, number)["chart"] == packed["chart"]]
    if not same:
        number = max(numbers, default=0) + 1
        kept = {**packed, "shown": study_json(state.study, state.wanted)}
        save_all(place, {f"{number}{_SUFFIX}": json.dumps(kept).encode()})
        for old in [*numbers, number][:-MOST]:
            (place / f"{old}{_SUFFIX}").unlink(missing_ok=True)
    return laid_aside(session)


def laid_aside(session: Session) -> list[dict[str, Any]]:
    """What lies aside, the latest last; at: seconds since 1970."""
    place = _place(session)
    return [
        {
            "number": number,
            "at": int((place / f"{number}{_SUFFIX}").stat().st_mtime),
            "piece": _read(place, number)["shown"],
        }
        for number in _numbers(place)
    ]


def all_beside(session: Session) -> list[dict[str, Any]]:
    """What can be seen beside the piece: as it was before the last change, as number 0, where there
    was one; then what lies aside."""
    before, lying = _before_last(session), laid_aside(session)
    if before is None:
        return lying
    return [{"number": 0, "at": 0, "piece": study_json(before.study, before.wanted)}, *lying]


def _before_last(session: Session) -> State | None:
    with session.lock:
        return session.before_last() if session.steps else None


def aside_state(session: Session, number: int) -> State:
    """One that lies aside, as it stood; number 0: as it was before the last change. Raises BadInput
    where there is none."""
    before = None if number else _before_last(session)
    if before:
        return before
    return _of(session, number)[1]


def go_on_with(session: Session, number: int) -> None:
    """Have one that lies aside in the piece's place; the piece as it was can be taken back. Raises
    BadInput where there is none."""
    kept, _ = _of(session, number)
    session.change({"aside": number, "chart": kept["chart"], "wanted": kept["wanted"]})


def _place(session: Session) -> Path:
    return place_of(session.folder) / "aside"


def _numbers(place: Path) -> list[int]:
    named = [path.stem for path in place.glob(f"*{_SUFFIX}") if path.stem.isdecimal()]
    return sorted(int(name) for name in named if name == str(int(name)))


def _of(session: Session, number: int) -> tuple[dict[str, Any], State]:
    """What is kept of one, and how it stood."""
    place = _place(session)
    if number not in _numbers(place):
        raise BadInput("there is no such piece aside: choose one of those that are shown")
    kept = _read(place, number)
    try:
        return kept, unpacked_state(kept, session.state, session.folder)
    except (LookupError, TypeError, ValueError, AttributeError):
        raise _spoilt(place / f"{number}{_SUFFIX}") from None


def _read(place: Path, number: int) -> dict[str, Any]:
    path = place / f"{number}{_SUFFIX}"
    try:
        kept = json.loads(bytes_of(path))
        return {key: kept[key] for key in ("chart", "wanted", "shown")}
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        raise _spoilt(path) from None


def _spoilt(path: Path) -> BadInput:
    return BadInput(f"{path} cannot be read: remove it, and what was laid aside in it")
