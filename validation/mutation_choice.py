"""Which tests are to notice a fault, the likeliest first."""

from __future__ import annotations

import ast
import json
import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from mutation_faults import Fault

FIRST, SECOND = 1.2, 30.0
"""Seconds of tests tried at once at first, and then."""
COMPILED = re.compile(r"kernel\b")
"""What stands above a compiled law."""
APART = ("tests/report/test_pages_in_browser.py", "tests/window/test_window.py")
"""Tests that open windows and browsers; not used."""


class Round(NamedTuple):
    """Tests to run together, with the laws compiled or plain, and what they usually take in s, if that is known."""

    tests: list[str]
    plain: bool
    seconds: float
    timed: bool = True


@dataclass
class Known:
    """Tests by what they reach: test -> (seconds, functions), for compiled laws and for plain ones."""

    compiled: dict[str, tuple[float, set[str]]] = field(default_factory=dict)
    plain: dict[str, tuple[float, set[str]]] = field(default_factory=dict)
    keen: defaultdict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))

    @classmethod
    def read(cls, folder: Path) -> Known:
        """All maps in a folder."""
        known = cls()
        for file in sorted(folder.glob("*.json")):
            into = known.plain if file.stem.startswith("plain-") else known.compiled
            for name, kept in json.loads(file.read_text(encoding="utf-8")).items():
                into[name] = (kept["seconds"], set(kept["functions"]))
        return known


