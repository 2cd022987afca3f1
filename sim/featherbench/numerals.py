"""Numbers for people: three figures, one number of decimals along a row, one unit."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, isfinite, log10

from featherbench import quantities

MISSING = "-"
"""What stands where a run could not give a value."""

UNMOVED = "unmoved"
"""What stands for the interval of a figure that no stated tolerance reaches."""

MOST_DECIMALS = 6
OF_KIND = {"current": 3, "force": 3, "angle": 2, "time": 3, "ratio": 3}
"""Most decimals of the kinds that people measure: finer than any instrument at hand, and no finer."""

Value = float | str | None


def display_factor(kind: str, system: str) -> tuple[float, str]:
    """What an SI number of this kind is multiplied by for display, and the unit then.

    system: "metric" or "trade". Kinds with an offset (temperature) have none.
    """
    return quantities.shown(1.0, kind, system)


def unit_of(kind: str) -> str:
    """SI unit of a kind of quantity; "1" for a ratio, "" for a text."""
    return "1" if kind == "ratio" else quantities.si_unit(kind)


def unit_in_print(unit: str) -> str:
    """A unit as it is set in print: a raised dot and raised figures."""
    return unit.replace("*", "·").replace("^2", "²").replace("^3", "³")


def decimals(values: Sequence[float], figures: int = 3, least: int = 2) -> int:
    """Decimals that give the largest of the values `figures` significant figures.

    A much smaller value beside it gets one decimal more, so as to show `least` figures, unless it is next to
    nothing (a thousandth of the largest).
    """
    sizes = [abs(value) for value in values if isfinite(value) and value != 0.0]
    if not sizes:
        return 0
    largest = float(f"{max(sizes):.{figures - 1}e}")
    for_largest = figures - 1 - floor(log10(largest))
    smallest = min(size for size in sizes if size >= 1e-3 * max(sizes))
    for_least = least - 1 - floor(log10(smallest))
    return min(max(for_largest, min(for_least, for_largest + 1), 0), MOST_DECIMALS)


def numeral(value: float, places: int, sign: bool = False) -> str:
    """The value with so many decimals, never "-0.0"; sign: a plus, too."""
    text = f"{value:{'+' if sign else ''}.{places}f}"
    return text.lstrip("+-") if float(text) == 0.0 else text


def spread_decimals(half_widths: Sequence[float], kind: str, system: str) -> int | None:
    """Decimals that give the widest half-width of 95 % intervals (SI) two significant figures, a much narrower one at
    least one of them; None when no interval has any width.

    An uncertainty is not worth more than two figures, and the value is rounded to match it (JCGM 100:2008, 7.2.6; from
    memory).
    """
    wide = [half for half in half_widths if isfinite(half) and half > 0.0]
    if not wide:
        return None
    factor, _ = display_factor(kind, system)
    return min(decimals([half * factor for half in wide], 2, 2), OF_KIND.get(kind, MOST_DECIMALS))


def error_decimals(error: float, kind: str, system: str) -> int | None:
    """Decimals that a value (SI) whose standard deviation is `error` is worth: one in the last is no less than it; None
    without any error.
    """
    if not isfinite(error) or error <= 0.0:
        return None
    factor, _ = display_factor(kind, system)
    return min(max(0, floor(-log10(error * factor))), OF_KIND.get(kind, MOST_DECIMALS))


def range_text(low: float, high: float, kind: str, system: str, places: int, sign: bool = False) -> str:
    """An interval (SI), which need not lie evenly about its value, with so many decimals; UNMOVED when it is none."""
    if low == high:
        return UNMOVED
    factor, _ = display_factor(kind, system)
    return f"{numeral(low * factor, places, sign)} to {numeral(high * factor, places, sign)}"


def row_texts(
    values: Sequence[Value],
    kind: str,
    system: str,
    figures: int = 3,
    least: int = 2,
    *,
    places: int | None = None,
) -> tuple[list[str], str, int]:
    """Values (SI, text or None) as they are shown side by side, their unit, and the decimals used.

    places: decimals, when something else than the values decides on them.
    """
    numbers = [value for value in values if isinstance(value, float)]
    if not numbers or kind == "text":
        return [_words(value) for value in values], "", 0
    factor, unit = display_factor(kind, system)
    if places is None:
        places = min(
            decimals([value * factor for value in numbers], figures, least), OF_KIND.get(kind, MOST_DECIMALS)
        )
    return (
        [numeral(value * factor, places) if isinstance(value, float) else _words(value) for value in values],
        unit,
        places,
    )


def percent(share: float | None, sign: bool = True) -> str:
    """A share as whole per cent; "" for None."""
    if share is None or not isfinite(share):
        return ""
    return f"{numeral(100.0 * share, 1 if 0.0 < abs(share) < 0.0095 else 0, sign)} %"


def quantity(value: float | None, kind: str, system: str) -> str:
    """One value with its unit, three figures."""
    texts, unit, _ = row_texts([value], kind, system)
    return f"{texts[0]} {unit}".rstrip() if value is not None else MISSING


def _words(value: Value) -> str:
    return MISSING if value is None else str(value)
