"""A variant file: the base it varies, and only what differs."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.scenario.problems import printable
from featherbench.scenario.reading import read_tree
from featherbench.scenario.toml_writer import toml_key, toml_value


def variant_file(
    scenario: Scenario,
    folder: Path,
    *,
    heading: str,
    title: str,
    tables: Mapping[str, Any],
    remove: Sequence[str] = (),
    remarks: Mapping[str, str] | None = None,
    comments: Sequence[str] = (),
) -> str:
    """The text of a variant of a scenario's file, to be written into `folder`.

    comments: lines to begin with; heading: a comment on the line after them; tables: by name, as they stand in a file
    (texts with units), parts under "part"; remove: parts of the base that it takes off; remarks: by key path, written
    as a comment after its value. Raises ScenarioError when the scenario came from no file.
    """
    base = own_file(scenario)
    said = remarks or {}
    lines = [
        *comments,
        f"# {heading}",
        f"title = {toml_value(title)}",
        f"base = {toml_value(seen_from(Path(base), folder))}",
    ]
    if remove:
        lines.append(f"remove = {toml_value(list(remove))}")
    lines += [_line("", key, value, said) for key, value in tables.items() if not isinstance(value, Mapping)]
    for name, table in tables.items():
        if name == "part":
            for part, keys in table.items():
                lines += _table((name, part), keys, said)
        elif isinstance(table, Mapping):
            lines += _table((name,), table, said)
    return "\n".join(lines) + "\n"


def own_file(scenario: Scenario) -> str:
    """The scenario's own file; raises ScenarioError when it came from none that is still there."""
    files = scenario.source.files
    if not files or not Path(files[0]).is_file():
        given = files[0] if files else "a scenario without a file"
        raise ScenarioError((Problem(given, None, "base", given, "a scenario read from a file, to vary it"),))
    return files[0]


def differing_tables(file: str, changes: Mapping[str, Any]) -> dict[str, Any]:
    """What changes (by key path, as `--set` takes them) make a file say otherwise, as tables; lists whole."""
    return _differing(read_tree(file, {}).raw, read_tree(file, changes).raw)


def typed_key(scenario: Scenario, key: str) -> str:
    """A key path as it is typed: names of parts may hold anything, and are quoted."""
    head, _, rest = key.partition(".")
    if head != "part":
        return key
    name = max((own for own in scenario.part if rest.startswith(f"{own}.")), key=len)
    return f"part.{toml_value(name)}.{rest[len(name) + 1 :]}"


def _differing(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """What a tree says otherwise than another, or says at all; lists whole."""
    found: dict[str, Any] = {}
    for key, value in after.items():
        old = before.get(key)
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            inner = _differing(old, value)
            if inner:
                found[key] = inner
        elif key not in before or value != old:
            found[key] = value
    return found


def seen_from(file: Path, folder: Path) -> str:
    """A file as seen from a folder; whole where the two lie on different drives."""
    try:
        return Path(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:
        return file.resolve().as_posix()


def _table(path: tuple[str, ...], keys: Mapping[str, Any], remarks: Mapping[str, str]) -> list[str]:
    heading = ".".join(toml_key(step) for step in path)
    table = ".".join((*path, ""))
    return ["", f"[{heading}]", *(_line(table, key, value, remarks) for key, value in keys.items())]


def _line(table: str, key: str, value: Any, remarks: Mapping[str, str]) -> str:
    """One key with its value, and what is remarked of it or of anything in it."""
    own = table + key
    said = [words for path, words in remarks.items() if path == own or path.startswith(f"{own}.")]
    comment = f"  # {printable('; '.join(said))}" if said else ""
    return f"{toml_key(key)} = {toml_value(value)}{comment}"
