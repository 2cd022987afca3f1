"""The number at the beginning of a typed text, in the ways that people write one.

Read are 12.5, .5, 1e-3, 3/16, 1 1/2 and 1-1/2, a decimal comma (12,5), and thousands set apart by spaces, by commas
beside a decimal point, or by points beside a decimal comma. Where a comma may be either (12,500) nothing is guessed.
"""

from __future__ import annotations

import re

_MIXED = re.compile(r"([+-]?)([0-9]{1,4})[ -]+([0-9]{1,4})/([0-9]{1,4})(?=[\sa-zA-Z])")
_FRACTION = re.compile(r"([+-]?[0-9]{1,6})/([0-9]{1,6})(?=[\sa-zA-Z])")
_PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_SPACED = re.compile(r"[+-]?[0-9]{1,3}(?:[ '\u2019][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,}(?![0-9.,]))")
_POINT_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:(?:\.[0-9]{3})+,[0-9]+|(?:\.[0-9]{3}){2,}(?![0-9.,]))")
_COMMA = re.compile(r"([+-]?[0-9]*),([0-9]+)(?:[eE][+-]?[0-9]+)?")
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f"), " ")
"""Spaces that word processors set inside numbers."""


class NotOneNumber(ValueError):
    """No number there, or one that may be read in two ways; the message says which, in words."""


def split_number(text: str, *, grouped: bool) -> tuple[float, str]:
    """The number that `text` begins with, and what follows it.

    grouped: a comma before three digits sets thousands apart (no rpm has thousandths). Raises NotOneNumber.

    >>> split_number("12 000 rpm", grouped=False), split_number("1 1/2 in", grouped=False)
    ((12000.0, 'rpm'), (1.5, 'in'))
    """
    text = text.translate(_SPACES).strip()
    fraction = _fraction(text)
    if fraction is not None:
        return fraction
    for pattern, apart, point in (
        (_SPACED, " '\u2019", ","),
        (_GROUPED, ",", "."),
        (_POINT_GROUPED, ".", ","),
    ):
        match = pattern.match(text)
        if match is not None:
            digits = match[0].translate(dict.fromkeys(map(ord, apart))).replace(point, ".")
            return float(digits), text[match.end() :].strip()
    comma = _COMMA.match(text)
    if comma is not None:
        return _with_comma(comma, grouped), _rest(text, comma.end())
    plain = _PLAIN.match(text)
    if plain is None:
        finite = re.match(r"[+-]?(nan|inf)", text, re.IGNORECASE)
        raise NotOneNumber("a finite number with its unit" if finite else "number first and then the unit")
    return float(plain[0]), _rest(text, plain.end())


def _fraction(text: str) -> tuple[float, str] | None:
    mixed = _MIXED.match(text)
    if mixed is not None and int(mixed[4]) != 0:
        value = int(mixed[2]) + int(mixed[3]) / int(mixed[4])
        return (-value if mixed[1] == "-" else value), text[mixed.end() :].strip()
    match = _FRACTION.match(text)
    if match is not None and int(match[2]) != 0:
        return int(match[1]) / int(match[2]), text[match.end() :].strip()
    return None


def _with_comma(match: re.Match[str], grouped: bool) -> float:
    before, after = match[1].lstrip("+-"), match[2]
    whole = match[0].replace(",", "")
    if len(after) != 3 or not 1 <= len(before) <= 3 or before.startswith("0"):
        return float(match[0].replace(",", "."))
    if grouped:
        return float(whole)
    raise NotOneNumber(
        f"and {match[0]} may mean {whole} or {match[0].replace(',', '.')}: write it without a comma"
    )


def _rest(text: str, end: int) -> str:
    rest = text[end:]
    if re.match(r"[.,][0-9]", rest):
        raise NotOneNumber("one number, with one decimal point or comma")
    return rest.strip()
