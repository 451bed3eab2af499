"""Good inputs that changes begin with, a few a door."""

from __future__ import annotations

import io
import json
import os
import tempfile
from functools import cache
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
from pix2block.recipes.keeping import LOG
from pix2block.recipes.outputs import files_of
from pix2block.study.study import Study
from pix2block.web.session import Session
from pix2block.yarn.yarn import Yarn

ROOT = Path(__file__).resolve().parents[3]
SAMPLES = ROOT / "sample_images"
HEIC = ROOT / "tests" / "data" / "heic"
YARNS = (Yarn("Chalk", "#f0ece0"), Yarn("Moss", "#5c6b3c"), Yarn("Tar", "#202428"))
MENDS = [
    *("exchange Chalk=Moss", "swap Moss=Tar in rows 3 to 5", "recolor Moss=#405030"),
    *("rename Moss=Fern", "add Rust #a04020", "drop Tar", "paint row 3.2=Tar"),
    *("paint columns 1 to 3, lines 2 to 3=Moss", "fill column 2, line 2=Tar", "patch row 4.1"),
    *("shield rows 2 on", "calm 5", "mirror "),
    *("rotate left", "cut 1,1,3,2", "frame 1 Moss", "extend top 2 Chalk", "repeat 2x1"),
    "paint from column 1, line 1 to column 4, line 3=Chalk",
]


SMALL_MENDS = [
    *(("exchange", "Chalk=Moss"), ("paint", "row 3.2=Tar"), ("recolor", "Moss=#405030")),
    *(("rename", "Moss=Fern"), ("add", "Rust #a04020"), ("fill", "column 2, line 2=Tar")),
    *(("shield", "row 2"), ("calm", "5"), ("rotate", "left"), ("frame", "1 Moss"), ("drop", "Tar")),
]
CHOICES = [
    *(("turn", "early"), ("habit", "cut"), ("weight", "4"), ("hook", "5.5"), ("title", "Lantern")),
    *(
        ("hand", "left"),
        ("corner", "top-left"),
        ("calm", "5"),
        ("colors", "2"),
        ("border", "2 sc Chalk"),
    ),
    *(("size", "20x15cm"), ("blocks", "5x4"), ("most_hanging", "3"), ("lock", ["Moss"])),
    *(("mend:text", "I at column 1, line 1 height 5 in Tar"), ("page", "phone"), ("reserve", "5")),
    *(("left", ["Tar 9 g"]), ("hours", "0.1"), ("within_shelf", "yes"), ("done", "1")),
    *(
        ("palettes", "shelf.csv:2"),
        ("picture", "moon.png"),
        ("backdrop", "plain"),
        ("one_more", "Tar"),
    ),
]
GOTTEN = [
    *("/", "/static/main.js", "/api/pieces", "/api/news", "/api/jobs/1?after=1", "/api/piece"),
    *("/api/words", "/api/slip/colors", "/api/slip/mend:frame", "/api/shelf", "/api/row/3"),
    *("/api/row/2?narrow=1", "/api/strand/3/1", "/api/aside", "/api/subject", "/files"),
    *("/seen/tiles.png?pixels=4&eyes=normal", "/seen/picture.png?aside=1", "/files/rows.csv"),
    "/files.zip",
]
SHELF = "name,color,metres\nChalk,#f0c040,\nMoss,#c85a1e,100\nTar,#203040,\n"
PPM = "P3 4 3 255 " + "9 9 60 250 200 20 9 90 9 9 9 60 " * 3


def own_place() -> Path:
    """A folder of this process alone, in memory where that can be."""
    return _place(os.getpid())


@cache
def _place(_process: int) -> Path:
    return Path(tempfile.mkdtemp(dir="/dev/shm" if Path("/dev/shm").is_dir() else None))


def small_picture() -> bytes:
    """A moon in 9 x 7 pixels."""
    image = Image.new("RGB", (9, 7), "#203040")
    image.paste("#f0c040", (3, 2, 6, 5))
    image.putpixel((4, 3), (200, 90, 30))
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def small_pieces() -> dict[str, tuple[str, bytes, dict[str, str]]]:
    """What pieces of 4 x 3 blocks are made of at a worktable: a file's name, its bytes, words."""
    grid = b"Chalk,Moss,Chalk,Tar\nMoss,Chalk,Tar,Tar\nChalk,Chalk,Moss,Tar\n"
    return {
        "picture": ("moon.png", small_picture(), {"width": "4", "shelf": "1"}),
        "grid": ("chart.csv", grid, {}),
    }


def small_chart() -> Chart:
    """4 x 3 blocks of three yarns."""
    blocks = np.array([[0, 1, 1, 2], [1, 0, 2, 2], [0, 0, 1, 0]])
    return with_marks(Chart("Lantern", blocks, YARNS, last_row=6))


