"""Patterns by which an editor tells a quantity from what is none: number, unit of the right kind, tolerance, sign.

They let through whatever `quantities.parse` reads, and what they cannot tell, such as a product of units that comes to
another kind.
"""

from __future__ import annotations

import functools
import re

from featherbench.quantities import KINDS
from featherbench.unit_list import UNITS
from featherbench.unit_lookup import unit_of
from featherbench.unit_table import USUAL

_NUMBER = r"[0-9.,][0-9.,'\u2019 \u00a0\u2007\u2009\u202f/eE+-]*"
_COMPOUND = r"(?:[A-Za-z1][A-Za-z0-9 ]*(?:(?:\*\*|[*/^]) *-?[A-Za-z0-9]+ *)+|[A-Za-z]+(?: +[A-Za-z]+)+)"
"""With signs between units, or more than one with a blank between them."""
_SPELT_OTHERWISE = (
    r"[^+\u00b1]*[\"\u2033\u00b0\u00b2\u00b3\u00b7\u22c5\u00d7\u00b5\u03bc\u2126\u03a9][^+\u00b1]*"
)
"""With a degree sign, a raised power, a micro, an ohm or an inch mark."""
_MARK = r"(?:\+/?-|\u00b1)"


def pattern(kind: str, sign: str) -> str:
    """Regular expression (ECMA-262 and Python alike) for the text of a quantity of `kind`.

    sign: "any", "not negative", or "positive" (not zero either); of a temperature any, for its scales begin elsewhere.
    """
    sign = "any" if kind == "temperature" else sign
    signed = r"[+\u2212-]?" if sign == "any" else r"\+?"
    some = r"(?=[^A-Za-z]*[1-9])" if sign == "positive" else ""
    unit = f"(?:{_simple(kind)}|{_COMPOUND}|{_SPELT_OTHERWISE})"
    return rf"^\s*{some}{signed}{_NUMBER}\s*(?:{unit}\s*(?:{_MARK}.*)?|{_MARK}\s*{_NUMBER}\s*{unit}\s*)$"


@functools.cache
def _simple(kind: str) -> str:
    """Names of units of that kind, each with or without a prefix."""
    prefixes, names = _named()
    wanted = unit_of(KINDS[kind].si).dimension
    own = sorted(name for name in names if unit_of(name).dimension == wanted)
    usual = [text for factors in USUAL.values() for text in factors if text.isalpha()]
    whole = sorted(text for text in usual if unit_of(text).dimension == wanted)
    return (
        f"(?:(?:{'|'.join(prefixes)})?(?:{'|'.join(own)})|{'|'.join(whole)})" if own or whole else "[A-Za-z]+"
    )


@functools.cache
def _named() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Prefixes and names of the list of units, with their short forms."""
    prefixes: list[str] = []
    names: list[str] = []
    for line in UNITS.strip().splitlines():
        texts = [text.split(";")[0].strip() for text in line.split("=")]
        texts = [text for text in (texts[0], *texts[2:]) if re.fullmatch(r"[A-Za-z_]+-?", text)]
        for text in texts:
            (prefixes if text.endswith("-") else names).append(text.removesuffix("-"))
    return tuple(prefixes), tuple(name for name in names if "_" not in name)
