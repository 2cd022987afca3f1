"""Text handed in by a pipe: what a command is given as `-` in place of a file's name. Standard library only."""

from __future__ import annotations

import sys
import weakref
from pathlib import Path

NAME = "-"
_TAKEN: weakref.WeakKeyDictionary[object, tuple[str, bytes]] = weakref.WeakKeyDictionary()
"""By the stream, which gives its bytes only once: who took them, and the bytes."""


class NothingHandedIn(ValueError):
    """Standard input gives nothing; given: what there is instead; expected: what would do."""

    def __init__(self, given: str, expected: str) -> None:
        """Both in words."""
        super().__init__(f"{given}; expected {expected}")
        self.given, self.expected = given, expected


def is_standard_input(path: Path | str) -> bool:
    """Whether a name stands for standard input; a file of that name is `./-`."""
    return isinstance(path, Path | str) and str(path) == NAME


def handed_in(what: str, most: int) -> bytes:
    """All that is handed in, at most `most` bytes and one more; the same again for whoever asks for the same `what`.

    what: "a scenario" or "readings". Raises NothingHandedIn when a person sits at it, and for a second thing.
    """
    stream = sys.stdin
    if stream is None or stream.closed:
        raise NothingHandedIn("no standard input", "the name of a file")
    if stream in _TAKEN:
        taken, data = _TAKEN[stream]
        if taken != what:
            raise NothingHandedIn(f"standard input, which {taken} was read from", "a file for one of the two")
        return data
    if stream.isatty():
        raise NothingHandedIn(
            "a keyboard", f"{what} handed in by a pipe or a redirection, for example  ... - < FILE"
        )
    data = stream.buffer.read(most + 1)
    _TAKEN[stream] = (what, data)
    return data
