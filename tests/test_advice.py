"""Options in messages: the rooms name them, the doors write them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from pix2block.command.cli import run
from pix2block.command.say import in_words, note
from pix2block.ground.advice import Advice, Ask
from pix2block.ground.errors import BadInput, CheckFailed, SeveralFaults, refuse
from pix2block.options.asking import typed
from pix2block.options.table import Options

PACKAGE = Path(__file__).parent.parent / "pix2block"
WIDER = Advice("It would be large: ", Ask("width", 78), " or ", Ask("within_shelf"), " may do.")


def texts_of(source: str) -> Iterator[str]:
    """The string literals of a file, with {} where a value stands in one."""
    tree = ast.parse(source)
    inner = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in n.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(v.value if isinstance(v, ast.Constant) else "{}" for v in node.values)  # type: ignore[misc]
        elif (
            isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inner
        ):
            yield node.value


def flags_in(text: str) -> list[str]:
    """What looks like a flag; the own properties of a style sheet do not."""
    plain = re.sub(r"var\(--[a-z]+\)|--[a-z]+: [^;]*;|--[a-z]+: ?(?=[#{])", "", text)
    return re.findall(r"--[a-z][a-z-]*", plain)


def test_flags_are_found() -> None:
    code = 'a = f"raise --colors above {n}"\nb = "--left: say"\n'
    code += 'c = "p { --ink: #000; color: var(--ink) }"'
    assert [flags_in(text) for text in texts_of(code)] == [["--colors"], ["--left"], []]


def test_no_room_below_the_doors_says_a_flag() -> None:
    files = [path for path in sorted(PACKAGE.rglob("*.py")) if path.parent.name != "command"]
    assert len(files) > 300
    found = []
    for path in files:
        source = path.read_text(encoding="utf-8")
        if "--" in source:
            told = [flag for text in texts_of(source) for flag in flags_in(text)]
            found += [f"{path.parent.name}.{path.stem}: {flag}" for flag in told]
    assert not found


def test_advice_is_text_with_bare_names() -> None:
    assert WIDER == "It would be large: width 78 or within_shelf may do."
    assert WIDER.asks == (Ask("width", 78), Ask("within_shelf"))


def test_the_command_line_writes_options_as_they_are_typed() -> None:
    assert in_words(WIDER) == "It would be large: --width 78 or --within-shelf may do."
    assert note(WIDER) == "Note: It would be large: --width 78 or --within-shelf may do."
    assert in_words("no option") == "no option"


def test_braces_and_flags_of_a_maker_stay_as_they_are() -> None:
    assert in_words(Advice('"{width}" --ink: ', Ask("calm", 0))) == '"{width}" --ink: --calm 0'


def test_an_error_tells_what_it_is_about() -> None:
    error = BadInput(Ask("done", 12), ": the piece has 9 rows")
    assert (str(error), error.about) == ("done 12: the piece has 9 rows", "done")
    assert error.lines(typed) == ["--done 12: the piece has 9 rows"]
    assert BadInput("no such file").about is None
    assert BadInput("no picture; choose another ", Ask("out"), about="picture").about == "picture"
    placed = error.within("maker's file m.toml")
    assert placed.lines(typed) == ["maker's file m.toml: --done 12: the piece has 9 rows"]
    assert placed.about == "done"


@pytest.mark.parametrize(
    ("given", "about"), [({"width": "0"}, "width"), ({"within_shelf": "maybe"}, "within_shelf")]
)
def test_a_word_that_cannot_be_read_is_about_its_option(given: dict[str, str], about: str) -> None:
    with pytest.raises(BadInput) as caught:
        Options.from_words(given)
    assert caught.value.about == about
    assert str(caught.value).startswith(f"{about} ")


def test_several_faults_are_a_line_each() -> None:
    faults = [BadInput(f"line {i}: no colour") for i in range(34)]
    with pytest.raises(BadInput) as caught:
        refuse(faults)
    assert caught.value.faults == tuple(faults)
    assert len(str(caught.value).splitlines()) == 34
    lines = caught.value.lines()
    assert lines == [*(f"line {i}: no colour" for i in range(20)), "and 14 more"]
    assert len(SeveralFaults(faults[:20]).lines()) == 20
    assert caught.value.within("shelf.csv").lines()[1] == "shelf.csv: line 1: no colour"


def test_faults_of_faults_are_told_once_each() -> None:
    two = SeveralFaults([BadInput("a"), BadInput("b")])
    assert SeveralFaults([two, BadInput("c")]).lines() == ["a", "b", "c"]


def test_one_fault_is_itself_and_none_is_nothing() -> None:
    one = BadInput("a")
    refuse([])
    with pytest.raises(BadInput) as caught:
        refuse([one])
    assert caught.value is one


def test_a_failed_check_is_one_line_too() -> None:
    assert CheckFailed("row 3:\n one block more").lines() == ["row 3: one block more"]


def test_faults_are_printed_one_a_line(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from pix2block.command import cli

    faults = [BadInput(Ask("left"), f" {i}: no amount") for i in range(23)]

    def fails(*_: object, **__: object) -> None:
        raise SeveralFaults(faults)

    monkeypatch.setattr(cli.program, "main", fails)
    assert run(["chart", "a.png"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    lines = printed.err.splitlines()
    assert lines[0] == "pix2block: --left 0: no amount"
    assert len(lines) == 21
    assert lines[-1] == "pix2block: and 3 more"
