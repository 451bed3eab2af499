"""Memory that decoding takes, a format, in bytes a pixel and in all for the largest bombs.

Run: PYTHONPATH=tests:. python tests/bench/decoding.py
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

# What is drawn: the format, Pillow's mode, how it is saved.
KINDS: list[tuple[str, str, dict[str, object]]] = [
    ("PNG", "RGB", {}),
    ("PNG", "L", {}),
    ("PNG", "I;16", {}),
    ("JPEG", "RGB", {}),
    ("JPEG", "RGB", {"progressive": True}),
    ("JPEG", "RGB", {"progressive": True, "subsampling": 0}),
    ("JPEG", "CMYK", {}),
    ("WEBP", "RGB", {}),
    ("JPEG2000", "RGB", {}),
    ("AVIF", "RGB", {"speed": 10}),
    ("GIF", "L", {}),
    ("TIFF", "RGB", {"compression": "tiff_lzw"}),
]
SIDE = 4096
BOMBS: list[tuple[str, str, tuple[int, int], dict[str, object]]] = [
    ("PNG", "L", (15780, 15780), {}),
    ("PNG", "RGB", (13000, 13000), {}),
    ("PNG", "RGB", (15780, 15780), {}),
    ("JPEG", "RGB", (15780, 15780), {}),
    ("JPEG", "RGB", (15780, 15780), {"progressive": True}),
    ("WEBP", "RGB", (15780, 15780), {}),
]


def draw(path: Path, kind: str, mode: str, size: tuple[int, int], how: dict[str, object]) -> None:
    """Save a picture, in a process of its own."""
    code = (
        "import sys; from PIL import Image; "
        f"Image.linear_gradient('L').resize({size}).convert({mode!r})"
        f".save(sys.argv[1], {kind!r}, **{how!r})"
    )
    subprocess.run([sys.executable, "-c", code, str(path)], check=True)


def opened(path: Path) -> None:
    """Print what opening takes."""
    from pix2block.picture.picture import open_picture

    Image.init()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    width, height = open_picture(path).size
    held = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024
    print(f"{held / width / height:.2f} bytes a pixel", flush=True)


def charted(path: Path) -> None:
    """Print what a chart of it takes."""
    from pix2block.command.cli import run

    words = ["chart", str(path), "--width", "12", "--without", "pdf,proof,preview"]
    code = run([*words, "--out", str(path.with_name("out"))])
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"exit {code}, {held} MB", flush=True)


def main() -> None:
    if len(sys.argv) > 2:
        {"opened": opened, "charted": charted}[sys.argv[1]](Path(sys.argv[2]))
        return
    cases = [(kind, mode, (SIDE, SIDE), how, "opened") for kind, mode, how in KINDS]
    cases += [(*bomb, "charted") for bomb in BOMBS]
    for kind, mode, size, how, what in cases:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "bomb"
            draw(path, kind, mode, size, how)
            call = [sys.executable, __file__, what, str(path)]
            done = subprocess.run(call, capture_output=True, text=True, check=False)
            said = [*done.stderr.splitlines()[:1], *done.stdout.splitlines()[-1:]]
            print(kind, mode, size, how, *said, flush=True)


if __name__ == "__main__":
    main()
