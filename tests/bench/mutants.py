"""Small slips put into modules, one at a time: does any test notice?

A slip is another comparison, a sum for a difference, a number more by one, a condition turned
round, a statement left out. First the tests are run once with probes before the statements of the
modules (`seen`), which tells what tests work a statement and the seconds they take. Then (`try`)
all is imported once, and each slip gets a process of its own (a fork), where its function's code
is exchanged and the tests that work that statement are run until one fails: those first that
noticed others, then the quick ones. A slip outside functions is imported anew. A run that takes
five times as long is noticed too. Left out by rule: messages of errors, `assert`, annotations,
decorators, defaults, `strict=`, arrays set to be read only. Slow tests are not run.

    python tests/bench/mutants.py seen SEEN.json craft,amounts test_runs.py test_yarn_use.py …
    python tests/bench/mutants.py try SEEN.json 40 craft.runs amounts.money …
    python tests/bench/mutants.py try SEEN.json 40:2 craft.runs …   (another draw)

`seen` with the same file adds to it, and takes the place of what it held of these tests.
"""

from __future__ import annotations

import ast
import contextlib
import gc
import importlib
import importlib.abc
import importlib.util
import json
import os
import pkgutil
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

import pytest
from code_slips import Slip, probed, slipped

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 8.0  # seconds of tests a slip is tried with
FILES = 7  # of tests, twice as many for a module
ANEW = 77  # the way a process ends that could not exchange the code
QUICK = ["-x", "-q", "-m", "not slow", "-p", "no:cacheprovider", "-o", "addopts=", "--tb=no"]
HIT: set[str] = set()
_TOLD = os.dup(1)


def tell(line: str) -> None:
    """A line that pytest does not keep to itself."""
    os.write(_TOLD, (line + "\n").encode())


class NoShrinking:
    """For pytest: a test that fails need not look for its smallest example."""

    def pytest_sessionstart(self) -> None:
        """Behind the tests' own settings, before the tests are read."""
        from hypothesis import Phase, settings

        kept = settings.get_profile(settings.get_current_profile_name())
        settings.register_profile("slips", kept, phases=(Phase.explicit, Phase.generate))
        settings.load_profile("slips")


@dataclass(eq=False)
class Seen:
    """Which test works which statements, and the seconds that it takes."""

    seconds: dict[str, float] = field(default_factory=dict)
    worked: dict[str, list[str]] = field(default_factory=dict)

    @classmethod
    def read(cls, path: Path) -> Seen:
        return cls(**json.loads(path.read_text())) if path.exists() else cls()

    @cache  # noqa: B019  a process has one
    def nearest(self, module: str) -> list[str]:
        """The files of tests that have most to do with a module: they work most of it, and those
        where it is most of what a test works."""
        begins = f"pix2block.{module}:"
        most: dict[str, float] = defaultdict(float)
        reached: dict[str, set[str]] = defaultdict(set)
        for test, keys in self.worked.items():
            file = test.partition("::")[0]
            reached[file] |= {key for key in keys if key.startswith(begins)}
            most[file] = max(most[file], self._share(test, begins))
        files = [file for file, mine in reached.items() if mine]
        by_breadth = sorted(files, key=lambda file: -len(reached[file]))[:FILES]
        return [*by_breadth, *sorted(files, key=lambda file: -most[file])[:FILES]]

    @cache  # noqa: B019  a process has one
    def _share(self, test: str, begins: str) -> float:
        """How much of what a test works is of a module."""
        keys = self.worked[test]
        return sum(key.startswith(begins) for key in keys) / (20 + len(keys))

    def for_slip(self, module: str, at: str, noticed: Counter[str]) -> list[str]:
        """Tests for a slip: those that work its statement, then others of their files, since what
        a file's tests share is made by one of them."""
        key = f"pix2block.{module}:{at}"
        near, begins = set(self.nearest(module)), f"pix2block.{module}:"
        tests = {t: keys for t, keys in self.worked.items() if t.partition("::")[0] in near}
        mine = [t for t, ks in tests.items() if (key in ks if at else self._share(t, begins))]
        files = {test.partition("::")[0] for test in mine}
        beside = [t for t in tests if t.partition("::")[0] in files and t not in set(mine)]
        own = f"tests/test_{module.rpartition('.')[2]}.py::"

        def promise(test: str) -> tuple[float, ...]:
            """The tests first that noticed others, then the quick ones and those of the module."""
            share = 1.0 if test.startswith(own) else self._share(test, begins)
            return -noticed[test], (0.01 + self.seconds[test]) / (0.02 + share)

        # Half of the time by promise, half the best of each file in turn.
        ordered = [*sorted(mine, key=promise), *sorted(beside, key=promise)]
        rounds: Counter[str] = Counter()
        turn: dict[str, int] = {}
        for test in ordered:
            rounds[test.partition("::")[0]] += 1
            turn[test] = rounds[test.partition("::")[0]]
        first = self._within(ordered, LIMIT / 2)
        others = sorted((test for test in ordered if test not in set(first)), key=turn.__getitem__)
        return [*first, *self._within(others, LIMIT / 2)]

    def _within(self, tests: Sequence[str], limit: float) -> list[str]:
        chosen: list[str] = []
        spent = 0.0
        for test in tests:
            spent += self.seconds[test]
            if spent <= limit or not chosen:
                chosen.append(test)
        return chosen


