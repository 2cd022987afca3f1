"""The only door for units: text a person types <-> plain SI floats.

Everything behind this module is SI and radians. `KINDS` lists each kind of quantity a scenario may hold, the
SI unit it is turned into, an example, and the units it is shown in (metric, trade). Nothing else in the package
imports pint.
"""

from __future__ import annotations

import functools
import math
import re
from typing import Any, NamedTuple


class Kind(NamedTuple):
    """One kind of quantity: SI unit inside, units on display, an example for error messages."""

    si: str
    metric: str
    trade: str
    example: str


KINDS: dict[str, Kind] = {
    "length": Kind("m", "mm", "inch", "12 mm"),
    "mass": Kind("kg", "g", "g", "6.4 g"),
    "force": Kind("N", "N", "ozf", "0.3 N"),
    "moment": Kind("N*m", "N*mm", "ozf*inch", "0.32 N*m"),
    "angle": Kind("rad", "deg", "deg", "26 deg"),
    "rotation": Kind("rad/s", "rpm", "rpm", "8400 rpm"),
    "time": Kind("s", "s", "s", "1.5 s"),
    "frequency": Kind("Hz", "Hz", "Hz", "333 Hz"),
    "voltage": Kind("V", "V", "V", "6 V"),
    "current": Kind("A", "A", "A", "1.6 A"),
    "resistance": Kind("ohm", "ohm", "ohm", "80 mohm"),
    "inductance": Kind("H", "H", "H", "120 uH"),
    "inertia": Kind("kg*m^2", "g*mm^2", "g*mm^2", "0.9 g*mm^2"),
    "stiffness": Kind("N/m", "N/mm", "lbf/inch", "40 N/mm"),
    "angular stiffness": Kind("N*m/rad", "N*m/rad", "ozf*inch/deg", "12 N*m/rad"),
    "density": Kind("kg/m^3", "kg/m^3", "kg/m^3", "1.18 kg/m^3"),
    "pressure": Kind("Pa", "GPa", "GPa", "70 GPa"),
    "temperature": Kind("K", "degC", "degC", "25 degC"),
    "power": Kind("W", "W", "W", "40 W"),
    "speed": Kind("m/s", "m/s", "m/s", "3 m/s"),
}


class QuantityError(ValueError):
    """A text that is no usable quantity; the message is written for the person who typed it."""
