"""Where mutants run: a copy of the tree, its compiled laws kept in order, and each trial in a process of its own.

The program keeps compiled laws in a folder of their own for each state of all their sources, so a mutant would compile
everything, which costs a minute each time. Here a mutant's folder gets the laws that do not import the changed file,
directly or not, before it is tried, and goes when the mutant goes.
"""

from __future__ import annotations

import ast
import contextlib
import importlib
import importlib.util
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

HEAVY = (
    "numba hypothesis.strategies numpy.testing scipy.optimize scipy.stats scipy.integrate scipy.interpolate "
    "scipy.signal pandas pydantic pint typer rich.console matplotlib.figure ezdxf jinja2 _pytest.skipping"
)
"""Loaded once, before a trial forks; none of them is the program's."""
ALWAYS = ("featherbench.quantities", "featherbench.scenario")
"""Rooms no mutant is in, and which import from none: loaded once, too."""


_LATE = "ignore::pytest.PytestAssertRewriteWarning"  # what was loaded before a trial is no test of ours


@dataclass(frozen=True)
class Trial:
    """How some tests went: "noticed" (by whom), "not noticed", "out of time", "does not load", "no such test"."""

    outcome: str
    by: str
    seconds: float


class _Watch:
    """A pytest plugin that keeps the first failure, and whether a module of tests could be loaded at all."""

    def __init__(self) -> None:
        self.failed, self.unloadable, self.ran = "", "", 0

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.unloadable = self.unloadable or report.nodeid

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.ran += report.when == "call" and not report.skipped
        if report.failed:
            self.failed = self.failed or report.nodeid


class Rig:
    """A copy of the tree at `folder`/tree to plant faults in; `source` is the checkout, which is never touched."""

    def __init__(self, source: Path, folder: Path) -> None:
        """Copy what git lists (or all, without git) where it differs."""
        self.tree = folder / "tree"
        self.package = self.tree / "sim" / "featherbench"
        self.log = folder / "trial.txt"
        self.changed = ""  # the module a fault is in now
        listed = subprocess.run(
            ["git", "ls-files"], cwd=source, capture_output=True, text=True, check=False
        ).stdout
        names = set(listed.split("\n")) - {""} or {
            str(file.relative_to(source)) for room in ("sim", "tests", "validation", "scenarios")
            for file in (source / room).rglob("*") if file.is_file() and "__pycache__" not in file.parts
        } | {"pyproject.toml", "README.md", "DEVELOPERS.md"}  # fmt: skip
        for name in sorted(name for name in names if (source / name).is_file()):
            old, new = source / name, self.tree / name
            if not new.is_file() or new.read_bytes() != old.read_bytes():
                new.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(old, new)
        for room in ("sim", "tests", "validation"):  # a test that has gone must not notice anything
            for file in (self.tree / room).rglob("*.py"):
                if str(file.relative_to(self.tree)) not in names:
                    file.unlink()
        self._borrow(source / "sim" / "featherbench")
        installed = importlib.util.find_spec("featherbench")
        if installed and installed.origin:
            self._borrow(Path(installed.origin).parent)
        self.imports = {file: _imported(file, self.package) for file in self.package.rglob("*.py")}

    def _borrow(self, other: Path) -> None:
        """Take over the compiled laws of another copy whose sources are the same; numba may go by time and size."""
        mine, theirs = self._folder(), _kept_for(other)
        same = [
            file for file in self.package.rglob("*.py") if _same(file, other / file.relative_to(self.package))
        ]
        if mine.exists() or not theirs.is_dir():
            return
        for file in same:
            old = other / file.relative_to(self.package)
            os.utime(file, ns=(old.stat().st_atime_ns, old.stat().st_mtime_ns))
            _lend(file, mine, old, theirs)

    def _folder(self) -> Path:
        """Where laws compiled from the sources as they are now are kept."""
        return _kept_for(self.package)

    def warm(self) -> None:
        """Load what every trial needs; a polite end from now on leaves the copy as it was."""
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
        sys.path.insert(0, str(self.tree / "sim"))
        os.environ["PYTHONPATH"] = str(self.tree / "sim")
        for name in [*HEAVY.split(), *ALWAYS]:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        home = sys.modules["featherbench"].__file__ or ""
        if not home.startswith(str(self.tree)):
            raise SystemExit(f"trials would run {home}, not the copy in {self.tree}")

    # -- planting ------------------------------------------------------------------------------------------

    @contextlib.contextmanager
    def planted(self, name: str, text: bytes) -> Iterator[None]:
        """The program with `text` for the file `name`; afterwards as before, compiled laws included."""
        path = self.package / name
        before, stat = path.read_bytes(), path.stat()
        kept, aside = self._folder(), self.tree.parent / "aside"
        shutil.rmtree(aside, ignore_errors=True)
        kept.mkdir(parents=True, exist_ok=True)
        kept.rename(aside)
        mutants = kept
        try:
            for stale in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
                stale.unlink()
            path.write_bytes(text)
            mutants = self._folder()
            for file in set(self.imports) - self.depends_on(path):
                _lend(file, mutants, file, aside)
            self.changed = "featherbench." + name.removesuffix(".py").removesuffix("/__init__").replace(
                "/", "."
            )
            yield
        finally:
            self.changed = ""
            path.write_bytes(before)
            os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
            shutil.rmtree(mutants, ignore_errors=True)
            aside.rename(kept)

    def depends_on(self, path: Path) -> set[Path]:
        """The file and all that import it, directly or not."""
        reached, new = {path}, {path}
        while new:
            new = {file for file, names in self.imports.items() if names & new} - reached
            reached |= new
        return reached

    def sound(self, test: str, plain: bool) -> bool:
        """Whether a test passes here when nothing is planted."""
        return self.trial([test], 120.0, plain).outcome == "not noticed"

    # -- trials --------------------------------------------------------------------------------------------

    def trial(self, tests: list[str], cpu: float, plain: bool = False) -> Trial:
        """Run tests until one fails, with at most `cpu` seconds of CPU; plain: laws not compiled.

        A trial that neither ends nor fails in its time counts as "out of time".
        """
        start = time.monotonic()
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            self._in_child(tests, cpu, plain, writing)
        os.close(writing)
        patience = start + 8 * cpu + 60
        with os.fdopen(reading, "rb") as pipe:
            status = 0
            while True:
                done, status = os.waitpid(child, os.WNOHANG)
                if done:
                    break
                if time.monotonic() > patience:
                    os.killpg(child, signal.SIGKILL)
                time.sleep(0.02)
            said = pipe.read().decode(errors="replace").split("\n")
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)  # what a test may have started and left
        seconds = round(time.monotonic() - start, 2)
        if os.WIFSIGNALED(status):
            slow = os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL)
            return Trial("out of time" if slow else "noticed", "" if slow else "crash", seconds)
        if len(said) < 2:
            raise SystemExit(f"a trial did not start: see {self.log}")
        return Trial(said[0], said[1], seconds)

    def _in_child(self, tests: list[str], cpu: float, plain: bool, writing: int) -> None:
        """Be a trial: never returns."""
        try:
            os.setsid()
            with open(self.log, "wb") as log:
                os.dup2(log.fileno(), 1)
                os.dup2(log.fileno(), 2)
            os.chdir(self.tree)
            used = resource.getrusage(resource.RUSAGE_SELF)
            allowed = int(used.ru_utime + used.ru_stime + cpu) + 1
            resource.setrlimit(resource.RLIMIT_CPU, (allowed, allowed + 5))
            sys.dont_write_bytecode = True
            signal.signal(signal.SIGINT, signal.default_int_handler)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            if plain:
                from numba.core import config

                os.environ["NUMBA_DISABLE_JIT"] = "1"
                config.DISABLE_JIT = True
            if self.changed:
                try:
                    importlib.import_module(self.changed)
                except Exception as error:
                    os.write(writing, b"does not load\n" + repr(error).encode())
                    return
            watch = _Watch()
            words = [
                "-q",
                "-x",
                "-p",
                "no:cacheprovider",
                "--hypothesis-seed=0",
                "--tb=line",
                "--no-header",
                "-W",
                _LATE,
            ]
            pytest.main([*words, *tests], plugins=[watch])
            if watch.failed or watch.unloadable:  # some tests compute as they are loaded
                said = ("noticed", watch.failed or watch.unloadable)
            else:
                said = ("not noticed", str(watch.ran)) if watch.ran else ("no such test", "")
            os.write(writing, "\n".join(said).encode())
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stderr.flush()
            os._exit(0)