class Slipped(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from a tree that was changed."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self.name, self.path, self.tree = name, path, tree

    def find_spec(self, name: str, *_: object) -> ModuleSpec | None:
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(name, self.path, loader=self)

    def create_module(self, _: ModuleSpec) -> None:
        return None

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)


def _path(module: str) -> Path:
    return ROOT / f"{module.replace('.', '/')}.py"


def _codes(code: CodeType) -> dict[tuple[str, int], CodeType]:
    found = {}
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            found[inner.co_qualname, inner.co_firstlineno] = inner
            found.update(_codes(inner))
    return found


def _live() -> dict[str, list[FunctionType]]:
    """The package's functions by their file."""
    gc.unfreeze()
    functions: dict[str, list[FunctionType]] = defaultdict(list)
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and "/pix2block/" in one.__code__.co_filename:
            functions[one.__code__.co_filename].append(one)
    gc.freeze()
    return functions


def exchange(functions: Sequence[FunctionType], path: Path, tree: ast.Module, top: str) -> bool:
    """Gives functions of a file their code of another tree: those whose name begins with `top`;
    whether there were any."""
    codes, done = _codes(compile(tree, str(path), "exec")), False
    for one in functions:
        old = one.__code__
        new = codes.get((old.co_qualname, old.co_firstlineno))
        if new and (old.co_qualname + ".").startswith(top) and old.co_name != "<lambda>":
            try:
                one.__code__ = new
            except ValueError:  # another number of names from around it
                return False
            done = True
    return done


def _child(seconds: float) -> int:
    """A process of its own, within a time; 0 in it."""
    child = os.fork()
    if child == 0:
        os.setsid()
        cpu = int(4 + 5 * seconds)
        resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu + 5))
        resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_REAL, 20.0 * cpu)
        _be_silent()
    return child


def _be_silent() -> None:
    place = os.open(os.devnull, os.O_WRONLY)
    os.dup2(place, 1)
    os.dup2(place, 2)


def _ended(child: int) -> int:
    _, status = os.waitpid(child, 0)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)  # what the tests may have started
    return os.waitstatus_to_exitcode(status)


class Loop:
    """For pytest: what is done with the tests once they are read."""

    def __init__(self, names: Sequence[str]) -> None:
        self.names = names

    def pytest_collection_modifyitems(self) -> None:
        for one in pkgutil.walk_packages([str(ROOT / "pix2block")], "pix2block."):
            if not one.name.endswith("__main__"):
                importlib.import_module(one.name)
        import openpyxl  # noqa: F401  what every process would import anew
        import scipy.optimize  # noqa: F401
        import skimage.color  # noqa: F401
        import typst  # noqa: F401
        import xlsxwriter  # noqa: F401

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.session, self.live = session, _live()
        self.done()
        return True

    def done(self) -> None:
        raise NotImplementedError

    def run(self, items: Sequence[pytest.Item], after: Path | None = None) -> pytest.Item | None:
        """Runs tests until one fails, which is given back."""
        for item, following in zip(items, [*items[1:], None], strict=True):
            HIT.clear()
            began, failed = sum(os.times()[:4]), self.session.testsfailed
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if after:
                took = round(sum(os.times()[:4]) - began, 3)
                if self.session.testsfailed == failed:
                    with after.open("a") as out:
                        out.write(json.dumps([item.nodeid, took, sorted(HIT)]) + "\n")
            elif self.session.testsfailed:
                return item
        return None


