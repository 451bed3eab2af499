"""A folder is old and whole or new and whole, whatever ends the program that writes into it."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from pix2block.ground import swap
from pix2block.ground.errors import BadInput
from pix2block.ground.files import finish_swap, save_all
from pix2block.ground.swap import HIDDEN, CannotMove, Moves

NAMES = [f"file_{number}" for number in range(12)]
posix = pytest.mark.skipif(os.name != "posix", reason="needs signals as on posix")

# A program that writes set after set; each file of a set holds the set's number.
WRITER = """
import sys
from pathlib import Path
from pix2block.ground.files import save_all
for number in range(int(sys.argv[2]), int(sys.argv[3])):
    save_all(Path(sys.argv[1]), {f"file_{i}": f"{number:09}".encode() * 50 for i in range(12)})
    print(number, flush=True)
"""


@pytest.fixture
def within(monkeypatch: pytest.MonkeyPatch) -> None:
    """What this process saves it moves itself; what it starts saves as ever."""
    monkeypatch.setattr("pix2block.ground.files._is_python", lambda _: False)


def set_of(number: int) -> dict[str, bytes]:
    return {name: f"{number:09}".encode() * 50 for name in NAMES}


def seen(folder: Path) -> dict[str, bytes]:
    """Every file that a maker sees in a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def hidden(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith(".")]


def writer(folder: Path, first: int, last: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder), str(first), str(last)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def settled(folder: Path) -> None:
    """Wait until no swap runs on after its program was ended."""
    import fcntl

    held = os.open(folder, os.O_RDONLY)
    fcntl.flock(held, fcntl.LOCK_EX)
    os.close(held)


def killed_at_random(folder: Path, kills: int, seed: int) -> tuple[int, int]:
    """End a writing program so many times with signal 9, and look at the folder after each; how
    many sets were mixed, and how many times something hidden outlived the next save."""
    wait = random.Random(seed)
    mixed = left = 0
    for number in range(kills):
        program = writer(folder, 100 * number, 100 * number + 99)
        assert program.stdout
        program.stdout.readline()  # it has begun
        time.sleep(wait.uniform(0, 0.1))
        program.send_signal(signal.SIGKILL)
        program.communicate()
        settled(folder)
        held = {data for name, data in seen(folder).items() if name in NAMES}
        mixed += len(held) != 1 or len(seen(folder)) != len(NAMES)
        save_all(folder, set_of(100 * number + 99))
        left += bool(hidden(folder))
        assert seen(folder) == set_of(100 * number + 99)
    return mixed, left


@pytest.mark.usefixtures("within")
@posix
def test_signal_9_at_any_moment_leaves_a_whole_set(tmp_path: Path) -> None:
    assert killed_at_random(tmp_path / "out", 7, seed=5) == (0, 0)


@pytest.mark.usefixtures("within")
@posix
@pytest.mark.parametrize("step", ["begin", "swap", "sync_folder", "clear"])
def test_signal_9_before_a_step_leaves_a_whole_set(step: str, tmp_path: Path) -> None:
    """The same at the worst moments: just before and just after each step of a swap."""
    save_all(tmp_path, set_of(1))
    for after in (False, True):
        code = (
            "import os, pix2block.ground.swap as swap\n"
            f"real = swap.{step}\n"
            "def ended(*given):\n"
            f"    {'real(*given)' if after else 'pass'}\n"
            "    os.kill(os.getpid(), 9)\n"
            f"swap.{step} = ended\n" + WRITER
        )
        call = [sys.executable, "-c", code, str(tmp_path), "2", "3"]
        subprocess.run(call, check=False, capture_output=True)
        settled(tmp_path)
        assert seen(tmp_path) in (set_of(1), set_of(2)), after
        save_all(tmp_path, set_of(1))
        assert seen(tmp_path) == set_of(1)
        assert not hidden(tmp_path)


