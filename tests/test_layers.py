"""Which room imports which, read from the sources themselves, by the contracts that the linter enforces.

The linter is not needed to run the tests; here its contracts are read and held against the imports that stand in the
sources, and planted faults must be found.
"""

import ast
import shutil
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "sim" / "featherbench"
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
    "contracts"
]


def imports(file, package):
    """Every module that a source file imports, wherever in the file, with its line."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
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
            found += [
                f"{module}:{line} imports {imported}"
                for contract in CONTRACTS
                if forbids(contract, module, imported)
            ]
    return found


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
