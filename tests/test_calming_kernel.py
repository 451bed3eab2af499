"""The compiled loops of calming: what they are built from, that they do what slow ones do, and that
they leave nothing behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_build import SOURCES, WASM, built
from makers import habits, layouts
from slow_kernel import SlowKernel

from pix2block.calming.guards import Guard
from pix2block.calming.kernel import Kernel
from pix2block.calming.setting_up import piece_of
from pix2block.calming.state import PAID, PLAIN, Piece, Prices
from pix2block.craft.diagonal import Layout
from pix2block.design.features import Feature
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import HABITS, Habit

ROOT = Path(__file__).parent.parent


def test_wasm_is_built_from_its_source(tmp_path: Path) -> None:
    assert built(tmp_path) == WASM.read_bytes(), "rebuild it: python tests/kernel_build.py"


def test_every_source_is_part_of_it() -> None:
    text = (WASM.parent / "kernel.c").read_text()
    for path in SOURCES:
        assert path.name == "kernel.c" or f'#include "{path.name}"' in text


def guard_of(shape: tuple[int, int], rng: np.random.Generator) -> Guard:
    """A guard of a few blocks, of any direction, that holds more or less."""
    mask = np.zeros(shape, dtype=bool)
    mask[: 1 + shape[0] // 2, : 1 + shape[1] // 2] = True
    toward = rng.normal(size=3)
    feature = Feature(mask, "#000000", 20.0)
    return Guard(feature, toward / np.linalg.norm(toward), 1.0, float(rng.normal()) * 3)


def piece_at_random(layout: Layout, habit: Habit, yarns: int, seed: int) -> Piece:
    rng = np.random.default_rng(seed)
    shape = (layout.height, layout.width)
    error, weight = rng.random((*shape, yarns)) * 3, rng.random(shape) + 0.5
    guards = [guard_of(shape, rng)] if seed % 2 and min(shape) > 2 else []
    piece = piece_of(layout, habit, error, weight, rng.random((yarns, 3)) * 40, guards)
    toll = rng.random(len(piece.weight)) + 0.5
    line = (np.arange(len(toll))[:, None] + piece.beside) % 3 / 2  # the same from both sides
    return piece._replace(toll=toll, line=line.astype(np.float32))


@settings(deadline=None, max_examples=30)
@given(
    layouts(9),
    habits,
    st.integers(2, 4),
    st.integers(0, 2**32 - 1),
    st.sampled_from((0.1, 1.5)),
    st.sampled_from((0.0, 2.0)),
    st.sampled_from((np.inf, 1.05)),
)
def test_slow_loops_do_the_same(
    layout: Layout,
    habit: Habit,
    yarns: int,
    seed: int,
    border: float,
    beyond: float,
    budget: float,
) -> None:
    piece = piece_at_random(layout, habit, yarns, seed)
    labels = np.random.default_rng(seed).integers(0, yarns, len(piece.weight))
    kernels = Kernel(piece, labels, seed), SlowKernel(piece, labels, seed)
    for kernel in kernels:
        kernel.count_all(2)
    assert list(kernels[0].total) == pytest.approx(kernels[1].total)
    for tail in (0.2, 0.5, 1.5):
        most = budget * kernels[0].total[PAID], budget * kernels[0].total[PLAIN]
        prices = Prices(tail, border * tail, beyond, *most, 2)
        heat = 0.2 * tail, 0.02 * tail
        taken = [kernel.anneal(prices, heat, 600, (seed % 2, 2)) for kernel in kernels]
        assert taken[0] == taken[1]
        assert kernels[0].labels.tolist() == kernels[1].labels.tolist()
        assert list(kernels[0].total) == pytest.approx(kernels[1].total, abs=1e-9)


def test_slow_loops_go_through_as_many_windows() -> None:
    """Proposals lie close together for a while, then farther on: for pieces larger than that."""
    piece = piece_at_random(Layout(33, 33, 65, "top-left", "right"), HABITS["pickup"], 3, 1)
    labels = piece.error.argmin(axis=1)
    kernels = Kernel(piece, labels, 1), SlowKernel(piece, labels, 1)
    taken = []
    for kernel in kernels:
        kernel.count_all(1 << 30)
        prices = Prices(0.5, 0.1, 0.0, np.inf, np.inf, 1 << 30)
        taken.append(kernel.anneal(prices, (0.5, 0.5), 4400))
    assert taken[0] == taken[1] > 100
    assert kernels[0].labels.tolist() == kernels[1].labels.tolist()


def test_no_move_is_refused_unseen() -> None:
    """Nine blocks in a row of another colour, too dear to go one by one or a few at once, go
    together: 36 steps of border and two strands are worth more than they cost."""
    layout = Layout(12, 12, 23, "bottom-right", "right")
    error = np.zeros((12, 12, 2))
    error[..., 1] = 99
    for line in range(1, 10):
        error[line, 11 - line] = (4.2, 0)
    piece = piece_of(
        layout, Habit("own", 0.0, 1, 1), error, np.ones(error.shape[:2]), np.zeros((2, 3))
    )
    kernel = Kernel(piece, piece.error.argmin(axis=1), 1)
    kernel.count_all(1 << 30)
    assert kernel.labels.sum() == 9
    kernel.change(line=np.ones_like(piece.line))
    kernel.anneal(Prices(0.5, 1.0, 0.0, np.inf, np.inf, 1 << 30), (1e-3, 1e-3), 20_000)
    assert kernel.labels.sum() == 0


def test_too_large_a_piece_is_told() -> None:
    layout = Layout(2, 2, 3, "bottom-right", "right")
    error = np.zeros((2, 2, 2))
    piece = piece_of(
        layout, Habit("own", 0.0, 1, 1), error, np.ones(error.shape[:2]), np.zeros((2, 3))
    )
    vast = np.broadcast_to(np.zeros(1), (1 << 26, 9))
    with pytest.raises(BadInput, match="calming cannot hold"):
        Kernel(piece._replace(error=vast), np.zeros(1 << 26, dtype=np.int64), 1)


def python(code: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-X", "dev", "-W", "error", "-c", code],
        cwd=ROOT,
        env={**os.environ, **more},
        capture_output=True,
        text=True,
        check=False,
    )


CALM = """
import numpy as np
from pix2block.calming.calm import calm
from pix2block.calming.task import Calming
from pix2block.craft.diagonal import Layout
from pix2block.ground.settings import HABITS
rng = np.random.default_rng(1)
def task(side=12, percent=5):
    shape, layout = (side, side), Layout(side, side, 2 * side - 1, "bottom-right", "right")
    return Calming(layout, HABITS["pickup"], rng.random((*shape, 3)), np.ones(shape),
                   np.zeros((3, 3), dtype=np.uint8), percent)