def test_what_moves_files_lives_on_when_its_program_is_ended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files are moved by a program of its own, so nothing that ends this one can be half-way."""

    def refuse(*_: object) -> None:
        raise AssertionError("moved in this program")

    monkeypatch.setattr("pix2block.ground.swap.swap", refuse)
    save_all(tmp_path, set_of(3))
    assert seen(tmp_path) == set_of(3)


def half_swapped(folder: Path, moved: int) -> None:
    """A folder with set 1 where a power cut came after so many files of set 2 had moved."""
    save_all(folder, set_of(1))
    (folder / HIDDEN / "new").mkdir(parents=True)
    for name, data in set_of(2).items():
        swap.write_new(folder / HIDDEN / "new" / name, data)
    swap.begin(folder, Moves({n: swap.sha256_of(folder / n) for n in NAMES}, {}, {}))
    for name in NAMES[:moved]:
        (folder / HIDDEN / "new" / name).replace(folder / name)


@pytest.mark.usefixtures("within")
@pytest.mark.parametrize("moved", [0, 1, 5, 12])
def test_a_swap_cut_short_is_finished_or_given_up(moved: int, tmp_path: Path) -> None:
    half_swapped(tmp_path, moved)
    finish_swap(tmp_path)
    assert seen(tmp_path) == set_of(2 if moved else 1)
    assert not hidden(tmp_path)


@pytest.mark.usefixtures("within")
@pytest.mark.parametrize("save", [True, False])
def test_what_was_changed_since_a_swap_was_cut_short_is_not_lost(
    save: bool, tmp_path: Path
) -> None:
    half_swapped(tmp_path, 5)
    (tmp_path / NAMES[8]).write_bytes(b"by hand")
    if save:
        seen_by: list[dict[str, bytes]] = []

        def look(folder: Path) -> Moves:
            seen_by.append(seen(folder))
            return Moves({}, {}, {})

        save_all(tmp_path, set_of(4), look)
        assert seen_by == [set_of(2) | {NAMES[8]: b"by hand"}]
        assert seen(tmp_path) == set_of(4)
    else:
        finish_swap(tmp_path)
        assert seen(tmp_path) == set_of(2) | {NAMES[8]: b"by hand"}


@pytest.mark.parametrize(
    "told",
    [
        {"put": {"a": None}, "gone": {"../hers": sha256(b"hers").hexdigest()}, "aside": {}},
        {"put": {"a": None, "../planted": None}, "gone": {}, "aside": {}},
        {"put": {"a": None}, "gone": {"b": ""}, "aside": {"b": "../planted"}},
        {"put": 7},
        "[" * 5000,
    ],
)
def test_a_list_that_came_with_a_folder_reaches_nothing_else(told: object, tmp_path: Path) -> None:
    """A folder may be somebody else's: what it tells to be moved stays in it."""
    hers = tmp_path / "hers"
    hers.write_bytes(b"hers")
    folder = tmp_path / "sent"
    for inside in ("new", "old"):
        (folder / HIDDEN / inside).mkdir(parents=True)
    for theirs in ("old/b", "planted"):
        (folder / HIDDEN / theirs).write_bytes(b"theirs")
    (folder / HIDDEN / "list.json").write_text(told if isinstance(told, str) else json.dumps(told))
    finish_swap(folder)
    assert hers.read_bytes() == b"hers"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["hers", "sent"]
    assert not hidden(folder)


def refusing(real: Callable[..., Path], name: str) -> Callable[..., Path]:
    """`Path.replace`, where a file of this name cannot be replaced, as where it is open."""

    def replace(self: Path, target: Path) -> Path:
        if Path(target).name == name and self.parent.name == "new":
            raise PermissionError(13, "it is open")
        return real(self, target)

    return replace


