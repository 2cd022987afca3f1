"""The only door for units: text a person types <-> plain SI floats.

Everything behind this module is SI and radians. `KINDS` lists each kind of quantity a scenario may hold, the
SI unit it is turned into, an example, and the units it is shown in (metric, trade). Nothing else in the
package imports pint, and pint is imported when the first text is parsed, not before.

Angle is a dimension of its own here, so that a rotation (rpm, rad/s) can never be taken for a frequency (Hz),
nor a stiffness per radian for a moment. The units are a short list of those the trade uses (`unit_list`).
"""

from __future__ import annotations

import functools
import math
import re
from typing import NamedTuple

from featherbench.number_text import NotOneNumber, split_number
from featherbench.unit_lookup import Unit, unit_of


class Kind(NamedTuple):
    """One kind of quantity: SI unit inside, units on display, an example for error messages."""

    si: str
    metric: str
    trade: str
    example: str


KINDS: dict[str, Kind] = {
    "length": Kind("m", "mm", "in", "12 mm"),
    "altitude": Kind("m", "m", "ft", "450 m"),
    "charge": Kind("C", "mAh", "mAh", "120 mAh"),
    "mass": Kind("kg", "g", "g", "6.4 g"),
    "force": Kind("N", "N", "ozf", "0.3 N"),
    "moment": Kind("N*m", "N*mm", "ozf*in", "0.32 N*m"),
    "angle": Kind("rad", "deg", "deg", "26 deg"),
    "rotation": Kind("rad/s", "rpm", "rpm", "8400 rpm"),
    "time": Kind("s", "s", "s", "1.5 s"),
    "frequency": Kind("Hz", "Hz", "Hz", "333 Hz"),
    "voltage": Kind("V", "V", "V", "6 V"),
    "current": Kind("A", "A", "A", "1.6 A"),
    "resistance": Kind("ohm", "ohm", "ohm", "80 mohm"),
    "inductance": Kind("H", "H", "H", "120 uH"),
    "inertia": Kind("kg*m^2", "g*mm^2", "g*mm^2", "0.9 g*mm^2"),
    "moment of mass": Kind("kg*m", "g*mm", "g*mm", "450 g*mm"),
    "stiffness": Kind("N/m", "N/mm", "lbf/in", "40 N/mm"),
    "angular stiffness": Kind("N*m/rad", "N*m/rad", "ozf*in/deg", "12 N*m/rad"),
    "density": Kind("kg/m^3", "kg/m^3", "kg/m^3", "1.18 kg/m^3"),
    "pressure": Kind("Pa", "GPa", "GPa", "70 GPa"),
    "stress": Kind("Pa", "MPa", "MPa", "640 MPa"),
    "temperature": Kind("K", "degC", "degC", "25 degC"),
    "power": Kind("W", "W", "W", "40 W"),
    "speed": Kind("m/s", "m/s", "m/s", "3 m/s"),
    "ratio": Kind("", "", "", "0.93"),
}


class Measured(NamedTuple):
    """A value in SI and the half-width of its tolerance in SI, 0 when none was given."""

    value: float
    tolerance: float


class QuantityError(ValueError):
    """A text that is no usable quantity; the message is written for the person who typed it."""


GRAVITY = 9.80665
"""m/s^2, standard gravity (CGPM 1901; from memory)."""
_MASS_TIMES_LENGTH = (("[length]", 1.0), ("[mass]", 1.0))
_LONGEST = 120
_SPELLINGS = {
    "\u2212": "-",
    "±": "+/-",
    "²": "^2",
    "³": "^3",
    "·": "*",
    "\u22c5": "*",
    "×": "*",
    "°C": "degC",
    "°F": "degF",
    "°": "deg",
    "\u2126": "ohm",  # ohm sign
    "\u03a9": "ohm",  # capital omega
    "\u00b5": "u",  # micro sign
    "\u03bc": "u",  # small mu
    "″": "inch",
    '"': "inch",
}


