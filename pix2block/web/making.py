"""A new piece, in stages that are shown as each is there: the picture in the nearest of quickly
chosen yarns, in the yarns that were chosen well, with fewer tails."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from pix2block.chart.chart import Chart
from pix2block.design.palette import yarns_from_picture, yarns_from_shelf
from pix2block.ground import settings
from pix2block.ground.errors import BadInput
from pix2block.ground.quantities import parse_count
from pix2block.options.table import Options
from pix2block.picture.picture import Picture, open_picture
from pix2block.recipes.from_file import open_chart
from pix2block.recipes.from_picture import (
    Seen,
    chart_picture,
    see,
    with_yarns_chosen,
    work,
)
from pix2block.recipes.grids import is_grid
from pix2block.recipes.looking import Matters
from pix2block.recipes.supplies import open_shelf
from pix2block.stripes.plan_file import read_plan
from pix2block.stripes.recipe import stripe_plan
from pix2block.study.study import Study
from pix2block.web.jobs import Job
from pix2block.web.kinds import SHAWL, as_far_as_yarn, plan_size, striped_plan
from pix2block.web.plan import with_word
from pix2block.web.wanted import bare_name
from pix2block.web.words import size_asked
from pix2block.yarn.guess import guess_of

_AT_MOST = re.compile(r"(?:at most|up to)?\s*(.+?)\s*(?:yarns?|colou?rs?)?")

STRIPES_SAMPLE = Path(__file__).parent / "static" / "ferry_scarf.toml"

Shown = Callable[[Study], None]


def asked_of(words: Mapping[str, str], picture: Picture | None) -> dict[str, str]:
    """The words of options that the first sentence's words mean: "size" and "yarns" as people
    write them, others as they are. picture: what one side alone is told of.

    Raises BadInput for a size or number of yarns that cannot be read.
    """
    asked = {name: text for name, text in words.items() if text and name not in ("size", "yarns")}
    if words.get("size"):
        asked |= size_asked(words["size"], *(picture.size if picture else (1, 1)))
    if words.get("yarns"):
        asked["colors"] = _yarns(words["yarns"])
    return asked


def _yarns(text: str) -> str:
    found = _AT_MOST.fullmatch(text.strip().lower())
    return f"{parse_count(found[1] if found else text):g}"


def stripes_asked(words: Mapping[str, str], shelf: tuple[str, bytes] | None) -> str:
    """The text of the plan that the first sentence asks for: "kind" "shawl" or a usual size, "size"
    and "yarns" as people write them; in the yarns of a shelf, as far as they go where they do not
    reach, else in the sample's.

    Raises BadInput for what cannot be read.
    """
    kind, side = words.get("kind", ""), guess_of(settings.DEFAULT_WEIGHT).block_cm
    title = "Striped shawl" if kind == SHAWL else "Stripes"
    size = words.get("size", "").strip()
    blocks = None if kind == SHAWL else plan_size(size, side)
    most = int(_yarns(words["yarns"])) if words.get("yarns") else settings.MOST_YARNS
    if shelf is None:
        sample = read_plan(STRIPES_SAMPLE.read_text(encoding="utf-8"), "", open_shelf).yarns
        yarns = [replace(yarn, skeins=None) for yarn in sample[:most]]
        plan = striped_plan(title, yarns, kind, side, blocks)
        return with_word(plan, "wingspan", size) if kind == SHAWL and size else plan
    with tempfile.TemporaryDirectory() as place:
        path = str(_written(Path(place), *shelf))
        plan = striped_plan(title, open_shelf(path).yarns[:most], kind, side, blocks, True)
        plan = with_word(plan, "wingspan", size) if kind == SHAWL and size else plan
        try:
            stripe_plan(_written(Path(place), "plan.toml", plan.encode()), Options(shelf=path))
        except BadInput:
            return as_far_as_yarn(plan)
    return plan


def make(
    name: str,
    data: bytes,
    words: Mapping[str, str],
    shelf: tuple[str, bytes] | None,
    job: Job,
    shown: Shown,
    kept: Callable[[Study, Path, Options], None],
) -> None:
    """A piece from a file's bytes: a picture, a chart.json, a grid or a stripe plan. words: of the
    first sentence; shelf: a file of yarns, with its name; shown: is called with the piece at each
    stage; kept: with the piece, its picture's path and what was asked, while these files are there.

    Raises BadInput for what cannot be read.
    """
    with tempfile.TemporaryDirectory() as place:
        path = _written(Path(place), name, data)
        of_shelf = Path(tempfile.mkdtemp(dir=place))  # it may have the very name of the other
        listed = {"shelf": str(_written(of_shelf, *shelf))} if shelf else {}
        if path.suffix.lower() == ".json" or is_grid(path):
            options = Options.from_words(
                {**asked_of({**words, "size": "", "yarns": ""}, None), **listed}
            )
            kept(replace(open_chart(path, options), read=()), path, options)
            return
        if path.suffix.lower() == ".toml":
            told = asked_of({**words, "size": "", "yarns": ""}, None)
            options = Options.from_words({**told, **listed})
            kept(replace(stripe_plan(path, options), read=()), path, options)
            return
        picture = open_picture(path, settings.DEFAULT_BACKGROUND)
        options = Options.from_words({**asked_of(words, picture), **listed})
        kept(_charted(picture, options, job, shown), path, options)


def _charted(picture: Picture, options: Options, job: Job, shown: Shown) -> Study:
    """The piece of a picture, as `chart_picture` makes it."""
    job.counting("lines of the picture seen")
    seen = see(picture, options, job)
    if seen.view.look == "photo" and not options.within_shelf:
        shown(Study(_nearest(seen)))
    job.counting("yarns are being chosen")
    made = with_yarns_chosen(seen)
    job.heed()
    plain, _ = made.supplies.charted(made.view, made.matters, made.chosen.palette, seen.options)
    shown(Study(plain))
    job.counting("ways to fewer tails tried")
    study = replace(work(made, options, job), read=())
    shown(study)
    return study


def _nearest(seen: Seen) -> Chart:
    """The chart in yarns that are chosen at once, every block alike."""
    view, options, shelf = seen.view, seen.options, seen.shelf.yarns
    alike, none = np.ones(view.means.shape[:2]), np.zeros((0, 3), dtype=np.uint8)
    most = options.colors or (len(shelf) or settings.DEFAULT_COLORS)
    if shelf:
        palette = yarns_from_shelf(view.means, alike, shelf, most)
    else:
        palette = yarns_from_picture(view.means, alike, most, settings.DEFAULT_SEED, none)
    chart, _ = seen.supplies.charted(
        view, Matters(view.means, alike, (), none, alike), palette, options
    )
    return chart


def _written(place: Path, name: str, data: bytes) -> Path:
    """A file of this name, or of one that every system takes."""
    path = place / bare_name(name)
    try:
        path.write_bytes(data)
    except (OSError, ValueError):
        path = place / f"picture{path.suffix[:8] if path.suffix.isascii() else ''}"
        path.write_bytes(data)
    return path


def warm() -> None:
    """Load and run once what a first piece needs, while the first start asks for its picture."""
    from PIL import Image

    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "warm.png"
        lines = np.add.outer(np.arange(60), np.arange(72)) % 48
        Image.fromarray((lines[..., None] * [5, 4, 3]).astype(np.uint8)).save(path)
        chart_picture(path, Options(width=12, colors=3, look="photo")).amounts  # noqa: B018
