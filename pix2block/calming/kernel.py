"""The loops of `loops/kernel.c`, run by wasmtime on arrays laid out in their memory."""

from __future__ import annotations

import atexit
import math
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

from pix2block.calming.state import TOTALS, Array, Piece, Prices
from pix2block.ground.errors import BadInput

if TYPE_CHECKING:
    from wasmtime import Engine, Module

_PAGE = 65536
_MEMORY_SECTION = 5  # of a WebAssembly module
_COARSE = 1024  # pages: larger memories come in multiples of it, smaller ones in powers of two
_MOST_BYTES = 4 * 2**30 - _PAGE  # addresses are of 32 bits
_MOST_MOVED = 64
_ASKED = 11  # numbers that a stretch of annealing is asked by
_PORTS_A_BLOCK = 16  # what a moved block may loosen, at most


class Kernel:
    """A piece as it stands, and the loops that change it."""

    def __init__(self, piece: Piece, labels: NDArray[np.int64], seed: int) -> None:
        """labels: (blocks,) yarn of each block in working order. Nothing is counted yet.

        Raises BadInput where the piece is too large for 32-bit addresses.
        """
        from wasmtime import Instance, Memory, Store

        blocks, yarns = piece.error.shape
        rows, parts, log = int(piece.row[-1]) + 1, len(piece.parts), 8 * blocks + 64 * _MOST_MOVED
        room = [*piece, *_room(blocks, rows, parts, log)]
        at, end = _places(room, _own_pages() * _PAGE)
        if end > _MOST_BYTES:
            raise BadInput("calming cannot hold so large a chart of so many yarns")
        engine, module = _loaded(_pages_for(end))
        self._store = Store(engine)
        exports = Instance(self._store, module, []).exports(self._store)
        memory, self._exports = exports["memory"], exports
        assert isinstance(memory, Memory)
        base = int(self._call("begin", blocks, rows, yarns, parts, log))
        whole = np.ctypeslib.as_array(memory.get_buffer_ptr(self._store))
        whole[base : base + 4 * len(at)].view(np.uint32)[:] = at
        views = [
            whole[place : place + array.nbytes].view(array.dtype).reshape(array.shape)
            for place, array in zip(at, room, strict=True)
        ]
        self._fixed = dict(zip(Piece._fields, views, strict=False))
        self.change(**piece._asdict())
        self._label, self._total, random, self._asked = views[len(piece) : len(piece) + 4]
        self._label[:] = labels
        random[:] = np.random.default_rng(seed).integers(1, 2**63, 1, dtype=np.uint64)

    @property
    def labels(self) -> NDArray[np.int64]:
        """(blocks,) yarn of each block, in working order."""
        return np.array(self._label, dtype=np.int64)

    @property
    def total(self) -> Array:
        """Error, weighted and plain, steps of border, runs, links, runs beyond the cap."""
        return np.array(self._total)

    def count_all(self, cap: int, labels: NDArray[np.int64] | None = None) -> None:
        """Count everything anew, from the labels alone; these instead of its own, where given."""
        if labels is not None:
            self._label[:] = labels
        self._call("count_all", cap)

    def change(self, **arrays: Array) -> None:
        """Other values for these arrays of the piece, of the same shape."""
        for name, array in arrays.items():
            self._fixed[name][...] = array

    def anneal(
        self,
        prices: Prices,
        heat: tuple[float, float],
        proposals: int,
        part: tuple[int, int] = (0, 1),
    ) -> int:
        """Try so many proposals while the temperature falls; how many were taken.

        heat: the first temperature and the last; part: which one, from 0, of how many such calls
        that share this fall.
        """
        self._asked[:] = (*prices, *heat, *part, proposals)
        return int(self._call("anneal"))

    def _call(self, name: str, *words: float) -> Any:
        from wasmtime import Func

        function = self._exports[name]
        assert isinstance(function, Func)
        return function(self._store, *words)


def _room(blocks: int, rows: int, parts: int, log: int) -> list[Array]:
    """What the loops need beside the piece, in the order of `loops/kernel.c`; shapes only."""

    def room(*shape: int, of: DTypeLike = np.int32) -> Array:
        return np.broadcast_to(np.zeros((), dtype=of), shape)

    ports = [room(blocks) for _ in range(4)]
    label, total, random = room(blocks), room(TOTALS, of=np.float64), room(1, of=np.uint64)
    asked = room(_ASKED, of=np.float64)
    counts = [room(parts, 3, of=np.float64), room(rows)]
    marks = [room(blocks), room(blocks), room(rows)]
    search = [room(blocks), room(blocks), room(_MOST_MOVED)]
    logs = [room(_PORTS_A_BLOCK * _MOST_MOVED, 2), room(log, 2)]
    return [label, total, random, asked, *ports, *counts, *marks, *search, *logs]


def _places(arrays: list[Array], begin: int) -> tuple[list[int], int]:
    """Where each array lies, one after another, the same one once; and where the last one ends."""
    places: dict[int, int] = {}
    end = begin
    for array in arrays:
        if id(array) not in places:
            places[id(array)] = end
            end += -(-array.nbytes // 16) * 16
    return [places[id(array)] for array in arrays], end


@cache
def _code() -> bytes:
    return (Path(__file__).parent / "loops" / "kernel.wasm").read_bytes()


def _memory_section(code: bytes) -> tuple[int, int, int]:
    """Where a module's memory section begins and ends, and the least pages that it asks for."""
    at = 8
    while code[at] != _MEMORY_SECTION:
        size, start = _number(code, at + 1)
        at = start + size
    size, start = _number(code, at + 1)
    pages, _ = _number(code, start + 2)  # after the number of memories, and their kind
    return at, start + size, pages


def _number(code: bytes, at: int) -> tuple[int, int]:
    """A number as WebAssembly writes it (LEB128), and where it ends."""
    number = shift = 0
    while True:
        number |= (code[at] & 127) << shift
        at, shift = at + 1, shift + 7
        if code[at - 1] < 128:
            return number, at


def _own_pages() -> int:
    """Pages of memory that the loops need for themselves."""
    return _memory_section(_code())[2]


def _pages_for(end: int) -> int:
    """Pages that hold so many bytes: of few sizes, so that charts of about one size share a
    compiled module."""
    pages = math.ceil(end / _PAGE)
    return -(-pages // _COARSE) * _COARSE if pages > _COARSE else 1 << (pages - 1).bit_length()


def _with_memory(code: bytes, pages: int) -> bytes:
    """The module with a memory of just so many pages: where it neither grows nor moves, bounds are
    checked against a constant, a tenth quicker."""
    start, end, _ = _memory_section(code)
    size = bytes([pages & 127 | 128, pages >> 7 & 127 | 128, pages >> 14])
    limits = b"\x01\x01" + size + size  # one memory, which has a most
    return code[:start] + bytes([_MEMORY_SECTION, len(limits)]) + limits + code[end:]


@lru_cache(maxsize=4)
def _loaded(pages: int) -> tuple[Engine, Module]:
    """The compiled loops with so much memory. Bounds are checked in the code, so that no signal
    handler of the process is touched, no thread begun, and hardly any address space taken beyond
    what is used."""
    from wasmtime import Config, Engine, Module

    config = Config()
    config.signals_based_traps = False
    config.parallel_compilation = False
    config.memory_reservation = 0
    config.memory_guard_size = 0
    engine = Engine(config)
    atexit.register(_loaded.cache_clear)  # they may not outlive the interpreter
    return engine, Module(engine, _with_memory(_code(), pages))
