"""From a raw tree to a checked scenario: schema, then the rules across keys, all problems together."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import Field, TypeAdapter, ValidationError

from featherbench.handed import as_typed, handed
from featherbench.notebook import HtmlDisplay
from featherbench.scenario.assumed import Assumed, left_to_defaults
from featherbench.scenario.doubt import AS_WRITTEN, Departure
from featherbench.scenario.files.named import files_in, relative_to_folder
from featherbench.scenario.fitted import departure_of
from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.parts import Part
from featherbench.scenario.problems import Problem, ScenarioError, dotted, shown_value
from featherbench.scenario.raw_tree import DEEPEST, RawTree, Where, copied, depth
from featherbench.scenario.reading import read_tree
from featherbench.scenario.reference import counted_from
from featherbench.scenario.rules import broken_rules
from featherbench.scenario.schema import ScenarioTables
from featherbench.scenario.settings import apply_settings
from featherbench.scenario.wording import schema_problems


@dataclass(frozen=True)
class Source:
    """Where a scenario came from.

    files: as opened, the scenario's own first, then its bases. folder: of the scenario's own file; file names
    in the scenario are relative to it. digest: sha256 of the merged tree, the same for the same content
    however it is laid out or split over files. tolerances: key path -> half-width in SI of each quantity
    typed with +/-. assumed: what was left to the defaults of the schema. places: key path -> file and line
    that supplied it, the line None for what a command line set. reference: file of the plain build that compensation
    counts from. tree: what was typed, to be read again with settings.
    """

    files: tuple[str, ...] = ()
    folder: Path = Path()
    digest: str = ""
    tolerances: dict[str, float] = field(default_factory=dict)
    assumed: tuple[Assumed, ...] = ()
    places: dict[str, Where] = field(default_factory=dict)
    reference: str = ""
    tree: RawTree | None = field(default=None, repr=False, compare=False)

    def place(self, key: str) -> Where:
        """File and line of a key path, or of the nearest table around it that has one."""
        while key:
            if key in self.places:
                return self.places[key]
            key = key.rpartition(".")[0]
        return (self.files[0] if self.files else "", None)


class Scenario(ScenarioTables, HtmlDisplay):
    """A checked scenario: plain SI floats in the tables of the schema, and where it came from."""

    source: Source = Source()
    replaced: dict[str, Part] = Field(default_factory=dict)
    """Parts that others stand in for (their `instead_of`): not fitted, so not in `part`."""
    plain_bolts: dict[str, Part] = Field(default_factory=dict)
    """Bolts of the plain build that this one has not, or not as they are: see `scenario.reference`."""
    other_bolts: frozenset[str] = frozenset()
    """Names of its own bolts that are not those of the plain build."""
    departure: Departure = AS_WRITTEN
    """Where a sampled build lies within its doubts; nothing that a file could state."""


def located(error: ScenarioError, scenario: Scenario) -> ScenarioError:
    """The same refusal with file and line for every problem that names a key only.

    The rooms that build from a scenario know keys; where a key was typed, its source knows.
    """
    problems = []
    for problem in error.problems:
        if problem.line is None and problem.key:
            file, line = scenario.source.place(problem.key)
            problem = replace(problem, file=file, line=line)
        problems.append(problem)
    return ScenarioError(problems)


def read(path: str | os.PathLike[str] | Scenario, settings: Mapping[str, Any] | None = None) -> Scenario:
    """Read a scenario file, its bases, and `key.path` -> value settings laid over it.

    path: or a scenario that was read, for a checked copy of it that says otherwise. A value is a text as in a file, a
    float in SI (whatever a Scenario holds), or a pint quantity. Raises ScenarioError with everything that is wrong.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> plain.rotor.blades, round(plain.rotor.speed)  # rad/s
    (2, 1047)
    >>> faster = fb.read(plain, {"rotor.speed": "11000 rpm"})
    >>> round(faster.rotor.speed / plain.rotor.speed, 3)
    1.1
    >>> fb.read(plain, {"rotor.blades": "two"})
    Traceback (most recent call last):
    featherbench.scenario.problems.ScenarioError: 1 problem in the input:
    ...
    """
    if isinstance(path, Scenario):
        return checked(relaid(tree_of(path), handed(settings or {})))
    return checked(read_tree(Path(path), handed(settings or {})))


def relaid(tree: RawTree, settings: Mapping[str, Any]) -> RawTree:
    """A copy of a tree with settings laid over it."""
    fresh = replace(tree, raw=copied(tree.raw), where=dict(tree.where), problems=list(tree.problems))
    apply_settings(fresh, settings)
    return fresh


def tree_of(scenario: Scenario) -> RawTree:
    """What a scenario was read from. Raises ScenarioError where it is not, or no longer, what was read: a copy that was
    changed past the checks must not lend its name to what it was made from.
    """
    tree = scenario.source.tree
    if tree is not None:
        again = checked(relaid(tree, {}))
        names = (*ScenarioTables.model_fields, "replaced", "plain_bolts", "departure")
        if all(getattr(again, name) == getattr(scenario, name) for name in names):
            return tree
    given = (
        "a scenario that was changed after it was read" if tree else "a scenario that was read from nothing"
    )
    expected = "what featherbench.read or featherbench.scenario_of gives, and changes by settings"
    raise ScenarioError([Problem(str(next(iter(scenario.source.files), "")), None, "", given, expected)])


def scenario_of(tables: Mapping[str, Any], folder: str | os.PathLike[str] = "") -> Scenario:
    """A scenario from tables of your own: texts as in a file, floats in SI, or pint quantities. Raises ScenarioError.

    folder: what file names in it are relative to.

    >>> import tomllib, featherbench as fb
    >>> tables = tomllib.loads(fb.example("survey-3kg/plain").read_text(encoding="utf-8"))
    >>> tables["rotor"]["speed"] = 942.5  # rad/s
    >>> fb.scenario_of(tables).rotor.speed
    942.5
    """
    return from_tables(handed(tables), folder=folder)


def from_tables(
    raw: Mapping[str, Any],
    *,
    name: str = "scenario",
    folder: str | os.PathLike[str] = "",
    settings: Mapping[str, Any] | None = None,
) -> Scenario:
    """A scenario from tables as they would stand in a file, quantities as text. Raises ScenarioError."""
    if depth(raw) > DEEPEST:
        raise ScenarioError([Problem(name, None, "", f"tables more than {DEEPEST} deep", "a scenario")])
    tree = RawTree(copied(raw), {}, (name,), Path(folder))
    apply_settings(tree, settings or {})
    return checked(tree)


def checked(tree: RawTree) -> Scenario:
    """Check a tree against schema and rules."""
    spreads: dict[str, float] = {}
    problems = list(tree.problems)
    tables: Mapping[str, Any]
    model: ScenarioTables | None = None
    try:
        model = ScenarioTables.model_validate(tree.raw, context=spreads)
        tree.raw = as_typed(tree.raw)
        tables = {name: getattr(model, name) for name in ScenarioTables.model_fields}
    except ValidationError as error:
        problems += schema_problems(error.errors(include_url=False, include_input=False), tree)
        tables = _valid_tables(tree.raw)
    for broken in broken_rules(tables, files_in(tree)):
        file, line = tree.place(broken.path)
        value = tree.value(broken.path)
        given = broken.given or ("nothing" if value is None else shown_value(value))
        problems.append(Problem(file, line, dotted(broken.path), given, broken.expected))
    if problems or model is None:
        raise ScenarioError(problems)
    plain_bolts, other_bolts = counted_from(tree.reference, tree.raw)
    source = Source(
        files=tree.files,
        folder=tree.folder,
        digest=_digest(_counted(tree, plain_bolts, other_bolts)),
        reference=tree.reference.file if tree.reference else "",
        tolerances=_tolerances(tree.raw, spreads),
        assumed=left_to_defaults(model),
        places={dotted(path): place for path, place in tree.where.items()},
        tree=tree,
    )
    moved = relative_to_folder(tree)
    if moved:
        model = ScenarioTables.model_validate(moved)
        tables = {name: getattr(model, name) for name in ScenarioTables.model_fields}
    stated = model.model_fields_set | {"source", "replaced", "plain_bolts", "other_bolts"}
    left_off = {name for part in model.part.values() for name in part.instead_of}
    there = {name: part for name, part in model.part.items() if name not in left_off}
    replaced = {name: part for name, part in model.part.items() if name in left_off}
    whole = {**tables, "part": there}
    return Scenario.model_construct(
        _fields_set=stated,
        **whole,
        source=source,
        replaced=replaced,
        plain_bolts=plain_bolts,
        other_bolts=other_bolts,
        departure=departure_of(model.fitted, source.tolerances),
    )


def _valid_tables(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Those tables (and parts) that are right by themselves, so that the rules can speak about them too."""
    valid: dict[str, Any] = {}
    for name, known in ScenarioTables.model_fields.items():
        whole: Any = known.annotation
        if name == "part":
            inner = TypeAdapter(ScenarioTables.model_fields["part"].annotation.__args__[1])  # type: ignore[union-attr]
            parts = raw.get("part")
            found = (
                {key: _valid(inner, part) for key, part in parts.items()} if isinstance(parts, dict) else {}
            )
            valid[name] = {key: part for key, part in found.items() if part is not None}
        elif name in raw:
            valid[name] = _valid(TypeAdapter(whole), raw[name])
        else:
            valid[name] = None
    return valid


