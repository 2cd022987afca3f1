"""The variant file of a build as the sliders stand: its base, and only what differs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from featherbench import quantities
from featherbench.scenario import Problem, Scenario, ScenarioError, read
from featherbench.scenario import parts as written
from featherbench.scenario.reading import read_tree
from featherbench.studies.exploring.exploration import Exploration, State, Typed
from featherbench.studies.variant_file import variant_file

HEADING = "Written by featherbench explore: what the sliders changed; the rest is as in the base."


def explored_variant(
    exploration: Exploration, state: State, folder: Path, settings: Mapping[str, Any] | None = None
) -> str:
    """Its text, to be written into `folder`.

    settings: laid over the file when it was read, which the variant then says too. Raises ScenarioError when the
    scenario came from no file, or is no longer what that file and the settings say.
    """
    scenario = exploration.scenario
    tables = set_tables(scenario, settings or {})
    title = str(tables.pop("title", scenario.title))
    changes = exploration.changes(state)
    if exploration.fits_added(state):
        _merge(tables, {"part": {name: _added_part(exploration, state, name) for name in exploration.added}})
        changes = {key: typed for key, typed in changes.items() if not _of_added(exploration, key)}
    _merge(tables, _tables_of(exploration, state, changes))
    words = ", ".join(_said(exploration, key, value) for key, value in exploration.moved(state).items())
    return variant_file(
        scenario, folder, heading=HEADING, title=f"{title}; {words}" if words else title, tables=tables
    )


def set_tables(scenario: Scenario, settings: Mapping[str, Any]) -> dict[str, Any]:
    """Tables as they would stand in a file for what settings changed of it; lists whole."""
    files = scenario.source.files
    if not files or not Path(files[0]).is_file():
        return {}
    if read(files[0], settings).source.digest != scenario.source.digest:
        given = "a file that no longer says what was read, or settings that are not given here"
        raise ScenarioError(
            (Problem(files[0], None, "base", given, "the file and settings as they were read"),)
        )
    if not settings:
        return {}
    return _differing(read_tree(files[0], {}).raw, read_tree(files[0], settings).raw)


def _differing(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in after.items():
        old = before.get(key)
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            inner = _differing(old, value)
            if inner:
                found[key] = inner
        elif value != old or key not in before:
            found[key] = value
    return found


def _merge(target: dict[str, Any], source: Mapping[str, Any]) -> None:
    for key, value in source.items():
        if isinstance(value, Mapping) and isinstance(target.get(key), dict):
            _merge(target[key], value)
        else:
            target[key] = dict(value) if isinstance(value, Mapping) else value


def _tables_of(exploration: Exploration, state: State, changes: Mapping[str, Typed]) -> dict[str, Any]:
    """Changed keys as nested tables; a stack's pieces are written whole, since a list replaces the base's."""
    tables: dict[str, Any] = {}
    built = exploration.build(state)
    for key, typed in changes.items():
        steps = _steps(built, key)
        if "pieces" in steps:
            part = built.part[steps[1]]
            assert isinstance(part, written.StackPart)
            _merge(tables, {"part": {steps[1]: {"pieces": _pieces(part, exploration.system)}}})
            continue
        node: Any = _with_tolerance(exploration.scenario, key, typed)
        for step in reversed(steps):
            node = {step: node}
        _merge(tables, node)
    return tables


def _steps(scenario: Scenario, key: str) -> list[str]:
    """A key path taken apart; names of parts may contain points."""
    head, _, rest = key.partition(".")
    if head != "part":
        return key.split(".")
    name = max((own for own in scenario.part if rest.startswith(f"{own}.")), key=len)
    return [head, name, *rest[len(name) + 1 :].split(".")]


def _with_tolerance(scenario: Scenario, key: str, typed: Typed) -> str:
    """The text, with the tolerance that the file states for this key."""
    half = scenario.source.tolerances.get(key)
    if not half:
        return typed.text
    number, unit = typed.text.split(" ", 1)
    factor = quantities.parse(f"1 {unit}", typed.kind).value
    return f"{number} +/- {quantities.plain_number(half / factor, 6)} {unit}"


def _pieces(part: written.StackPart, system: str) -> list[dict[str, str]]:
    found = []
    for piece in part.pieces:
        keys = {
            "from": piece.from_,
            "length": piece.length,
            "diameter": piece.diameter,
            "across_flats": piece.across_flats,
            "bore": piece.bore or None,
        }
        found.append(
            {
                key: quantities.text(value, "length", system, 12)
                for key, value in keys.items()
                if value is not None
            }
        )
    return found


def _of_added(exploration: Exploration, key: str) -> bool:
    return any(key.startswith(f"part.{name}.") for name in exploration.added)


def _added_part(exploration: Exploration, state: State, name: str) -> dict[str, Any]:
    """An added weight as it stands in a file."""
    part = exploration.build(state).part[name]
    assert isinstance(part, written.CylinderPart)

    def length(value: float) -> str:
        return quantities.text(value, "length", exploration.system, 12)

    table = {
        "group": part.group,
        "shape": part.shape,
        "axis": part.axis,
        "diameter": length(part.diameter),
        "length": length(part.length),
        "at": {"radius": length(part.at.radius), "normal": length(part.at.normal)},
        "material": part.material,
    }
    if part.at.chord:
        table["at"]["chord"] = length(part.at.chord)  # type: ignore[index]
    if part.turn:
        table["turn"] = quantities.text(part.turn, "angle", exploration.system, 12)
    return table


def _said(exploration: Exploration, key: str, value: float) -> str:
    """What was moved, in words for the title."""
    slider = exploration.slider(key)
    return f"{slider.label} {quantities.text(value, slider.kind, exploration.system)}"
