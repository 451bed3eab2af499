"""What a designer puts around a pattern: a small TOML file."""

from __future__ import annotations

import datetime
from dataclasses import fields
from pathlib import Path

from pix2block.chart.title import clean_title
from pix2block.ground.errors import BadInput, unknown
from pix2block.ground.files import read_bytes, read_text
from pix2block.ground.frozen import dataclass
from pix2block.ground.toml import NotToml, read_toml


@dataclass(frozen=True)
class Credit:
    """Lines for the front page; None where nothing is said. level: of skill. photo: the bytes of
    a picture file."""

    designer: str | None = None
    copyright: str | None = None
    version: str | None = None
    date: str | None = None
    level: str | None = None
    notes: tuple[str, ...] = ()
    photo: bytes | None = None

    @property
    def lines(self) -> tuple[str, ...]:
        """What stands under the title, a line each."""
        said = (
            f"Designed by {self.designer}" if self.designer else None,
            self.copyright,
            f"Level: {self.level}" if self.level else None,
            " \u00b7 ".join(
                part
                for part in (f"Version {self.version}" if self.version else "", self.date)
                if part
            ),
        )
        return tuple(line for line in said if line)


NO_CREDIT = Credit()
_KEYS = tuple(f.name for f in fields(Credit))
_LONGEST_NOTE = 4000


def open_credit(path: str | Path) -> Credit:
    """The credit in a TOML file with the keys designer, copyright, version, date, level, notes
    (a text, or a list of them) and photo (a picture file, from the file's own folder).

    Raises BadInput for a file or picture that cannot be read, an unknown key, or a value that is
    no text.
    """
    path = Path(path)
    try:
        said = read_toml(read_text(path, "credit"))
    except NotToml as error:
        raise BadInput(
            f'credit {path} is no TOML: {error}; write lines as designer = "…"'
        ) from None
    for key in said:
        if key not in _KEYS:
            raise BadInput(f"credit {path}: {unknown('key', key, _KEYS)}")
    texts = {
        key: _text(said[key], key, path)
        for key in ("designer", "copyright", "version", "date", "level")
        if key in said
    }
    notes = said.get("notes", [])
    notes = notes if isinstance(notes, list) else [notes]
    paragraphs = tuple(
        _text(part, "notes", path)
        for note in notes
        for part in (note.split("\n\n") if isinstance(note, str) else [note])
    )
    photo = None
    if "photo" in said:
        name = said["photo"]
        if not isinstance(name, str):
            raise BadInput(f'credit {path}: photo: write a file name in quotes, as "photo.jpg"')
        photo = read_bytes(path.parent / name, "photo")
    return Credit(**texts, notes=paragraphs, photo=photo)


def _text(value: object, key: str, path: Path) -> str:
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, int | float) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str) or len(value) > _LONGEST_NOTE:
        raise BadInput(f'credit {path}: {key}: write a text in quotes, as {key} = "…"')
    try:
        return clean_title(value) if key != "notes" else _one_line(value)
    except BadInput as error:
        raise BadInput(f"credit {path}: {key}: {error}") from None


def _one_line(text: str) -> str:
    kept = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if not kept:
        raise BadInput("a note is empty: write a few words, or leave it out")
    return kept
