"""Settings such as --set key.path=value, laid over what the files say."""

from __future__ import annotations

import copy
import difflib
import functools
import tomllib
from collections.abc import Mapping
from typing import Any

from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.problems import Problem, dotted, shown_value
from featherbench.scenario.raw_tree import (
    DEEPEST,
    RawTree,
    depth,
    drop_alternatives,
    forget,
)


def apply_settings(tree: RawTree, settings: Mapping[str, Any]) -> None:
    """Lay `key.path=value` settings over the tree; those that fit nowhere are noted as problems."""
    for key, value in settings.items():
        path = setting_path(key)
        if path is None:
            problem = "key.path=value, for example rotor.speed=9000 rpm"
        else:
            problem = _of_no_part(tree, path, settings) or _set(tree, path, value)
        if problem:
            tree.problems.append(Problem("--set", None, key, shown_value(value), problem))


def _of_no_part(tree: RawTree, path: KeyPath, settings: Mapping[str, Any]) -> str:
    """What would do instead where a key of a part is set that the build does not have; "" where it has, or gets it.

    Of several builds the setting goes to each: one that takes the part away is meant seldom, and named.
    """
    parts = tree.raw.get("part")
    if (
        path[0] != "part"
        or len(path) < 3
        or path[2] == "shape"
        or not isinstance(parts, dict)
        or path[1] in parts
    ):
        return ""
    if {f"part.{path[1]}", f"part.{path[1]}.shape"} & set(settings):
        return ""
    file = tree.files[0] if tree.files else "this build"
    near = difflib.get_close_matches(str(path[1]), map(str, parts), 1)
    hint = f"; did you mean {near[0]}?" if near else ""
    return f"a part that {file} has: {', '.join(map(str, parts))}{hint}"


@functools.lru_cache(maxsize=256)
def setting_path(key: str) -> KeyPath | None:
    """The steps of a key path typed as a TOML key; whole numbers count list elements."""
    if "\n" in key or "\r" in key:
        return None
    try:
        node: Any = tomllib.loads(f"{key} = 0")
    except (ValueError, RecursionError):
        return None
    path: list[str] = []
    while isinstance(node, dict) and len(path) <= DEEPEST:
        if len(node) != 1:
            return None
        step, node = next(iter(node.items()))
        path.append(step)
    return tuple(path) if node == 0 and not isinstance(node, dict) else None


def _setting_value(value: object) -> object:
    """A TOML value if the text is one, else the text itself."""
    if not isinstance(value, str):
        return copy.deepcopy(value)
    try:
        parsed = tomllib.loads(f"value = {value}")
    except (ValueError, RecursionError):
        return value
    return parsed["value"] if list(parsed) == ["value"] and depth(parsed) <= DEEPEST else value


def _set(tree: RawTree, path: KeyPath, value: object) -> str:
    """Set one value in the tree; gives what was expected instead, or "" when it was done."""
    if path[0] in ("base", "remove", "reference"):
        return "a key of the scenario; a base, its removals and a reference belong into a file"
    node: Any = tree.raw
    steps: list[str | int] = []
    for index, step in enumerate(path):
        if isinstance(node, list):
            if not (isinstance(step, str) and step.isascii() and step.isdigit() and int(step) < len(node)):
                return f"the number of an element of {dotted(steps)}, 0 to {len(node) - 1}"
            step = int(step)
        elif not isinstance(node, dict):
            return f"a key path; {dotted(steps)} holds a single value"
        steps.append(step)
        if index < len(path) - 1:
            node = node.setdefault(step, {}) if isinstance(node, dict) else node[step]
    parsed = _setting_value(value)
    if isinstance(node, dict):
        drop_alternatives(node, tree.where, {str(steps[-1]): parsed}, tuple(steps[:-1]))
    forget(tree.where, tuple(steps))
    node[steps[-1]] = parsed
    tree.where[tuple(steps)] = ("--set", None)
    return ""