def _imported(file: Path, package: Path) -> set[Path]:
    """Files of the program that a file imports."""
    found: set[Path] = set()
    for node in ast.walk(ast.parse(file.read_bytes())):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names = [node.module, *[f"{node.module}.{alias.name}" for alias in node.names]]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            if name.startswith("featherbench."):
                base = package.joinpath(*name.split(".")[1:])
                found |= {one for one in (base.with_suffix(".py"), base / "__init__.py") if one.is_file()}
    return found


def _same(one: Path, other: Path) -> bool:
    return other.is_file() and one.read_bytes() == other.read_bytes()


def _kept_for(package: Path) -> Path:
    """Where the program at `package` keeps what it compiles; the rule is the checkout's, never a mutant's."""
    rule = Path(__file__).parents[1] / "sim" / "featherbench" / "kernel_cache.py"
    spec = importlib.util.spec_from_file_location("kernel_cache_of_rig", rule)
    assert spec is not None
    assert spec.loader is not None
    rules = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(rules)
    return next(rules.places(package, os.environ)) / f"kernels-{rules.digest(package)[:20]}"


def _lend(file: Path, folder: Path, old: Path, old_folder: Path) -> None:
    """Copy the laws of source `file` into `folder` from those of source `old` in `old_folder`."""
    here, there = (one / _part_of(source) for one, source in ((folder, file), (old_folder, old)))
    for law in there.glob(f"{old.stem}.*.nb[ic]"):
        here.mkdir(parents=True, exist_ok=True)
        shutil.copy(law, here / law.name)


def _part_of(source: Path) -> str:
    """numba's name for the part of a cache that holds a source's laws."""
    from numba.core.caching import _CacheLocator

    return _CacheLocator.get_suitable_cache_subpath(str(source))
