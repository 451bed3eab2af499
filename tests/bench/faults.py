"""What a run does where the machine fails it: a full disk, a folder for reading only, no home,
closed pipes. After each the folder's files are old and whole or new and whole, nothing hidden
stays, and the next run works. Needs Linux, where a user may mount a file system of her own
(`unshare -rm`).

Run: PYTHONPATH=tests:. python tests/bench/faults.py
"""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from PIL import Image

QUICK = ["--without", "pdf,proof,preview"]
PROGRAM = [sys.executable, "-m", "pix2block"]
SMALL_DISK = "mount -t tmpfs -o size={size} tmpfs {out} && cp -a {kept}/. {out} && "


@dataclass(frozen=True)
class Fault:
    """before: a shell's words before the call, after: behind it; env: of the call, None leaves a
    variable out; ends: exit codes that are right; elsewhere: what the call writes to instead."""

    name: str
    before: str = ""
    after: str = ""
    env: Mapping[str, str | None] = field(default_factory=dict)
    ends: tuple[int, ...] = (0,)
    elsewhere: str = ""


FAULTS = [
    Fault("a full disk", SMALL_DISK + "head -c {free} /dev/zero > {out}/filler; ", ends=(2,)),
    Fault("a disk without room at all", SMALL_DISK + "cat /dev/zero > {out}/filler; ", ends=(2,)),
    Fault("no file may be over 8 kB", "ulimit -f 8; ", ends=(2,)),
    Fault("a folder for reading only", SMALL_DISK + "mount -o remount,ro {out} && ", ends=(2,)),
    Fault("a file in place of the folder", ends=(2,), elsewhere="{place}/a_file"),
    Fault("a folder below a file", ends=(2,), elsewhere="{place}/a_file/out"),
    Fault("a folder in a device", ends=(2,), elsewhere="/dev/null/out"),
    Fault("no home", env={"HOME": None, "XDG_CACHE_HOME": None}),
    Fault("a home that is not there", env={"HOME": "/nowhere", "XDG_CACHE_HOME": "/nowhere/c"}),
    Fault("no place for what is temporary", env={"TMPDIR": "/nowhere"}),
    Fault("the plainest locale", env={"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0"}),
    Fault("an odd locale", env={"LANG": "tr_TR.UTF-8", "LC_ALL": "no_SUCH.code"}),
    Fault("a terminal of ASCII", env={"PYTHONIOENCODING": "ascii:strict"}),
    Fault("no environment", env={name: None for name in os.environ if name != "PATH"}),
    Fault("nothing to read from", after=" <&-"),
    Fault("nothing to print to", after=" >&-", ends=(0, 2)),
    Fault("nowhere to complain", after=" 2>&-", ends=(0, 2)),
    Fault("all three closed", after=" <&- >&- 2>&-", ends=(0, 2)),
    Fault("a full place to print to", after=" >/dev/full", ends=(2,)),
    Fault("a reader that leaves", after=" | true", ends=(0, 2)),
]


def files_of(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file of a folder, hidden ones too."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "filler"
    }


def is_whole(files: Mapping[str, str], folder: Path) -> bool:
    """Whether a folder's files are those that its summary names, and no others."""
    told = json.loads((folder / "summary.json").read_bytes())["files"]
    return bool({name: sha for name, sha in files.items() if name != "summary.json"} == told)


def tried(fault: Fault, call: list[str], place: Path, kept: Path) -> tuple[bool, str]:
    """Whether a call under a fault ends as it should, and what it said."""
    out, seen = place / "out", place / "seen"
    where = {"out": out, "kept": kept, "place": place, "size": "400k", "free": 330_000}
    words = [word.format(out=fault.elsewhere.format(**where) or out) for word in call]
    line = " ".join(f"'{word}'" for word in words)
    look = f"code=$?; cp -a {out}/. {seen}; exit $code"
    script = f"({fault.before.format(**where)}{line}{fault.after}); {look}"
    env = {**os.environ, **{n: v for n, v in fault.env.items() if v is not None}}
    env = {name: value for name, value in env.items() if name not in fault.env or fault.env[name]}
    env["PYTHONPATH"] = os.environ.get("PYTHONPATH", "")
    done = subprocess.run(
        ["unshare", "-rm", "bash", "-c", script],
        env=env,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=120,
    )
    said = done.stderr.strip().splitlines()
    lines = [one for one in said if one.startswith("pix2block: ")]
    right = done.returncode in fault.ends and not any("Traceback" in one for one in said)
    if fault.ends == (2,) and "print" not in fault.name:
        right &= len(lines) == 1
    before, after = files_of(kept), files_of(seen)
    right &= (
        after == before
        if done.returncode == 2 and "/dev/full" not in fault.after
        else (bool(fault.elsewhere) or is_whole(after, seen))
    )
    return right, f"exit {done.returncode}; {' / '.join(lines) or ' / '.join(said)[:100]}"


def main() -> None:
    wrong = tries = 0
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        picture = base / "lantern.png"
        image = Image.new("RGB", (24, 18), "#203040")
        image.paste("#f0c040", (8, 6, 16, 12))
        image.save(picture)
        first = base / "first"
        make = ["chart", str(picture), "--width", "8", *QUICK, "--out"]
        subprocess.run([*PROGRAM, *make, str(first)], check=True, capture_output=True)
        calls = {
            "chart": [*make, "{out}", "--title", "Another"],
            "mend": ["mend", "{chart}", "--frame", "1 " + _a_yarn(first), *QUICK, "--out", "{out}"],
            "report": ["report", "{chart}", "--hand", "left", *QUICK, "--out", "{out}"],
        }
        for command, words in calls.items():
            for number, fault in enumerate(FAULTS):
                place = base / f"{command}-{number}"
                for folder in ("out", "seen"):
                    (place / folder).mkdir(parents=True)
                (place / "a_file").write_text("hers")
                subprocess.run(["cp", "-a", f"{first}/.", str(place / "out")], check=True)
                chart = str(first / "chart.json")
                call = [*PROGRAM, *(word.replace("{chart}", chart) for word in words)]
                right, said = tried(fault, call, place, first)
                tries, wrong = tries + 1, wrong + (not right)
                print(
                    f"{'right' if right else 'WRONG'}: {command}, {fault.name}: {said}", flush=True
                )
                assert (place / "a_file").read_text() == "hers"
    print(f"{tries} calls under a fault, {wrong} ended wrongly")


def _a_yarn(folder: Path) -> str:
    return str(json.loads((folder / "chart.json").read_bytes())["yarns"][0]["name"])


if __name__ == "__main__":
    main()
