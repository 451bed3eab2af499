"""The README's pictures of a page of rows and of the worktable, from the examples in `output/`.

Run: python tests/page_pictures.py
It needs a browser and poppler, and writes output/pictures/ anew.
"""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
from pathlib import Path

import browser
from PIL import Image
from programs import needed
from worktables import TOKEN, served

from pix2block.web.session import Session
from pix2block.web.table import Table

OUTPUT = Path(__file__).parent.parent / "output"
PICTURES = OUTPUT / "pictures"
PAGE_OF_ROWS = 8  # of the badge's pattern


def rows() -> None:
    """A page of the badge's rows."""
    words = ["-png", "-r", "75", "-f", str(PAGE_OF_ROWS), "-l", str(PAGE_OF_ROWS), "-singlefile"]
    pattern = OUTPUT / "club_badge" / "pattern.pdf"
    subprocess.run([needed("pdftoppm"), *words, str(pattern), str(PICTURES / "rows")], check=True)
    _in_few_colors(PICTURES / "rows.png", (PICTURES / "rows.png").read_bytes())


def worktable() -> None:
    """The cat at the worktable."""
    with tempfile.TemporaryDirectory() as place:
        folder = shutil.copytree(OUTPUT / "tallow_cat", Path(place) / "tallow_cat")
        for asking in served(Table(Session(folder), Path(place))):
            context = browser.the_browser().new_context(viewport={"width": 1280, "height": 800})
            page = context.new_page()
            page.goto(f"http://127.0.0.1:{asking.port}/{TOKEN}")
            page.wait_for_selector(".sentence")
            page.wait_for_timeout(500)
            _in_few_colors(PICTURES / "worktable.png", page.screenshot())
            context.close()


def _in_few_colors(path: Path, data: bytes) -> None:
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    picture.quantize(128, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    rows()
    worktable()
