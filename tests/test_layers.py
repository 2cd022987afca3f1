"""Which room imports which, read from the sources themselves, by the contracts that the linter enforces; and how much
may stand in one function, module and room.

The linter is not needed to run the tests; here its contracts are read and held against the imports that stand in the
sources, and planted faults must be found.
"""

import ast
import functools
import re
import shutil
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "sim" / "featherbench"
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
    "contracts"
]


@functools.cache
def tree_of(text):
    """A source, parsed; a copy of the package is not parsed again where it is the same."""
    return ast.parse(text)


@functools.cache
def parsed(text):
    """Import statements of a source, wherever in it."""
    return [node for node in ast.walk(tree_of(text)) if isinstance(node, ast.Import | ast.ImportFrom)]


def imports(file, package):
    """Every module that a source file imports, wherever in the file, with its line."""
    for node in parsed(file.read_text(encoding="utf-8")):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}:{node.lineno}: relative import"
            yield node.module, node.lineno
            for alias in node.names:  # from featherbench import render
                if node.module == "featherbench" and (package / alias.name).with_suffix("").exists():
                    yield f"featherbench.{alias.name}", node.lineno


def inside(module, name):
    return module == name or module.startswith(name + ".")


def broken(package):
    """Every import that a contract forbids, as text."""
    found = []
    for file in sorted(package.rglob("*.py")):
        parts = file.relative_to(package).with_suffix("").parts
        module = ".".join(("featherbench", *(part for part in parts if part != "__init__")))
        for imported, line in imports(file, package):
            found += [f"{module}:{line} imports {imported}"] * broken_by(module, imported)
    return found


@functools.cache
def broken_by(module, imported):
    """How many contracts an import breaks; most are asked about in every copy of the package."""
    return sum(forbids(contract, module, imported) for contract in CONTRACTS)


def forbids(contract, module, imported):
    if contract["type"] == "forbidden":
        return any(inside(module, source) for source in contract["source_modules"]) and any(
            inside(imported, name) for name in contract["forbidden_modules"]
        )
    layers = contract["layers"]
    here = [place for place, layer in enumerate(layers) if inside(module, layer)]
    there = [place for place, layer in enumerate(layers) if inside(imported, layer)]
    return bool(here and there) and there[0] < here[0]


def test_every_import_goes_the_way_of_the_data():
    assert broken(PACKAGE) == []


def test_every_room_has_its_layer():
    (layers,) = (contract["layers"] for contract in CONTRACTS if contract["type"] == "layers")
    rooms = {entry.stem for entry in PACKAGE.iterdir() if entry.is_dir() or entry.suffix == ".py"}
    rooms -= {"__init__", "__main__", "__pycache__", "py"}
    assert {layer.removeprefix("featherbench.") for layer in layers} == rooms


@pytest.mark.parametrize(
    ("file", "fault"),
    [
        ("linkage/play.py", "import pint"),
        ("linkage/play.py", "def f():\n    from pint import UnitRegistry"),
        ("studies/run.py", "import matplotlib.pyplot as plt"),
        ("linkage/play.py", "from featherbench import render"),
        ("scenario/rules.py", "from featherbench.assembly.materials import material"),
        ("plant/chain.py", "from featherbench.scenario import Scenario"),
        ("plant/chain.py", "import pandas"),
        ("sections/outline.py", "from featherbench.scenario import Scenario"),
        ("views/cases.py", "from featherbench.cli import main"),
    ],
)
def test_a_planted_import_is_found(tmp_path, file, fault):
    copy = tmp_path / "featherbench"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    with (copy / file).open("a", encoding="utf-8") as stream:
        stream.write(f"\n{fault}\n")
    found = broken(copy)
    assert found
    module = f"featherbench.{file.removesuffix('.py').replace('/', '.')}"
    assert all(line.startswith(f"{module}:") for line in found)


# -- sizes -------------------------------------------------------------------------------------------------------

MORE_ARGUMENTS = {
    "plant/gauge_chain.py::integrate_gauge": 10,
    "ranking/ranked.py::ranked": 9,
    "hovering/bias.py::bias": 10,
}

MODULE, FUNCTION, NINETY_OF_A_HUNDRED, ARGUMENTS, MODULES, ROOM = 300, 60, 26, 8, 35, 4000


