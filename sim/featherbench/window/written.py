"""Writing under the next free name: nothing that is there is ever replaced."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from featherbench.render.files import OutputExists, write_whole

MOST = 999
"""Names tried."""


def names(wanted: Path) -> Iterator[Path]:
    """The name wanted, then the same with -2, -3, ... before its ending."""
    yield wanted
    for number in range(2, MOST + 1):
        yield wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}")


def write_next_free(wanted: Path, text: str) -> Path:
    """Write under the first of `names` that is free, and give it; raises OutputRefused."""
    last: OutputExists | None = None
    for path in names(wanted):
        try:
            write_whole(path, text, force=False)
        except OutputExists as error:
            last = error
            continue
        return path
    assert last is not None
    raise last
