"""Values and keys as TOML 1.0 writes them, each on one line: what reads back is what was written.

A basic string takes every character but the quotation mark, the backslash and the control characters U+0000 to U+001F
and U+007F (toml.io, v1.0.0, section String). Two libraries were tried: tomli-w 1.2 writes no comments and breaks every
table out of its line; tomlkit 0.15 does both, but takes longer to import than a variant to write, and more code to ask
for a table on one line than stands here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_ESCAPED = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def toml_value(value: Any) -> str:
    """A text, number, truth value, list or table on one line. Raises TypeError for anything else."""
    if isinstance(value, str):
        return '"' + "".join(_letter(letter) for letter in value) + '"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):  # of any make: numpy shows its own otherwise
        return repr(float(value) if isinstance(value, float) else int(value))
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{toml_key(key)} = {toml_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    raise TypeError(f"no value of TOML: {value!r}")


def toml_key(name: str) -> str:
    """A key, bare where it can be."""
    bare = all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name)
    return name if name and bare else toml_value(name)


def _letter(letter: str) -> str:
    if letter in _ESCAPED:
        return _ESCAPED[letter]
    if letter < " " or letter == "\x7f" or "\ud800" <= letter <= "\udfff":
        # half of a pair stands for no character; a file cannot hold it
        return f"\\u{ord(letter):04x}" if letter <= "\x7f" else "\\ufffd"
    return letter
