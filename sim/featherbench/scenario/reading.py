"""From files to one raw tree: the file, its chain of bases, what they remove, and what the command line sets.

Every key keeps the file and line that supplied it, so that a refusal can point at the right place.
"""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.locate import key_lines
from featherbench.scenario.measured import KEY as MEASURED
from featherbench.scenario.measured import lay_measured
from featherbench.scenario.problems import Problem, ScenarioError, shown_value
from featherbench.scenario.raw_tree import (
    DEEPEST,
    RawTree,
    Where,
    depth,
    merge_into,
)
from featherbench.scenario.reference import KEY as REFERENCE
from featherbench.scenario.reference import Reference, bolts_of, stated_reference
from featherbench.scenario.settings import _setting_value, apply_settings
from featherbench.scenario.shipped import copy_hint
from featherbench.standard_input import NothingHandedIn, handed_in, is_standard_input

LARGEST_FILE = 1_000_000
"""Bytes; a scenario is a few kilobytes, so anything larger is some other file."""
LONGEST_CHAIN = 20
"""Files in a chain of bases."""


def read_tree(path: str | Path, settings: Mapping[str, Any]) -> RawTree:
    """Read a scenario file with its bases and apply the settings; raises ScenarioError."""
    tree = _read_chain(Path(path), ())
    settings = dict(settings)
    asked = settings.pop(MEASURED, None)
    stated = tree.raw.pop(MEASURED, None)
    if asked is not None or stated is not None:
        place = tree.place((MEASURED,)) if asked is None else ("--set", None)
        folder = Path(place[0]).parent if asked is None else Path()
        name = stated if asked is None else _setting_value(asked)
        found = lay_measured(tree.raw, name, place, folder, _read_whole)
        tree.files = (*tree.files, str(found))
    apply_settings(tree, settings)
    return tree


def _read_whole(path: Path) -> dict[str, Any]:
    """The tree of a file with its bases, its own base still named in it."""
    whole = _read_chain(path, ()).raw
    base = _read_file(path)[0].get("base")
    return whole if base is None else {**whole, "base": base}


def _read_chain(path: Path, above: tuple[Path, ...]) -> RawTree:
    raw, lines = _read_file(path)
    name = str(path)
    where: dict[KeyPath, Where] = {key: (name, line) for key, line in lines.items()}
    own = RawTree(raw, where, (name,), path.parent)
    base, remove = raw.pop("base", None), raw.pop("remove", None)
    stated = raw.pop(REFERENCE, None)
    place = (name, lines.get((REFERENCE,)))
    if base is None:
        own.reference = bolts_of(name, raw) if stated is None else _stated(stated, place, raw, above)
        if remove is not None:
            own.problems.append(
                Problem(name, lines.get(("remove",)), "remove", shown_value(remove), _REMOVE_NEEDS_BASE)
            )
        return own
    base_tree = _read_base(path, base, lines.get(("base",)), above)
    _remove_parts(base_tree, remove, name, lines)
    merged = _merged(base_tree, own)
    merged.reference = (
        base_tree.reference if stated is None else _stated(stated, place, merged.raw, (*above, path))
    )
    return merged


def _stated(given: object, place: Where, raw: Mapping[str, Any], above: tuple[Path, ...]) -> Reference:
    """The reference that a file states; a file that leads back to itself by it is refused as a circle of bases is."""

    def read(path: Path) -> Mapping[str, Any]:
        if len(above) >= LONGEST_CHAIN or _resolved(path) in map(_resolved, (*above, Path(place[0]))):
            expected = "a reference that does not lead back to this file"
            raise ScenarioError([Problem(place[0], place[1], REFERENCE, shown_value(given), expected)])
        return _read_chain(path, (*above, Path(place[0]))).raw

    return stated_reference(given, place, raw, read)


_REMOVE_NEEDS_BASE = (
    'base beside it, since only parts of a base can be removed, for example base = "plain.toml"'
)


def _read_base(path: Path, base: object, line: int | None, above: tuple[Path, ...]) -> RawTree:
    """The tree of the base that `path` names; a circle or an overlong chain is refused."""
    if not isinstance(base, str) or not base.strip() or "\0" in base:
        expected = 'the name of a scenario file, relative to this one, for example "plain.toml"'
        raise ScenarioError([Problem(str(path), line, "base", shown_value(base), expected)])
    chain = (*above, path)
    target = path.parent / base
    if _resolved(target) in [_resolved(file) for file in chain]:
        around = " -> ".join(str(file) for file in (*chain, target))
        expected = f"a base that does not lead back to this file ({around})"
        raise ScenarioError([Problem(str(path), line, "base", shown_value(base), expected)])
    if len(chain) >= LONGEST_CHAIN:
        expected = f"a chain of at most {LONGEST_CHAIN} files"
        raise ScenarioError([Problem(str(path), line, "base", shown_value(base), expected)])
    if not os.path.exists(target):  # a name that no file can have is none, too
        expected = f"an existing scenario file, relative to the folder of this one{_near_file(target)}"
        raise ScenarioError([Problem(str(path), line, "base", shown_value(base), expected)])
    return _read_chain(target, chain)