@pytest.mark.parametrize("name", [NAMES[0], NAMES[6], NAMES[11]])
def test_a_file_that_cannot_be_replaced_changes_nothing(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pix2block.ground.files._is_python", lambda _: False)
    save_all(tmp_path, set_of(1))
    (tmp_path / NAMES[3]).unlink()  # one that comes anew
    (tmp_path / "stale").write_bytes(b"stale")
    before = seen(tmp_path)
    monkeypatch.setattr(Path, "replace", refusing(Path.replace, name))
    more = Moves({}, {"stale": "0"}, {NAMES[1]: "kept"})
    with pytest.raises(BadInput, match=f"{name} cannot be replaced: it is open; nothing was"):
        save_all(tmp_path, set_of(2), lambda _: more)
    assert seen(tmp_path) == before
    assert not hidden(tmp_path)


def test_a_file_that_cannot_be_replaced_is_named(tmp_path: Path) -> None:
    """The same for real: a folder stands where a file is to be."""
    save_all(tmp_path, set_of(1))
    (tmp_path / NAMES[4]).unlink()
    (tmp_path / NAMES[4]).mkdir()
    with pytest.raises(BadInput, match=f"{NAMES[4]} cannot be replaced"):
        save_all(tmp_path, set_of(2))
    assert seen(tmp_path) == {n: d for n, d in set_of(1).items() if n != NAMES[4]}
    assert not hidden(tmp_path)


@pytest.mark.usefixtures("within")
def test_files_go_and_are_kept_with_the_same_swap(tmp_path: Path) -> None:
    save_all(tmp_path, set_of(1) | {"stale": b"s", "edited": b"e"})
    more = Moves({}, {"stale": "", "edited": ""}, {"edited": "edited.before-1", NAMES[0]: "kept"})
    save_all(tmp_path, set_of(2), lambda _: more)
    kept = {"edited.before-1": b"e", "kept": set_of(1)[NAMES[0]]}
    assert seen(tmp_path) == set_of(2) | kept


def test_two_runs_at_once_leave_a_whole_set(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "out"
    programs = [writer(folder, first, first + 2) for first in (0, 100, 200)]
    for program in programs:
        _, err = program.communicate()
        assert program.returncode == 0, err
    assert len(set(seen(folder).values())) == 1
    assert sorted(seen(folder)) == sorted(NAMES)
    assert not hidden(folder)


def test_the_order_of_what_is_kept_through_a_power_cut(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every new file, and what is replaced, is on the disk before the list is; the list is before
    anything moves; the moves are before the list goes."""
    done: list[str] = []

    def told(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*given: object) -> object:
            first = given[0] if isinstance(given[0], Path) else Path()
            done.append(f"{name} {first.name}")
            return real(*given)

        return call

    monkeypatch.setattr("pix2block.ground.files._is_python", lambda _: False)
    for name in ("write_new", "sync_folder", "twin", "clear"):
        monkeypatch.setattr(swap, name, told(name, getattr(swap, name)))
    monkeypatch.setattr(Path, "replace", told("replace", Path.replace))
    folder = tmp_path / "out"
    save_all(folder, {"a": b"1", "b": b"2"})
    (folder / "b").unlink()
    done.clear()
    save_all(folder, {"a": b"3", "b": b"4"})
    assert done == [
        *("write_new a", "write_new b", "twin a"),
        *("sync_folder new", "sync_folder old"),
        *("write_new list.json.part", "replace list.json.part"),
        *("sync_folder .pix2block", "sync_folder out"),
        *("replace a", "replace b", "sync_folder out", "clear out"),
    ]


def test_a_program_that_cannot_move_says_which_file(tmp_path: Path) -> None:
    half_swapped(tmp_path, 0)
    (tmp_path / NAMES[2]).unlink()
    (tmp_path / NAMES[2]).mkdir()
    with pytest.raises(CannotMove) as refused:
        swap.swap(tmp_path)
    assert refused.value.name == NAMES[2]
    assert not hidden(tmp_path)


def test_on_windows_ctrl_c_does_not_reach_the_program_that_moves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There it would reach every program of a console, but for those in a group of their own."""
    asked: list[int] = []

    class Seen(subprocess.Popen[bytes]):
        def __init__(self, call: list[str], **how: Any) -> None:
            asked.append(how.pop("creationflags"))
            super().__init__(call, **how)

    monkeypatch.setattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0x200, raising=False)
    monkeypatch.setattr(subprocess, "Popen", Seen)
    save_all(tmp_path / "new", {"a": b"1"})
    assert asked == [0x200]
    assert (tmp_path / "new" / "a").read_bytes() == b"1"


@posix
def test_a_hidden_folder_that_leads_elsewhere_is_taken_away(tmp_path: Path) -> None:
    mine, out = tmp_path / "mine", tmp_path / "out"
    mine.mkdir()
    out.mkdir()
    (mine / swap.LIST).write_text("mine")
    (out / swap.HIDDEN).symlink_to(mine)
    save_all(out, {"a": b"1"})
    assert (out / "a").read_bytes() == b"1"
    assert (mine / swap.LIST).read_text() == "mine"
    assert not hidden(out)
