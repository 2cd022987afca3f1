"""The variant file that says the same as the part to make, ready to be compared with its base."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from featherbench.scenario import Problem, ScenarioError
from featherbench.studies.sizing.search import Sizing


def variant_text(found: Sizing, folder: Path) -> str:
    """The variant as it is written into `folder`; raises ScenarioError when the scenario came from no file."""
    files = found.given.source.files
    if not files or not Path(files[0]).is_file():
        given = files[0] if files else "a scenario without a file"
        raise ScenarioError((Problem(given, None, "base", given, "a scenario read from a file, to vary it"),))
    base = os.path.relpath(Path(files[0]).resolve(), folder.resolve())
    title = f"{found.plain.title}: {found.best.words}"
    lines = [
        "# Written by featherbench size; parts of the base that are replaced stay in it as the build to compare with.",
        f"title = {json.dumps(title, ensure_ascii=False)}",
        f"base = {json.dumps(Path(base).as_posix(), ensure_ascii=False)}",
    ]
    if found.taken_off:
        lines.append(f"remove = {json.dumps(list(found.taken_off), ensure_ascii=False)}")
    for name, table in found.best.build.parts.items():
        lines += ["", f"[part.{json.dumps(name)}]" if not _bare(name) else f"[part.{name}]"]
        lines += [f"{key} = {_value(value)}" for key, value in table.items()]
    return "\n".join(lines) + "\n"


def _bare(name: str) -> bool:
    return all(character.isascii() and (character.isalnum() or character in "-_") for character in name)


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False)
