"""Changes at the worktable that a folder's files do not hold yet."""

from __future__ import annotations

from pathlib import Path

from pix2block.ground.errors import BadInput
from pix2block.recipes.keeping import CHART
from pix2block.web.log import LOG


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
