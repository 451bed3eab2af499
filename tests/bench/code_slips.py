"""Slips in a module's tree: what may be written otherwise, and probes before every statement."""

from __future__ import annotations

import ast

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    **{ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq},
    **{ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn},
    ast.NotIn: ast.In,
}
_REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    **{ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt},
}
_WORKED_OUT: dict[type[ast.operator], type[ast.operator]] = {
    **{ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.Div: ast.Mult, ast.Mod: ast.Mult},
    **{ast.FloorDiv: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd},
}
# A message may be worded otherwise; an assertion is there for whoever reads types.
_KEPT_OUT = (ast.Raise, ast.Assert, ast.Import, ast.ImportFrom)
_TYPES = ("Annotated", "Literal", "NDArray")


class Walk(ast.NodeTransformer):
    """Knows in which function (the outermost) and in which statement it is."""

    def __init__(self) -> None:
        self.path: list[str] = []
        self.top: tuple[str, int] | None = None
        self.line = 0

    def visit(self, node: ast.AST) -> ast.AST:
        if not isinstance(node, ast.stmt):
            return super().visit(node)  # type: ignore[no-any-return]
        before, self.line = self.line, node.lineno
        made = super().visit(node)
        self.line = before
        return made  # type: ignore[no-any-return]

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self.path.append(node.name)
        node.body = [self._statement(one) for one in node.body]
        self.path.pop()
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        outermost = self.top is None
        if outermost:
            self.top = (".".join([*self.path, node.name]), node.lineno)
        node.body = [self._statement(one) for one in node.body]
        if outermost:
            self.top = None
        return node

    def _statement(self, node: ast.stmt) -> ast.stmt:
        made = self.visit(node)
        assert isinstance(made, ast.stmt)
        return made

    def key(self) -> str:
        """The statement's name: its function, and the line in it."""
        return f"{self.top[0]}+{self.line - self.top[1]}" if self.top else ""


class Slip(Walk):
    """Makes the slip of a number; counts all there are where the number is below 0."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number, self.found = number, 0
        self.where = self.at = ""

    def _is_it(self, node: ast.AST, words: str) -> bool:
        self.found += 1
        if self.found - 1 != self.number:
            return False
        self.where = f"line {getattr(node, 'lineno', 0)}: {ast.unparse(node)[:90]} -> {words}"
        self.at = self.key()
        return True

    def generic_visit(self, node: ast.AST) -> ast.AST:
        return node if isinstance(node, _KEPT_OUT) else super().generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value is not None:
            node.value = self.visit(node.value)  # type: ignore[assignment]
        return node

    def visit_Assign(self, node: ast.Assign) -> ast.AST:
        slots = any(isinstance(t, ast.Name) and t.id == "__slots__" for t in node.targets)
        return node if slots else self.generic_visit(node)

    def visit_keyword(self, node: ast.keyword) -> ast.AST:
        return node if node.arg in ("strict", "write") else self.generic_visit(node)

    def visit_Subscript(self, node: ast.Subscript) -> ast.AST:
        typed = isinstance(node.value, ast.Name) and node.value.id in _TYPES
        return node if typed else self.generic_visit(node)

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
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return node
        if self._is_it(node.test, "never"):
            self.line = node.body[0].lineno  # whoever works what is left out would notice
            self.at = self.key()
            node.test = ast.Constant(False)
            return node
        return self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        if self._is_it(node.test, "the other way"):
            node.test = ast.UnaryOp(ast.Not(), node.test)
            return node
        return self.generic_visit(node)


def slipped(source: str, number: int) -> tuple[ast.Module, Slip]:
    """A module's tree with a slip, and the slip."""
    slip = Slip(number)
    tree = slip.visit(ast.parse(source))
    assert isinstance(tree, ast.Module)
    return ast.fix_missing_locations(tree), slip


class _Probes(Walk):
    """Before every statement of a function: a call of `__probe__` with its name."""

    def __init__(self, module: str) -> None:
        super().__init__()
        self.module = module

    def generic_visit(self, node: ast.AST) -> ast.AST:
        super().generic_visit(node)
        self._before_each(node)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        outermost = self.top is None
        if outermost:
            self.top = (".".join([*self.path, node.name]), node.lineno)
        node.body = [self._statement(one) for one in node.body]
        self._before_each(node)
        if outermost:
            self.top = None
        return node

    def _before_each(self, node: ast.AST) -> None:
        for field in ("body", "orelse", "finalbody") if self.top else ():
            listed = getattr(node, field, None)
            if isinstance(listed, list):
                setattr(node, field, [new for old in listed for new in (self._probe(old), old)])

    def _probe(self, node: ast.stmt) -> ast.stmt:
        assert self.top is not None
        name = f"{self.module}:{self.top[0]}+{node.lineno - self.top[1]}"
        called = ast.Call(ast.Name("__probe__", ast.Load()), [ast.Constant(name)], [])
        return ast.copy_location(ast.Expr(called), node)


def probed(source: str, module: str) -> ast.Module:
    """A module's tree with probes."""
    tree = _Probes(module).visit(ast.parse(source))
    assert isinstance(tree, ast.Module)
    return ast.fix_missing_locations(tree)
