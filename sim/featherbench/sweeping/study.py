"""One sweep as its workers know it: the base as typed, what varies, what is kept; and a chunk of its builds.

A study travels as bytes, which a worker takes apart once, however many chunks it gets. A build that cannot be, or that
the program or the user's function fails on, is refused alone, in words.
"""

from __future__ import annotations

import functools
import hashlib
import pickle
import sys
import types
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple

from featherbench.bench.setup import Setup, build_setup
from featherbench.rotor.build import Air, build_air
from featherbench.scenario import Scenario, ScenarioError
from featherbench.scenario.checked import checked, relaid
from featherbench.scenario.raw_tree import RawTree
from featherbench.studies.engines import is_ending
from featherbench.sweeping.grid import Row
from featherbench.sweeping.values import Asked, Found, values_of
from featherbench.version import __version__

REFUSED = "refused"
"""Column of words: why a build was refused, "" for one that was not."""
AIRS = 256
"""Air loads that are kept at a time, of 76 kB each."""

SHOWING = ("cli.py", "commands", "notebook_cells.py", "pictures", "render", "views", "window", "workshop")
"""Rooms and modules that work nothing out."""


class Columns(NamedTuple):
    """Of some builds in a row: by name, a value each, and why one was refused; program: that worked them out."""

    values: dict[str, list[Any]]
    refused: list[str]
    program: str


@dataclass(frozen=True)
class Study:
    """tree: the base as typed; keys: what varies; asked: what is kept; columns: the names of what is kept, {} before a
    first build was run, and whether each is of texts.
    """

    tree: RawTree
    keys: tuple[str, ...]
    asked: Asked
    columns: dict[str, bool] = field(default_factory=dict)

    def scenario(self, row: Row) -> Scenario:
        """The build of a row. Raises ScenarioError."""
        return checked(relaid(self.tree, dict(zip(self.keys, row, strict=True))))


class Alike:
    """What builds of a chunk share: air loads of the rotors that were met last, and what the last build was made of."""

    def __init__(self) -> None:
        """None met yet."""
        self._met: dict[str, Air] = {}
        self._last: Setup | None = None

    def setup(self, scenario: Scenario) -> Setup:
        """A scenario made ready. Raises ScenarioError."""
        self._last = build_setup(scenario, self.air(scenario), like=self._last)
        return self._last

    def air(self, scenario: Scenario) -> Air:
        """The air loads of a scenario. Raises ScenarioError."""
        tables = (scenario.rotor, scenario.blade, scenario.air)
        same = "|".join((*(one.model_dump_json() for one in tables), repr(scenario.departure)))
        if same not in self._met:
            if len(self._met) >= AIRS:
                del self._met[next(iter(self._met))]
            self._met[same] = build_air(scenario)
        return self._met[same]


def run_chunk(given: bytes | Study, rows: Sequence[Row]) -> Columns | None:
    """The values of some builds; None where the worker was told to stop before it had all of them.

    given: the study, as it travels where this is another process.
    """
    study, alike = unpacked(given) if isinstance(given, bytes) else given, Alike()
    found: dict[str, list[Any]] = {name: [] for name in study.columns}
    refusals = []
    for row in rows:
        if is_ending():
            return None
        own, why = one_build(study, row, alike)
        refusals.append(why)
        for name, column in found.items():
            column.append(own.get(name))
    return Columns(found, refusals, program_digest())


def one_build(study: Study, row: Row, alike: Alike) -> tuple[Found, str]:
    """Values of a build, and "" or why it was refused."""
    try:
        found = values_of(alike.setup(study.scenario(row)), study.asked)
    except ScenarioError as error:
        return {}, in_a_line(error)
    except Exception as error:  # one build must not take the others with it
        return (
            {},
            f"{'the function' if callable(study.asked) else 'the program'} failed on it: {_fault(error)}",
        )
    other = [
        name
        for name, value in found.items()
        if study.columns
        and (
            name not in study.columns or (value is not None and isinstance(value, str) != study.columns[name])
        )
    ]
    if other:
        return (
            {},
            f"the function gave {', '.join(other)}, by name or by kind not what it gave of the first build",
        )
    return found, ""


def in_a_line(error: ScenarioError) -> str:
    """What was wrong with a build, without the file and line of its base."""
    said = [
        f"{one.key}: {one.given}, expected {one.expected}"
        if one.key
        else f"{one.given}, expected {one.expected}"
        for one in error.problems[:3]
    ]
    more = len(error.problems) - len(said)
    return " ".join("; ".join([*said, *([f"and {more} more"] if more else [])]).split())


def _fault(error: Exception) -> str:
    return " ".join(f"{type(error).__name__}: {error}".split())[:300]


def packed(study: Study) -> bytes:
    """The study as it travels. Raises ValueError, in words, for a function that other processes could not find."""
    asked = study.asked
    if not callable(asked):
        return pickle.dumps(study)
    name = getattr(asked, "__qualname__", repr(asked))
    if find_spec("cloudpickle") is not None:
        import cloudpickle  # type: ignore[import-not-found, unused-ignore]

        return bytes(cloudpickle.dumps(study))
    hint = "write it into a module of its own and import it, install cloudpickle, or use jobs=1"
    if getattr(asked, "__module__", "") == "__main__" and not _has_file(sys.modules["__main__"]):
        raise ValueError(f"values: {name} was typed where other processes cannot find it: {hint}")
    try:
        return pickle.dumps(study)
    except Exception as error:
        raise ValueError(
            f"values: {name} cannot be sent to other processes ({_fault(error)}): {hint}"
        ) from None


def _has_file(module: Any) -> bool:
    return Path(getattr(module, "__file__", None) or "").is_file()


@functools.lru_cache(maxsize=4)
def unpacked(packed_study: bytes) -> Study:
    """The study of these bytes; taken apart once in a process."""
    study = pickle.loads(packed_study)
    assert isinstance(study, Study)
    return study


@functools.cache
def program_digest() -> str:
    """Version, and a digest of what works builds out: builds worked out by different laws are not mixed."""
    digest = hashlib.sha256()
    root = Path(__file__).parents[1]
    for file in sorted(root.rglob("*.py")):
        if file.relative_to(root).parts[0] in SHOWING:
            continue
        digest.update(file.relative_to(root).as_posix().encode())
        digest.update(file.read_bytes())
    return f"{__version__} {digest.hexdigest()[:16]}"


def function_digest(function: Callable[..., Any]) -> str:
    """What a user's function is told apart by: its name, its code and what it holds, not what it calls."""
    name = getattr(function, "__qualname__", type(function).__name__)
    return f"{name} {hashlib.sha256(repr(_made_of(function)).encode()).hexdigest()[:16]}"


def _made_of(thing: Any) -> Any:
    """What a function, or what it holds, is made of: the same in every process, with no address in it."""
    if isinstance(thing, functools.partial):
        return [_made_of(part) for part in (thing.func, thing.args, sorted(thing.keywords.items()))]
    if isinstance(thing, types.CodeType):
        return [thing.co_code, thing.co_names, [_made_of(one) for one in thing.co_consts]]
    if isinstance(thing, tuple | list):
        return [_made_of(one) for one in thing]
    code = getattr(thing, "__code__", None)
    if code is not None:
        held = [cell.cell_contents for cell in thing.__closure__ or ()]
        return [_made_of(code), _made_of(held), _made_of(thing.__defaults__)]
    return thing if isinstance(thing, str | bytes | int | float | bool | None) else type(thing).__qualname__
