"""The faults the mutation run plants: small changes of one expression or statement, each with a key that stays.

A fault's key is its file, the function it is in, its kind, what stood there and the how-manieth of that in the
function; so it stays the same when lines move. Not touched: docstrings, annotations, decorators, texts and f-strings,
what is raised, and numbers of 1e-5 or less (tolerances of a solver).
"""

from __future__ import annotations

import ast
import hashlib
from collections import Counter
from dataclasses import dataclass

COMPARED: dict[type[ast.cmpop], tuple[str, ...]] = {
    ast.Lt: ("<=", ">"),
    ast.LtE: ("<", ">"),
    ast.Gt: (">=", "<"),
    ast.GtE: (">", "<"),
    ast.Eq: ("!=",),
    ast.NotEq: ("==",),
    ast.In: ("not in",),
    ast.NotIn: ("in",),
    ast.Is: ("is not",),
    ast.IsNot: ("is",),
}
OTHER_NAME = {
    "min": "max",
    "max": "min",
    "minimum": "maximum",
    "maximum": "minimum",
    "argmin": "argmax",
    "argmax": "argmin",
    "nanmax": "nanmin",
    "nanmin": "nanmax",
    "any": "all",
    "all": "any",
    "sin": "cos",
    "cos": "sin",
    "floor": "ceil",
    "ceil": "floor",
    "mean": "sum",
    "sum": "mean",
    "degrees": "radians",
    "radians": "degrees",
    "rad2deg": "deg2rad",
    "deg2rad": "rad2deg",
}
EVEN = {"min", "max", "minimum", "maximum", "hypot", "isclose", "allclose", "array_equal"}
"""Functions that do not care which argument comes first."""
DROPPED = {"abs", "sqrt", "square", "fabs", "hypot", "copysign", "cumsum", "sorted"}
RETURNED = {"float": ("0.0", "1.0"), "bool": ("True", "False"), "int": ("0", "1"), "str": ("''",)}
LEAST_NUMBER = 1e-5


@dataclass(frozen=True)
class Fault:
    """One change of a source: bytes `start` to `end` of `file` become `after`.

    where: qualified name of the function or class it is in, "" for the module itself.
    """

    file: str
    where: str
    kind: str
    before: str
    after: str
    start: int
    end: int
    line: int
    number: int

    @property
    def key(self) -> str:
        """What this fault is called in lists, whatever line it is on."""
        tail = f" #{self.number}" if self.number else ""
        return f"{self.file}::{self.where} [{self.kind}] {self.before} -> {self.after}{tail}"

    def rank(self, seed: str) -> str:
        """Its place in the order that a seed (a commit, say) makes."""
        return hashlib.sha256(f"{seed}\0{self.key}".encode()).hexdigest()

    def planted(self, source: bytes) -> bytes:
        """The source with the fault in it."""
        return source[: self.start] + self.after.encode() + source[self.end :]


def faults_of(file: str, source: bytes) -> list[Fault]:
    """All faults of a source, in order of place."""
    finder = _Finder(file, source)
    finder.visit(ast.parse(source))
    return finder.found


def _short(text: str, most: int = 90) -> str:
    one = " ".join(text.split())
    return one if len(one) <= most else f"{one[: most - 12]}~{hashlib.sha256(one.encode()).hexdigest()[:8]}"


