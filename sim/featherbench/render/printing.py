"""What every answer on a terminal or a pipe is put together from: sentences, headings, lists, aligned tables."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from featherbench.checks import SHORT_CAUTIONS
from featherbench.plain_text import plain
from featherbench.render.columns import Column, blocks, lines
from featherbench.views.first_lines import FirstLines

LONGEST_LINE, SHORTEST_LINE = 100, 40
TOGETHER = "\ue000"
"""Stands for a space at which no line ends, as between a number and its sign; a letter that no text holds."""
BEFORE_UNIT = r"(?<=\d) (?=(?:N|A|g|mm|deg|x|s|rpm|mAh)\b)"
"""A space between a number and its unit."""
WITH_UNIT = re.compile(rf" (?=%)|{BEFORE_UNIT}|(?<=OK,) (?=[\dn])|(?<=FAILS,) (?=\d)|(?<= of) (?=\d)")
"""Such a space: a unit does not stand alone at the start of a line, nor a verdict or a count apart from its figure."""


def usable_width(console: Console) -> int:
    """Characters of a line: the terminal's, within what can be read at a glance."""
    return max(SHORTEST_LINE, min(console.width, LONGEST_LINE))


def say(console: Console, text: str, style: str = "", hang: int = 0) -> None:
    """Print text that may hold anything, wrapped at words; hang: indent of the lines after the first."""
    for line in wrapped(console, text, hang):
        print_line(console, line, style)


def wrapped(console: Console, text: str, hang: int = 0) -> list[str]:
    """Lines of a text, wrapped at words; hang: indent of the lines after the first."""
    width = usable_width(console)
    text = WITH_UNIT.sub(TOGETHER, text)
    first, *rest = Text(text).wrap(console, width)
    if rest:
        remainder = text[len(first.plain.rstrip()) :].lstrip()
        rest = list(Text(remainder).wrap(console, width - hang))
    made = [first.plain.rstrip(), *(" " * hang + line.plain.rstrip() for line in rest)]
    return [line.replace(TOGETHER, " ") for line in made]


def print_line(console: Console, text: str, style: str = "") -> None:
    """Print a line as it is: not wrapped, nothing in it taken for markup."""
    console.print(Text(text, style=style), soft_wrap=True)


def print_heading(console: Console, text: str) -> None:
    """Print a heading, with an empty line before it."""
    console.print()
    say(console, text, "bold")


def print_first(console: Console, first: FirstLines) -> None:
    """Print what has to be read before anything else."""
    for line in first.lines:
        say(console, line, "bold red", hang=4)


def print_cautions(console: Console, whole: Sequence[str] = ()) -> None:
    """Print the cautions: in two lines, or their whole text where that is given."""
    if whole:
        print_list(console, "Cautions", whole)
        return
    console.print()
    for line in short_cautions(console):
        print_line(console, line)


def short_cautions(console: Console) -> list[str]:
    """Their lines; on a narrow terminal one runs into the next, where that is shorter."""
    apart = [line for said in SHORT_CAUTIONS for line in wrapped(console, said)]
    together = wrapped(console, " ".join(SHORT_CAUTIONS))
    return together if len(together) < len(apart) else apart


def print_list(console: Console, heading: str, items: Sequence[str]) -> None:
    """Print items under a heading; nothing where there are none."""
    if not items:
        return
    print_heading(console, heading)
    for item in items:
        say(console, f"- {plain(item)}", hang=2)


def print_table(console: Console, columns: Sequence[Column], headings: frozenset[int] = frozenset()) -> None:
    """Print a table, in blocks below one another where it is too wide; headings: rows that head what follows."""
    for block, fitting in enumerate(blocks(columns, usable_width(console))):
        if block:
            console.print()
        top, rows = lines(fitting)
        for line in top:
            print_line(console, line, "bold")
        for number, row in enumerate(rows):
            if number in headings and number:
                console.print()
            for line in row:
                print_line(console, line, "bold" if number in headings else _style(row[0]))


def _style(row: str) -> str:
    return "bold red" if any(word in row for word in (" FAILS, ", " unknown: do not run")) else ""
