"""Strength of bolts by property class, and what stresses on a round bar come to.

Stress and proof values: ISO 898-1, of small sizes (8.8 below M16). 8.8, 10.9 and 12.9 read in load tables made from
the standard (FOUND: ultimate and proof loads of M3 and M4 divided by the stress area); the other classes and the
stainless ones (ISO 3506-1, 0.2 % yield in place of proof) MEM, from memory.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple


class PropertyClass(NamedTuple):
    """Least ultimate and proof stress, Pa."""

    name: str
    ultimate: float
    proof: float
    source: str


def _steel(name: str, ultimate: float, proof: float, status: str) -> PropertyClass:
    return PropertyClass(name, ultimate * 1e6, proof * 1e6, f"ISO 898-1 class {name} ({status})")


def _stainless(name: str, ultimate: float, proof: float) -> PropertyClass:
    return PropertyClass(name, ultimate * 1e6, proof * 1e6, f"ISO 3506-1 class {name} (from memory)")


NUT_SHARE = 0.75
"""Yield of a nut's thread over its stress under proof load: a whole nut then bears no more than that load."""

CLASSES: dict[str, PropertyClass] = {
    row.name: row
    for row in (
        _steel("4.8", 420.0, 310.0, "from memory"),
        _steel("5.8", 520.0, 380.0, "from memory"),
        _steel("8.8", 800.0, 580.0, "load tables"),
        _steel("9.8", 900.0, 650.0, "from memory"),
        _steel("10.9", 1040.0, 830.0, "load tables"),
        _steel("12.9", 1220.0, 970.0, "load tables"),
        _stainless("A2-70", 700.0, 450.0),
        _stainless("A4-80", 800.0, 600.0),
    )
}

NUTS: dict[str, PropertyClass] = {
    name: PropertyClass(name, stress * 1e6, NUT_SHARE * stress * 1e6, f"ISO 898-2 nut of class {name}")
    for name, stress in (
        ("04", 380.0),
        ("05", 500.0),
        ("5", 520.0),
        ("6", 600.0),
        ("8", 800.0),
        ("10", 1040.0),
        ("12", 1140.0),
    )
}
"""Stress under proof load of ISO 4032 nuts (read in load tables of M3 to M5), and the yield to reckon with."""

SHEAR_SHARE = 0.6
"""Shear strength over ultimate stress of a bolt: 0.6, as in EN 1993-1-8 for class 8.8 (from memory)."""


def property_class(name: str) -> PropertyClass | None:
    """The class of that name, spaces and the word "class" aside; None for one that is not listed."""
    wanted = name.casefold().replace("class", "").replace(" ", "")
    return next((row for key, row in CLASSES.items() if key.casefold() == wanted), None)


def round_modulus(diameter: float) -> float:
    """Section modulus of a round bar in bending, m^3: pi d^3 / 32."""
    return pi * diameter**3 / 32.0


def combined_stress(axial: float, shear: float) -> float:
    """Von Mises stress of a normal and a shear stress at one point, Pa: sqrt(sigma^2 + 3 tau^2)."""
    return float((axial * axial + 3.0 * shear * shear) ** 0.5)
