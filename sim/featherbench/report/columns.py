"""Plain tables for a terminal: numbers aligned at their points; never wrapped, columns give way instead."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rich.cells import cell_len, set_cell_size

GAP = "  "
LEAST_LABEL = 26


@dataclass(frozen=True)
class Column:
    """A heading and its cells.

    align: "left", "right" or "point" (decimal points under one another); gives_way: 0 never, else the lowest
    goes first when the table is too wide; shrinks: may be cut to LEAST_LABEL characters.
    """

    heading: str
    cells: tuple[str, ...]
    align: str = "left"
    gives_way: int = 0
    shrinks: bool = False

    def aligned(self) -> Column:
        """The same, its cells padded to one width."""
        cells = _at_points(self.cells) if self.align == "point" else list(self.cells)
        width = max([cell_len(self.heading), *(cell_len(cell) for cell in cells)])
        return replace(
            self,
            heading=self._pad(self.heading, width),
            cells=tuple(self._pad(cell, width) for cell in cells),
        )

    @property
    def width(self) -> int:
        """Of an aligned column, in character cells."""
        return cell_len(self.heading)

    def _pad(self, text: str, width: int) -> str:
        space = " " * (width - cell_len(text))
        return text + space if self.align == "left" else space + text


def fitted(columns: Sequence[Column], width: int) -> tuple[Column, ...]:
    """Aligned columns that fit: empty ones go, then the label shrinks, then columns give way."""
    kept = [column.aligned() for column in columns if column.heading or any(column.cells)]
    while _total(kept) > width:
        over = _total(kept) - width
        soft = next((column for column in kept if column.shrinks and column.width > LEAST_LABEL), None)
        optional = [column for column in kept if column.gives_way > 0]
        if soft is not None and (soft.width - over >= LEAST_LABEL or not optional):
            kept[kept.index(soft)] = _cut(soft, max(soft.width - over, LEAST_LABEL))
        elif optional:
            kept.remove(min(optional, key=lambda column: column.gives_way))
        else:
            break
    return tuple(kept)


def lines(columns: Sequence[Column]) -> tuple[str, list[str]]:
    """Heading line and one line per row, without trailing spaces."""
    rows = zip(*(column.cells for column in columns), strict=True)
    return (
        GAP.join(column.heading for column in columns).rstrip(),
        [GAP.join(cells).rstrip() for cells in rows],
    )


def split(numbers: range, width: int, make: Callable[[range], list[Column]]) -> list[list[Column]]:
    """Tables for `numbers`, as many in each as fit with nothing left out; at least one.

    make: the columns of a table of some of the numbers.
    """
    size = max(len(numbers), 1)
    while size > 1 and not _whole(make(numbers[:size]), width):
        size -= 1
    return [make(numbers[first : first + size]) for first in range(0, max(len(numbers), 1), size)]


def _whole(columns: Sequence[Column], width: int) -> bool:
    shown = [column for column in columns if column.heading or any(column.cells)]
    kept = fitted(columns, width)
    return len(kept) == len(shown) and _total(kept) <= width


def _total(columns: Sequence[Column]) -> int:
    return sum(column.width for column in columns) + len(GAP) * (len(columns) - 1)


def _cut(column: Column, width: int) -> Column:
    cells = tuple(
        cell if not cell.rstrip()[width:] else set_cell_size(cell, width - 2) + ".." for cell in column.cells
    )
    return replace(
        column,
        heading=set_cell_size(column.heading, width),
        cells=tuple(set_cell_size(cell, width) for cell in cells),
    )


def _at_points(cells: Sequence[str]) -> list[str]:
    """Padded on the right so that points stand under one another; words keep to the right edge."""
    after = [len(cell) - cell.index(".") if "." in cell else 0 for cell in cells]
    deepest = max((depth for cell, depth in zip(cells, after, strict=True) if _is_number(cell)), default=0)
    return [
        cell + " " * (deepest - depth) if _is_number(cell) else cell
        for cell, depth in zip(cells, after, strict=True)
    ]


def _is_number(cell: str) -> bool:
    return bool(cell) and cell.lstrip("+-")[:1].isdigit()