def mended_chart() -> Chart:
    """The same with a journal."""
    asked = [tuple(line.split(" ", 1)) for line in (MENDS[0], MENDS[6], MENDS[10], MENDS[16])]
    return apply_mends(small_chart(), [(name, value) for name, value in asked]).after


def from_picture() -> Chart:
    """A chart with a source, of a drawn picture."""
    image = Image.new("RGB", (36, 30), "#203040")
    image.paste("#f0c040", (10, 8, 24, 20))
    path = own_place() / "seed.png"
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


def pasted() -> list[bytes]:
    """Yarns as somebody types or copies them."""
    found = (
        "Chalk #efe8dd, Old rose lab(50, 10, 10); Tar rgb(1,2,3)",
        "Moss, #5c6b3c\nTar black\n",
    )
    return [*shelves(), *(text.encode() for text in found), b"Chalk\t#efe8dd\nMoss\tgreen\n"]


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
        b'shape = "triangle"\nrows = 12\nbuy = ["Chalk"]\nshelf = "shelf_5.csv"\n[[part]]\n'
        b'gradient = ["Chalk", "Tar"]\nlasts = "6 rows"\n[[part]]\norder = ["Tar", "Rust"]\n'
        b'random = 3\nlasts = "to the end"\n',
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
        *("\n".join(MENDS[at : at + 3]).encode() for at in (0, 6, 12, 16)),
        b"extend top 2 Chalk\ntext I at column 1, line 1 height 5 in Tar",
        b"fill column 2, line 2=Tar\npatch row 4.1",
        f"paint columns 1 to 3, lines 2 to 3={from_picture().yarns[0].name}\ncalm 5".encode(),
    ]


def progress() -> list[bytes]:
    kept = {"pix2block": "hookside", "version": 1, "piece": piece_key(small_chart()), "row": 4}
    return [json.dumps(one).encode() for one in ({**kept, "runs": None}, {**kept, "runs": 1})]


def worktable() -> list[bytes]:
    """A request of each kind; those of numbers and words several."""
    grid, plan = grids()[0].decode(), plans()[-2].decode()
    bodies: dict[str, list[Any]] = {
        "/api/mend": [{"mends": [list(one)]} for one in SMALL_MENDS],
        "/api/choose": [{"word": w, "value": v, "opening": "x"} for w, v in CHOICES],
        "/api/fill": [{"word": "calm", "choices": [["calm", "3"], ["habit", "cut"]]}],
        "/api/costs": [{"every": [[["paint", "row 3.2=Tar"]], [["calm", "5"]]]}],
        "/api/without": [{"group": 1, "alone": True}],
        "/api/lay": [{"name": "piece"}],
        "/api/photo": [
            {"file": "moon.png", "paper": [[1, 1]], "skeins": [{"name": "A", "at": [4, 3]}]}
        ],
        "/api/subject": [{"blocks": "AAABAQAAAQEAAAEB"}],
        "/api/jobs/1/stop": [{"take": True}],
    }
    bare = ("back", "again", "aside", "aside/1", "advice", "settle")
    asked = [{"path": path, "body": body} for path, every in bodies.items() for body in every]
    asked += [{"path": f"/api/{name}", "body": {}} for name in bare]
    asked += [{"path": path} for path in GOTTEN]
    asked += [
        {"path": "/api/make?name=a.csv&hand=left", "raw": grid},
        {"path": "/api/make?name=a.toml", "raw": plan},
        {"path": "/api/make?name=m.ppm&size=3+blocks&yarns=2&hand=left", "raw": PPM},
        {"path": "/api/yarns?name=s.csv", "raw": SHELF},
        {"path": "/api/bring?name=p.ppm", "raw": PPM},
        {"path": "/api/bring?name=s.csv", "raw": SHELF},
    ]
    heavy = ("colors", "lock", "backdrop", "palettes", "one_more", "hours", "blocks", "size", PPM)
    light = [one for one in asked if not any(f'"{word}"' in json.dumps(one) for word in heavy)]
    return [json.dumps(one).encode() for one in (*asked, *light, *light, *light)]


def logs() -> list[bytes]:
    """What worktables on the small chart leave when they are stopped."""

    def painted(session: Session) -> None:
        session.mend([("paint", "row 3.2=Tar")])

    def chosen(session: Session) -> None:
        session.choose("turn", "early")
        session.take_back()

    def put_again(session: Session) -> None:
        session.mend([("frame", "1 Moss")])
        session.take_back()
        session.put_again()

    def settled(session: Session) -> None:
        session.mend([("swap", "Moss=Tar")])
        session.settle()
        session.take_back()

    found = []
    for change in (painted, chosen, put_again, settled):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "chart.json").write_bytes(write_chart(small_chart()))
            change(Session(folder))
            found.append((folder / LOG).read_bytes())
    return found


def phone() -> list[bytes]:
    paths = ("/T/", "/T/hookside.html", "/T/pattern.html", "/x/", "/T/../chart.json", "/")
    return [json.dumps({"method": "GET", "path": path, "host": "here"}).encode() for path in paths]
