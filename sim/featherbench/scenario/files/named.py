"""The files that a scenario names: which there are, and their names as seen from the scenario's own folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.raw_tree import RawTree, copied
from featherbench.scenario.rules import FILE_KEYS
from featherbench.sections.designation import is_coordinate_file


def named_files(tree: RawTree) -> list[tuple[KeyPath, str, Path]]:
    """Key path, name and whole path of each file that the scenario names, seen from the file naming it."""
    parts = tree.raw.get("part")
    paths: list[KeyPath] = list(FILE_KEYS)
    if isinstance(parts, dict):
        paths += [("part", name, "file") for name in parts]
    named = []
    for path in paths:
        value = tree.value(path)
        if not isinstance(value, str) or (path == ("blade", "section") and not is_coordinate_file(value)):
            continue
        stated_in, _ = tree.place(path)
        folder = Path(stated_in).parent if stated_in in tree.files[1:] else tree.folder
        named.append((path, value, folder / value if "\0" not in value else Path()))
    return named


def files_in(tree: RawTree) -> dict[KeyPath, bool]:
    """Whether each file that the scenario names exists."""
    found = {}
    for path, _, file in named_files(tree):
        try:
            found[path] = file.is_file()
        except (OSError, ValueError):
            found[path] = False
    return found


def relative_to_folder(tree: RawTree) -> dict[str, Any] | None:
    """The tree with file names of a base in another folder made relative to the scenario's own folder."""
    changed = False
    raw = copied(tree.raw)
    for path, value, file in named_files(tree):
        if file == tree.folder / value:
            continue
        try:
            name = os.path.relpath(str(file), str(tree.folder))
        except ValueError:  # another drive
            name = str(file.absolute())
        node = raw
        for step in path[:-1]:
            node = node[step]
        node[path[-1]] = name
        changed = True
    return raw if changed else None
