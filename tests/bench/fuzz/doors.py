"""Every way in for foreign bytes, called in process: each ends in a result or raises BadInput.

A door takes bytes and the folder that it may write into; what else it raises is a find.
"""

from __future__ import annotations

import random
import shutil
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any

import asking
import changes
import seeds

from pix2block.amounts.yarn_use import Amounts, amounts_of
from pix2block.chart.chart import Chart
from pix2block.chart.reading import read_chart, write_chart
from pix2block.ground.errors import BadInput
from pix2block.mending.apply import apply_mends
from pix2block.mending.back import journal_lines, undo
from pix2block.options.maker import open_maker
from pix2block.options.progress_file import read_progress
from pix2block.options.table import Options
from pix2block.pattern.credit import open_credit
from pix2block.picture.blocks import block_means, frame_picture, squares_of
from pix2block.picture.picture import open_picture
from pix2block.recipes import from_file
from pix2block.recipes.from_file import check_chart, open_chart
from pix2block.recipes.keeping import LOG
from pix2block.recipes.mended import apply_asked, report_of
from pix2block.recipes.supplies import open_shelf, open_swatches
from pix2block.stripes.recipe import open_plan, stripe_plan
from pix2block.web import session
from pix2block.web.pasted import pasted_shelf
from pix2block.web.wanted import wanted_of


@dataclass(frozen=True)
class Door:
    """seeds: good inputs; change: what is done to them; ends: of the file that holds one; call:
    takes the file, or the bytes of a request, and may say in a word what became of it."""

    seeds: Callable[[], Sequence[bytes]]
    change: changes.Change
    ends: str
    call: Callable[[Any], object]


def picture(path: Path) -> None:
    opened = open_picture(path)
    squares_of(opened)
    width, height = opened.size
    block_means(opened, frame_picture(opened.size, width=4 if width < 4 * height else 900))