class Look(Loop):
    """Runs all tests, a file's in a process, and keeps what they work."""

    def __init__(self, names: Sequence[str], out: Path) -> None:
        super().__init__(names)
        self.out = out

    def done(self) -> None:
        for name in sorted(sys.modules):
            if any(name.startswith(f"pix2block.{begin}") for begin in self.names):
                path = _path(name)
                if path.exists():
                    vars(sys.modules[name])["__probe__"] = HIT.add
                    tree = probed(path.read_text(), name)
                    for one in self.live[str(path)]:
                        exchange([one], path, tree, "")
        files: dict[str, list[pytest.Item]] = defaultdict(list)
        for item in self.session.items:
            files[item.nodeid.partition("::")[0]].append(item)
        for file, items in files.items():
            seen = Seen.read(self.out)
            with tempfile.NamedTemporaryFile() as kept:
                child = _child(60)
                if child == 0:
                    self.run(items, Path(kept.name))
                    os._exit(0)
                _ended(child)
                lines = [json.loads(line) for line in Path(kept.name).read_text().splitlines()]
            for test in [t for t in seen.worked if t.startswith(file + "::")]:
                del seen.worked[test], seen.seconds[test]
            for test, took, worked in lines:
                seen.seconds[test], seen.worked[test] = took, worked
            self.out.write_text(json.dumps(vars(seen)))
            tell(f"{file}: {len(lines)} of {len(items)} tests")


class Try(Loop):
    """Tries slips of modules."""

    def __init__(self, names: Sequence[str], seen: Seen, count: int, draw: int) -> None:
        super().__init__(names)
        self.seen, self.count, self.draw = seen, count, draw

    def done(self) -> None:
        self.items = {item.nodeid: item for item in self.session.items}
        for name in self.names:
            self.noticed: Counter[str] = Counter()
            self.module(name)

    def module(self, name: str) -> None:
        source, began = _path(f"pix2block.{name}").read_text(), time.monotonic()
        every = slipped(source, -1)[1].found
        chosen = sorted(random.Random(self.draw).sample(range(every), min(self.count, every)))
        left = 0
        for number in chosen:
            tree, slip = slipped(source, number)
            tests = self.seen.for_slip(name, slip.at, self.noticed)
            if not (tests and self.is_noticed(name, tree, slip, tests)):
                left += 1
                worked = "" if tests else "   (no test works it)"
                tell(f"  not noticed: {number}, {slip.where}{worked}")
        count = len(chosen)
        share, took = 100 * (count - left) // max(1, count), time.monotonic() - began
        tell(f"{name}: {count - left} of {count} ({share} %), {every} in all, {took:.0f} s")

    def is_noticed(self, name: str, tree: ast.Module, slip: Slip, tests: Sequence[str]) -> bool:
        path, full = _path(f"pix2block.{name}"), f"pix2block.{name}"
        usual = sum(self.seen.seconds[test] for test in tests)
        here, there = os.pipe()
        child = _child(usual) if slip.at else None
        if child == 0:
            top = slip.at.partition("+")[0] + "."
            if not exchange(self.live[str(path)], path, tree, top):
                os._exit(ANEW)
            failed = self.run([self.items[test] for test in tests if test in self.items])
            os.write(there, failed.nodeid.encode() if failed else b"")
            os._exit(1 if failed else 0)
        os.close(there)
        by = os.read(here, 1000).decode() if child else ""
        os.close(here)
        code = _ended(child) if child else ANEW
        if code == ANEW:
            return self.is_noticed_anew(Slipped(full, path, tree), tests, usual)
        self.noticed[by] += 1
        return code != 0

    def is_noticed_anew(self, finder: Slipped, tests: Sequence[str], usual: float) -> bool:
        child = _child(usual)
        if child == 0:
            for name, module in list(sys.modules.items()):
                file = str(getattr(module, "__file__", None) or "")
                own = file.startswith(str(ROOT / "tests")) and name not in (
                    "conftest",
                    "code_slips",
                )
                if name.partition(".")[0] == "pix2block" or (own and name != "__main__"):
                    del sys.modules[name]
            sys.meta_path.insert(0, finder)
            os._exit(min(1, int(pytest.main([*QUICK, *tests], [NoShrinking()]))))
        return _ended(child) != 0


def main() -> None:
    what, kept = sys.argv[1], Path(sys.argv[2]).resolve()
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    if what == "seen":
        loop: Loop = Look(sys.argv[3].split(","), kept)
        tests = [f"tests/{name}" for name in sys.argv[4:]]
    else:
        seen = Seen.read(kept)
        count, _, draw = sys.argv[3].partition(":")
        loop = Try(sys.argv[4:], seen, int(count), int(draw or 1))
        tests = sorted({file for name in sys.argv[4:] for file in seen.nearest(name)})
    _be_silent()
    pytest.main([*QUICK, *tests], [NoShrinking(), loop])


if __name__ == "__main__":
    main()
