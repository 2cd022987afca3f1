"""A typed figure held against what is usual: the one comparison that every remark comes from.

The bands are common practice of model helicopters of 0.5 to 15 kg, no source. They are three to five times as wide as
the builds they were drawn around, and a slip of units is a factor of ten or more: so what a person can have meant goes
without a word, and a slip does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import NamedTuple

from featherbench import quantities

HEAD = "Is this meant"
"""What every remark begins with, before a colon."""


class Remark(NamedTuple):
    """key: path of what was typed; given: the value as understood; usual: what would be, and of what; why."""

    key: str
    given: str
    usual: str
    why: str = ""

    @property
    def sentence(self) -> str:
        """One line to read before any answer."""
        why = f" ({self.why})" if self.why else ""
        return f"{HEAD}: {self.key} = {self.given}? Usual is {self.usual}{why}."


class Band(NamedTuple):
    """low and high, times the reference that `within` is given; beside: what the reference is, in words."""

    key: str
    kind: str
    low: float
    high: float
    beside: str = ""
    why: str = ""


def within(band: Band, value: object, reference: float = 1.0) -> Iterator[Remark]:
    """The remark on a value (SI) outside its band; none for what is not stated, for 0, or beside no reference.

    A value of 0 says that something is left out, which no slip of units does.
    """
    if not isinstance(value, int | float) or value == 0.0 or not 0.0 < reference < inf:
        return
    low, high = band.low * reference, band.high * reference
    if low <= abs(value) <= high:
        return
    usual = f"up to {_text(high, band.kind)}" if low == 0.0 else _between(low, high, band.kind)
    yield Remark(band.key, _text(float(value), band.kind, 4), f"{usual} {band.beside}".rstrip(), band.why)


def _between(low: float, high: float, kind: str) -> str:
    if high == inf:
        return f"at least {_text(low, kind)}"
    return f"{_text(low, kind).partition(' ')[0]} to {_text(high, kind)}"


def _text(value: float, kind: str, digits: int = 2) -> str:
    return quantities.text(value, kind, digits=digits)
