"""What of a folder goes to a phone: the pattern and the page beside the hook, in every edition."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

from pix2block.ground.errors import BadInput
from pix2block.ground.files import read_bytes
from pix2block.ground.frozen import dataclass

_SENT = re.compile(r"(?:hookside|pattern)(?:\.(?:left|right)-(?:us|uk))?\.(?:html|pdf)")
_WORDS = {
    "hookside.html": "Row by row, beside the hook",
    "pattern.html": "The pattern",
    "pattern.pdf": "The pattern, as pages",
}
_KINDS = {"html": "text/html; charset=utf-8", "pdf": "application/pdf"}
_LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the first date a zip can hold


@dataclass(frozen=True)
class Parcel:
    """The files that are sent, by name, as they were when they were packed: nothing else of the
    machine is read while they are served."""

    name: str
    contents: dict[str, bytes]

    def kind_of(self, name: str) -> str:
        """The media type of a file."""
        return _KINDS[name.rpartition(".")[2]]

    def words_for(self, name: str) -> str:
        """What a file is, in words: "The pattern (left-uk)"."""
        stem, *edition, ending = name.split(".")
        words = _WORDS[f"{stem}.{ending}"]
        return f"{words} ({edition[0]})" if edition else words


def pack(folder: Path) -> Parcel:
    """The files of a folder that go to a phone. Links are left aside, for they may lead elsewhere.

    Raises BadInput where the folder has none of them.
    """
    if not folder.is_dir():
        raise BadInput(f"{folder} is no folder: give one that pix2block chart has written")
    paths = sorted(
        path
        for path in folder.iterdir()
        if _SENT.fullmatch(path.name) and path.is_file() and not path.is_symlink()
    )
    if not paths:
        raise BadInput(
            f"{folder} has no hookside.html and no pattern: make them with pix2block report"
        )
    contents = {path.name: read_bytes(path, "file") for path in paths}
    return Parcel(folder.resolve().name, contents)


def is_parcel(data: bytes, name: str) -> bool:
    """Whether bytes are a zip file of such a parcel, from then or from now."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            inside = packed.namelist()
    except zipfile.BadZipFile:
        return False
    return all(
        one.startswith(f"{name}/") and _SENT.fullmatch(one[len(name) + 1 :]) for one in inside
    )


def zipped(parcel: Parcel) -> bytes:
    """All of it as one zip file; the same bytes every time."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parcel.contents.items():
            of = zipfile.ZipInfo(f"{parcel.name}/{name}", _LONG_AGO)
            of.compress_type = zipfile.ZIP_DEFLATED
            of.external_attr = 0o644 << 16
            packed.writestr(of, data)
    return out.getvalue()
