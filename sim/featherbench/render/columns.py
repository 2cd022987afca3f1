"""Plain tables for a terminal: numbers aligned at their points; words are wrapped where room is short, never cut."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rich.cells import cell_len

GAP = "  "
LEAST_LABEL = 16
LONGEST_WORD = 30
"""Characters of a word, such as a key, that is kept whole where it fits; a longer one is cut behind a point."""
SHORT_LINE = 12
"""Characters of words in a column of numbers, which they must not widen."""


@dataclass(frozen=True)
class Column:
    """A heading and its cells.

    align: "left", "right" or "point" (decimal points under one another); gives_way: 0 never, else the lowest
    goes first when the table is too wide, for what can be told from the other columns; shrinks: words, which may
    be wrapped to `least` characters. A cell of several lines holds line feeds.
    """

    heading: str
    cells: tuple[str, ...]
    align: str = "left"
    gives_way: int = 0
    shrinks: bool = False

    def aligned(self) -> Column:
        """The same, its cells padded to one width."""
        cells = _at_points(self.cells) if self.align == "point" else list(self.cells)
        width = max(cell_len(line) for text in (self.heading, *cells) for line in text.split("\n"))
        return replace(
            self,
            heading="\n".join(self._pad(line, width) for line in self.heading.split("\n")),
            cells=tuple("\n".join(self._pad(line, width) for line in cell.split("\n")) for cell in cells),
        )

    def headed_shortly(self) -> Column:
        """The same, its heading in two lines where it is wider than the numbers under it."""
        if self.shrinks or not self.heading:
            return self
        words = self.heading.split()
        width = max(cell_len(line) for text in (*words, *self.cells) for line in text.split("\n"))
        while len(lines_of := textwrap.wrap(self.heading, width)) > 2:
            width += 1
        return replace(self, heading="\n".join(lines_of))

    @property
    def width(self) -> int:
        """Of an aligned column, in character cells."""
        return cell_len(self.heading.split("\n", 1)[0])

    @property
    def least(self) -> int:
        """Characters to which its words may be wrapped: no word of usual length is cut."""
        words = (cell_len(word) for text in (self.heading, *self.cells) for word in text.split())
        return max(LEAST_LABEL, min(max(words, default=0), LONGEST_WORD))

    def _pad(self, text: str, width: int) -> str:
        space = " " * (width - cell_len(text))
        return text + space if self.align == "left" else space + text

    def wrapped(self, width: int) -> Column:
        """The same, its words wrapped to `width` characters; the indent of a cell is kept."""
        texts = [_wrapped(text.rstrip(), width) for text in (self.heading, *self.cells)]
        return replace(self, heading=texts[0], cells=tuple(texts[1:]))


def in_short_lines(words: str, width: int = SHORT_LINE) -> str:
    """Words for a cell in a column of numbers, with line feeds between its lines."""
    return textwrap.fill(words, width)


def fitted(columns: Sequence[Column], width: int) -> tuple[Column, ...]:
    """Aligned columns that fit if they can: empty ones go, headings, then words are wrapped, then columns give way."""
    filled = [column for column in columns if column.heading or any(column.cells)]
    kept = [column.aligned() for column in filled]
    if _total(kept) > width:
        kept = [column.headed_shortly().aligned() for column in filled]
    while (over := _total(kept) - width) > 0:
        soft = [column for column in kept if column.shrinks and column.width > column.least]
        optional = [column for column in kept if column.gives_way > 0]
        spare = sum(column.width - column.least for column in soft)
        if soft and (spare >= over or not optional):
            widest = max(soft, key=lambda column: column.width)
            second = max([widest.least, *(one.width for one in soft if one is not widest)])
            goal = max(widest.width - over, min(second, widest.width - 1), widest.least)
            kept[kept.index(widest)] = widest.wrapped(goal)
        elif optional:
            kept.remove(min(optional, key=lambda column: column.gives_way))
        else:
            break
    return tuple(kept)


def blocks(columns: Sequence[Column], width: int) -> list[tuple[Column, ...]]:
    """The table, or tables below one another with the first column in each, where one would be too wide."""
    kept = fitted(columns, width)
    count = len(kept)
    while count > 2 and _total(kept[:count]) > width:
        count -= 1
    if count == len(kept):
        return [kept]
    rest = [column for column in columns if column.heading or any(column.cells)]
    rest = [column for column in rest if not column.gives_way]
    return [fitted(rest[:count], width), *blocks([rest[0], *rest[count:]], width)]


def lines(columns: Sequence[Column]) -> tuple[list[str], list[list[str]]]:
    """Lines of the heading and lines of each row, without trailing spaces."""
    head, *rows = zip(*((column.heading, *column.cells) for column in columns), strict=True)
    top = _lines(columns, head)
    return top if any(top) else [], [_lines(columns, cells) for cells in rows]


def _lines(columns: Sequence[Column], cells: Sequence[str]) -> list[str]:
    """One row, as many lines as its tallest cell; numbers stand on the first of them."""
    texts = [cell.split("\n") for cell in cells]
    return [
        GAP.join(
            text[number] if number < len(text) else " " * column.width
            for column, text in zip(columns, texts, strict=True)
        ).rstrip()
        for number in range(max(len(text) for text in texts))
    ]


def split(
    builds: Sequence[int], width: int, make: Callable[[Sequence[int]], list[Column]]
) -> list[Sequence[int]]:
    """As many of the builds as fit with nothing left out, at least one, and so on for the rest.

    make: the columns for some of the builds.
    """
    size = max(len(builds), 1)
    while size > 1 and not fits(make(builds[:size]), width):
        size -= 1
    return [builds[first : first + size] for first in range(0, max(len(builds), 1), size)]


def fits(columns: Sequence[Column], width: int) -> bool:
    """Whether all of the columns fit, with nothing left out."""
    shown = [column for column in columns if column.heading or any(column.cells)]
    kept = fitted(columns, width)
    return len(kept) == len(shown) and _total(kept) <= width


def unwrapped(columns: Sequence[Column], width: int) -> bool:
    """Whether all of the columns fit without wrapping any words."""
    shown = [column.aligned() for column in columns if column.heading or any(column.cells)]
    return _total(shown) <= width


def _total(columns: Sequence[Column]) -> int:
    return sum(column.width for column in columns) + len(GAP) * (len(columns) - 1)


def _wrapped(text: str, width: int) -> str:
    """Lines of one width, those after the first indented by two more."""
    indent = " " * (len(text) - len(text.lstrip()))
    made = [indent]
    for word in text.split():
        for number, piece in enumerate(_pieces(word, width - len(indent) - 2)):
            apart = " " if number == 0 and made[-1].strip() else ""
            if made[-1].strip() and cell_len(made[-1] + apart + piece) > width:
                made.append(f"{indent}  {piece}")
            else:
                made[-1] += apart + piece
    return "\n".join(line + " " * (width - cell_len(line)) for line in made)


def _pieces(word: str, room: int) -> list[str]:
    """A word that has no room on a line: cut behind points, hyphens and the like, else anywhere."""
    made = [""]
    for part in re.findall(r"[^./_-]*[./_-]|[^./_-]+", word) if cell_len(word) > room else [word]:
        if made[-1] and cell_len(made[-1] + part) > room:
            made.append("")
        for letter in part if cell_len(part) > room else [part]:  # also of letters that take two places
            if made[-1] and cell_len(made[-1] + letter) > room:
                made.append("")
            made[-1] += letter
    return made


def _at_points(cells: Sequence[str]) -> list[str]:
    """Padded on the right so that points stand under one another; words keep to the right edge.

    Of a cell of several lines it is the first that counts.
    """
    parts = [cell.partition("\n") for cell in cells]
    after = [len(first) - first.index(".") if "." in first else 0 for first, _, _ in parts]
    deepest = max((depth for part, depth in zip(parts, after, strict=True) if _is_number(part[0])), default=0)
    return [
        first + (" " * (deepest - depth) if _is_number(first) else "") + feed + rest
        for (first, feed, rest), depth in zip(parts, after, strict=True)
    ]


def _is_number(cell: str) -> bool:
    return bool(cell) and cell.lstrip("+-")[:1].isdigit()