def shelf(path: Path) -> None:
    for yarn in open_shelf(path).yarns:
        odd = [c for c in yarn.name if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")]
        assert not odd, yarn.name
        assert 1 <= len(yarn.name) <= 60, yarn.name


def grid(path: Path) -> None:
    """Opened, and now and then worked out too."""
    opened = open_chart(path).chart
    if len(path.read_bytes()) % 8 == 0:
        amounts_of(opened)


def plan(path: Path) -> None:
    read = open_plan(path)
    if len(path.read_bytes()) % 16 == 0 and (read.width or 1) <= 40:
        stripe_plan(read)


def chart(path: Path) -> None:
    """Read, written and read again; its journal told and taken back; worked out."""
    opened = open_chart(path).chart
    written = write_chart(opened)
    again = write_chart(read_chart(written, "again")[0])
    assert again == written, "what is written is read otherwise"
    amounts_of(opened)
    journal_lines(opened)
    if opened.mends:
        undo(opened, 1)


def pattern(path: Path) -> None:
    """Proved against its chart, and read as a mend of it. What the chart takes is worked out once
    for each way that a head line tells."""
    setattr(from_file, "amounts_of", _amounts_of_way)  # noqa: B010
    check_chart(_plain(), path)
    if len(path.read_bytes()) % 8 == 0:
        path.with_name("chart.json").write_bytes(_written())
        report_of(path)


def _amounts_of_way(chart: Chart) -> Amounts:
    way = (chart.hand, chart.start_corner, chart.block, chart.terms, chart.turn)
    if way not in _ways:
        _ways[way] = amounts_of(chart)
    return _ways[way]


_ways: dict[object, Amounts] = {}


def beside(path: Path) -> None:
    """A pattern without a chart beside it."""
    open_chart(path)


def mend(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    asked = [line.partition(" ")[::2] for line in text.split("\n") if line][:12]
    of = _pictured() if "calm" in text else _mended() if len(data) % 3 == 0 else _plain()
    done = apply_mends(of, asked)
    write_chart(undo(done.after, 1).after if done.after.mends else done.after)


def inserted(path: Path) -> None:
    """A file that a mend places."""
    apply_asked(_plain(), [("insert", f"{path}@column 1, line 1")])


def progress(path: Path) -> None:
    """Read, and now and then a piece is taken to be so far."""
    read_progress(path)
    kept = path.with_name("chart.json")
    if len(path.read_bytes()) % 4 == 0:
        if not kept.exists():
            kept.write_bytes(_written())
        open_chart(kept, Options.from_words({"done": str(path)}))


_plain, _mended = cache(seeds.small_chart), cache(seeds.mended_chart)
_pictured = cache(seeds.from_picture)
_written = cache(lambda: write_chart(_plain()))


def log(path: Path) -> None:
    """What a stopped worktable left, done again. The piece's chart, which stays, is read once."""
    folder = path.parent / "laid"
    if not folder.exists():
        folder.mkdir()
        (folder / "chart.json").write_bytes(_written())
        opened = open_chart(folder / "chart.json")
        wanted = wanted_of(folder, opened.chart)
        for name, found in (("open_chart", opened), ("wanted_of", wanted)):
            setattr(session, name, partial(_found, found))
    (folder / LOG).write_bytes(path.read_bytes())
    session.Session(folder)


def _found(what: object, *_: object) -> object:
    return what


def _text(ends: str, of: Callable[[], Sequence[bytes]], call: Callable[[Path], object]) -> Door:
    return Door(of, changes.within(changes.of_words), ends, call)


def _json(ends: str, of: Callable[[], Sequence[bytes]], call: Callable[[Any], object]) -> Door:
    return Door(of, changes.within(changes.of_json), ends, call)


def _files_placed() -> list[bytes]:
    return [*seeds.grids(), *seeds.shelves()[:1]]


_of_request = changes.within(changes.of_request, raw=0.02)

DOORS: dict[str, Door] = {
    "picture": Door(seeds.pictures, changes.of_bytes, "picture", picture),
    "shelf": _text("shelf.csv", seeds.shelves, shelf),
    "grid": _text("grid.csv", seeds.grids, grid),
    "workbook": Door(seeds.workbooks, changes.of_zip, "grid.xlsx", grid),
    "plan": _text("plan.toml", seeds.plans, plan),
    "swatch": _text("swatch.toml", seeds.swatches, open_swatches),
    "maker": _text("maker.toml", seeds.makers, open_maker),
    "credit": _text("credit.toml", seeds.credits, open_credit),
    "chart": _json("chart.json", seeds.charts, chart),
    "pattern": _text("pattern.txt", seeds.patterns, pattern),
    "pattern alone": _text("told.txt", seeds.patterns, beside),
    "mend": Door(seeds.mends, changes.within(changes.of_words), "", mend),
    "pasted": Door(seeds.pasted, changes.within(changes.of_words), "", pasted_shelf),
    "insert": _text("insert.csv", _files_placed, inserted),
    "progress": _json("progress.json", seeds.progress, progress),
    "log": Door(seeds.logs, changes.of_lines, "log.jsonl", log),
    "worktable": Door(seeds.worktable, _of_request, "", asking.of_worktable),
    "phone": Door(seeds.phone, _of_request, "", asking.of_phone),
}


def prepare(folder: Path) -> None:
    """Lay down what inputs name beside themselves."""
    for path in seeds.SAMPLES.glob("shelf_*.csv"):
        shutil.copy(path, folder)
    (folder / "p.png").write_bytes(seeds.pictures()[1])


def into(name: str, data: bytes, folder: Path) -> str:
    """What a door makes of some bytes: "read", or "refused" with one clear line a fault."""
    door = DOORS[name]
    given: Any = data
    if door.ends:
        given = folder / door.ends
        given.write_bytes(data)
    try:
        made = door.call(given)
    except BadInput as error:
        lines = error.lines()
        assert 1 <= len(lines) <= 21, lines
        assert all(lines), lines
        assert not any("\n" in line for line in lines), lines
        return "refused"
    except asking.NoRequest:
        return "no request"
    return made if isinstance(made, str) else "read"


def changed(name: str, data: bytes, seed: int) -> bytes:
    """A change of an input that fits its door."""
    return DOORS[name].change(data, random.Random(seed))
