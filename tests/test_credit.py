"""What a designer puts around a pattern."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from pix2block.ground.errors import BadInput
from pix2block.pages.pattern_pictures import photo_of
from pix2block.pattern.credit import Credit, open_credit


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "credit.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_all_keys_are_read(tmp_path: Path) -> None:
    (tmp_path / "piece.jpg").write_bytes(b"picture")
    credit = open_credit(
        written(
            tmp_path,
            'designer = "Lantern Boathouse"\ncopyright = "© Lantern Boathouse"\nversion = 1.2\n'
            'date = 2026-05-01\nlevel = "easy"\nnotes = """One.\n\nTwo\nlines."""\n'
            'photo = "piece.jpg"\n',
        )
    )
    assert credit == Credit(
        "Lantern Boathouse",
        "© Lantern Boathouse",
        "1.2",
        "2026-05-01",
        "easy",
        ("One.", "Two lines."),
        b"picture",
    )
    assert credit.lines == (
        "Designed by Lantern Boathouse",
        "© Lantern Boathouse",
        "Level: easy",
        "Version 1.2 · 2026-05-01",
    )


def test_nothing_is_needed(tmp_path: Path) -> None:
    assert open_credit(written(tmp_path, "")) == Credit()
    assert Credit().lines == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('desiner = "x"', 'unknown key "desiner": did you mean "designer"?'),
        ('Designer = "x"', 'did you mean "designer"?'),
        ("designer = x", "is no TOML"),
        ("designer = true", 'designer: write a text in quotes, as designer = "…"'),
        ('designer = ""', "designer: the title is empty"),
        ("notes = [1, [2]]", "notes: write a text in quotes"),
        ("photo = 3", 'photo: write a file name in quotes, as "photo.jpg"'),
        ('photo = "none.jpg"', "no such file"),
    ],
)
def test_what_cannot_be_read_is_named(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        open_credit(written(tmp_path, text))
    assert said in str(caught.value)
    assert "credit.toml" in str(caught.value) or "photo" in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_a_photo_is_made_small_upright_and_bare() -> None:
    image = Image.new("RGB", (3000, 1500), "#336699")
    exif = Image.Exif()
    exif[0x0112] = 6  # turned a quarter
    exif[0x010E] = "kept to oneself"
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif)
    photo = photo_of(out.getvalue(), "Tallow")
    assert (photo.width, photo.height) == (700, 1400)
    assert b"kept to oneself" not in photo.data
    assert photo.alt == "A photo of Tallow"
    assert photo_of(out.getvalue(), "Tallow") == photo


def test_a_photo_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput, match="photo cannot be read: use a JPEG or PNG"):
        photo_of(b"no picture", "Tallow")
