"""The one place that reads and writes files: a folder's files come whole and together, or not at
all."""

from __future__ import annotations

import errno
import json
import os
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import replace
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

from pix2block.ground import swap
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, Interrupted, nearest
from pix2block.ground.swap import HIDDEN, LIST, NEW, CannotMove, Moves

P = ParamSpec("P")
R = TypeVar("R")

MOST_BYTES = 500_000_000  # of one file

_READ: ContextVar[dict[Path, None] | None] = ContextVar("files read", default=None)


@contextmanager
def files_read() -> Iterator[dict[Path, None]]:
    """The files that are read while it lasts, as keys, in order."""
    read: dict[Path, None] = {}
    before = _READ.set(read)
    try:
        yield read
    finally:
        _READ.reset(before)
        outer = _READ.get()
        if outer is not None:
            outer.update(read)


def noting_files(make: Callable[P, R]) -> Callable[P, R]:
    """A function that makes a noun from files, which has a field `read` for their paths."""

    @wraps(make)
    def noted(*given: P.args, **more: P.kwargs) -> R:
        with files_read() as read:
            made: Any = make(*given, **more)
        return cast(R, replace(made, read=tuple(read)))

    return noted


def read_bytes(path: Path, what: str) -> bytes:
    """The file's bytes. Raises BadInput naming the nearest file where there is none; for a pipe or
    a device, which may never end, and a file over 500 MB."""
    try:
        status = path.stat()
        if not (stat.S_ISREG(status.st_mode) or stat.S_ISDIR(status.st_mode)):
            raise BadInput(f"{what} {path} is a pipe or a device: save it as a file first")
        if status.st_size > MOST_BYTES:
            raise BadInput(
                f"{what} {path} has {status.st_size // 10**6} MB, over {MOST_BYTES // 10**6}: "
                "make it smaller first"
            )
        data = path.read_bytes()
    except FileNotFoundError:
        raise BadInput(f"{what} {path}: no such file{_nearest_file(path)}") from None
    except IsADirectoryError:
        raise BadInput(f"{what} {path} is a folder: name a file in it") from None
    except (OSError, ValueError) as error:  # a name may hold what no file system takes
        raise BadInput(
            f"{what} {path} cannot be read: {getattr(error, 'strerror', None) or error}"
        ) from None
    read = _READ.get()
    if read is not None:
        read[path] = None
    return data


def read_text(path: Path, what: str) -> str:
    """The file as UTF-8 text, a byte order mark left out. Raises BadInput where it is not."""
    try:
        return read_bytes(path, what).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"{what} {path} is no UTF-8 text (byte {error.start}): give a text file in UTF-8"
        ) from None


def _nothing_more(_: Path) -> Moves:
    return Moves({}, {}, {})


def save_all(
    folder: Path, contents: Mapping[str, bytes], more: Callable[[Path], Moves] = _nothing_more
) -> list[Path]:
    """Put every file into `folder`, and do what `more` finds to be done there, all or nothing.

    All are first written into a hidden folder beside their places, then moved together; where one
    cannot be, the others are moved back. more: called when no other run can change the folder; its
    `put` is left out of account.

    Raises BadInput where the folder cannot be written to, or a file in it cannot be replaced.
    """
    made = _made_folders(folder)
    try:
        with _alone(folder) as held:
            swap.recover(folder)
            found = more(folder)
            put = {name: swap.sha256_of(folder / name) for name in contents}
            with _cleared_where_it_fails(folder):
                _write_hidden(folder, contents)
                with _uninterrupted():
                    swap.begin(folder, Moves(put, found.gone, found.aside))
                    _swap(folder, held)
        for new in made:
            swap.sync_folder(new.parent)
    except CannotMove as error:
        raise BadInput(
            f"{folder / error.name} cannot be replaced: {error.why}; nothing was changed: close "
            "it where it is open, or choose another ",
            Ask("out"),
        ) from None
    except OSError as error:
        raise BadInput(
            f"cannot write into {folder}: {error.strerror or error}; choose another ", Ask("out")
        ) from None
    finally:
        for new in reversed(made):
            if new.is_dir() and not any(new.iterdir()):
                new.rmdir()
    return [folder / name for name in contents]


