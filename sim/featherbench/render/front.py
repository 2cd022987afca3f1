"""What a page's first screen has beside its picture: the small table, and whether the build holds together."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.render.typesetting import typeset
from featherbench.views.brief.bench import STRENGTH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from featherbench.views.view import Row, Table, View

MOST_ROWS = 9
"""Of a table that was not made for the first screen; all of it stands below."""
ROOMY = 5
"""Columns that stand beside a picture without any giving way."""
FILES = re.compile(r"(print it|pictures): --report FILE\.html(; )?")
"""What a terminal says of pages, and a page need not."""


def front_table(view: View) -> dict[str, Any] | None:
    """The figures that matter, for the page's template; those that make room on a narrow screen are marked. Of a view
    that names none the first rows of its first table.
    """
    chosen = view.short if view.short is not None else _first_rows(view)
    if chosen is None:
        return None
    chosen = _narrower(chosen)
    table = typeset(chosen, 0, beside=len(view.builds) <= 2)
    keep = any(row.stays for row in chosen.rows)
    grouped = any(row.heads for row in chosen.rows)
    allowed = _allowed(chosen.rows)
    rows = []
    for number, (told, row) in enumerate(zip(table["rows"], chosen.rows, strict=True)):
        first = row.heads or chosen.rows[number - 1].heads
        spare = keep and not (row.stays or row.stops)
        if grouped:  # what must not be made is named in the first line of the page
            spare = not any(row is one for one in allowed) if allowed else not first
        rows.append(told | {"spare": spare})
    title = table["title"] or "What matters"
    return table | {"rows": rows, "title": title, "small": view.short is not None}


def front_checks(view: View) -> str:
    """What the checks say, where no row of the table says it."""
    note = view.checks.note
    if not note.startswith("Checks: ") or (view.short is not None and _tells_strength(view.short)):
        return ""
    return f"Checks of the build in the file: {note.removeprefix('Checks: ')}"


def _tells_strength(table: Table) -> bool:
    """Whether a row or a column of it is of the checks."""
    return any(row.cells[0] == STRENGTH for row in table.rows) or any(
        column.heading == "strength" for column in table.columns
    )


def steps_on_page(view: View) -> list[str]:
    """What to do next, without what is done already."""
    told = (FILES.sub("", step).rstrip("; ") for step in view.next_steps)
    return [step for step in told if step not in ("", "Next:")]


def _first_rows(view: View) -> Table | None:
    """The first table that has rows, cut to those that are always shown and the first of the others."""
    for table in view.tables:
        rows = [row for row in table.rows if not row.detail]
        if not rows:
            continue
        if any(row.heads for row in rows):
            return replace(table, rows=_of_each_part(rows))
        kept = sorted(rows, key=lambda row: not row.stays)[:MOST_ROWS]
        return replace(table, rows=tuple(row for row in rows if any(row is one for one in kept)))
    return None


def _allowed(rows: Sequence[Row]) -> list[Row]:
    """The parts of a table, with their headings, that hold no row that must not be; none where there is no other."""
    parts = _parts(rows)
    some = [part for part in parts if not any(row.stops for row in part)]
    return [row for part in some for row in part] if len(some) < len(parts) else []


def _parts(rows: Sequence[Row]) -> list[list[Row]]:
    """Rows by the heading that stands over them."""
    parts: list[list[Row]] = []
    for row in rows:
        if row.heads or not parts:
            parts.append([])
        parts[-1].append(row)
    return parts


def _of_each_part(rows: Sequence[Row]) -> tuple[Row, ...]:
    """The headings of a table, each with the first rows under it."""
    parts = _parts(rows)
    most = 1 + max(1, MOST_ROWS // len(parts))
    return tuple(row for part in parts for row in part[:most])


def _narrower(table: Table) -> Table:
    """Without columns that say nothing, nor, where more are left than stand beside a picture, those that give way; of a
    build beside the first nothing goes.
    """
    rows = [row for row in table.rows if not row.heads]
    kept = [
        place
        for place, column in enumerate(table.columns)
        if not column.detail and (place == 0 or any(row.cells[place] for row in rows))
    ]
    if len(kept) > ROOMY and not any(column.alone for column in table.columns):
        kept = [place for place in kept if not table.columns[place].gives_way]
    return table.of_columns(kept)