def _valid(adapter: TypeAdapter[Any], value: object) -> Any:
    try:
        return adapter.validate_python(value)
    except ValidationError:
        return None


def _counted(tree: RawTree, gone: Collection[str], other: Collection[str]) -> Mapping[str, Any]:
    """The tree, with the plain bolts where they are not its own, by what `counted_from` says of it."""
    if tree.reference is None or not (gone or other):
        return tree.raw
    return {**tree.raw, "reference": tree.reference.parts}


def _digest(raw: Mapping[str, Any]) -> str:
    canonical = json.dumps(raw, sort_keys=True, separators=(",", ":"), ensure_ascii=True, default=str)
    return hashlib.sha256(canonical.encode("ascii")).hexdigest()


def _tolerances(raw: Mapping[str, Any], spreads: Mapping[str, float]) -> dict[str, float]:
    """Half-widths by key path; a text with +/- means the same size wherever it stands."""
    found: dict[str, float] = {}
    waiting: list[tuple[KeyPath, Any]] = [
        ((key,), value) for key, value in raw.items() if isinstance(value, dict)
    ]
    while waiting:
        path, node = waiting.pop()
        if isinstance(node, str) and node in spreads:
            found[dotted(path)] = spreads[node]
        elif isinstance(node, dict):
            waiting.extend(((*path, key), value) for key, value in node.items())
        elif isinstance(node, list):
            waiting.extend(((*path, index), value) for index, value in enumerate(node))
    return dict(sorted(found.items()))