def finish_swap(folder: Path) -> None:
    """Finish what a run that was cut short left half-moved in a folder, if it can be."""
    if (folder / HIDDEN).is_dir():
        # It is only read from here: whoever writes into it says why it cannot be done.
        with suppress(OSError, CannotMove), _alone(folder):
            swap.recover(folder)


def _made_folders(folder: Path) -> list[Path]:
    """The folder's missing parents and itself, the topmost first, which are to be made."""
    return [path for path in reversed((folder, *folder.parents)) if not path.exists()]


def _write_hidden(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Every file, whole, in the hidden folder."""
    (folder / HIDDEN / NEW).mkdir(parents=True)
    for name, data in contents.items():
        swap.write_new(folder / HIDDEN / NEW / name, data)


@contextmanager
def _cleared_where_it_fails(folder: Path) -> Iterator[None]:
    try:
        yield
    except BaseException:
        swap.clear(folder)
        raise


@contextmanager
def _alone(folder: Path) -> Iterator[int | None]:
    """Make the folder, and hold it so that no other run changes it; what it is held by."""
    if sys.platform == "win32":
        import msvcrt

        folder.mkdir(parents=True, exist_ok=True)
        lock = folder / f"{HIDDEN}.lock"  # a folder cannot be held there
        try:
            with lock.open("ab") as file:
                while not _locked(lambda: msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)):
                    pass
                yield None
        finally:
            with suppress(OSError):  # another run has it open
                lock.unlink()
    else:
        import fcntl

        while True:
            folder.mkdir(parents=True, exist_ok=True)
            held = os.open(folder, os.O_RDONLY)
            try:
                with suppress(OSError):  # a file system that holds nothing
                    fcntl.flock(held, fcntl.LOCK_EX)
                if folder.is_dir() and os.path.samestat(os.fstat(held), folder.stat()):
                    yield held
                    return
            finally:
                os.close(held)  # a swap that still runs holds it on


def _locked(lock: Callable[[], None]) -> bool:
    """Whether a lock was had within the ten seconds that Windows tries it."""
    try:
        lock()
    except OSError as error:
        if error.errno == errno.EDEADLK:
            return False  # another run holds it still
        # else a file system that holds nothing
    return True


def _swap(folder: Path, held: int | None) -> None:
    """Swap in a program of its own, where there is one to be had, else in this one."""
    call = [sys.executable, "-I", "-S", swap.__file__, os.fspath(folder.absolute())]
    if not _is_python(sys.executable) or not Path(swap.__file__).is_file():
        return swap.swap(folder)
    try:
        program = subprocess.Popen(
            call,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            **beyond_ctrl_c(),
            pass_fds=() if held is None else (held,),
        )
    except OSError:
        return swap.swap(folder)
    said, _ = program.communicate()
    if program.returncode and said:
        raise CannotMove(*json.loads(said))
    if (folder / HIDDEN / LIST).is_file():  # that program was ended
        swap.swap(folder)
    return None


def beyond_ctrl_c() -> dict[str, Any]:
    """How a process is begun that Ctrl+C is not for: in a session of its own; on Windows in a group
    of its own."""
    group = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
    return {"start_new_session": True, "creationflags": group}


def _is_python(program: str | None) -> bool:
    """Whether it is Python itself, not a program that it is a part of."""
    return bool(program) and Path(program or "").stem.lower().startswith(("python", "pypy"))


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Hold Ctrl-C back until the block is done; raises Interrupted then. Where a host program
    takes signals in its own way, or this is not its main thread, it is left alone."""
    usual = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if not usual or threading.current_thread() is not threading.main_thread():
        yield
        return
    held: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, _: held.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if held:
        raise Interrupted


def _nearest_file(path: Path) -> str:
    if not path.parent.is_dir():
        return f" (nor a folder {path.parent})"
    near = nearest(path.name, (p.name for p in path.parent.iterdir() if p.is_file()))
    return f': did you mean "{path.parent / near}"?' if near else ""