def _resolved(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        return path.absolute()


def _near_file(path: Path) -> str:
    """A hint at a scenario file beside the missing one with a similar name."""
    try:
        names = [entry.name for entry in path.parent.iterdir() if entry.suffix == ".toml"]
    except (OSError, ValueError):
        return ""
    near = difflib.get_close_matches(path.name, names, 1)
    return f"; did you mean {near[0]}?" if near else ""


def _read_file(path: Path) -> tuple[dict[str, Any], dict[KeyPath, int]]:
    """The tree of one file and the line of each key."""
    text = _file_text(path)
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioError([_syntax_problem(path, text, str(error))]) from None
    except RecursionError:
        raise ScenarioError([_too_deep(path)]) from None
    except ValueError:  # a number with thousands of digits, an impossible date
        raise ScenarioError([_syntax_problem(path, text, "a number or a date that cannot be")]) from None
    if depth(raw) > DEEPEST:
        raise ScenarioError([_too_deep(path)])
    return raw, key_lines(text)


def _too_deep(path: Path) -> Problem:
    return Problem(
        str(path),
        None,
        "",
        f"tables or lists more than {DEEPEST} deep",
        "a scenario, which needs six at most",
    )


def _file_text(path: Path) -> str:
    """The file's text, or a refusal in words."""

    def refused(given: str, expected: str) -> ScenarioError:
        return ScenarioError([Problem(str(path), None, "", given, expected)])

    try:
        if is_standard_input(path):
            data = handed_in("a scenario", LARGEST_FILE)
        elif path.is_dir():
            raise refused("a folder", "a scenario file, for example my-build.toml")
        elif not path.exists():
            raise refused("no such file", f"an existing scenario file{_near_file(path) or copy_hint(path)}")
        elif not path.is_file():
            raise refused("neither a file nor a folder", "a scenario file, for example my-build.toml")
        else:
            with path.open("rb") as stream:
                data = stream.read(LARGEST_FILE + 1)
    except NothingHandedIn as error:
        raise refused(error.given, error.expected) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "a name no file can have"
        raise refused(f"cannot be read ({reason})", "a readable scenario file") from None
    if len(data) > LARGEST_FILE:
        raise refused("more than 1 MB", "a scenario file, which holds a few kilobytes of text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        given = f"a byte that is not UTF-8 text (0x{data[error.start]:02x})"
        raise ScenarioError([Problem(str(path), line, "", given, "a text file saved as UTF-8")]) from None


def _syntax_problem(path: Path, text: str, message: str) -> Problem:
    """A TOML syntax error, with its line and the text of that line."""
    match = re.search(r"at line (\d+)", message)
    rows = text.split("\n")
    line = int(match[1]) if match else (len(rows) if "end of document" in message else None)
    row = rows[line - 1].strip() if line is not None and 0 < line <= len(rows) else "this file"
    row = row or "an empty line"
    if path.suffix.lower() != ".toml" and not is_standard_input(
        path
    ):  # some other file, perhaps not the reader's to see
        row = "text that is no scenario"
    reason = re.sub(r"\s*\(at .*\)$", "", message)
    reason = reason[:1].lower() + reason[1:]
    expected = f'valid TOML ({reason}); quantities stand in quotes, for example speed = "8400 rpm"'
    return Problem(
        str(path), line, "", shown_value(row)[1:-1] if len(row) < 60 else row[:56] + " ...", expected
    )


def _remove_parts(base: RawTree, remove: object, name: str, lines: Mapping[KeyPath, int]) -> None:
    """Take the named parts out of the base; unknown names are noted as problems."""
    if remove is None:
        return
    line = lines.get(("remove",))
    if not isinstance(remove, list) or not all(isinstance(part, str) for part in remove):
        expected = 'a list of part names, for example ["blade-bolt"]'
        base.problems.append(Problem(name, line, "remove", shown_value(remove), expected))
        return
    parts = base.raw.get("part")
    known = parts if isinstance(parts, dict) else {}
    for index, part in enumerate(remove):
        if part in known:
            del known[part]
            for path in [path for path in base.where if path[:2] == ("part", part)]:
                del base.where[path]
            continue
        near = difflib.get_close_matches(part, known, 1)
        hint = f"; did you mean {shown_value(near[0])}?" if near else ""
        expected = f"a part of the base ({', '.join(known) or 'it has none'}){hint}"
        place = lines.get(("remove", index), line)
        base.problems.append(Problem(name, place, f"remove.{index}", shown_value(part), expected))


def _merged(base: RawTree, own: RawTree) -> RawTree:
    """Base with the variant's keys over it, tables key by key; everything else is replaced whole."""
    raw, where = base.raw, dict(base.where)
    merge_into(raw, where, own.raw, own.where, ())
    return RawTree(raw, where, (*own.files, *base.files), own.folder, [*base.problems, *own.problems])
