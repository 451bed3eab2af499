"""Good inputs that changes begin with, a few a door."""

from __future__ import annotations

import io
import json
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from pix2block.chart.chart import Chart
from pix2block.chart.reading import write_chart
from pix2block.drawing.marks import with_marks
from pix2block.mending.apply import apply_mends
from pix2block.options.table import Options
from pix2block.pages.hookside_data import piece_key
from pix2block.recipes.from_picture import chart_picture
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study
from pix2block.web.log import LOG
from pix2block.web.session import Session
from pix2block.yarn.yarn import Yarn

ROOT = Path(__file__).resolve().parents[3]
SAMPLES = ROOT / "sample_images"
HEIC = ROOT / "tests" / "data" / "heic"
YARNS = (Yarn("Chalk", "#f0ece0"), Yarn("Moss", "#5c6b3c"), Yarn("Tar", "#202428"))
MENDS = [
    *("exchange Chalk=Moss", "swap Moss=Tar in rows 3 to 5", "recolor Moss=#405030"),
    *("rename Moss=Fern", "add Rust #a04020", "drop Tar", "paint row 3.2=Tar"),
    *("paint columns 1 to 3, lines 2 to 4=Moss", "fill column 2, line 2=Tar", "patch row 4.1"),
    *("shield rows 2 on", "calm 5", "text HI at column 2, line 2 height 5 in Tar", "mirror "),
    *("rotate left", "cut 1,1,5,4", "frame 1 Moss", "extend top 2 Chalk", "repeat 2x1"),
    "paint from column 1, line 1 to column 6, line 5=Chalk",
]


def small_chart() -> Chart:
    """7 x 6 blocks of three yarns."""
    blocks = np.random.default_rng(4).integers(0, 3, (6, 7))
    return with_marks(Chart("Lantern", blocks, YARNS, last_row=12))


def mended_chart() -> Chart:
    """The same with a journal."""
    asked = [tuple(line.split(" ", 1)) for line in (MENDS[0], MENDS[6], MENDS[10], MENDS[16])]
    return apply_mends(small_chart(), [(name, value) for name, value in asked]).after


def from_picture() -> Chart:
    """A chart with a source, of a drawn picture."""
    image = Image.new("RGB", (36, 30), "#203040")
    image.paste("#f0c040", (10, 8, 24, 20))
    path = Path("/dev/shm/pix2block-fuzz-seed.png")
    image.save(path)
    made = chart_picture(path, Options(width=9, colors=3))
    path.unlink()
    return made.chart


def pictures() -> list[bytes]:
    """A file a format, mode and turn."""
    pixels = np.random.default_rng(1).integers(0, 256, (12, 16, 3), dtype=np.uint8)
    rgb = Image.fromarray(pixels)
    found: list[bytes] = [(HEIC / "quarters.heic").read_bytes()]
    ways: list[tuple[Image.Image, str, dict[str, Any]]] = [
        *((rgb, kind, {}) for kind in ("PNG", "JPEG", "WEBP", "GIF", "TIFF", "BMP", "PPM", "TGA")),
        *((rgb, kind, {}) for kind in ("JPEG2000", "AVIF", "ICO", "PCX", "SGI", "DDS")),
        (rgb.convert("CMYK"), "JPEG", {}),
        (rgb, "JPEG", {"progressive": True, "exif": b"Exif\0\0MM\0*\0\0\0\x08\0\0"}),
        (rgb.convert("P"), "PNG", {"transparency": 3}),
        (rgb.convert("LA"), "PNG", {}),
        (rgb.convert("1"), "TIFF", {}),
        (Image.fromarray(pixels[..., 0].astype(np.uint16) * 257), "PNG", {}),
        (rgb, "TIFF", {"compression": "tiff_lzw"}),
        (rgb, "GIF", {"save_all": True, "append_images": [rgb.rotate(90)]}),
    ]
    for image, kind, more in ways:
        out = io.BytesIO()
        image.save(out, kind, **more)
        found.append(out.getvalue())
    return found


def shelves() -> list[bytes]:
    found = [path.read_bytes() for path in sorted(SAMPLES.glob("shelf_[15]*.csv"))]
    more = (
        b"sep=;\nColour;Yarn;DK;Metres in yards;skeins;price\n#a03030 60% #f0e8d8 40%;Brick;3;"
        b'220,5;1,5;\xc2\xa36.50\nred;"Old ""Rose""";worsted;100 m;2 balls;7\n'
    )
    palette = (
        b"GIMP Palette\nName: x\nColumns: 4\n# c\n 12 200 30\tMoss\n  0 0 0 Untitled\n255 1 2\n"
    )
    return [*found, more, palette]


def grids() -> list[bytes]:
    rows = b"Chalk,Moss,Tar\nMoss,Chalk,Tar\nTar,Tar,Moss\n"
    hexes = b"#ff0000;#00ff00;\n#00ff00;#ff0000;#0000ff\n"
    counted = b",1,2\n1,Chalk,Moss\n2,Moss,Chalk\n"
    return [rows, hexes, counted, files_of(Study(small_chart()), only=["chart.csv"])["chart.csv"]]


