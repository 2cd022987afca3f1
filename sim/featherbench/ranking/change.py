"""One change of a build, tried alone: the build with it, or the reason why the file cannot take it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from featherbench.assembly import Assembly
from featherbench.plain_text import plain
from featherbench.scenario import Scenario
from featherbench.scenario.problems import dotted
from featherbench.scenario.rules import broken_rules
from featherbench.scenario.schema import ScenarioTables
from featherbench.studies.key_paths import looked_up


class Setting(NamedTuple):
    """What a change does to one key: values before and after, SI, of a kind of quantity."""

    key: str
    kind: str
    before: float
    after: float


@dataclass(frozen=True)
class Change:
    """words: what is done, as a builder says it; scenario: the build with it, None where it cannot be; refused: why
    not; remark: what was taken for granted beside it; settings: what it does to which key.
    """

    words: str
    scenario: Scenario | None
    refused: str = ""
    remark: str = ""
    settings: tuple[Setting, ...] = ()


def left_out(words: str, why: str) -> Change:
    """A change that the build cannot take."""
    return Change(words, None, refused=why)


def altered(
    scenario: Scenario,
    words: str,
    tables: Mapping[str, Any],
    *,
    remark: str = "",
    settings: tuple[Setting, ...] = (),
) -> Change:
    """The build with other tables in place of its own, judged by the same rules as a file."""
    changed = scenario.model_copy(update=dict(tables))
    written = {name: getattr(changed, name) for name in ScenarioTables.model_fields}
    written["part"] = {**changed.part, **changed.replaced}
    for broken in broken_rules(written, {}):
        return left_out(words, f"{dotted(broken.path)}: expected {plain(broken.expected)}")
    return Change(words, changed, remark=remark, settings=settings)


def scaled(scenario: Scenario, words: str, factors: Mapping[str, float], remark: str = "") -> Change:
    """The build with numbers at key paths times a factor; left out where one of them is not stated."""
    tables: dict[str, Any] = {}
    settings = []
    for key, factor in factors.items():
        table, _, name = key.partition(".")
        value = getattr(getattr(scenario, table), name)
        if value is None:
            return left_out(words, f"{key} is not stated")
        if value == 0.0:
            return left_out(words, f"{key} is 0 already")
        field = looked_up(scenario, key)[1]
        settings.append(Setting(key, field.kind if field else "ratio", float(value), factor * value))
        own = tables.get(table, getattr(scenario, table))
        tables[table] = own.model_copy(update={name: factor * value})
    return altered(scenario, words, tables, remark=remark, settings=tuple(settings))


def piece_mass(scenario: Scenario, assembly: Assembly, name: str) -> float:
    """Mass of one piece of a part, kg, whether it was weighed or follows from its size."""
    part = scenario.part[name]
    if part.mass is not None:
        return float(part.mass)
    placed = next(own for own in assembly.parts if own.name == name)
    return float(placed.moments.mass) / (2.0 if part.mirror else 1.0)


def with_masses(
    scenario: Scenario,
    assembly: Assembly,
    words: str,
    factors: Mapping[str, float],
    remark: str = "",
    more: Mapping[str, Mapping[str, Any]] | None = None,
) -> Change:
    """The build with parts of other mass, their inertia with it. more: by part, what else of it changes."""
    parts = dict(scenario.part)
    settings = []
    for name, factor in factors.items():
        before = piece_mass(scenario, assembly, name)
        settings.append(Setting(f"part.{name}.mass", "mass", before, factor * before))
        parts[name] = parts[name].model_copy(
            update={"mass": factor * before, "density": None, **(more or {}).get(name, {})}
        )
    return altered(scenario, words, {"part": parts}, remark=remark, settings=tuple(settings))
