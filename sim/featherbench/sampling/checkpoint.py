"""Results of a spread kept in a file as they come, so that an interrupted one can go on where it stopped.

One JSON document a line: first what the results belong to, then one result each. A line that was cut off in writing
is dropped.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

Values = dict[str, float | str | None]


class CheckpointMismatch(ValueError):
    """The file holds results of something else; the message is for the person who named it."""


class Checkpoint(NamedTuple):
    """known: results by index; add(index, values): stores one more; close() when done."""

    known: dict[int, Values]
    add: Callable[[int, Values], None]
    close: Callable[[], None]


def open_checkpoint(path: Path | str, belongs: dict[str, Any]) -> Checkpoint:
    """Open or begin a file of results that belong to `belongs` (plain JSON values).

    Raises CheckpointMismatch when the file holds results of another scenario, seed, set of inputs or program version,
    or is no such file; OSError when it cannot be written.
    """
    path = Path(path)
    belongs = json.loads(json.dumps(belongs))
    known: dict[int, Values] = {}
    whole = 0
    if path.exists() and path.stat().st_size > 0:
        whole, known = _read(path, belongs)
    stream = path.open("r+b" if path.exists() else "w+b")
    stream.truncate(whole)
    stream.seek(0, os.SEEK_END)

    def line(document: Any) -> None:
        stream.write((json.dumps(document, allow_nan=False) + "\n").encode("utf-8"))
        stream.flush()

    if whole == 0:
        line(belongs)
    return Checkpoint(known, lambda index, values: line({"index": index, "values": values}), stream.close)


def _read(path: Path, belongs: dict[str, Any]) -> tuple[int, dict[int, Values]]:
    """(length in bytes of the whole lines, results by index)."""
    lines = path.read_bytes().split(b"\n")[:-1]
    try:
        first = json.loads(lines[0])
        if not isinstance(first, dict) or first.get("kept") != belongs.get("kept"):
            raise ValueError
    except (ValueError, IndexError):
        raise CheckpointMismatch(f"{path} is not a file of kept results: name a new file") from None
    for key, value in belongs.items():
        if first.get(key) != value:
            raise CheckpointMismatch(
                f"{path} holds results of another {key}: name a new file, or delete that one"
            )
    known = {}
    for text in lines[1:]:
        try:
            row = json.loads(text)
            known[int(row["index"])] = dict(row["values"])
        except (ValueError, KeyError, TypeError):
            raise CheckpointMismatch(
                f"{path} is damaged after {len(known)} results: delete it or name a new file"
            ) from None
    return sum(len(text) + 1 for text in lines), known
