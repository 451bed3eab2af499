"""A folder's files change places together, though a file system moves one at a time.

What is to come lies written in the hidden folder HIDDEN, with a list of it; the list is what makes
a swap begun. A swap that was cut short is finished, or given up where nothing had moved, by whoever
comes next. It runs as a program of its own, so that the end of the one that asks for it, however
sudden, ends no swap half-way; so it needs nothing of the package:

    python -I -S swap.py FOLDER
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import stat
import sys
import time
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

HIDDEN = ".pix2block"
ON_WINDOWS = os.name == "nt"
NEW, OLD, LIST = "new", "old", "list.json"  # inside HIDDEN


@dataclass(frozen=True)
class Moves:
    """What happens in a folder. put: files that come, each with the SHA-256 of what it replaces,
    None for nothing; gone: files that are removed, each with its SHA-256; aside: files that are
    kept, each with its new name, before another is put in their place or they are removed."""

    put: dict[str, str | None]
    gone: dict[str, str]
    aside: dict[str, str]


class CannotMove(Exception):
    """A file that could not be moved to its place, or away from it; why, in words."""

    def __init__(self, name: str, why: str) -> None:
        super().__init__(name, why)
        self.name, self.why = name, why


def bytes_of(path: Path) -> bytes:
    """The bytes of a file. Raises FileNotFoundError where there is none: a pipe in its place would
    be waited for without end."""
    if not path.is_file():
        raise FileNotFoundError(errno.ENOENT, "no such file", str(path))
    return path.read_bytes()


def sha256_of(path: Path) -> str | None:
    """The SHA-256 of a file's bytes, None where there is no file."""
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else None


def sync_folder(folder: Path) -> None:
    """Has the system keep what a folder lists, even through a power cut, where it can."""
    if os.name != "posix":  # elsewhere a folder cannot be opened
        return
    place = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(place)
    except OSError:  # a file system without it
        pass
    finally:
        os.close(place)


def write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, and have the system keep it through a power cut."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def put(path: Path, to: Path) -> None:
    """Move a file to its place. On Windows whoever looks at a file that is there (one that seeks
    viruses, or lists what is new) keeps it from being replaced for a moment."""
    for wait in (0.05, 0.1, 0.2, 0.4, 0.8) if ON_WINDOWS else ():
        try:
            path.replace(to)
            return
        except PermissionError:
            time.sleep(wait)
    path.replace(to)


def twin(path: Path, to: Path) -> None:
    """Give a file a second name, or where there is no such thing a copy."""
    try:
        os.link(path, to, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(path, to, follow_symlinks=False)


def begin(folder: Path, moves: Moves) -> None:
    """Hold what will be replaced, then write the list: from here on the swap is to be done.

    What comes must lie in HIDDEN/NEW; it gets the rights of what it replaces. Raises CannotMove for
    what cannot be held, or was made to be read only.
    """
    hidden = folder / HIDDEN
    (hidden / OLD).mkdir()
    for name in (*moves.put, *moves.gone):
        if os.path.lexists(folder / name):
            try:
                if name not in moves.aside:
                    _keep_rights(folder / name, hidden / NEW / name)
                twin(folder / name, hidden / OLD / name)
            except OSError as error:
                raise CannotMove(name, error.strerror or str(error)) from None
    for inside in (hidden / NEW, hidden / OLD):
        sync_folder(inside)
    write_new(hidden / f"{LIST}.part", json.dumps(asdict(moves)).encode())
    (hidden / f"{LIST}.part").replace(hidden / LIST)
    for place in (hidden, folder):
        sync_folder(place)


def _keep_rights(path: Path, new: Path) -> None:
    """Raises OSError for a file that may not be written to, though it could be moved away."""
    if not path.is_file():
        return
    if not path.stat().st_mode & stat.S_IWUSR:
        raise OSError(errno.EACCES, "it is for reading only")
    if new.exists():
        with suppress(OSError):  # a file system without rights
            shutil.copymode(path, new)


def swap(folder: Path) -> None:
    """Do what is on the list. Raises CannotMove, and all is as it was before."""
    moves = _listed(folder)
    try:
        _move(folder, moves)
    except CannotMove:
        _move_back(folder, moves)
        clear(folder)
        raise
    sync_folder(folder)
    clear(folder)


def recover(folder: Path) -> None:
    """Finish a swap that was cut short, give one up that had not moved anything, and clear what
    was left behind. A file that was changed since stays as it is.

    Raises CannotMove; what is left is then to be done later.
    """
    hidden = folder / HIDDEN
    if hidden.is_symlink():  # it came with somebody's folder, and leads elsewhere
        hidden.unlink()
    if not hidden.is_dir():
        return
    if (hidden / LIST).is_file():
        moves = _listed(folder)
        left = [name for name in moves.put if (hidden / NEW / name).exists()]
        if len(left) < len(moves.put):
            changed = {
                name
                for name, before in (*moves.put.items(), *moves.gone.items())
                if name in left or name in moves.gone
                if sha256_of(folder / name) not in (None, before)
            }
            _move(folder, _without(moves, changed))
            sync_folder(folder)
    clear(folder)


def clear(folder: Path) -> None:
    """Remove the hidden folder, its list first: what then remains is only in the way."""
    hidden = folder / HIDDEN
    (hidden / LIST).unlink(missing_ok=True)
    shutil.rmtree(hidden, ignore_errors=True)


def _listed(folder: Path) -> Moves:
    """What is to be moved; nothing where the list is not one of ours: it may have come with a
    folder that somebody sent, and name what lies elsewhere."""
    nothing = Moves({}, {}, {})
    try:
        moves = Moves(**json.loads((folder / HIDDEN / LIST).read_bytes()))
        names = [*moves.put, *moves.gone, *moves.aside, *moves.aside.values()]
        return moves if all(map(_is_bare, names)) else nothing
    except (ValueError, TypeError, AttributeError, RecursionError):
        return nothing


def _is_bare(name: str) -> bool:
    """Whether a name is of a file in the folder itself."""
    return name == os.path.basename(name) and name not in ("", ".", "..")  # noqa: PTH119


def _without(moves: Moves, names: set[str]) -> Moves:
    return Moves(
        put={name: sha256 for name, sha256 in moves.put.items() if name not in names},
        gone={name: sha256 for name, sha256 in moves.gone.items() if name not in names},
        aside={name: kept for name, kept in moves.aside.items() if name not in names},
    )


def _move(folder: Path, moves: Moves) -> None:
    """Every move that is not done yet."""
    new, old = folder / HIDDEN / NEW, folder / HIDDEN / OLD
    name = ""
    try:
        for name, kept in moves.aside.items():
            if not (folder / kept).exists():
                twin(old / name, folder / kept)
        for name in moves.put:
            if (new / name).exists():
                put(new / name, folder / name)
        for name in moves.gone:
            (folder / name).unlink(missing_ok=True)
    except OSError as error:
        raise CannotMove(name, error.strerror or str(error)) from None


def _move_back(folder: Path, moves: Moves) -> None:
    """Undo every move that was done."""
    new, old = folder / HIDDEN / NEW, folder / HIDDEN / OLD
    for name in (*moves.put, *moves.gone):
        if name in moves.put and (new / name).exists():
            continue  # it never came
        if os.path.lexists(old / name):
            put(old / name, folder / name)
        else:
            (folder / name).unlink(missing_ok=True)
    for kept in moves.aside.values():
        (folder / kept).unlink(missing_ok=True)


if __name__ == "__main__":
    try:
        swap(Path(sys.argv[1]))
    except CannotMove as error:
        print(json.dumps([error.name, error.why]), flush=True)
        sys.exit(1)
