"""Where a worktable was served last, kept beside its pieces: started again it is found at the same
address, so that a page that was left open goes on."""

from __future__ import annotations

import json
import os
import secrets
import socket
from contextlib import suppress
from pathlib import Path

from pix2block.ground.swap import ON_WINDOWS, bytes_of

_FILE = ".worktable-address.json"  # for its owner's eyes alone


def listen(place: Path) -> tuple[socket.socket, str]:
    """A socket on this machine, and the token that a request must know: those of the last time,
    where they are kept in the place and the port is free; else new ones."""
    port, token = _kept(place)
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if not ON_WINDOWS:  # there it would let two programs share a port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("127.0.0.1", port))
    except OSError:
        token = secrets.token_urlsafe(24)
        listening.bind(("127.0.0.1", 0))
    listening.listen(128)  # so that a browser that is opened at once waits for its answer
    return listening, token


def keep(place: Path, port: int, token: str) -> None:
    """For the next time. Where it cannot be kept, the next time has another address."""
    if not place.is_dir():
        return
    with suppress(OSError):
        (place / _FILE).unlink(missing_ok=True)
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
        with os.fdopen(os.open(place / _FILE, flags, 0o600), "w", encoding="utf-8") as file:
            json.dump({"port": port, "token": token}, file)


def _kept(place: Path) -> tuple[int, str]:
    path = place / _FILE
    try:
        if not _own(path):  # it came with somebody's folder
            return 0, secrets.token_urlsafe(24)
        told = json.loads(bytes_of(path))
        port, token = int(told["port"]), str(told["token"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return 0, secrets.token_urlsafe(24)
    known = 1024 <= port < 65536 and len(token) >= 32 and token.isascii()
    return (port, token) if known else (0, secrets.token_urlsafe(24))


def _own(path: Path) -> bool:
    """Whether a file is this user's, and was never for other eyes."""
    if ON_WINDOWS:
        return True
    of = path.stat()
    return of.st_uid == os.getuid() and not of.st_mode & 0o077
