"""The bill of materials: what pix2block ships and what it stands on, with licences.

Run: PYTHONPATH=tests python tests/bill.py
It writes pix2block/LICENCES.md anew. With --cyclonedx it prints the bill of this environment, with
the versions at hand, in the open form CycloneDX 1.6.

Licences stand here by hand, as SPDX has them; a test holds them against what each package says of
itself, and fails for one that is not listed.
"""

from __future__ import annotations

import json
import re
import sys
import tomllib
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "pix2block" / "LICENCES.md"


@dataclass(frozen=True)
class Part:
    """A package. licence: an SPDX expression; carries: libraries inside its wheels under others."""

    licence: str
    what_for: str
    carries: str = ""


_LINEAR = "OpenBLAS (BSD-3-Clause), libgfortran and libquadmath (GPL-3.0 with GCC's exception)"
PARTS = {
    "anyio": Part("MIT", "starlette's ground"),
    "click": Part("BSD-3-Clause", "the command line"),
    "colorama": Part("BSD-3-Clause", "colours of a Windows console, for tqdm and click"),
    "colormath": Part("BSD-3-Clause", "colour spaces"),
    "et-xmlfile": Part("MIT", "openpyxl's ground"),
    "h11": Part("MIT", "uvicorn's ground"),
    "idna": Part("BSD-3-Clause", "anyio's ground"),
    "imageio": Part("BSD-2-Clause", "scikit-image's ground"),
    "lazy-loader": Part("BSD-3-Clause", "scikit-image's ground"),
    "msgspec": Part("BSD-3-Clause", "files read into nouns"),
    "networkx": Part("BSD-3-Clause", "colormath's and scikit-image's ground"),
    "numpy": Part("BSD-3-Clause", "arrays", _LINEAR),
    "openpyxl": Part("MIT", "workbooks read"),
    "packaging": Part("Apache-2.0 OR BSD-2-Clause", "scikit-image's ground"),
    "pi-heif": Part("BSD-3-Clause", "HEIC pictures", "libheif and libde265 (LGPL-3.0)"),
    "pillow": Part("MIT-CMU", "pictures", "codecs and FreeType, each under a permissive licence"),
    "scikit-image": Part("BSD-3-Clause", "what matters in a picture"),
    "scipy": Part("BSD-3-Clause", "strands, distances, filters", _LINEAR),
    "segno": Part("BSD-3-Clause", "QR codes"),
    "starlette": Part("BSD-3-Clause", "the worktable's server"),
    "tifffile": Part("BSD-3-Clause", "scikit-image's ground"),
    "tqdm": Part("MPL-2.0 AND MIT", "progress"),
    "typing-extensions": Part("PSF-2.0", "anyio's and starlette's ground"),
    "typst": Part("Apache-2.0", "PDF and PNG", "the typesetter, in Rust, and its fonts (OFL-1.1)"),
    "uvicorn": Part("BSD-3-Clause", "the worktable's server"),
    "wasmtime": Part("Apache-2.0 WITH LLVM-exception", "calming's loops"),
    "xlsxwriter": Part("BSD-2-Clause", "workbooks written"),
}
# What each licence is called where a package does not say it in SPDX's words.
SAID = {
    "BSD-3-Clause": r"BSD",
    "BSD-2-Clause": r"BSD",
    "MIT": r"MIT",
    "MPL-2.0 AND MIT": r"MPL-2.0 AND MIT",
}
# Files that are not our own text, or that a program made. Of the fonts the licence lies beside.
SHIPPED = {
    "drawing/fonts/*.ttf": ("OFL-1.1", "Noto Sans, as it was published"),
    "drawing/latin_fonts/*.ttf": ("OFL-1.1", "Noto Sans, Latin alone, by tests/make_web_fonts.py"),
    "drawing/fonts/web/*.woff2": ("OFL-1.1", "Noto Sans in parts, by tests/make_web_fonts.py"),
    "calming/loops/kernel.wasm": ("MIT", "our loops, by tests/kernel_build.py"),
    "web/static/tallow_cat.jpg": ("MIT", "the sample, drawn by sample_images/draw_samples.py"),
}


def names_of(lines: list[str]) -> list[str]:
    """Names of the packages in such lines that are needed, here or on Windows, without extras."""
    found = []
    for line in lines:
        needed = Requirement(line)
        places = ({"extra": "", "platform_system": "Windows"}, {"extra": ""})
        if not needed.marker or any(needed.marker.evaluate(place) for place in places):
            found.append(re.sub(r"[-_.]+", "-", needed.name).lower())
    return found


def stands_on() -> list[str]:
    """Every package that pix2block stands on, directly or not, those of Windows too."""
    found: dict[str, None] = {}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    left = names_of(project["dependencies"])
    while left:
        name = left.pop()
        if name not in found:
            found[name] = None
            try:
                left += names_of(metadata.requires(name) or [])
            except metadata.PackageNotFoundError:  # of another system, and without more
                continue
    return sorted(found)


def says(name: str) -> str:
    """What an installed package says of its licence."""
    of = metadata.metadata(name).json
    if expression := of.get("license_expression"):
        return str(expression)
    kinds = [kind for kind in of.get("classifier", ()) if kind.startswith("License")]
    return " ".join([*kinds, str(of.get("license", ""))])


def page() -> str:
    """LICENCES.md."""
    lines = [
        "# What is shipped, and what it stands on",
        "",
        "pix2block itself is under the MIT licence ([LICENSE](LICENSE)). Written by "
        "`tests/bill.py`; versions are those that are installed (`--cyclonedx` prints them).",
        "",
        "| shipped in it | licence | what it is |",
        "| --- | --- | --- |",
        *(f"| `{place}` | {of} | {what} |" for place, (of, what) in SHIPPED.items()),
        "",
        "| package | licence | what for | carried inside |",
        "| --- | --- | --- | --- |",
    ]
    for name, part in PARTS.items():
        lines.append(f"| {name} | {part.licence} | {part.what_for} | {part.carries} |")
    return "\n".join(lines) + "\n"


def cyclonedx() -> str:
    """The bill of this environment."""
    versions = {of.name.lower().replace("_", "-"): of.version for of in metadata.distributions()}
    parts = [
        {
            "type": "library",
            "name": name,
            "version": versions[name],
            "purl": f"pkg:pypi/{name}@{versions[name]}",
            "licenses": [{"expression": PARTS[name].licence}],
        }
        for name in stands_on()
        if name in versions
    ]
    files = [
        {"type": "file", "name": place, "licenses": [{"expression": of}]}
        for place, (of, _) in SHIPPED.items()
    ]
    bill = {"bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1}
    return json.dumps({**bill, "components": parts + files}, indent=1)


if __name__ == "__main__":
    if "--cyclonedx" in sys.argv:
        print(cyclonedx())
    else:
        PAGE.write_text(page(), encoding="utf-8")