def parse(given: object, kind: str) -> Measured:
    """Turn a typed text such as "6.4 +/- 0.05 g" into SI.

    given: text with a number, a unit and, if wanted, a tolerance after +/- or ± (in the same unit, its own
    unit, or per cent of the value). kind: key of `KINDS`. Raises QuantityError, ending in an example.

    >>> parse("5.0 +/- 0.05 g", "mass")
    Measured(value=0.005, tolerance=5e-05)
    >>> round(parse("1 ozf", "force").value, 6)  # N
    0.278014
    """
    if kind == "ratio" and isinstance(given, int | float) and not isinstance(given, bool):
        given = repr(given)
    if not isinstance(given, str):
        raise _not_text(given, kind)
    return _read(given, kind)


@functools.lru_cache(maxsize=4096)  # a study reads the same texts for each of its builds
def _read(given: str, kind: str) -> Measured:
    text = given.strip()
    if len(text) > _LONGEST:
        raise _refusal(f"a text of {len(text)} characters is no {kind}", kind)
    for spelling, plain in _SPELLINGS.items():
        text = text.replace(spelling, plain)
    nominal, mark, spread = text.replace("+-", "+/-").partition("+/-")
    if not mark:
        number, unit = _split(nominal, kind)
        return Measured(_value(number, unit, kind), 0.0)
    return _toleranced(nominal.strip(), spread.strip(), kind)


def shown(value: float, kind: str, system: str = "metric") -> tuple[float, str]:
    """Number and unit to display an SI `value` of `kind` in; `system` is "metric" or "trade".

    >>> shown(0.005, "mass")
    (5.0, 'g')
    >>> number, unit = shown(1.0, "force", "trade")
    >>> f"{number:.3f} {unit}"
    '3.597 ozf'
    """
    unit = unit_shown(kind, system)
    known = unit_of(unit)
    return (value - known.offset) / known.factor, unit


def text(value: float, kind: str, system: str = "metric", digits: int = 4) -> str:
    """An SI `value` as number and unit, with `digits` significant digits, without exponent if possible."""
    number, unit = shown(value, kind, system)
    return f"{plain_number(number, digits)} {unit}".rstrip()


def plain_number(number: float, digits: int = 4) -> str:
    """A number with `digits` significant digits, written out between 1e-4 and 1e7, zero as 0."""
    rounded = float(f"{number:.{digits}g}") if math.isfinite(number) else number
    if rounded == 0.0:
        return "0"
    if not math.isfinite(rounded) or not 1e-4 <= abs(rounded) < 1e7:
        return f"{rounded:.{digits}g}"
    decimals = max(digits - 1 - math.floor(math.log10(abs(rounded))), 0)
    written = f"{rounded:.{decimals}f}"
    return written.rstrip("0").rstrip(".") if "." in written else written


def si_unit(kind: str) -> str:
    """The SI unit of `kind`; "" for ratios and texts."""
    return KINDS[kind].si if kind in KINDS else ""


def unit_shown(kind: str, system: str = "metric") -> str:
    """The unit in which `kind` is displayed in the "metric" or "trade" system."""
    if system not in ("metric", "trade"):
        raise ValueError(f'units are "metric" or "trade", not {system!r}')
    return KINDS[kind].metric if system == "metric" else KINDS[kind].trade


def _refusal(reason: str, kind: str) -> QuantityError:
    return QuantityError(f'{reason}, for example "{KINDS[kind].example}"')


def _named_kind(kind: str) -> str:
    if kind == "rotation":
        return "rpm"
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _wanted(kind: str) -> str:
    return f"needs {_named_kind(kind)}"


def _not_text(given: object, kind: str) -> QuantityError:
    if isinstance(given, int | float) and not isinstance(given, bool):
        return _refusal(f"needs a unit: {_named_kind(kind)}, as text with its unit", kind)
    return _refusal(f"{_wanted(kind)}, as text with its unit", kind)


