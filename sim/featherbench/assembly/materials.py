"""Densities and elastic moduli of the materials a person may name, each with where it is from.

Status: FOUND read in the text named; MEM from memory, not seen. Handbook values are typical: weigh what
matters. What they bear stands in `material_strengths`.
"""

from __future__ import annotations

import difflib
import functools
from collections.abc import Mapping
from typing import NamedTuple

from featherbench.assembly.refusal import PartRefused

CALLISTER = "W. D. Callister, Materials Science and Engineering, Appendix B"
PHILPOT = "T. A. Philpot, Mechanics of Materials (2017), table D.1b"
B777 = "ASTM B777-15 table 1, middle of the density range"


class Material(NamedTuple):
    """density kg/m^3; modulus Pa (Young's, along the fibre for laminates), or None: not sourced. `source` is what
    users read; `citation` is where the figures were read, for those who check them.
    """

    name: str
    density: float
    modulus: float | None
    source: str
    citation: str
    status: str


def _table(*rows: Material) -> dict[str, Material]:
    return {row.name: row for row in rows}


MATERIALS = _table(
    Material("steel", 7850.0, 207e9, "handbook value for steel",
             f"{CALLISTER} (alloy 4140)", "FOUND"),
    Material("steel 4140 normalised", 7850.0, 207e9, "handbook value for alloy steel 4140, normalised",
             CALLISTER, "FOUND"),
    Material("steel 4140 annealed", 7850.0, 207e9, "handbook value for alloy steel 4140, annealed",
             CALLISTER, "FOUND"),
    Material("stainless 304", 8000.0, 193e9, "handbook value for 304, annealed",
             CALLISTER, "FOUND"),
    Material("stainless 316", 8000.0, 193e9, "handbook value for 316", CALLISTER, "FOUND"),
    Material("brass", 8500.0, 97e9, "handbook value for free-cutting brass",
             "free-cutting C36000: materials properties database; modulus MEM", "FOUND"),
    Material("aluminium 6061", 2700.0, 69e9, "handbook value for 6061-T6",
             CALLISTER, "FOUND"),
    Material("aluminium 7075", 2810.0, 71e9, "handbook value for 7075",
             f"modulus {CALLISTER}; density materials properties database", "FOUND"),
    Material("aluminium 2024", 2770.0, 72.4e9, "handbook value for 2024", CALLISTER, "FOUND"),
    Material("titanium 6Al-4V", 4430.0, 114e9, "handbook value for titanium 6Al-4V",
             f"density Hibbeler's appendix (alloy); {PHILPOT}", "FOUND"),
    *(Material(f"tungsten alloy class {number}", density, None,
               f"middle of the density range of ASTM B777 class {number}", B777, "FOUND")
      for number, density in ((1, 17075.0), (2, 17500.0), (3, 18050.0), (4, 18550.0))),
    Material("lead", 11340.0, None, "handbook value for lead", "from memory, not seen", "MEM"),
    Material("carbon/epoxy", 1600.0, 120e9, "handbook value for carbon rod, fibres lengthwise",
             "density: unidirectional, 60 % fibre (Hull 1992, quoted); modulus of pultruded rod: common practice",
             "FOUND density, MEM modulus"),
    Material("glass/epoxy", 2100.0, 45e9, "handbook value for glass fibre, lengthwise",
             f"density {CALLISTER} (60 % fibre); modulus MEM", "FOUND"),
    Material("nylon", 1140.0, None, "handbook value for nylon 6/6", "PA 6/6, general plastics table", "FOUND"),
    Material("acetal", 1420.0, None, "handbook value for acetal", "from memory, not seen", "MEM"),
    Material("ABS", 1050.0, None, "handbook value for ABS", "general plastics table, 1030-1050", "FOUND"),
)  # fmt: skip
"""By name."""

ALSO = {
    "stainless": "stainless 304",
    "stainless steel": "stainless 304",
    "steel 4140": "steel 4140 annealed",
    "4140": "steel 4140 annealed",
    "steel 4140 normalized": "steel 4140 normalised",
    "mild steel": "steel",
    "inox": "stainless 304",
    "a2": "stainless 304",
    "a2 stainless": "stainless 304",
    "stainless a2": "stainless 304",
    "a4": "stainless 316",
    "a4 stainless": "stainless 316",
    "stainless a4": "stainless 316",
    "steel 304": "stainless 304",
    "stainless steel 304": "stainless 304",
    "stainless steel 316": "stainless 316",
    "aluminium": "aluminium 6061",
    "aluminum": "aluminium 6061",
    "aluminum 6061": "aluminium 6061",
    "aluminum 7075": "aluminium 7075",
    "aluminum 2024": "aluminium 2024",
    "titanium": "titanium 6Al-4V",
    "tungsten": "tungsten alloy class 1",
    "tungsten alloy": "tungsten alloy class 1",
    "carbon": "carbon/epoxy",
    "carbon fibre": "carbon/epoxy",
    "carbon fiber": "carbon/epoxy",
    "glass fibre": "glass/epoxy",
    "glass fiber": "glass/epoxy",
    "pa": "nylon",
    "pa 6": "nylon",
    "pa66": "nylon",
    "pom": "acetal",
}
"""Other names in use; a general name stands for the commonest grade, an alloy without its condition for the weakest."""
SHORTEST = 5
"""Letters of a name below which a likeness says nothing: codes of grades."""
NEAR = 0.75
"""How alike two names must be for one to be a slip of typing of the other."""


def material(name: str, key: str = "material") -> Material:
    """The material of that name, in any case. Raises PartRefused(key, ...) with names that are near, if any, the whole
    list, and what to state instead.
    """
    wanted = " ".join(name.split()).casefold()
    known = _known()
    if wanted in known:
        return MATERIALS[known[wanted]]
    slip = difflib.get_close_matches(wanted, known, n=2, cutoff=NEAR) if len(wanted) >= SHORTEST else []
    near = slip or _of_the_word(wanted, known)
    nearest = f"{' or '.join(dict.fromkeys(known[one] for one in near))}? " if near else ""
    instead = "or state density and yield_strength (or property_class)"
    raise PartRefused(key, name, f"{nearest}One of: {', '.join(MATERIALS)}; {instead}")


@functools.cache
def _known() -> dict[str, str]:
    """Names in small letters, and whose they are."""
    return {own.casefold(): own for own in MATERIALS} | {other.casefold(): own for other, own in ALSO.items()}


def _of_the_word(wanted: str, known: Mapping[str, str]) -> list[str]:
    """The metal that a longer name holds as a word, such as "brass" in "brass cz121"."""
    return [word for word in wanted.split() if word in known][:1]
