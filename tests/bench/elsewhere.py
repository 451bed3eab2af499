"""A wheel installed into an empty environment, away from the checkout: what it offers, whether it
works, how large it is with everything that it stands on.

Run: python tests/bench/elsewhere.py [PYTHON]
It takes some minutes, most of them for packages to come.
"""

from __future__ import annotations

import subprocess
import sys
import sysconfig
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]
MOST_MB = 460
CALLS = (
    "chart {picture} --width 12 --colors 4 --out piece",
    "check piece/chart.json",
    "mend piece/chart.json --mirror",
    "send piece --zip",
)
_LOOK = """
from importlib.resources import files
from pathlib import Path
import pix2block
place = files("pix2block")
for part in ("chart/chart.schema.json", "web/static/index.html", "MANUAL.md", "LICENCES.md"):
    assert (place / part).is_file(), part
print(Path(pix2block.__file__).parent)
"""


def size_mb(folder: Path) -> float:
    """Megabytes of all files in a folder."""
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file()) / 1e6


def tried_in(place: Path, python: str) -> None:
    """Build, install, look and work in an empty folder."""

    def call(*words: str) -> str:
        done = subprocess.run(words, cwd=place, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout

    there = place / "venv"
    call(python, "-m", "venv", str(there))
    programs = there / ("Scripts" if sys.platform == "win32" else "bin")
    inside = str(programs / "python")
    bare = size_mb(there)
    call(inside, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", "wheel", str(ROOT))
    (wheel,) = (place / "wheel").glob("*.whl")
    call(inside, "-m", "pip", "install", "--quiet", str(wheel))
    home = Path(call(inside, "-c", _LOOK).strip())
    assert place.resolve() in home.resolve().parents, home
    for words in CALLS:
        picture = ROOT / "sample_images" / "club_badge.png"
        call(str(programs / "pix2block"), *words.format(picture=picture).split())
    assert (place / "piece" / "pattern.pdf").exists()
    print(f"all with bytecode: {size_mb(there) - bare:.0f} MB, aimed at {MOST_MB}")
    parts = sorted(((size_mb(part), part.name) for part in home.parent.iterdir()), reverse=True)
    print(", ".join(f"{name} {size:.0f}" for size, name in parts[:10]))


if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        base = Path(sysconfig.get_config_var("BINDIR")) / "python3"
        tried_in(Path(folder), sys.argv[1] if len(sys.argv) > 1 else str(base))
