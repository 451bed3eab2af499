"""The program's first word, its help, its table of options, and what it keeps to itself."""

from __future__ import annotations

import platform
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from PIL import Image

from pix2block.command import cli
from pix2block.command.cli import program, run
from pix2block.options.asking import specs_of
from pix2block.options.swatch import SwatchOptions
from pix2block.options.table import specs

QUICK = ["--width", "3", "--without", "proof,pdf,preview"]


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(words) == 0
    told = capsys.readouterr()
    assert told.err == ""
    return told.out


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    picture = Image.new("RGB", (30, 30), "#c03028")
    picture.paste("#f0e8d8", (0, 0, 15, 30))
    picture.save("boat.png")
    picture.save("boat", format="PNG")
    return tmp_path


@pytest.mark.usefixtures("few_files")
@pytest.mark.parametrize("words", [["boat.png", *QUICK], [*QUICK, "boat.png"], ["./boat", *QUICK]])
def test_a_picture_alone_is_charted(
    words: list[str], here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*words, "--out", "short"]) == 0
    place = next(word for word in words if "boat" in word)
    assert run(["chart", place, *QUICK, "--out", "long"]) == 0
    capsys.readouterr()
    files = sorted(path.name for path in (here / "long").iterdir())
    assert "chart.json" in files
    for name in files:
        assert (here / "short" / name).read_bytes() == (here / "long" / name).read_bytes(), name


def test_a_picture_without_an_ending_is_charted_where_it_is(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["boat", *QUICK]) == 0
    assert (here / "output" / "boat" / "chart.json").is_file()
    capsys.readouterr()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["bot.png"], 'picture bot.png: no such file: did you mean "boat.png"?'),
        (["chrat"], 'unknown command or file "chrat": did you mean "chart"?'),
        (["help", "chrat"], 'unknown command "chrat": did you mean "chart"?'),
        (["--versoin"], "no option --versoin for pix2block: did you mean --version?"),
    ],
)
@pytest.mark.usefixtures("here")
def test_what_is_neither(words: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 2
    assert capsys.readouterr().err == f"pix2block: {told}\n"


def test_help_is_asked_for_in_each_way(capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys, "--help")
    assert page.startswith("Usage: pix2block ")
    assert printed(capsys, "-h") == page
    assert printed(capsys, "help") == page


@pytest.mark.parametrize("command", sorted(program.commands))
def test_so_is_that_of_a_command(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys, command, "--help")
    assert page.startswith(f"Usage: pix2block {command} ")
    told = set(re.findall(r"^  (?:-h, )?(--[a-z-]+)", page, re.M))
    taken = {opt for param in program.commands[command].params for opt in param.opts}
    assert told - {"--help"} == {opt for opt in taken if opt.startswith("--")}
    assert printed(capsys, command, "-h") == page
    assert printed(capsys, "help", command) == page


def test_every_option_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys, "options")
    for spec in (*specs(), *specs_of(SwatchOptions)):
        assert f"\n  {spec.form}" in page
    assert max(map(len, page.splitlines())) <= 80


def test_the_tables_hold_what_each_command_takes(capsys: pytest.CaptureFixture[str]) -> None:
    rows = re.findall(r"^\| `(--[a-z-]+)", printed(capsys, "options", "--markdown"), re.M)
    for command in program.commands.values():
        taken = {param.opts[0] for param in command.params if isinstance(param, click.Option)}
        assert taken - {"--json", "--markdown"} <= set(rows)


WARNS = """
import sys, warnings
from pix2block.command import cli
cli.run = lambda: warnings.warn("of a library", RuntimeWarning) or 0
sys.exit(cli.main())
"""


def test_a_librarys_warning_is_not_for_a_maker() -> None:
    quiet = subprocess.run(
        [sys.executable, "-c", WARNS], capture_output=True, text=True, check=True
    )
    assert quiet.stderr == ""
    asked = subprocess.run(
        [sys.executable, "-W", "default", "-c", WARNS], capture_output=True, text=True, check=True
    )
    assert "of a library" in asked.stderr


def test_the_installed_program_is_the_quiet_one() -> None:
    project = (Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8")
    assert 'pix2block = "pix2block.command.cli:main"' in project
    assert callable(cli.main)


FAULTS = """
import resource
import numpy as np
from pix2block.command.program import keep_memory
keep_memory()
def work():
    return len([np.ones(400_000) for _ in range(5)])
work()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
work()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="of the GNU C library alone")
def test_memory_that_was_freed_is_used_again() -> None:
    """Five arrays of 3.2 MB: some 3,000 pages, were they cleared anew."""
    done = subprocess.run(
        [sys.executable, "-c", FAULTS], capture_output=True, text=True, check=True
    )
    assert int(done.stdout) < 500


def test_docstrings_that_scipy_goes_through_are_left_alone_and_its_functions_work() -> None:
    line = (
        "from pix2block.command.program import quicken; quicken(); from scipy import fft, ndimage; "
        "print(ndimage.label([1, 0, 1])[1], fft.dct([2.0])[0], [ndimage.label.__doc__])"
    )
    done = subprocess.run([sys.executable, "-c", line], capture_output=True, text=True, check=True)
    assert done.stdout == "2 4.0 ['']\n"