"""


def test_nothing_of_the_process_is_touched(tmp_path: Path) -> None:
    """No signal handler, no thread, no file beside: a host program sees no difference; and the
    loops go before the interpreter does."""
    code = (
        CALM
        + """
import atexit, pathlib, signal, sys, threading
from pix2block.calming.kernel import _loaded
atexit.register(lambda: print(_loaded.cache_info().currsize))
def state():
    status = pathlib.Path("/proc/self/status")
    lines = status.read_text().splitlines() if status.exists() else []
    kept = [line for line in lines if line.startswith(("Threads", "SigCgt", "SigBlk", "SigIgn"))]
    return kept, threading.active_count(), signal.getsignal(signal.SIGSEGV)
assert "wasmtime" not in sys.modules
before = state()
calm(task())
assert "wasmtime" in sys.modules
assert state() == before, (before, state())
print(_loaded.cache_info().currsize)
"""
    )
    homes = {name: str(tmp_path) for name in ("HOME", "XDG_CACHE_HOME", "TMPDIR", "LOCALAPPDATA")}
    done = python(code, PYTHONDONTWRITEBYTECODE="1", OPENBLAS_NUM_THREADS="1", **homes)
    assert (done.returncode, done.stdout.split(), done.stderr) == (0, ["1", "0"], "")
    assert list(tmp_path.rglob("*")) == []


@pytest.mark.skipif(not hasattr(signal, "SIGALRM"), reason="no alarm on this system")
def test_an_interruption_is_heeded() -> None:
    """An interruption ends calming of 200 x 200 blocks long before it is done."""
    code = (
        CALM
        + """
import signal
def stop(*_): raise KeyboardInterrupt
signal.signal(signal.SIGALRM, stop)
told = []
def progress(done, of):
    told.append(done / of)
    if done == 1:
        signal.setitimer(signal.ITIMER_REAL, 0.02)
try:
    calm(task(200), progress)
except KeyboardInterrupt:
    print(told[-1])
"""
    )
    done = python(code)
    assert done.stderr == ""
    assert 0 < float(done.stdout) < 0.5
