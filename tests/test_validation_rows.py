"""Every row of the outside checks is a value of the program: read off the sources of the checks."""

import ast
import re
from pathlib import Path

import pytest

import table

FILES = sorted(Path(table.__file__).parent.glob("test_*.py"))


def _names(node):
    return {one.id for one in ast.walk(node) if isinstance(one, ast.Name)}


def _ours(tree):
    """Names of a file's top level that come from the program: imported, computed with it, or calling it."""
    known = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and re.match(
            r"featherbench\b|air_data|designed|smooth_chain", node.module or ""
        ):
            known |= {alias.asname or alias.name for alias in node.names}
    size = -1
    while size != len(known):
        size = len(known)
        for node in tree.body:
            if (
                isinstance(node, ast.FunctionDef)
                and not node.name.startswith("test_")
                and _names(node) & known
            ):
                known.add(node.name)
            elif isinstance(node, ast.Assign) and _names(node.value) & known:
                known |= set().union(*(_names(target) for target in node.targets))
    return known


def _steps(function):
    """(value, target) of whatever gives a name within a function its value."""
    for node in ast.walk(function):
        if isinstance(node, ast.Assign):
            yield from ((node.value, target) for target in node.targets)
        elif isinstance(node, (ast.AugAssign, ast.NamedExpr)):
            yield node.value, node.target
        elif isinstance(node, (ast.For, ast.comprehension)):
            yield node.iter, node.target
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield from ((argument, node.func.value) for argument in node.args)  # a list that grows


def _computed(function, known):
    """Names within a function that are computed from those known; its arguments, where its parametrization is."""
    known = set(known)
    if any(_names(one) & known for one in function.decorator_list):
        known |= {argument.arg for argument in function.args.args}
    size = -1
    while size != len(known):
        size = len(known)
        for value, target in _steps(function):
            if _names(value) & known:
                known |= _names(target)
    return known


def _handed_over(functions, ours):
    """Per function, which of its arguments are computed by the program somewhere in the file."""
    handed = {name: set() for name in functions}
    for _ in range(3):
        for name, function in functions.items():
            known = _computed(function, ours | handed[name])
            for node in ast.walk(function):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in functions:
                    arguments = functions[node.func.id].args.args
                    pairs = zip(node.args, arguments, strict=False)
                    handed[node.func.id] |= {own.arg for given, own in pairs if _names(given) & known}
    return handed


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_row_is_something_that_the_program_computed(path):
    """The value a row calls `got` comes, in the end, out of a function of the program."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}
    ours = _ours(tree)
    for name, handed in _handed_over(functions, ours).items():
        known = _computed(functions[name], ours | handed)
        for node in ast.walk(functions[name]):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in ("check", "table.check"):
                assert _names(node.args[4]) & known, f"line {node.lineno}: {ast.unparse(node.args[4])}"


def test_a_row_of_others_alone_is_noticed(tmp_path):
    path = tmp_path / "test_hankel.py"
    path.write_text(
        "from scipy.special import hankel2\n"
        "from featherbench.rotor import unsteady\n"
        "def test_a():\n    got = hankel2(1, 0.1)\n    check('s', 'RAN', 'F', 0.8, got, 1e-5, 'scipy')\n"
    )
    with pytest.raises(AssertionError, match="line 5: got"):
        test_every_row_is_something_that_the_program_computed(path)
