"""On which line of a TOML text each key stands. The text has been read by tomllib before, so it is valid."""

from __future__ import annotations

import contextlib
import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})' r"|'''.*?'''(?:'{0,2})" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'",
    re.DOTALL,
)
_PLAIN = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> dict[Path, int]:
    """Line, counted from 1, of every key path and array element in a valid TOML text.

    Table headers, dotted keys, inline tables, arrays and arrays of tables are followed. Where the text goes
    beyond what this reader follows, the rest is left out: a missing line is no error.
    """
    reader = _Reader(text.replace("\r\n", "\n"))
    with contextlib.suppress(LookupError, RecursionError, ValueError):
        reader.document()
    return reader.lines


class _Reader:
    """Walks over the text once, noting where keys stand."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0
        self.lines: dict[Path, int] = {}
        self._ends = [match.start() for match in re.finditer("\n", text)]
        self._last: dict[Path, int] = {}

    def document(self) -> None:
        prefix: Path = ()
        self._skip(_BLANK)
        while self.place < len(self.text):
            if self.text[self.place] == "[":
                prefix = self._header()
            else:
                self._pair(prefix)
            self._skip(_BLANK)

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.place)
        if match is None:
            raise LookupError(self.place)
        self.place = match.end()
        return match[0]

    def _note(self, path: Path) -> None:
        self.lines.setdefault(path, bisect_right(self._ends, self.place - 1) + 1)

    def _key(self) -> list[str]:
        """A dotted key at this place."""
        names = []
        while True:
            self._skip(_SPACE)
            if self.text[self.place] in "\"'":
                names.append(tomllib.loads(f"{self._skip(_STRING)} = 0").popitem()[0])
            else:
                names.append(self._skip(_BARE))
            self._skip(_SPACE)
            if self.text[self.place] != ".":
                return names
            self.place += 1

    def _header(self) -> Path:
        """[table] or [[array of tables]]; gives the path that the following keys belong to."""
        several = self.text.startswith("[[", self.place)
        self.place += 2 if several else 1
        names = self._key()
        path: Path = ()
        for index, name in enumerate(names):
            path = (*path, name)
            self._note(path)
            if several and index == len(names) - 1:
                self._last[path] = self._last.get(path, -1) + 1
            if path in self._last:
                path = (*path, self._last[path])
                self._note(path)
        self.place += 2 if several else 1
        return path

    def _pair(self, prefix: Path) -> None:
        start = self.place
        names = self._key()
        after, self.place = self.place, start
        path = prefix
        for name in names:
            path = (*path, name)
            self._note(path)
        self.place = after + 1  # over the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        first = self.text[self.place]
        if first in "\"'":
            self._skip(_STRING)
        elif first == "[":
            self._array(path)
        elif first == "{":
            self._inline(path)
        else:
            self._skip(_PLAIN)

    def _array(self, path: Path) -> None:
        self.place += 1
        self._skip(_BLANK)
        index = 0
        while self.text[self.place] != "]":
            self._note((*path, index))
            self._value((*path, index))
            self._skip(_BLANK)
            if self.text[self.place] == ",":
                self.place += 1
                self._skip(_BLANK)
            index += 1
        self.place += 1

    def _inline(self, path: Path) -> None:
        self.place += 1
        self._skip(_BLANK)
        while self.text[self.place] != "}":
            self._pair(path)
            self._skip(_BLANK)
            if self.text[self.place] == ",":
                self.place += 1
                self._skip(_BLANK)
        self.place += 1
