"""The view of what can be written in a scenario file: by table, or by a word."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.plain_text import plain
from featherbench.views.view import UNIT, Column, Row, Table, View

if TYPE_CHECKING:
    from featherbench.guide.key_list import Key

SEVERAL = 'of several figures in one, such as "6.4 +/- 0.05 g", the second is a tolerance'
PLACES = "NAME is a part's own name, [] stands for each entry of a list"


def keys_view(keys: Sequence[Key], word: str = "") -> View:
    """A table for each table of the file, in its order; word: what was looked for."""
    groups: dict[str, list[Key]] = {}
    for key in keys:
        groups.setdefault(_table(key.path), []).append(key)
    told = f"{len(keys)} keys" if len(keys) != 1 else "1 key"
    sought = f" with “{plain(word, 40)}”" if word else ""
    return View(
        "What can be written in a scenario file",
        question="What can be written in a scenario file?",
        answer=(f"{told}{sought}. {PLACES}; {SEVERAL}.",),
        tables=tuple(_shown(name, group) for name, group in groups.items()),
        data={"word": word, "keys": [key._asdict() for key in keys]},
    )


def _table(path: str) -> str:
    head, dot, _ = path.partition(".")
    return head.removesuffix("[]") if dot or "[]" in head else ""


def _shown(name: str, group: Sequence[Key]) -> Table:
    columns = (
        Column("key", UNIT),
        Column("meaning"),
        Column("typed as"),
        Column("if left out", gives_way=1),
        Column("example", UNIT),
    )
    rows = tuple(
        Row((_within(key.path, name), key.meaning, key.unit, key.default, key.example)) for key in group
    )
    return Table(f"[{name}]" if name else "At the top of the file", columns, rows)


def _within(path: str, name: str) -> str:
    """The rest of a path below its table."""
    return path.removeprefix(f"{name}.") if name else path