def workbooks() -> list[bytes]:
    import openpyxl

    book = openpyxl.Workbook()
    sheet: Any = book.active
    for line in range(3):
        sheet.append(["Moss", "Chalk", "=1+1" if line == 2 else "Tar"])
    sheet.cell(1, 1).fill = openpyxl.styles.PatternFill("solid", fgColor="FF8800")
    out = io.BytesIO()
    book.save(out)
    return [out.getvalue(), files_of(Study(small_chart()), only=["chart.xlsx"])["chart.xlsx"]]


def plans() -> list[bytes]:
    return [path.read_bytes() for path in sorted(SAMPLES.glob("*_*.toml"))] + [
        b'width = 9\nlength = 14\n[[yarn]]\nname = "A"\ncolor = "#ff0000"\n[[yarn]]\nname = "B"\n'
        b'color = "blue"\nmetres = 100\ngrams = 50\nskeins = 2\n[[part]]\norder = ["A", "B"]\n'
        b'rows = [1, 2, 3]\nlasts = "to the end"\n',
        b'shape = "triangle"\nrows = 12\nbuy = ["A"]\nshelf = "s.csv"\n[[part]]\ngradient = ["A", '
        b'"B"]\nlasts = "6 rows"\n[[part]]\norder = "the others"\nrandom = 3\nmetres = 20\n',
    ]


def swatches() -> list[bytes]:
    more = b'[[swatch]]\nyarn = "A"\nblocks = [6, 6]\nsize_cm = [12.5, 12.0]\nblock = "dc"\n'
    return [(SAMPLES / "swatch.toml").read_bytes(), more]


def makers() -> list[bytes]:
    more = (
        b'hand = "left"\nterms = "uk"\npace = "0.7,0.5,2"\ntail = 15\nhabit = "carry"\nhook = 5.5\n'
    )
    return [(SAMPLES / "maker.toml").read_bytes(), more + b'currency = "GBP"\nhour = "12,5"\n']


def credits() -> list[bytes]:
    return [
        b'designer = "The lantern boathouse"\ncopyright = "2026"\nversion = "1.2"\n'
        b'date = 2026-01-02\nlevel = "easy"\nnotes = ["one", "two\\n\\nthree"]\nphoto = "p.png"\n'
    ]


def charts() -> list[bytes]:
    return [write_chart(chart) for chart in (small_chart(), mended_chart(), from_picture())]


def patterns() -> list[bytes]:
    made = [files_of(Study(c), only=["pattern.txt"]) for c in (small_chart(), mended_chart())]
    return [one["pattern.txt"] for one in made]


def mends() -> list[bytes]:
    return [line.encode() for line in MENDS] + [
        "\n".join(MENDS[at : at + 3]).encode() for at in (0, 4, 8, 12)
    ]


def progress() -> list[bytes]:
    kept = {"pix2block": "hookside", "version": 1, "piece": piece_key(small_chart()), "row": 4}
    return [json.dumps(one).encode() for one in ({**kept, "runs": None}, {**kept, "runs": 1})]


def worktable() -> list[bytes]:
    asked: list[dict[str, Any]] = [
        {"path": "/api/mend", "body": {"mends": [["paint", "row 3.2=Tar"]]}},
        {"path": "/api/choose", "body": {"word": "turn", "value": "early", "opening": "x"}},
        {"path": "/api/choose", "body": {"word": "habit", "value": "cut"}},
        {"path": "/api/choose", "body": {"word": "weight", "value": "4"}},
        {"path": "/api/without", "body": {"group": 1, "alone": True}},
        {"path": "/api/lay", "body": {"name": "piece"}},
        *({"path": f"/api/{name}", "body": {}} for name in ("back", "again")),
        *(
            {"path": path}
            for path in ("/api/piece", "/api/row/3", "/api/strand/3/1", "/api/pieces")
        ),
        *(
            {"path": path}
            for path in ("/api/choices/turn", "/seen/tiles.png?pixels=16&eyes=normal")
        ),
        *(
            {"path": path}
            for path in ("/files", "/files/rows.csv", "/static/main.js", "/api/jobs/1")
        ),
    ]
    return [json.dumps(one).encode() for one in asked]


def logs() -> list[bytes]:
    """What a worktable on the small chart leaves when it is stopped."""
    found = []
    for again in (False, True):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "chart.json").write_bytes(write_chart(small_chart()))
            session = Session(folder)
            session.mend([("paint", "row 3.2=Tar"), ("paint", "row 4.1=Moss")])
            session.choose("turn", "early")
            session.take_back()
            if again:
                session.put_again()
            session.mend([("frame", "1 Moss")])
            found.append((folder / LOG).read_bytes())
    return found


def phone() -> list[bytes]:
    paths = ("/T/", "/T/hookside.html", "/T/pattern.html", "/x/", "/T/../chart.json", "/")
    return [json.dumps({"method": "GET", "path": path, "host": "here"}).encode() for path in paths]
