"""A variant file: the base it varies, and only what differs."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from featherbench.scenario import Problem, Scenario, ScenarioError


def variant_file(
    scenario: Scenario,
    folder: Path,
    *,
    heading: str,
    title: str,
    tables: Mapping[str, Any],
    remove: Sequence[str] = (),
) -> str:
    """The text of a variant of a scenario's file, to be written into `folder`.

    heading: a comment on its first line; tables: by name, as they stand in a file (texts with units), parts under
    "part"; remove: parts of the base that it takes off. Raises ScenarioError when the scenario came from no file.
    """
    files = scenario.source.files
    if not files or not Path(files[0]).is_file():
        given = files[0] if files else "a scenario without a file"
        raise ScenarioError((Problem(given, None, "base", given, "a scenario read from a file, to vary it"),))
    lines = [
        f"# {heading}",
        f"title = {toml_value(title)}",
        f"base = {toml_value(_relative(Path(files[0]), folder))}",
    ]
    if remove:
        lines.append(f"remove = {toml_value(list(remove))}")
    lines += [f"{key} = {toml_value(value)}" for key, value in tables.items() if not isinstance(value, dict)]
    for name, table in tables.items():
        if name == "part":
            for part, keys in table.items():
                lines += _table(f"part.{_key(part)}", keys)
        elif isinstance(table, dict):
            lines += _table(_key(name), table)
    return "\n".join(lines) + "\n"


def _relative(file: Path, folder: Path) -> str:
    """The base as seen from the folder; whole where the two lie on different drives."""
    try:
        return Path(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:
        return file.resolve().as_posix()


def _table(heading: str, keys: Mapping[str, Any]) -> list[str]:
    return ["", f"[{heading}]", *(f"{_key(key)} = {toml_value(value)}" for key, value in keys.items())]


def _key(name: str) -> str:
    bare = all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name)
    return name if name and bare else toml_value(name)


def toml_value(value: Any) -> str:
    """A text, number, list or table on one line of TOML."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {toml_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False)
