"""Small slips put into a module, one at a time: does any of its tests notice?

A slip is another comparison, a sum for a difference, a number more by one, a condition turned
round, a statement left out. Each is tried in a process of its own, where the module is imported
with the slip and the tests are run until one fails; a run that takes ten times as long is noticed
too.

    nice -n 19 python tests/bench/mutants.py MODULE COUNT TEST_FILE...

    nice -n 19 python tests/bench/mutants.py craft.runs 60 test_runs.py
"""

from __future__ import annotations

import ast
import contextlib
import importlib.abc
import importlib.util
import os
import random
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
_COMPARED = {
    **{ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq},
    **{
        ast.NotEq: ast.Eq,
        ast.Is: ast.IsNot,
        ast.IsNot: ast.Is,
        ast.In: ast.NotIn,
        ast.NotIn: ast.In,
    },
}
_REVERSED = {ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt}
_WORKED_OUT = {
    **{ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult, ast.Mod: ast.Mult},
    **{ast.FloorDiv: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd},
}
_KEPT_OUT = (ast.Raise, ast.Import, ast.ImportFrom)  # a message may be worded otherwise


class Slip(ast.NodeTransformer):
    """Makes the slip of a number; counts all there are where the number is below 0."""

    def __init__(self, number: int) -> None:
        self.number, self.found = number, 0
        self.where = ""

    def _is_it(self, node: ast.AST, words: str) -> bool:
        self.found += 1
        if self.found - 1 != self.number:
            return False
        self.where = f"line {getattr(node, 'lineno', 0)}: {ast.unparse(node)[:90]} -> {words}"
        return True

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value is not None:
            node.value = self.visit(node.value)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.body = [one for old in node.body for one in self._several(self.visit(old))]
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        node.body = [one for old in node.body for one in self._several(self.visit(old))]
        return node

    @staticmethod
    def _several(made: object) -> list[ast.stmt]:
        return [
            one for one in (made if isinstance(made, list) else [made]) if isinstance(one, ast.stmt)
        ]

    def visit_Subscript(self, node: ast.Subscript) -> ast.AST:
        if isinstance(node.value, ast.Name) and node.value.id in (
            "Annotated",
            "Literal",
            "NDArray",
        ):
            return node
        return self.generic_visit(node)

    def generic_visit(self, node: ast.AST) -> ast.AST:
        return node if isinstance(node, _KEPT_OUT) else super().generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        for at, sign in enumerate(node.ops):
            for table in (_COMPARED, _REVERSED):
                other = table.get(type(sign))
                if other and self._is_it(node, other.__name__):
                    node.ops[at] = other()
                    return node
        return self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        other = _WORKED_OUT.get(type(node.op))
        of_text = isinstance(node.left, ast.Constant) and isinstance(node.left.value, str)
        if other and not of_text and self._is_it(node, other.__name__):
            node.op = other()
            return node
        return self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        other: ast.boolop = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        if self._is_it(node, type(other).__name__):
            node.op = other
            return node
        return self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        dropped = isinstance(node.op, ast.Not | ast.USub | ast.Invert)
        if dropped and self._is_it(node, "left out"):
            return node.operand
        return self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        value = node.value
        if isinstance(value, bool):
            return ast.Constant(not value) if self._is_it(node, str(not value)) else node
        if isinstance(value, int | float):
            return ast.Constant(value + 1) if self._is_it(node, str(value + 1)) else node
        return node

    def _left_out(self, node: ast.stmt) -> ast.AST:
        if self._is_it(node, "left out"):
            return ast.Pass()
        return self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> ast.AST:
        return node if isinstance(node.value, ast.Constant) else self._left_out(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> ast.AST:
        return self._left_out(node)

    def visit_If(self, node: ast.If) -> ast.AST:
        if self._is_it(node.test, "never"):
            node.test = ast.Constant(False)
            return node
        return self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        if self._is_it(node.test, "the other way"):
            node.test = ast.UnaryOp(ast.Not(), node.test)
            return node
        return self.generic_visit(node)


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


def slipped(source: str, number: int) -> tuple[ast.Module, Slip]:
    """A module's tree with a slip, and the slip."""
    slip = Slip(number)
    tree = slip.visit(ast.parse(source))
    return ast.fix_missing_locations(tree), slip


def is_noticed(finder: Slipped, tests: Sequence[str], seconds: float) -> bool:
    """Whether a test fails, in a process of its own, or does not end in time."""
    child = os.fork()
    if child == 0:
        os.setsid()
        sys.meta_path.insert(0, finder)
        with _nowhere():
            import pytest

            quick = ["-x", "-q", "-p", "no:cacheprovider", "-o", "addopts=", "--tb=no"]
            os._exit(min(1, int(pytest.main([*quick, *tests], [NoShrinking()]))))
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return status != 0
        time.sleep(0.02)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


class NoShrinking:
    """For pytest: a test that fails need not look for its smallest example."""

    def pytest_sessionstart(self) -> None:
        """Behind the tests' own settings, before the tests are read."""
        from hypothesis import Phase, settings

        kept = settings.get_profile(settings.get_current_profile_name())
        settings.register_profile("slips", kept, phases=(Phase.explicit, Phase.generate))
        settings.load_profile("slips")


@contextlib.contextmanager
def _nowhere() -> Iterator[None]:
    place = os.open(os.devnull, os.O_WRONLY)
    os.dup2(place, 1)
    os.dup2(place, 2)
    yield


def main() -> None:
    module, count = sys.argv[1], int(sys.argv[2])
    tests = [str(ROOT / "tests" / name) for name in sys.argv[3:]]
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    import hypothesis  # noqa: F401  what every process would import anew
    import msgspec  # noqa: F401
    import numpy  # noqa: F401
    import PIL.Image  # noqa: F401
    import pytest  # noqa: F401
    import scipy.sparse.csgraph  # noqa: F401
    import skimage.color  # noqa: F401

    path = ROOT / "pix2block" / f"{module.replace('.', '/')}.py"
    source = path.read_text(encoding="utf-8")
    every = slipped(source, -1)[1].found
    name = f"pix2block.{module}"
    began = time.monotonic()
    assert not is_noticed(Slipped(name, path, slipped(source, -1)[0]), tests, 600), "tests fail"
    usual = time.monotonic() - began
    chosen = sorted(random.Random(7).sample(range(every), min(count, every)))
    left = []
    for number in chosen:
        tree, slip = slipped(source, number)
        if not is_noticed(Slipped(name, path, tree), tests, 20 + 10 * usual):
            left.append(slip.where)
            print(f"  not noticed: {slip.where}", flush=True)
    noticed = len(chosen) - len(left)
    share = 100 * noticed / max(1, len(chosen))
    print(
        f"{module}: {noticed} of {len(chosen)} noticed ({share:.0f} %), {every} in all", flush=True
    )


if __name__ == "__main__":
    main()
