"""typst in a process of its own: this one answers others meanwhile, and what is not wanted any more
ends at once.

The process is told what to set by a line on its standard input, and ends with that: so none is
left, however this one ends.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pix2block.drawing.typesetter import CannotSet, typeset
from pix2block.ground.files import beyond_ctrl_c
from pix2block.ground.progress import Heed, heeded

_EVERY = 0.03  # seconds after which it is asked whether the work is still wanted
_HOUSE = Path(__file__).resolve().parents[2]
_BEGIN = (
    f"import sys; sys.path.insert(0, {str(_HOUSE)!r}); "
    "from pix2block.drawing.apart import work; work()"
)

Typeset = Callable[..., tuple[bytes, tuple[str, ...]]]


def typesetter() -> Typeset:
    """`typeset`; where work may be ended (`heeding`) the same in a process of its own."""
    heeds = heeded()
    if heeds is None:
        return typeset
    return lambda *told, **how: _typeset_apart(heeds, *told, **how)


def _typeset_apart(heeds: Heed, *told: Any, **how: Any) -> tuple[bytes, tuple[str, ...]]:
    """As `typeset`. Raises CannotSet, and what `heeds` raises; then the process is gone."""
    process = subprocess.Popen(
        [sys.executable, "-c", _BEGIN],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        **beyond_ctrl_c(),
    )
    answered: list[bytes] = []
    asks = threading.Thread(target=lambda: answered.append(_answer(process, [told, how])))
    asks.start()
    try:
        while asks.is_alive():
            asks.join(_EVERY)
            heeds()
    finally:
        process.kill()
        asks.join()
        process.wait()
    head, _, made = answered[0].partition(b"\n")
    if not head:
        raise CannotSet("the process that sets it ended before it was done")
    said = json.loads(head)
    if "refused" in said:
        raise CannotSet(said["refused"])
    return made, tuple(said["warnings"])


def _answer(process: subprocess.Popen[bytes], asked: Any) -> bytes:
    """All that the process says; nothing where it ends before it is done."""
    assert process.stdin
    assert process.stdout
    try:
        process.stdin.write(json.dumps(asked).encode() + b"\n")
        process.stdin.flush()
        return process.stdout.read()
    except OSError:
        return b""
    finally:
        process.stdout.close()
        process.stdin.close()


def work() -> None:
    """What the process does."""
    line = sys.stdin.buffer.readline()
    threading.Thread(target=_end_with_input, daemon=True).start()
    made, head = b"", dict[str, Any]()
    if not line.endswith(b"\n"):  # who asks has ended
        os._exit(1)
    try:
        told, how = json.loads(line)
        made, head["warnings"] = typeset(*told, **how)
    except CannotSet as error:
        head["refused"] = str(error)
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + made)
    sys.stdout.buffer.flush()
    os._exit(0)  # whatever the thread does


def _end_with_input() -> None:
    while os.read(sys.stdin.fileno(), 4096):
        pass
    os._exit(1)
