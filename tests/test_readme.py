"""What the README says is what happens."""

from __future__ import annotations

import json
import re
import shlex
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest
from conftest import DRAWN
from page_tables import FILES, MANUAL, OPTIONS, everyday_table, files_table, table_in
from small import small_sample

from pix2block.command.cli import run
from pix2block.command.help import every_spec
from pix2block.stripes.plan import Length
from pix2block.stripes.recipe import open_plan, stripe_plan

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


MANUAL_TEXT = MANUAL.read_text(encoding="utf-8")
CAT = "sample_images/tallow_cat.jpg"
TALLOW_CAT = ROOT / "output" / "tallow_cat"  # by the first command, without the PDF


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def blocks(language: str, text: str = README) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", text, re.S)


def commands() -> dict[str, list[str]]:
    """Each command that the pages show but the README's first two, with the lines that are shown
    as what it prints."""
    found: dict[str, list[str]] = {}
    for text in (README, MANUAL_TEXT):
        shown = re.findall(r"```sh\n(.*?)```(?:\n\n```text\n(.*?)```)?", text, re.S)
        for block, printed in shown:
            for line in block.splitlines():
                # `open` serves until it is stopped: the worktable's own tests do that
                if line.startswith("pix2block ") and not line.startswith("pix2block open"):
                    found.setdefault(line.strip(), []).extend(printed.splitlines())
    return found


def test_it_opens_with_the_job_and_two_commands() -> None:
    lines = [line for line in README.splitlines() if line.strip()]
    assert lines[0].startswith("# ")
    assert len(lines[1]) > 200
    first, second = blocks("sh")[:2]
    assert f"pix2block chart {CAT} --width 60 --colors 8" in first
    assert re.search(r"^python3 -m venv .*pytest", second, re.M)
    assert len(blocks("bat")) >= 2


def test_it_is_short() -> None:
    assert len(README.splitlines()) < 300


def test_the_tables_are_the_programs() -> None:
    assert table_in(MANUAL_TEXT, FILES) == files_table(), "run tests/page_tables.py"
    assert table_in(README, OPTIONS) == everyday_table(), "run tests/page_tables.py"


def test_what_the_pages_show_and_name_is_there() -> None:
    for text, place in ((README, ROOT), (MANUAL_TEXT, MANUAL.parent)):
        named = re.findall(r'src="([^"]+)"|\]\(([^)#]+)\)', text)
        assert all((place / (a or b)).exists() for a, b in named)
    assert re.findall(r"`--([a-z-]+)", README + MANUAL_TEXT)
    known = {spec.flag for spec in every_spec()} | {"--json", "--markdown", "--help"}
    assert set(re.findall(r"`(--[a-z-]+)", README + MANUAL_TEXT)) <= known


@pytest.fixture(scope="module")
def small_samples(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The samples with pictures of fewer pixels, for commands of which nothing is shown."""
    place = tmp_path_factory.mktemp("samples")
    for path in (ROOT / "sample_images").iterdir():
        drawn = path.suffix in (".png", ".jpg")
        (place / path.name).symlink_to(small_sample(path.name) if drawn else path)
    return place


@pytest.fixture(scope="module")
def badge_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What stands in output/club_badge where a command changes it or reads it; made once."""
    place = tmp_path_factory.mktemp("badge")
    (place / "sample_images").symlink_to(ROOT / "sample_images")
    words = ["chart", "sample_images/club_badge.png", "--width", "12", "--colors", "4"]
    words += ["--shelf", "sample_images/shelf_24.csv", "--out", "made"]
    with pytest.MonkeyPatch.context() as there:
        there.chdir(place)
        assert run(words) == 0
    return place / "made"


@pytest.mark.parametrize("line", sorted(commands()))
def test_commands_run(
    line: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    request: pytest.FixtureRequest,
    badge_folder: Path,
    small_samples: Path,
) -> None:
    """Each on the samples, after what it needs, and it prints what is shown. Those of the manual
    that only choose something make no drawings: the README's and those about drawings do."""
    monkeypatch.chdir(tmp_path)
    shown = commands()[line]
    (tmp_path / "sample_images").symlink_to(ROOT / "sample_images" if shown else small_samples)
    words = shlex.split(line)[1:]
    if words[0] in ("report", "check", "mend") and words[1].endswith("chart.json"):
        copytree(badge_folder, Path(words[1]).parent)
    if line not in README and not {"--draw", "--distance"} & set(words):
        request.getfixturevalue("few_files")
    if "--undo" in words:
        assert run(["mend", words[1], "--drop", "Lantern"]) == 0
    capsys.readouterr()
    assert run(words) == 0
    printed = capsys.readouterr().out.splitlines()
    assert [told for told in shown if told not in printed] == []


@pytest.mark.usefixtures("few_files")
def test_python_example_gives_the_files_of_the_first_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sample_images").symlink_to(ROOT / "sample_images")
    (example,) = blocks("python")
    names: dict[str, object] = {}
    exec(compile(example, "README.md", "exec"), names)
    written = contents(tmp_path / "output" / "tallow_cat")
    kept = {name: of for name, of in contents(TALLOW_CAT).items() if not name.endswith(DRAWN)}
    assert set(written) == set(kept)
    # What test_examples holds against the command itself; bytes of tables depend on the machine.
    same = [name for name in kept if not name.endswith((".xlsx", "summary.json"))]
    assert {name: written[name] for name in same} == {name: kept[name] for name in same}
    told, before = (json.loads(of["summary.json"]) | {"files": None} for of in (written, kept))
    assert told == before
    assert names["shopping"] == written["shopping.txt"].decode()


def test_the_stripe_plan_is_one(tmp_path: Path) -> None:
    (words,) = (block for block in blocks("toml", MANUAL_TEXT) if "[[part]]" in block)
    (tmp_path / "plan.toml").write_text(words, encoding="utf-8")
    shelf = (ROOT / "sample_images" / "shelf_12.csv").read_bytes()
    (tmp_path / "shelf_12.csv").write_bytes(shelf)
    plan = open_plan(tmp_path / "plan.toml")
    worked = stripe_plan(replace(plan, length=Length(140)))  # nearly all: not searched for
    assert worked.chart.width == 15
    assert worked.spans[0].ended is not None