def _split(text: str, kind: str) -> tuple[float, str]:
    """Number and unit text."""
    try:
        return split_number(text, grouped=kind == "rotation")
    except NotOneNumber as found:
        raise _refusal(f"{_wanted(kind)}, {found}", kind) from None


def _value(number: float, unit: str, kind: str) -> float:
    known = _checked_unit(unit, kind)
    value = known.factor * number + known.offset
    if not math.isfinite(value):
        raise _refusal(f"{_wanted(kind)}, this one is too large to be a number here", kind)
    return value


def _toleranced(nominal: str, spread: str, kind: str) -> Measured:
    number, unit = _split(nominal, kind)
    half, spread_unit = _split(spread, kind)
    if half < 0.0:
        raise _refusal("a tolerance after +/- cannot be negative", kind)
    if spread_unit == "%":
        value = _value(number, unit, kind)
        if unit_of(unit).offset:
            raise _refusal("% of a temperature means nothing, give the tolerance in degC", kind)
        return Measured(value, _finite_tolerance(abs(value) * half / 100.0, kind))
    if unit and not spread_unit and kind != "ratio":
        raise _refusal("the tolerance needs a unit too, or write the unit once at the end", kind)
    unit = unit or spread_unit
    value = _value(number, unit, kind)
    return Measured(value, _finite_tolerance(_checked_unit(spread_unit, kind).factor * half, kind))


def _finite_tolerance(half: float, kind: str) -> float:
    if not math.isfinite(half):
        raise _refusal("the tolerance is too large to be a number here", kind)
    return half


def _checked_unit(text: str, kind: str) -> Unit:
    """The unit of that text, or a refusal in words if it is none or not one of `kind`.

    A servo's box gives its torque in kg-cm or oz-in. Nothing else than the weight of that mass can be meant where a
    moment is wanted, so it is taken as kgf-cm or ozf-in.
    """
    if not text and kind != "ratio":
        raise _refusal(f"needs a unit: {_named_kind(kind)}", kind)
    try:
        known = unit_of(text)
    except LookupError:
        raise _refusal(f'{_wanted(kind)}, and the unit "{text}" is not known{_advice(text)}', kind) from None
    wanted = unit_of(KINDS[kind].si).dimension
    if kind == "moment" and known.dimension == _MASS_TIMES_LENGTH:
        return known._replace(factor=known.factor * GRAVITY, dimension=wanted)
    if known.dimension != wanted:
        raise _refusal(f'{_wanted(kind)}, and "{text}" is {_named(known)}{_hint(known, kind)}', kind)
    return known


def _advice(text: str) -> str:
    """What else to write instead of a unit that is misread easily."""
    if re.search(r"\bmils?\b", text):
        return " (it may be a length or an angle: a thousandth of an inch is written thou)"
    if "%" in text:
        return " (% is for tolerances only)"
    if "(" in text:
        return " (write it without brackets)"
    return ""


def _named(unit: Unit) -> str:
    """What a unit of the wrong kind is, in words."""
    for kind in KINDS:
        if unit_of(KINDS[kind].si).dimension == unit.dimension:
            return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
    return "of no kind used here"


def _hint(given: Unit, kind: str) -> str:
    """The usual mix-ups: mass for force, and rotation for frequency."""
    if kind == "rotation":
        return "; a rotation is written in rpm, rad/s, deg/s or rev/s"
    if kind == "frequency":
        return "; a frequency is written in Hz, kHz or 1/s"
    powers = dict(given.dimension)
    powers["[length]"] = powers.get("[length]", 0.0) + 1.0
    powers["[time]"] = powers.get("[time]", 0.0) - 2.0
    as_force = tuple(sorted((base, power) for base, power in powers.items() if power))
    if as_force == unit_of(KINDS[kind].si).dimension:
        return "; forces are written ozf, lbf, gf, kgf or N"
    return ""