def functions(package):
    """(module::name, lines, arguments) of every function; a command counts without the options that it declares."""
    for file in sorted(package.rglob("*.py")):
        module = file.relative_to(package).as_posix()
        for node in ast.walk(tree_of(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                command = module.startswith("commands/")
                start = node.body[0].lineno if command else node.lineno
                count = 0 if command else len(node.args.args) + len(node.args.kwonlyargs)
                yield f"{module}::{node.name}", node.end_lineno - start + 1, count


def too_much(package):
    """Whatever has outgrown its bound, as text."""
    every = list(functions(package))
    said = [f"{name} has {lines} lines" for name, lines, _ in every if lines > FUNCTION]
    said += [
        f"{name} takes {count} arguments"
        for name, _, count in every
        if count > MORE_ARGUMENTS.get(name, ARGUMENTS)
    ]
    lengths = sorted(lines for _, lines, _ in every)
    nine = lengths[int(0.9 * (len(lengths) - 1))]
    said += [f"one function in ten is longer than {nine} lines"] if nine > NINETY_OF_A_HUNDRED else []
    rooms = {}
    for file in sorted(package.rglob("*.py")):
        module = file.relative_to(package)
        lines = len(file.read_text(encoding="utf-8").splitlines())
        rooms.setdefault(module.parent.as_posix(), []).append(lines)
        if lines > MODULE:
            said.append(f"{module.as_posix()} has {lines} lines")
    for room, lines in rooms.items():
        if len(lines) > MODULES or sum(lines) > ROOM:
            said.append(f"the room {room} has {len(lines)} modules of {sum(lines)} lines")
    return said


def test_functions_modules_and_rooms_stay_small():
    assert too_much(PACKAGE) == []


def test_what_outgrows_its_bounds_is_found(tmp_path):
    (tmp_path / "room").mkdir()
    body = "    x = 1\n" * FUNCTION
    (tmp_path / "room" / "long.py").write_text(f"def f(a, b, c, d, e, g, h, i, j):\n{body}", encoding="utf-8")
    (tmp_path / "room" / "longer.py").write_text("x = 1\n" * (MODULE + 1), encoding="utf-8")
    for number in range(MODULES):
        (tmp_path / "room" / f"m{number}.py").write_text("", encoding="utf-8")
    assert too_much(tmp_path) == [
        "room/long.py::f has 61 lines",
        "room/long.py::f takes 9 arguments",
        "one function in ten is longer than 61 lines",
        "room/longer.py has 301 lines",
        f"the room room has {MODULES + 2} modules of 362 lines",
    ]


def circles(package, *above):
    """Modules that import one another at import time, in circles."""
    names = {
        ".".join((*above, *file.relative_to(package).with_suffix("").parts)): file
        for file in package.rglob("*.py")
    }
    names = {name.removesuffix(".__init__"): file for name, file in names.items()}
    arrows = {}
    for name, file in names.items():
        arrows[name] = set()
        for node in tree_of(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Import):
                arrows[name] |= {alias.name for alias in node.names} & names.keys() - {name}
            if isinstance(node, ast.ImportFrom) and node.module:
                inner = {f"{node.module}.{alias.name}" for alias in node.names} & names.keys()
                whole = {node.module} & names.keys() if len(inner) < len(node.names) else set()
                arrows[name] |= (inner | whole) - {name}
    while True:  # what imports nothing that is left, or is imported by nothing that is left, is in no circle
        wanted = set().union(*arrows.values())
        free = [name for name, to in arrows.items() if not to & arrows.keys() or name not in wanted]
        if not free:
            return sorted(arrows)
        for name in free:
            del arrows[name]


def test_no_module_imports_itself_by_way_of_others():
    assert circles(PACKAGE, "featherbench") == []
    assert circles(ROOT / "validation") == []


def test_a_circle_is_found(tmp_path):
    for name, text in (
        ("a", "import b"),
        ("b", "from c import x"),
        ("c", "from b import y"),
        ("d", "from c import x"),
    ):
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    assert circles(tmp_path) == ["b", "c"]


def test_no_arrow_is_hidden_from_the_linter():
    """A room that fetches another by its name at run time points at it all the same; only the front door may."""
    hidden = re.compile(r'sys\.modules(?!\["__main__"\])|import_module|__import__')
    found = {
        file.relative_to(PACKAGE).as_posix()
        for file in PACKAGE.rglob("*.py")
        if hidden.search(file.read_text(encoding="utf-8"))
    }
    by_table_of_painters = "render/gallery.py"  # a room below it
    by_its_own_table = "libraries.py"  # of libraries, none of them ours
    assert found == {"__init__.py", by_table_of_painters, by_its_own_table}
