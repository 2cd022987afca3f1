"""The pin that the blade turns on, read from the parts in their places."""

from __future__ import annotations

from collections.abc import Iterable

from featherbench.assembly.assembled import PlacedPart

REACH = 0.5e-3
"""How far from the bolt's stated place a part may stand and still be the bolt, m."""


def blade_pin_diameter(parts: Iterable[PlacedPart], radius: float, chord: float) -> float | None:
    """Diameter, m, of the thinnest solid round that stands along the normal through the blade at the bolt's place
    (radius, chord), m; None where the parts show none.
    """
    found = [
        solid.size[0]
        for part in parts
        for solid in part.solids
        if not part.swings
        and solid.kind == "round"
        and solid.axis == "normal"
        and solid.bore == 0.0
        and abs(solid.centre[0] - radius) <= REACH
        and abs(solid.centre[1] - chord) <= REACH
        and abs(solid.centre[2]) <= 0.5 * solid.size[2]
    ]
    return min(found, default=None)
