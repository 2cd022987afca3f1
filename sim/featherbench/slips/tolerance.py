"""Tolerances held against their values: a doubt as large as a slip is one, or nothing has been measured yet.

Shares are what calipers, a kitchen scale and a stroboscope leave with much to spare (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from featherbench import quantities
from featherbench.slips.band import Remark
from featherbench.studies.key_paths import looked_up

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

SPEED, MASS, LENGTH = 0.05, 0.2, 0.1
"""Largest tolerance over the value that needs no remark: of rotor speed, of masses, of lengths."""
SMALL = 0.3e-3
"""m: a tolerance that calipers may leave on anything, whatever its length."""
ANY = 1.0
"""Of whatever else is typed."""


def tolerance_remarks(setup: Setup) -> Iterator[Remark]:
    """On every tolerance past its share."""
    scenario = setup.scenario
    for key, half in scenario.source.tolerances.items():
        table, *_ = key.split(".")
        if table == "part" and key.split(".")[1] not in scenario.part:
            continue
        value, field = looked_up(scenario, key)
        kind = field.kind if field is not None else "ratio"
        share = _share(key, kind)
        if half <= share * abs(value) or (kind == "length" and half <= SMALL) or not value:
            continue
        given = f"{_text(value, kind)} +/- {_text(half, kind)}"
        usual = f"a tolerance of up to {100.0 * share:.0f} % of it"
        yield Remark(key, given, usual, "measure it, or state what was measured")


def _share(key: str, kind: str) -> float:
    if kind == "rotation":
        return SPEED
    if kind == "mass":
        return MASS
    if kind == "length" and ".play." not in key:
        return LENGTH
    return ANY


def _text(value: float, kind: str) -> str:
    return f"{value:.3g}" if kind == "ratio" else quantities.text(value, kind, digits=4)
