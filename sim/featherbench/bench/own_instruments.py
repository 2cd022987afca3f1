"""What a file was read with, where it says so: a gauge or meter other than the scenario's.

`gauge.uncertainty = "0.2 N"` in a TOML file, `# gauge.uncertainty: 0.2 N` in a table; likewise `gauge.resolution` and
both of `meter`. Blank: as the scenario says.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from featherbench import quantities
from featherbench.bench.head_line import head_line
from featherbench.bench.logs_text import refused


class Instrument(NamedTuple):
    """A gauge or meter that a file of readings states: expanded uncertainty (95 %) and step of its display, SI; None
    where it is as the scenario says."""

    uncertainty: float | None = None
    resolution: float | None = None


KINDS = {"gauge": "force", "meter": "current"}
"""What each instrument reads."""


def stated_instruments(path: Path, text: str, tree: Mapping[str, Any] | None) -> dict[str, Instrument]:
    """Instruments that a file states, by the kind of what they read. tree: of a TOML file. Raises ReadingsRefused."""
    given: dict[str, dict[str, tuple[str, int | None]]] = {}
    line: int | None
    for table in KINDS if tree is not None else ():
        own = (tree or {}).get(table, {})
        if not isinstance(own, Mapping) or set(own) - set(Instrument._fields):
            raise refused(
                path, None, table, str(own)[:60], f'{table}.uncertainty = "..." or {table}.resolution'
            )
        given[table] = {key: (str(value), None) for key, value in own.items()}
    for table in KINDS if tree is None else ():
        given[table] = {key: head_line(text, f"{table}.{key}") for key in Instrument._fields}
    found = {}
    for table, keys in given.items():
        values = {}
        for key, (words, line) in keys.items():
            if not any(letter.isdigit() for letter in words):
                continue
            try:
                values[key] = quantities.parse(words, KINDS[table]).value
            except quantities.QuantityError as error:
                raise refused(path, line, f"{table}.{key}", words[:60], str(error)) from None
        if values:
            found[KINDS[table]] = Instrument(**values)
    return found
