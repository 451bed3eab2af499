"""What a worktable left in a folder: changes that its files do not hold, a piece to go on with."""

from __future__ import annotations

import hashlib
from pathlib import Path

from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.recipes.keeping import CHART, LOG


def refuse_pending(folder: Path) -> list[str]:
    """Raises BadInput where a folder's piece has changes at the worktable that its files do not
    hold: a run there would lose them. What is told of changes that were of another chart."""
    if not ((folder / LOG).is_file() and (folder / CHART).is_file()):
        return []
    from pix2block.web.session import Session
    from pix2block.web.wanted import print_of

    try:
        session = Session(folder)
    except BadInput:  # of no use to the worktable either
        return []
    now, of_files = session.state, session.first
    same = print_of(now.study.chart) == print_of(of_files.study.chart)
    if not same or now.wanted.words != of_files.wanted.words:
        raise BadInput(
            f"{folder} has changes at the worktable that its files do not hold yet: stop the "
            f"worktable with Ctrl+C, which writes them; if it was ended otherwise, open {folder} "
            "there once more and stop it"
        )
    return session.log.notes


def is_left(folder: Path, source: Path) -> bool:
    """Whether a folder has a piece that was worked on at the worktable, and is of this very picture
    or stripe plan: to be gone on with, not made anew. Raises BadInput where that cannot be read."""
    if not ((folder / LOG).is_file() and (folder / CHART).is_file()):
        return False
    from pix2block.chart.reading import read_chart
    from pix2block.web.wanted import wanted_of

    data = read_bytes(source, "picture or plan")
    chart, _ = read_chart(read_bytes(folder / CHART, "chart"), str(folder / CHART))
    if chart.source is not None:
        return chart.source.sha256 == hashlib.sha256(data).hexdigest()
    plan = wanted_of(folder, chart).plan
    return bool(plan) and plan == data.decode("utf-8-sig", "replace")
