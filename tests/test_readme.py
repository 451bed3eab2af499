"""What the README says is what happens."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from readme_table import files_table, table_in

from pix2block.command.cli import run
from pix2block.command.say import in_words
from pix2block.options.asking import Asked, specs_of
from pix2block.options.goals import EstimateOptions
from pix2block.options.mends import MendOptions
from pix2block.options.send import SendOptions
from pix2block.options.swatch import SwatchOptions
from pix2block.options.table import specs
from pix2block.stripes.recipe import stripe_plan

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


OF_CHARTS, _MORE = README.split("Those of `pix2block swatch`")
OF_SWATCHES, _MORE = _MORE.split("Those of `pix2block estimate`")
OF_ESTIMATES, _MORE = _MORE.split("Those of `pix2block mend`")
OF_MENDS, OF_SENDING = _MORE.split("Those of `pix2block send`")


CAT = "sample_images/tallow_cat.jpg"


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.S)


def test_it_opens_with_the_job_and_two_commands() -> None:
    lines = [line for line in README.splitlines() if line.strip()]
    assert lines[0].startswith("# ")
    assert len(lines[1]) > 200
    first, second = blocks("sh")[:2]
    assert f"pix2block chart {CAT} --width 60 --colors 8" in first
    assert re.search(r"^python3 -m venv .*pytest", second, re.M)
    assert len(blocks("bat")) >= 2


def test_the_table_of_files_is_the_programs() -> None:
    assert table_in(README) == files_table(), "run tests/readme_table.py"


@pytest.mark.parametrize(
    "line",
    sorted(
        {
            line.strip()
            for block in blocks("sh")[2:]
            for line in block.splitlines()
            # `open` serves until it is stopped: test_worktable does that
            if line.startswith("pix2block ") and not line.startswith("pix2block open ")
        }
    ),
)
def test_commands_run(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every other command that the README shows, in the order needed, on the samples."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sample_images").symlink_to(ROOT / "sample_images")
    words = shlex.split(line)[1:]
    if words[0] in ("report", "check", "mend") and words[1].endswith("chart.json"):
        folder = str(Path(words[1]).parent)
        picture = "sample_images/club_badge.png"
        shelf = ["--colors", "4", "--shelf", "sample_images/shelf_24.csv"]
        assert run(["chart", picture, "--width", "12", *shelf, "--out", folder]) == 0
    if "--undo" in words:
        assert run(["mend", words[1], "--drop", "Lantern"]) == 0
    assert run(words) == 0


def test_python_example_gives_the_files_of_the_first_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sample_images").symlink_to(ROOT / "sample_images")
    (example,) = blocks("python")
    names: dict[str, object] = {}
    exec(compile(example, "README.md", "exec"), names)
    written = tmp_path / "output" / "tallow_cat"
    assert run(["chart", CAT, "--width", "60", "--colors", "8", "--out", "by_command"]) == 0
    assert contents(written) == contents(tmp_path / "by_command")
    assert names["shopping"] == (written / "shopping.txt").read_text(encoding="utf-8")


def test_the_stripe_plan_is_one(tmp_path: Path) -> None:
    (plan,) = (block for block in blocks("toml") if "[[part]]" in block)
    (tmp_path / "plan.toml").write_text(plan, encoding="utf-8")
    shelf = (ROOT / "sample_images" / "shelf_12.csv").read_bytes()
    (tmp_path / "shelf_12.csv").write_bytes(shelf)
    worked = stripe_plan(tmp_path / "plan.toml")
    assert worked.chart.width == 15
    assert worked.spans[0].ended is not None


def test_option_table_is_the_programs() -> None:
    for spec in specs():
        row = re.search(rf"^\| `{spec.flag}(?: [^`]*)?` \| (.*?) \|", OF_CHARTS, re.M)
        assert row, spec.name
        assert row[1] == in_words(spec.help)
    named = re.findall(r"^\| `(--[\w-]+)[ `]", OF_CHARTS, re.M)
    assert named == [spec.flag for spec in specs()]


@pytest.mark.parametrize(
    ("text", "table"),
    [
        *((OF_SWATCHES, SwatchOptions), (OF_ESTIMATES, EstimateOptions)),
        *((OF_MENDS, MendOptions), (OF_SENDING, SendOptions)),
    ],
)
def test_tables_of_other_commands_are_the_programs(text: str, table: type[Asked]) -> None:
    rows = re.findall(r"^\| `(--[\w-]+)[^`]*` \| (.*?) \|", text, re.M)
    assert rows == [(spec.flag, in_words(spec.help)) for spec in specs_of(table)]
