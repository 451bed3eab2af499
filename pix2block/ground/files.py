"""The one place that reads and writes files: whole or not at all."""

from __future__ import annotations

import secrets
import signal
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, Interrupted, nearest


def read_bytes(path: Path, what: str) -> bytes:
    """The file's bytes. Raises BadInput naming the nearest file where there is none."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise BadInput(f"{what} {path}: no such file{_nearest_file(path)}") from None
    except IsADirectoryError:
        raise BadInput(f"{what} {path} is a folder: name a file in it") from None
    except OSError as error:
        raise BadInput(f"{what} {path} cannot be read: {error.strerror or error}") from None


def read_text(path: Path, what: str) -> str:
    """The file as UTF-8 text, a byte order mark left out. Raises BadInput where it is not."""
    try:
        return read_bytes(path, what).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"{what} {path} is not UTF-8 text (byte {error.start}): save it as UTF-8"
        ) from None


def save_all(folder: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Write every file into `folder`, each whole or not at all.

    All are first written beside their places and then moved there, so that a full disk or an
    interruption while writing leaves what was there before.

    Raises BadInput where the folder cannot be written to.
    """
    staged: list[tuple[Path, Path]] = []
    is_new = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in contents.items():
            temporary = folder / f".{name}.{secrets.token_hex(4)}"
            staged.append((temporary, folder / name))
            with temporary.open("xb") as file:
                file.write(data)
        with _uninterrupted():
            for temporary, place in staged:
                temporary.replace(place)
    except OSError as error:
        raise BadInput(
            f"cannot write into {folder}: {error.strerror or error}; choose another ", Ask("out")
        ) from None
    finally:
        for temporary, _ in staged:
            temporary.unlink(missing_ok=True)
        if is_new and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
    return [place for _, place in staged]


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
