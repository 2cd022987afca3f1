"""What is wrong with an input, said so that the person who typed it can put it right."""

from __future__ import annotations

import functools
import json
from collections.abc import Iterable
from dataclasses import dataclass

MOST_SHOWN = 40
"""A message lists this many problems and counts the rest."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: where (file, line, key path), what was given, what is expected."""

    file: str = ""
    line: int | None = None
    key: str = ""
    given: str = ""
    expected: str = ""

    def __str__(self) -> str:
        """Three lines: where, given, expected."""
        where = printable(self.file) if self.file else "scenario"
        if self.line is not None:
            where += f", line {self.line}"
        if self.key:
            where += f": {printable(self.key)}"
        return f"{where}\n    given:    {printable(self.given)}\n    expected: {printable(self.expected)}"


class ScenarioError(Exception):
    """The input was refused; `problems` holds everything that was found wrong, the text shows it all."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep the problems; there is at least one."""
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        """One readable message."""
        count = len(self.problems)
        head = "1 problem in the input" if count == 1 else f"{count} problems in the input"
        shown = [str(problem) for problem in self.problems[:MOST_SHOWN]]
        if count > MOST_SHOWN:
            shown.append(f"... and {count - MOST_SHOWN} more")
        return "\n".join([f"{head}:", *shown])


def printable(text: str) -> str:
    """Text with everything that could disturb a terminal written as an escape."""
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode("ascii") for letter in text
    )


def shown_value(value: object, longest: int = 70) -> str:
    """A value from the file as a person would recognise it, shortened."""
    if isinstance(value, dict):
        text = "a table with " + (", ".join(str(key) for key in list(value)[:6]) or "no keys")
    elif isinstance(value, bool | str | list):
        text = json.dumps(value, ensure_ascii=False, default=str)
    else:
        text = str(value)
    return text if len(text) <= longest else text[: longest - 4] + " ..."


def dotted(path: Iterable[str | int]) -> str:
    """A key path as text: part.blade-bolt.mass, bench.programme.0.hold."""
    return _dotted(tuple(path))


@functools.lru_cache(maxsize=4096)  # every scenario has the same some hundred
def _dotted(path: tuple[str | int, ...]) -> str:
    return ".".join(str(step) for step in path)
