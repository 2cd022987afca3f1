"""What a fit found of one build, laid over another: `measured = "plain-fitted.toml"` in a scenario, or by --set.

Only what the fit found is taken over, and only where this build says the same as the build that was fitted: a key that
it states otherwise is its own, and a part that it has not is passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from featherbench.scenario.problems import Problem, ScenarioError, shown_value

KEY = "measured"
EXAMPLE = 'the name of a file that calibrate wrote, for example "plain-fitted.toml"'


def lay_measured(
    raw: dict[str, Any],
    name: object,
    place: tuple[str, int | None],
    folder: Path,
    read: Callable[[Path], Mapping[str, Any]],
) -> Path:
    """Lay over a raw tree what the named file found, and give its path. read: a file's tree. Raises ScenarioError."""

    def refused(expected: str) -> ScenarioError:
        return ScenarioError([Problem(place[0], place[1], KEY, shown_value(name), expected)])

    if not isinstance(name, str) or not name.strip() or "\0" in name:
        raise refused(EXAMPLE)
    path = folder / name
    if not path.is_file():
        raise refused(f"an existing file: {EXAMPLE}")
    found = read(path)
    fitted, base = found.get("fitted"), found.get("base")
    if not isinstance(fitted, Mapping) or not isinstance(base, str):
        raise refused(f"a file with [fitted]: {EXAMPLE}")
    before = read(path.parent / base)
    for key in fitted.get("keys", []):
        _take_over(raw, found, before, str(key).split("."))
    raw["fitted"] = dict(fitted)
    return path


def _take_over(
    raw: dict[str, Any], found: Mapping[str, Any], before: Mapping[str, Any], steps: list[str]
) -> None:
    """One key, where the build says what the fitted one said before."""
    steps = _through_names(found, steps)
    value = _at(found, steps)
    if value is None or _at(raw, steps) != _at(before, steps):
        return
    if steps[0] == "part" and _at(raw, steps[:2]) is None:
        return
    node = raw
    for step in steps[:-1]:
        node = node.setdefault(step, {})
        if not isinstance(node, dict):
            return
    node[steps[-1]] = value


def _through_names(found: Mapping[str, Any], steps: list[str]) -> list[str]:
    """The steps with a part's name, which may hold points, in one piece."""
    parts = found.get("part")
    if steps[0] == "part" and isinstance(parts, Mapping):
        for count in range(len(steps) - 1, 1, -1):
            if ".".join(steps[1:count]) in parts:
                return ["part", ".".join(steps[1:count]), *steps[count:]]
    return steps


def _at(node: Any, steps: list[str]) -> Any:
    for step in steps:
        if not isinstance(node, Mapping) or step not in node:
            return None
        node = node[step]
    return node
