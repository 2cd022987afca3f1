"""The tree that files are merged into, as typed, and where each key came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.problems import Problem
from featherbench.scenario.reference import Reference

DEEPEST = 12
"""Levels of nesting; a scenario needs six."""


ALTERNATIVES: dict[tuple[str, ...], tuple[tuple[str, ...], ...]] = {
    ("part", "*"): (("density",), ("material",)),
    ("air",): (("density",), ("altitude", "temperature")),
    ("envelope", "target"): (("compensation",), ("seat_ratio",), ("rod_force",)),
}
"""Keys of which a table holds one set or another: a variant that states one set drops the base's others."""


Where = tuple[str, int | None]


@dataclass
class RawTree:
    """The merged tree as typed, and where each key path came from; `problems` were found on the way.

    reference: the plain build that compensation counts from.
    """

    raw: dict[str, Any]
    where: dict[KeyPath, Where]
    files: tuple[str, ...]
    folder: Path
    problems: list[Problem] = field(default_factory=list)
    reference: Reference | None = None

    def place(self, path: KeyPath) -> Where:
        """File and line of a key path, or of the nearest table around it that has one."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.where:
                return self.where[path[:length]]
        return (self.files[0] if self.files else "", None)

    def value(self, path: KeyPath) -> object:
        """What was typed at a key path; None where nothing was."""
        node: Any = self.raw
        for step in path:
            try:
                node = node[step]
            except (LookupError, TypeError):
                return None
        return node


def copied(node: Any) -> Any:
    """A copy of the tables and lists; whatever else stands in them is left for the schema to judge."""
    if isinstance(node, str):  # most of them
        return node
    if isinstance(node, Mapping):
        return {str(key): copied(value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [copied(value) for value in node]
    return node


def depth(tree: object) -> int:
    """Levels of nesting, counted without recursion."""
    deepest, waiting = 0, [(tree, 1)]
    while waiting:
        node, level = waiting.pop()
        deepest = max(deepest, level)
        if level > DEEPEST + 1:
            return level
        inner = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
        waiting.extend((item, level + 1) for item in inner if isinstance(item, dict | list))
    return deepest


def merge_into(
    target: dict[str, Any],
    where: dict[KeyPath, Where],
    source: Mapping[str, Any],
    source_where: Mapping[KeyPath, Where],
    prefix: KeyPath,
) -> None:
    """Lay `source` over `target` in place, table by table, with the places its keys came from."""
    drop_alternatives(target, where, source, prefix)
    for key, value in source.items():
        path = (*prefix, key)
        if isinstance(value, dict) and isinstance(target.get(key), dict):
            merge_into(target[key], where, value, source_where, path)
            continue
        forget(where, path)
        target[key] = value
        length = len(path)
        where.update({known: place for known, place in source_where.items() if known[:length] == path})


def forget(where: dict[KeyPath, Where], path: KeyPath) -> None:
    """Drop the places of a key path and of all beneath it."""
    for known in [known for known in where if known[: len(path)] == path]:
        del where[known]


def drop_alternatives(
    target: dict[str, Any], where: dict[KeyPath, Where], source: Mapping[str, Any], prefix: KeyPath
) -> None:
    """Take out of `target` the sets of keys that the ones stated in `source` stand in for."""
    for pattern, sets in ALTERNATIVES.items():
        if len(pattern) != len(prefix) or any(
            step not in ("*", known) for step, known in zip(pattern, prefix, strict=True)
        ):
            continue
        stated = [group for group in sets if any(key in source for key in group)]
        for group in sets:
            if not stated or group in stated:
                continue
            for key in group:
                if target.pop(key, None) is not None:
                    forget(where, (*prefix, key))
