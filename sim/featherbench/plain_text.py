"""Free text that a person wrote, made safe to show anywhere."""

from __future__ import annotations

import unicodedata

_TURNS_TEXT = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")
"""Marks that change the direction of the text around them."""


def plain(text: str, longest: int | None = None) -> str:
    """One line of text without control characters: no colours, bells, cursor moves or turned direction.

    longest: characters after which the text is cut and ends in "..".
    """
    kept = "".join(_shown(character) for character in text)
    line = " ".join(
        filter(None, kept.split(" "))
    )  # spaces that hold a number to its sign, or to its column, stay
    return line if longest is None or len(line) <= longest else line[: max(0, longest - 2)].rstrip() + ".."


def _shown(character: str) -> str:
    if character in _TURNS_TEXT:
        return ""
    category = unicodedata.category(character)
    if category == "Cs":
        return "?"
    return " " if category in ("Cc", "Zl", "Zp") else character
