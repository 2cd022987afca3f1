"""What metals bear: yield and ultimate strength, the least that a bar of that name is sold with where it is known.

Least values where the standard gives one, handbook values otherwise; where two were read, the lower one. Status: FOUND
read in the text named; MEM from memory, not seen. A material without a row here (plastics, laminates, lead) has no
strength to be reckoned with: a maker's own figure has to be stated on the part.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from featherbench.assembly.materials import PHILPOT, material
from featherbench.assembly.refusal import PartRefused

MPA = 1e6


class MetalStrength(NamedTuple):
    """yield_strength and ultimate, Pa; family: "steel", "stainless", "titanium", "aluminium", "brass" or "tungsten";
    words: what users read; citation and status: for those who check the figures.
    """

    yield_strength: float
    ultimate: float
    family: str
    words: str
    citation: str
    status: str


_CALLISTER = "W. D. Callister, Materials Science and Engineering, table B.4"
_LOWER = "EN 10088-3, bar of {}; ASTM A276, annealed, read in dealers' sheets: 205 and 515 MPa"
METALS: dict[str, MetalStrength] = {
    "steel": MetalStrength(
        235 * MPA, 360 * MPA, "steel", "ordinary mild bar, S235", "EN 10025-2 table 7, S235 up to 16 mm", "FOUND"
    ),
    "steel 4140 normalised": MetalStrength(
        655 * MPA, 1020 * MPA, "steel", "handbook value for 4140 bar, normalised", _CALLISTER, "FOUND"
    ),
    "steel 4140 annealed": MetalStrength(
        417 * MPA, 655 * MPA, "steel", "4140 bar in its weakest condition, annealed", _CALLISTER, "FOUND"
    ),
    "stainless 304": MetalStrength(
        190 * MPA, 500 * MPA, "stainless", "least of annealed 304", _LOWER.format("1.4301"), "MEM, below FOUND"
    ),
    "stainless 316": MetalStrength(
        200 * MPA, 500 * MPA, "stainless", "least of annealed 316", _LOWER.format("1.4401"), "MEM, below FOUND"
    ),
    "titanium 6Al-4V": MetalStrength(
        827 * MPA, 900 * MPA, "titanium", "least of annealed titanium 6Al-4V", f"yield {PHILPOT}; {_CALLISTER}", "FOUND"
    ),
    "aluminium 6061": MetalStrength(
        276 * MPA, 310 * MPA, "aluminium", "handbook value for 6061-T6", _CALLISTER, "FOUND"
    ),
    "aluminium 7075": MetalStrength(
        505 * MPA, 572 * MPA, "aluminium", "handbook value for 7075-T6", _CALLISTER, "FOUND"
    ),
    "aluminium 2024": MetalStrength(
        345 * MPA, 485 * MPA, "aluminium", "handbook value for 2024-T3", _CALLISTER, "FOUND"
    ),
    "brass": MetalStrength(
        170 * MPA, 390 * MPA, "brass", "least of half-hard free-cutting brass", "ASTM B16, C36000 H02", "FOUND"
    ),
    **{
        f"tungsten alloy class {number}": MetalStrength(
            517 * MPA, 758 * MPA, "tungsten", "least of tungsten heavy alloy", "ASTM B777 class 1", "MEM"
        )
        for number in (1, 2, 3)
    },
}  # fmt: skip


UNNAMED = ("titanium", "aluminium", "aluminum")
"""Names that stand for a weak grade as well as for a strong one: a density may be taken from them, a strength not."""


@functools.lru_cache(maxsize=256)
def metal_strength(name: str | None) -> MetalStrength | None:
    """Of a material by any of its names; None for one that is not known, and for what has no strength here."""
    if name is None or " ".join(name.split()).casefold() in UNNAMED:
        return None
    try:
        return METALS.get(material(name).name)
    except PartRefused:
        return None
