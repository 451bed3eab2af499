"""The bill of materials is whole and true; the wheel holds the package and nothing else."""

from __future__ import annotations

import json
import re
import zipfile
from pathlib import Path

import pytest
from bill import PAGE, PARTS, ROOT, SAID, SHIPPED, cyclonedx, page, says, stands_on
from hatchling.builders.wheel import WheelBuilder

PACKAGE = ROOT / "pix2block"
OURS = {".py", ".md", ".toml", ".txt", ".json", ".css", ".js", ".html", ".typ", ".typed", ".c"}


def test_the_page_is_the_bills() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run tests/bill.py"


def test_every_package_is_listed_and_no_other() -> None:
    assert stands_on() == sorted(PARTS)


@pytest.mark.parametrize("name", sorted({*PARTS} - {"colorama"}))  # of Windows alone
def test_a_package_says_that_licence_itself(name: str) -> None:
    told, licence = says(name), PARTS[name].licence
    assert licence in told or re.search(SAID.get(licence, r"(?!)"), told), told


def test_every_file_that_is_no_text_of_ours_is_listed() -> None:
    listed = {path for place in SHIPPED for path in PACKAGE.glob(place)}
    assert all([*PACKAGE.glob(place)] for place in SHIPPED)
    others = {
        path
        for path in PACKAGE.rglob("*")
        if path.is_file() and path.suffix not in OURS and "__pycache__" not in path.parts
    }
    assert others - {PACKAGE / "LICENSE"} == listed


def test_the_bill_in_an_open_form_has_versions() -> None:
    bill = json.loads(cyclonedx())
    of = {one["name"]: one for one in bill["components"]}
    assert set(of) >= {*PARTS, *SHIPPED} - {"colorama"}
    assert re.fullmatch(r"pkg:pypi/numpy@\d+\.\d+\.\d+", of["numpy"]["purl"])


def test_the_wheel_holds_the_package_and_offers_its_command(tmp_path: Path) -> None:
    (wheel,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(wheel) as packed:
        names = set(packed.namelist())
        (entry,) = (name for name in names if name.endswith("/entry_points.txt"))
        command = packed.read(entry).decode().split()
    assert command == ["[console_scripts]", "pix2block", "=", "pix2block.command.cli:main"]
    assert {name.split("/")[0] for name in names} == {"pix2block", entry.split("/")[0]}
    kept = {path for path in PACKAGE.rglob("*") if path.is_file()}
    kept -= {path for path in kept if "__pycache__" in path.parts}
    assert {str(path.relative_to(ROOT).as_posix()) for path in kept} <= names