class _Finder(ast.NodeVisitor):
    """Walks a source and lists what may be changed in it."""

    def __init__(self, file: str, source: bytes) -> None:
        self.file, self.source = file, source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.names: list[str] = []
        self.found: list[Fault] = []
        self.seen: Counter[tuple[str, ...]] = Counter()

    def _add(self, node: ast.AST, kind: str, after: str) -> None:
        start = self.starts[node.lineno - 1] + node.col_offset  # type: ignore[attr-defined]
        end = self.starts[node.end_lineno - 1] + node.end_col_offset  # type: ignore[attr-defined]
        before = self.source[start:end].decode()
        where = ".".join(self.names)
        shown = _short(before), _short(after)
        if shown[0] == shown[1]:
            return
        number = self.seen[(where, kind, *shown)]
        self.seen[(where, kind, *shown)] += 1
        line = node.lineno  # type: ignore[attr-defined]
        self.found.append(Fault(self.file, where, kind, shown[0], after, start, end, line, number))

    def _put(self, node: ast.AST, kind: str, after: ast.AST) -> None:
        text = ast.unparse(after)
        self._add(node, kind, f"({text})" if isinstance(node, ast.expr) and " " in text else text)

    # -- where not to look ---------------------------------------------------------------------------------

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self.names.append(node.name)
        for default in [*node.args.defaults, *[one for one in node.args.kw_defaults if one]]:
            if isinstance(default, ast.Constant) and isinstance(default.value, bool):
                self._put(default, "default", ast.Constant(not default.value))
            self.visit(default)
        self.returns = ast.unparse(node.returns) if node.returns else ""
        for statement in node.body:
            self.visit(statement)
        self.names.pop()

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self.names.append(node.name)
        for statement in node.body:
            self.visit(statement)
        self.names.pop()

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value:
            self.visit(node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        if isinstance(node.targets[0], ast.Name) and node.targets[0].id == "__all__":
            return
        if self.names and isinstance(node.targets[0], ast.Subscript | ast.Attribute):
            self._add(node, "statement dropped", "pass")
        self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Places inside an f-string are not known to the parser of 3.11."""

    def visit_Raise(self, node: ast.Raise) -> None:
        self._add(node, "statement dropped", "pass")

    def visit_Import(self, node: ast.Import) -> None:
        """No fault in an import."""

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        """No fault in an import."""

    # -- what may be changed -------------------------------------------------------------------------------

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int | float):
            return
        if isinstance(value, int):
            self._put(node, "number", ast.Constant(value + 1 if value < 10 else value + value // 3))
        elif value == 0.0:
            self._put(node, "number", ast.Constant(1.0))
        elif abs(value) > LEAST_NUMBER and abs(value) < 1e9:
            self._put(node, "number", ast.Constant(float(f"{1.5 * value:.6g}")))

    def visit_BinOp(self, node: ast.BinOp) -> None:
        swaps = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult}
        other = swaps.get(type(node.op))
        textual = isinstance(node.left, ast.JoinedStr | ast.Constant) and not isinstance(
            getattr(node.left, "value", 0.0), int | float
        )
        if other and not textual:
            self._put(node, "operator", ast.BinOp(node.left, other(), node.right))
            sum_of = isinstance(node.op, ast.Add | ast.Sub)
            kind = "term dropped" if sum_of else "factor dropped"
            self._put(node, kind, node.left)
            if not isinstance(node.op, ast.Pow):
                self._put(node, kind, node.right)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.USub | ast.Not):
            self._put(node, "sign" if isinstance(node.op, ast.USub) else "condition", node.operand)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        for place, operator in enumerate(node.ops):
            for after in COMPARED[type(operator)]:
                parts = [node.left, *node.comparators]
                words = [ast.unparse(part) for part in parts]
                signs = [_sign(one) for one in node.ops]
                signs[place] = after
                text = words[0] + "".join(
                    f" {sign} {word}" for sign, word in zip(signs, words[1:], strict=True)
                )
                self._add(node, "comparison", f"({text})")
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        self._put(node, "and/or", ast.BoolOp(other, node.values))
        for place in range(len(node.values)):
            rest = [one for index, one in enumerate(node.values) if index != place]
            self._put(node, "condition", rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest))
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        if name in OTHER_NAME:
            self._put(node.func, "function", _renamed(node.func, OTHER_NAME[name]))
        if name in DROPPED and len(node.args) == 1 and not node.keywords:
            self._put(node, "function", node.args[0])
        plain = not any(isinstance(one, ast.Starred | ast.Constant | ast.JoinedStr) for one in node.args)
        if len(node.args) >= 2 and plain and name not in EVEN:
            first, second, *rest = node.args
            self._put(node, "arguments swapped", ast.Call(node.func, [second, first, *rest], node.keywords))
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._put(node, "branches swapped", ast.IfExp(node.test, node.orelse, node.body))
        self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        if ast.unparse(node.test) == "TYPE_CHECKING":
            return
        self._put(node.test, "condition", ast.UnaryOp(ast.Not(), node.test))
        self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is None or isinstance(node.value, ast.Constant):
            return
        for text in RETURNED.get(getattr(self, "returns", ""), ()):
            self._add(node.value, "returned", text)
        if getattr(self, "returns", "") in ("float", "Vector"):
            self._put(node.value, "sign", ast.UnaryOp(ast.USub(), node.value))
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        self._add(node, "statement dropped", "pass")
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call) and self.names:
            self._add(node, "statement dropped", "pass")
        self.generic_visit(node)

    def visit_Continue(self, node: ast.Continue) -> None:
        self._add(node, "statement dropped", "pass")

    def visit_Break(self, node: ast.Break) -> None:
        self._add(node, "statement dropped", "pass")


def _renamed(function: ast.expr, name: str) -> ast.expr:
    if isinstance(function, ast.Attribute):
        return ast.Attribute(function.value, name, ast.Load())
    return ast.Name(name, ast.Load())


def _sign(operator: ast.cmpop) -> str:
    signs = {
        ast.Lt: "<",
        ast.LtE: "<=",
        ast.Gt: ">",
        ast.GtE: ">=",
        ast.Eq: "==",
        ast.NotEq: "!=",
        ast.In: "in",
    }
    signs |= {ast.NotIn: "not in", ast.Is: "is", ast.IsNot: "is not"}
    return signs[type(operator)]