class Choice:
    """Chooses tests for a fault from what is known, or from the sources where nothing is."""

    def __init__(self, tree: Path, known: Known) -> None:
        """Read the sources of program and tests in `tree`."""
        self.tree, self.known = tree, known
        self.dropped: set[str] = set()
        self.package = tree / "sim" / "featherbench"
        self.uses, self.laws = _laws(self.package)
        if not self.laws:
            raise SystemExit("no compiled law is found: what stands above one is called otherwise now")
        self.sources = {
            str(file.relative_to(tree)): file.read_text(encoding="utf-8")
            for room in ("tests", "validation")
            for file in sorted((tree / room).rglob("test_*.py"))
            if str(file.relative_to(tree)) not in APART
        }
        for among in (known.compiled, known.plain):
            for test in [test for test in among if not self._is_there(test)]:
                del among[test]

    def drop(self, test: str) -> None:
        """Do not use a test, or a module of tests, again; what is out of the map is not taken for newer than it."""
        self.dropped.add(test.split("[")[0])
        for among in (self.known.compiled, self.known.plain):
            for name in [name for name in among if name == test or name.startswith(f"{test}::")]:
                del among[name]
        if test.split("::")[0] not in {name.split("::")[0] for name in self.known.compiled}:
            self.sources.pop(test.split("::")[0], None)

    def rounds(self, fault: Fault, most: float) -> list[Round]:
        """Rounds of tests, of at most `most` seconds in all as far as is known."""
        found: list[Round] = []
        law = fault.where.split(".")[-1] in self.laws or (not fault.where and self._holds_laws(fault.file))
        if law:
            found += self._round(
                self.known.plain, self._reached(fault, self.known.plain), True, min(most, 20.0)
            )
        wanted = self._reached(fault, self.known.compiled)
        if law:
            callers = self._callers(fault.where.split(".")[-1])
            wanted |= {test for test, (_, names) in self.known.compiled.items() if names & callers}
            wanted |= self._naming(fault.where.split(".")[-1])
        if not fault.where:  # a table is read, not called
            wanted |= self._reading(fault.file)
        compiled = self._round(self.known.compiled, wanted, False, most, fault)
        if not self.known.compiled:
            return found + self._by_name(fault, law, most)
        newer = [Round(self._new(one.tests[0]), *one[1:]) for one in self._by_name(fault, False, most)]
        newer = [one for one in newer if one.tests][:2]
        own = [one for one in newer if f"/{fault.file.split('/')[0]}/" in one.tests[0]]
        return found + own + compiled + [one for one in newer if one not in own]

    def _is_there(self, test: str) -> bool:
        """Whether the function of a known test is still in its file."""
        file, _, rest = test.partition("::")
        return f"def {rest.split('[')[0].split('::')[-1]}(" in self.sources.get(file, "")

    def _holds_laws(self, file: str) -> bool:
        return any(place.startswith(f"{file}::") for place in self.laws.values())

    def _reached(self, fault: Fault, among: dict[str, tuple[float, set[str]]]) -> set[str]:
        """Tests that reach the function; for a class or a module, any function of it."""
        exact = f"{fault.file}::{fault.where}"
        found = {test for test, (_, names) in among.items() if exact in names}
        if not found:
            starts = (f"{exact}.", f"{fault.file}::") if fault.where else (f"{fault.file}::",)
            for start in starts:
                found = {
                    test for test, (_, names) in among.items() if any(one.startswith(start) for one in names)
                }
                if found:
                    break
        return found

    def _callers(self, law: str) -> set[str]:
        """Functions outside compiled laws through which a law is reached."""
        new, seen, found = {law}, {law}, set()
        while new:
            users = {place for place, names in self.uses.items() if names & new}
            inner = {place.split("::")[1] for place in users if place.split("::")[1] in self.laws}
            found |= {place for place in users if place.split("::")[1] not in self.laws}
            new = inner - seen
            seen |= new
        return found

    def _naming(self, name: str) -> set[str]:
        """Known tests in modules that name a function."""
        files = {file for file, text in self.sources.items() if re.search(rf"\b{re.escape(name)}\b", text)}
        return {test for test in self.known.compiled if test.split("::")[0] in files}

    def _reading(self, file: str) -> set[str]:
        """Known tests in modules that import a module of the program."""
        *rooms, stem = Path(file).with_suffix("").parts
        home = re.escape(".".join(["featherbench", *rooms]))
        written = re.compile(rf"{home}\.{stem}\b|from {home} import [^\n]*\b{stem}\b")
        files = {name for name, text in self.sources.items() if written.search(text)}
        return {test for test in self.known.compiled if test.split("::")[0] in files}

    def _round(
        self,
        among: dict[str, tuple[float, set[str]]],
        wanted: set[str],
        plain: bool,
        most: float,
        fault: Fault | None = None,
    ) -> list[Round]:
        """Cut the wanted tests, cheapest and narrowest first, into rounds."""
        near = self._reading(fault.file) if fault else set()
        keen = self.known.keen[f"{fault.file}::{fault.where}"] if fault else Counter()
        fond = self.known.keen[fault.file] if fault else Counter()

        def cost(test: str) -> float:
            seconds, names = among[test]
            return (
                (0.5 if test in near else 1.0)
                * (seconds + 0.004 * len(names))
                / (1.0 + 4.0 * keen[test] + min(1.0, 0.2 * fond[test]))
            )

        rounds, now, spent, whole = [], [], 0.0, 0.0
        limits = [FIRST, SECOND, most]
        for test in sorted(wanted, key=lambda one: (cost(one), one)):
            seconds = among[test][0]
            if whole + seconds > most:
                continue
            if now and spent + seconds > limits[min(len(rounds), 2)]:
                rounds.append(Round(now, plain, spent))
                now, spent = [], 0.0
            now, spent, whole = [*now, test], spent + seconds, whole + seconds
        return [*rounds, Round(now, plain, spent)] if now else rounds

    def _new(self, file: str) -> list[str]:
        """Tests of a module that are newer than the map."""
        mapped = {test.split("[")[0] for test in self.known.compiled}
        names = re.findall(r"^def (test_\w+)\(", self.sources[file], flags=re.MULTILINE)
        return [f"{file}::{name}" for name in names if f"{file}::{name}" not in mapped | self.dropped]

    def _by_name(self, fault: Fault, law: bool, most: float) -> list[Round]:
        """Modules of tests that name the function or its module, or are of the same room."""
        stem, room = Path(fault.file).stem, fault.file.split("/")[0]
        name, holder = _told_by(fault.where)
        name = name or stem
        module = "featherbench." + fault.file.removesuffix(".py").replace("/", ".")
        marks = {}
        for file, text in self.sources.items():
            mark = 4 * len(re.findall(rf"\b{re.escape(name)}\b", text))
            if holder and not re.search(rf"\b{re.escape(holder)}\b", text):
                mark = 0  # the same word in another matter
            mark += 3 * text.count(module)
            mark += 6 * (stem in file) + 2 * (f"/{room}/" in file)
            if mark >= 2:
                marks[file] = min(mark, 30) - (6 if file.startswith("validation") else 0)
        best = sorted(marks, key=lambda file: (-marks[file], file))[:4]
        rounds = [Round(best[:2], True, min(8.0, most), False)] if law and best else []
        return rounds + [Round([file], False, most, False) for file in best]


def _told_by(where: str) -> tuple[str, str]:
    """By which name tests ask for a place, and the class it is in, if so: a method by its own, what is defined inside a
    function by the function's.
    """
    outer, *inner = where.split(".")
    return (inner[0], outer) if inner and outer.strip("_")[:1].isupper() else (outer, "")


def _laws(package: Path) -> tuple[dict[str, set[str]], dict[str, str]]:
    """What each function of the program uses by name, and where each compiled law is."""
    uses: dict[str, set[str]] = {}
    laws: dict[str, str] = {}
    for file in sorted(package.rglob("*.py")):
        place = str(file.relative_to(package))
        tree = ast.parse(file.read_bytes())
        holders = [
            (None, tree),
            *((one.name, one) for one in ast.walk(tree) if isinstance(one, ast.ClassDef)),
        ]
        for holder, node in holders:
            for function in node.body:
                if isinstance(function, ast.FunctionDef):
                    where = f"{place}::{holder}.{function.name}" if holder else f"{place}::{function.name}"
                    names = {one.id for one in ast.walk(function) if isinstance(one, ast.Name)}
                    uses[where] = names | {
                        one.attr for one in ast.walk(function) if isinstance(one, ast.Attribute)
                    }
                    if any(COMPILED.match(ast.unparse(one)) for one in function.decorator_list):
                        laws[function.name] = where
    return uses, laws
