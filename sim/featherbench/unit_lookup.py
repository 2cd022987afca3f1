"""What a unit text such as "ozf*inch/deg" is worth in SI: from the table of usual ones, else looked up with pint.

Only `quantities` asks here. pint, a quarter of a second to load, is imported when a text is not in the table.
"""

from __future__ import annotations

import functools
import re
import threading
from typing import Any, NamedTuple

from featherbench.unit_list import UNITS
from featherbench.unit_table import OFFSETS, USUAL

_LOCK = threading.Lock()
_TOKEN = re.compile(
    r"\s*(?:(?P<name>[A-Za-z]+)|(?P<one>1(?![0-9]))|(?P<sign>\*\*|[*/^])|(?P<power>-?[1-4](?![0-9])))"
)


class Unit(NamedTuple):
    """SI value = factor * number + offset; dimension: sorted (base, power) pairs."""

    factor: float
    offset: float
    dimension: tuple[tuple[str, float], ...]


@functools.cache
def registry() -> Any:
    """The unit registry, built when the first text is parsed."""
    import pint

    known: Any = pint.UnitRegistry(None)
    known.load_definitions(UNITS.strip().splitlines())
    return known


@functools.lru_cache(maxsize=512)
def unit_of(text: str) -> Unit:
    """Look a unit text up; raises LookupError if it is not one. The registry serves one thread at a time."""
    usual = _usual().get(text)
    if usual is not None:
        return usual
    with _LOCK:
        return _looked_up(text)


@functools.cache
def _usual() -> dict[str, Unit]:
    """The table by text."""
    found: dict[str, Unit] = {}
    for dimension, factors in USUAL.items():
        bases = (base.split("^") for base in dimension.split())
        powers = tuple((f"[{name}]", float(power)) for name, power in bases)
        found |= {text: Unit(factor, 0.0, powers) for text, factor in factors.items()}
    return found | {
        text: Unit(factor, zero, (("[temperature]", 1.0),)) for text, (factor, zero) in OFFSETS.items()
    }


def _looked_up(text: str) -> Unit:
    known = registry()
    product = known.Unit("")
    names = _factors(text)
    for name, power in names:
        try:
            product = product * known.Unit(name) ** power
        except (
            AttributeError,
            ValueError,
        ):  # pint's "undefined unit" is the first, "nan" it takes for a factor
            raise LookupError(name) from None
    dimension = tuple(sorted((base, float(power)) for base, power in product.dimensionality.items()))
    if any(known.Unit(name) in _offset_units() for name, _ in names):
        if names != [(names[0][0], 1)]:
            raise LookupError(text)
        zero = float(known.Quantity(0.0, product).to("kelvin").magnitude)
        step = float(known.Quantity(1.0, f"delta_{product}").to("kelvin").magnitude)
        return Unit(step, zero, dimension)
    return Unit(float(known.Quantity(1.0, product).to_root_units().magnitude), 0.0, dimension)


@functools.cache
def _offset_units() -> tuple[Any, ...]:
    return registry().Unit("degree_Celsius"), registry().Unit("degree_Fahrenheit")


def _factors(text: str) -> list[tuple[str, int]]:
    """Take "ozf*inch/deg" apart into names and powers; raises LookupError where it cannot."""
    text = re.sub(r"(?<=[A-Za-z])[-.](?=[A-Za-z])", "*", text)
    text = re.sub(r"\bper\b", "/", text).strip()
    factors: list[tuple[str, int]] = []
    place, sign, raised, name_before = 0, 1, False, False
    while place < len(text):
        match = _TOKEN.match(text, place)
        if match is None:
            raise LookupError(text)
        token, place = match[match.lastgroup or 0], match.end()
        if raised:
            if match.lastgroup not in ("power", "one") or not name_before:
                raise LookupError(text)
            factors[-1] = (factors[-1][0], factors[-1][1] * int(token))
            raised = name_before = False
        elif match.lastgroup == "name":
            factors.append((token, sign))
            sign, name_before = 1, True
        elif token in ("^", "**"):
            raised = True
        elif match.lastgroup == "sign":
            sign = -1 if token == "/" else 1
        elif match.lastgroup != "one" or factors:
            raise LookupError(text)
    if raised or text.endswith(("*", "/")):
        raise LookupError(text)
    return factors
