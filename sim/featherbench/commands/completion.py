"""What the shell completes: files, key paths of a scenario, names of findings; nothing heavy is imported for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import typer

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.guide.usual_unknowns import PRIORS

DEEPEST = 8
"""Bases of a variant that are followed."""
HARMLESS = frozenset("_./-")
"""What names may hold beside letters and digits, to be offered: shells evaluate what completion hands them, and what
they then write on the line is typed text, which the next Enter runs."""


def scenario_files(incomplete: str) -> list[str]:
    """Scenario files and folders."""
    return _files(incomplete, (".toml",))


def bench_files(incomplete: str) -> list[str]:
    """Readings and logs of the bench, and folders."""
    return _files(incomplete, (".toml", ".csv", ".txt"))


def page_files(incomplete: str) -> list[str]:
    """Pages that exist (to be written again with --force), and folders."""
    return _files(incomplete, (".html",))


def drawing_files(incomplete: str) -> list[str]:
    """Drawings that exist, and folders."""
    return _files(incomplete, (".svg", ".pdf", ".dxf"))


def routes(incomplete: str) -> list[tuple[str, str]]:
    """Ways to carry weight."""
    known = {
        "auto": "the lightest of them",
        "bolt": "turned bolt and nut",
        "arms": "weights on arms",
        "standard": "washers, nuts and a longer screw",
        "own": "the best stack of what [[own]] lists",
    }
    return [(name, words) for name, words in known.items() if name.startswith(incomplete)]


def weights(incomplete: str) -> list[tuple[str, str]]:
    """What becomes of weights that a file has."""
    known = {
        "replace": "they come off, new ones take their place",
        "keep": "they stay, new ones come on top",
        "refuse": "a file that has any is refused",
    }
    return [(name, words) for name, words in known.items() if name.startswith(incomplete)]


def settings(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Key paths with their sign, each with what it is; parts by the names of the scenario on the line."""
    from featherbench.guide.json_schema import json_schema

    schema = json_schema()
    tables = _tables_on_line(ctx)
    paths = _paths(schema["$defs"]["complete"], schema["$defs"], tables)
    return [(f"{path}=", words) for path, words in paths if path.startswith(incomplete)]


def free_keys(incomplete: str) -> list[str]:
    """Unknowns with something known of them beforehand, after those already typed."""
    before, comma, last = incomplete.rpartition(",")
    typed = {key.strip() for key in before.split(",")}
    return [f"{before}{comma}{key}" for key in PRIORS if key.startswith(last) and key not in typed]


def findings(incomplete: str) -> list[str]:
    """Names of findings, and of the usual unknowns."""
    return [name for name in (*FINDINGS_TABLE, *PRIORS) if name.startswith(incomplete)]


def _files(incomplete: str, endings: tuple[str, ...]) -> list[str]:
    """Entries that begin as typed; a folder that is the only one is opened, since nothing else can be meant."""
    head, slash, start = incomplete.rpartition("/")
    folder = Path(f"{head}/" if slash else ".").expanduser()
    prefix = head + slash
    try:
        entries = sorted(folder.iterdir())
    except OSError:
        return []
    found = []
    for entry in entries:
        hidden = entry.name.startswith(".") and not start.startswith(".")
        if hidden or not entry.name.startswith(start) or not _harmless(prefix + entry.name):
            continue
        if entry.is_dir():
            found.append(f"{prefix}{entry.name}/")
        elif entry.name.endswith(endings):
            found.append(prefix + entry.name)
    if len(found) == 1 and found[0].endswith("/") and found[0] != incomplete:
        return _files(found[0], endings) or found
    return found


def _harmless(name: str) -> bool:
    """Whether a shell takes a name for nothing but a name: no quotes, blanks or option; a leading ~ is home."""
    bare = name[1:] if name.startswith("~/") else name
    return not bare.startswith("-") and all(letter.isalnum() or letter in HARMLESS for letter in bare)


def _tables_on_line(ctx: typer.Context) -> dict[str, Any]:
    """Tables of the scenario files that were typed before, their bases below them; empty where there are none."""
    given = [ctx.params.get(name) for name in ("file", "base", "files")]
    paths = [one for value in given for one in (value if isinstance(value, list | tuple) else [value]) if one]
    paths += ctx.args  # where an option is being typed, arguments may not have been given their names yet
    tables: dict[str, Any] = {}
    for path in paths:
        for table in _chain(Path(str(path))):
            for key, value in table.items():
                if isinstance(value, dict):
                    tables[key] = {**value, **tables.get(key, {})}
    return tables


def _chain(path: Path) -> Iterator[dict[str, Any]]:
    import tomllib

    for _ in range(DEEPEST):
        try:
            table = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return
        yield table
        base = table.get("base")
        if not isinstance(base, str):
            return
        path = path.parent / base


def _paths(
    table: dict[str, Any], tables: dict[str, Any], typed: dict[str, Any], above: str = ""
) -> Iterator[tuple[str, str]]:
    """(key path, what it is) of each key that takes a value; of named tables, those that the scenario has."""
    for node in _meant(table, tables):
        for key, value in node.get("properties", {}).items():
            words = str(value.get("description", "")).split("\n")[0]
            inner = typed.get(key)
            yield from _below(f"{above}{key}", words, value, tables, inner if isinstance(inner, dict) else {})


def _below(
    path: str, words: str, value: dict[str, Any], tables: dict[str, Any], typed: dict[str, Any]
) -> Iterator[tuple[str, str]]:
    meant = list(_meant(value, tables))
    named = [
        node["additionalProperties"] for node in meant if isinstance(node.get("additionalProperties"), dict)
    ]
    known = [node for node in meant if node.get("properties")]
    for inner in named:
        for name, has in typed.items():
            if not _harmless(name):
                continue
            fits = [node for node in _meant(inner, tables) if _fits(node, has)]
            found = dict(pair for node in fits for pair in _paths(node, tables, {}, f"{path}.{name}."))
            yield from found.items()
    for node in known:
        yield from _paths(node, tables, typed, f"{path}.")
    if not named and not known:
        yield path, words


def _fits(node: dict[str, Any], has: Any) -> bool:
    """Whether a table of this form is meant by what is typed of it, going by its shape."""
    shape = has.get("shape") if isinstance(has, dict) else None
    form = node.get("properties", {}).get("shape", {}).get("const")
    return shape is None or form is None or form == shape


def _meant(node: dict[str, Any], tables: dict[str, Any]) -> Iterable[dict[str, Any]]:
    """The schema's node, or each that it refers to or offers."""
    if "$ref" in node:
        return _meant(tables[node["$ref"].rsplit("/", 1)[-1]], tables)
    offered = [one for name in ("oneOf", "anyOf") for one in node.get(name, ())]
    offered += [one["then"] for one in node.get("allOf", ()) if one.get("then")]
    return [one for offer in offered for one in _meant(offer, tables)] or [node]
