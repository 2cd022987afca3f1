"""Builds that must not run and builds that may, as changes of shipped scenarios, and the first lines they are given.

A design is a table of `designs/*.toml`: `base` a shipped scenario; `remove` names of its parts; `without` keys taken
out; `change` TOML laid over it; `scale` quantities multiplied; `names` words that the first lines must hold.
"""

from __future__ import annotations

import copy
import functools
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from featherbench.bench.setup import build_setup
from featherbench.checks import bench_checks
from featherbench.judging import judge
from featherbench.scenario import Scenario, from_tables
from featherbench.scenario.problems import ScenarioError
from featherbench.scenario.reading import read_tree
from featherbench.studies.prediction import bench_run
from featherbench.studies.run import Run

HERE = Path(__file__).parent
SCENARIOS = HERE.parent / "scenarios"


class Design(NamedTuple):
    """One build. refused: no scenario may come of it, and the refusal is its first line."""

    name: str
    why: str
    base: str
    remove: tuple[str, ...]
    without: tuple[str, ...]
    change: str
    scale: dict[str, float]
    names: tuple[str, ...]
    refused: bool


def designs(kind: str) -> list[Design]:
    """All of `designs/KIND.toml`."""
    rows = tomllib.loads((HERE / "designs" / f"{kind}.toml").read_text(encoding="utf-8"))["design"]
    return [
        Design(
            row["name"],
            row["why"],
            row["base"],
            tuple(row.get("remove", ())),
            tuple(row.get("without", ())),
            row.get("change", ""),
            row.get("scale", {}),
            tuple(row.get("names", ())),
            row.get("refused", False),
        )
        for row in rows
    ]


def scenario_of(design: Design) -> Scenario:
    """The changed scenario; raises ScenarioError when it is refused."""
    path = SCENARIOS / f"{design.base}.toml"
    raw = copy.deepcopy(_raw(path))
    for part in design.remove:
        del raw["part"][part]
    for key in design.without:
        table, last = _table_of(raw, key)
        del table[last]
    for key, factor in design.scale.items():
        table, last = _table_of(raw, key)
        number, unit = table[last].split(" ", 1)
        table[last] = f"{factor * float(number):g} {unit}"
    _lay_over(raw, tomllib.loads(design.change))
    return from_tables(raw, name=design.name, folder=path.parent)


@functools.cache
def _raw(path: Path) -> dict[str, Any]:
    return read_tree(path, {}).raw


def _table_of(raw: dict[str, Any], key: str) -> tuple[dict[str, Any], str]:
    *steps, last = key.split(".")
    for step in steps:
        raw = raw[step]
    return raw, last


def _lay_over(raw: dict[str, Any], change: dict[str, Any]) -> None:
    for key, value in change.items():
        if isinstance(value, dict) and isinstance(raw.get(key), dict):
            _lay_over(raw[key], value)
        else:
            raw[key] = value


def first_lines(design: Design, enough: Callable[[str], bool] | None = None) -> str:
    """What anybody reads first: refusal, or what is to be stopped for, warned of and asked about.

    enough: whether what is said before more moves are tried, which is half of the work, will do: they only tell of more
    places where the servo hunts.
    """
    try:
        setup = build_setup(scenario_of(design))
        if enough is not None and enough(said := _lines(bench_run(setup, groups=False))):
            return said
        return _lines(bench_run(setup))  # as predict
    except ScenarioError as error:
        return f"refused: {error}"


def _lines(run: Run) -> str:
    return "\n".join(judge(bench_checks(run), run).lines)
