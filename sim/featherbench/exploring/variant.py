"""The variant file of a build as the sliders stand: its base, and only what differs.

What sliders change is laid over the file as a command line's settings are, so that a written variant, read back, is the
very build that was shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from featherbench import quantities
from featherbench.exploring.exploration import Exploration, State, Typed
from featherbench.scenario import Problem, Scenario, ScenarioError, read
from featherbench.scenario import parts as written
from featherbench.studies.variant_file import differing_tables, own_file, typed_key, variant_file

HEADING = "Written by featherbench explore: what the sliders changed; the rest is as in the base."
UNHELD = "state held_by: nothing is said to hold it yet"


def explored_variant(
    exploration: Exploration,
    state: State,
    folder: Path,
    settings: Mapping[str, Any] | None = None,
    comments: Sequence[str] = (),
) -> str:
    """Its text, to be written into `folder`.

    settings: laid over the file when it was read, which the variant then says too; comments: lines to begin with.
    What holds added weights is left to be stated, and the file says so: standing on a bolt's end, they are loose.
    Raises ScenarioError when the scenario came from no file, or is no longer what that file and the settings say.
    """
    file = _file(exploration.scenario, settings or {})
    tables = differing_tables(file, all_settings(exploration, state, settings or {}))
    title = str(tables.pop("title", exploration.scenario.title))
    loose = exploration.added if exploration.fits_added(state) else ()
    return variant_file(
        exploration.scenario,
        folder,
        heading=HEADING,
        title=title,
        tables=tables,
        comments=comments,
        remarks={f"part.{name}.material": UNHELD for name in loose},
    )


def explored_scenario(
    exploration: Exploration, state: State, settings: Mapping[str, Any] | None = None
) -> Scenario:
    """The build read from its file with everything that was changed laid over it; raises ScenarioError."""
    file = _file(exploration.scenario, settings or {})
    return read(file, all_settings(exploration, state, settings or {}))


def all_settings(exploration: Exploration, state: State, settings: Mapping[str, Any]) -> dict[str, Any]:
    """Settings and what the sliders changed, as key path -> text; the sliders have the last word."""
    changes = exploration.changes(state)
    own: dict[str, Any] = {}
    if exploration.fits_added(state):
        built = exploration.build(state)
        own = {
            f"part.{name}": _added_part(built.part[name], changes, f"part.{name}.")
            for name in exploration.added
        }
        changes = {key: typed for key, typed in changes.items() if not _of_added(exploration, key)}
    own |= {
        typed_key(exploration.scenario, key): _with_tolerance(exploration.scenario, key, typed)
        for key, typed in changes.items()
    }
    words = [
        f"{slider.label} {quantities.text(value, slider.kind, exploration.system)}"
        for key, value in exploration.moved(state).items()
        for slider in [exploration.slider(key)]
    ]
    if words:
        own["title"] = f"{exploration.scenario.title}; {', '.join(words)}"
    return {**{key: value for key, value in settings.items() if key not in own}, **own}


def _file(scenario: Scenario, settings: Mapping[str, Any]) -> str:
    """The scenario's own file; refused when it no longer says, with these settings, what was read from it."""
    file = own_file(scenario)
    if read(file, settings).source.digest != scenario.source.digest:
        given = "a file that was changed since, or settings that are not given here"
        expected = "the file and the settings as they were when it was read"
        raise ScenarioError((Problem(file, None, "base", given, expected),))
    return file


def _with_tolerance(scenario: Scenario, key: str, typed: Typed) -> str:
    """The text, with the tolerance that the file states for this key."""
    half = scenario.source.tolerances.get(key)
    if not half:
        return typed.text
    number, unit = typed.text.split(" ", 1)
    factor = quantities.parse(f"1 {unit}", typed.kind).value
    return f"{number} +/- {quantities.plain_number(half / factor, 6)} {unit}"


def _of_added(exploration: Exploration, key: str) -> bool:
    return any(key.startswith(f"part.{name}.") for name in exploration.added)


def _added_part(part: written.Part, changes: Mapping[str, Typed], key: str) -> dict[str, Any]:
    """An added weight as it stands in a file; what sliders changed of it as they typed it."""
    assert isinstance(part, written.CylinderPart)

    def length(name: str, value: float) -> str:
        typed = changes.get(key + name)
        return typed.text if typed else quantities.text(value, "length", digits=12)

    place = {"radius": part.at.radius, "chord": part.at.chord, "normal": part.at.normal}
    table = {
        "group": part.group,
        "shape": part.shape,
        "axis": part.axis,
        "diameter": length("diameter", part.diameter),
        "length": length("length", part.length),
        "at": {name: length(f"at.{name}", value) for name, value in place.items() if value},
        "material": part.material,
    }
    turn = changes.get(f"{key}turn")
    return table | {"turn": turn.text} if turn else table
