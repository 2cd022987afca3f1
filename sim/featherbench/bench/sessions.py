"""Several tables of forces by hand in one go: of other days and other rotor speeds, each with its own.

The first table with forces says at what speed the rest of the data was read; a later one may state a speed of its own
for its forces. What is no force at a pitch is compared at the first one's speed only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from featherbench.bench.head_line import head_line
from featherbench.bench.logs_text import refused

if TYPE_CHECKING:
    from featherbench.bench.readings import BenchData, Reading
    from featherbench.scenario import Scenario

SPEED = "rotor_speed"
ALIKE = 0.005
"""Share by which rotor speeds may differ that count as one: no better does a governor hold."""


def day_of(path: Path, text: str) -> date | None:
    """The day that a file states, by a line `date = 2026-11-02` or, in a table, `# date: 2026-11-02`; None without.

    Raises ReadingsRefused for what is no date.
    """
    stated, line = head_line(text, "date")
    if not stated:
        return None
    try:
        return date.fromisoformat(stated)
    except ValueError:
        raise refused(path, line, "date", stated[:60], "year, month and day, such as 2026-11-02") from None


def of_table(name: str, found: dict[str, Reading], earlier: Mapping[str, Reading]) -> dict[str, Reading]:
    """The readings of a table by file `name` beside those of earlier files: its forces under names of their own.

    The speed that a later table states goes with its forces; the first one's stays a reading.
    """
    forces = {key: replace(one, file=name) for key, one in found.items() if one.pitch is not None}
    others = {key: one for key, one in found.items() if one.pitch is None}
    if not forces or all(one.pitch is None for one in earlier.values()):
        return others | forces
    stated = others.pop(SPEED, None)
    speed = None if stated is None else float(stated.value)
    return others | {
        f"{key} ({name})": replace(one, name=f"{key} ({name})", speed=speed) for key, one in forces.items()
    }


def by_speed(data: BenchData, speed: float) -> dict[float, tuple[str, ...]]:
    """Names of the forces that were read at other speeds than `speed` (rad/s), by their speed over it."""
    found: dict[float, list[str]] = {}
    for name, one in data.readings.items():
        if one.speed is None or abs(one.speed / speed - 1.0) <= ALIKE:
            continue
        ratio = one.speed / speed
        near = next((known for known in found if abs(known / ratio - 1.0) <= ALIKE), ratio)
        found.setdefault(near, []).append(name)
    return {ratio: tuple(names) for ratio, names in found.items()}


def base_speed(data: BenchData, stated: float) -> float:
    """Rotor speed (rad/s) of all that has none of its own: as read, else as `stated` in the scenario."""
    read = data.readings.get(SPEED)
    return stated if read is None else float(read.value)


def only(data: BenchData, names: tuple[str, ...]) -> BenchData:
    """The data with these readings alone."""
    return replace(data, readings={name: data.readings[name] for name in names}, logs=(), said=())


def of_one_build(data: BenchData, scenario: Scenario) -> BenchData:
    """The data without that of other builds, which one prediction cannot be held against; said. Raises ReadingsRefused
    where nothing is left.
    """
    if not data.builds:
        return data
    asked = scenario.source.files[0] if scenario.source.files else scenario.title
    if not data.readings and not data.logs:
        other = data.builds[0]
        expected = f"readings of {asked}; match these against {other.name}, or change the line that names it"
        raise refused(", ".join(data.digests), None, "build", other.name, expected)
    said = tuple(
        f"what is of {one.name} left out: match it against that file, or calibrate both together"
        for one in data.builds
    )
    return replace(data, builds=(), said=(*data.said, *said))


def at_one_speed(data: BenchData, stated: float) -> BenchData:
    """The data without forces that were read at another speed, which one prediction cannot be held against; said."""
    away = [name for names in by_speed(data, base_speed(data, stated)).values() for name in names]
    if not away:
        return data
    files = ", ".join(dict.fromkeys(data.readings[name].file for name in away))
    kept = {name: one for name, one in data.readings.items() if name not in away}
    said = f"{files} left out, it was read at another rotor speed: match it by itself, with --set rotor.speed"
    return replace(data, readings=kept, said=(*data.said, said))
