"""Strength that belongs to the part: its property class, else what it states, else that of its material.

Nothing is inherited: limits.bolt_class stands only for bought screws and nuts of steel that state no class of their
own. Where nothing is known, or the material is a plastic, a sentence comes back that says what to state.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from featherbench.assembly.material_strengths import metal_strength
from featherbench.checks.fasteners import CLASSES, NUTS, property_class
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written

OF_METAL = 1.5
"""Stated strength over the ultimate of that metal, at most; steels may be hardened to anything."""
MOST_ULTIMATE = 2.7
"""Ultimate over yield, of the most ductile metal that parts are made of: annealed stainless (handbooks)."""
OF_PLASTIC = (10e6, 300e6)
"""Pa: weak plastics to laminates filled with glass."""
OF_ANYTHING = (10e6, 2200e6)
"""Pa: up to the strongest drawn wire and maraging steel (handbooks, from memory)."""


@dataclass(frozen=True)
class Strength:
    """proof: proof stress or yield, ultimate, Pa; source in words; family of metal, "" where not known; rolled: a
    bought fastener, with a rolled thread.
    """

    proof: float
    ultimate: float
    source: str
    family: str
    rolled: bool = False


class _Stated(Protocol):
    """The keys about strength, of a part or of [retention]."""

    @property
    def property_class(self) -> str | None: ...
    @property
    def material(self) -> str | None: ...
    @property
    def proof_strength(self) -> float | None: ...
    @property
    def yield_strength(self) -> float | None: ...
    @property
    def ultimate_strength(self) -> float | None: ...


def part_strength(scenario: Scenario, name: str) -> Strength | str:
    """Of a part of the scenario, or what to state."""
    part = scenario.part[name]
    bought = isinstance(part, written.ScrewPart | written.NutPart)
    washer = isinstance(part, written.WasherPart)
    if isinstance(part, written.NutPart) and part.property_class in NUTS:
        found = NUTS[part.property_class]
        return Strength(found.proof, found.ultimate, found.source, "steel", rolled=True)
    default = scenario.limits.bolt_class if bought else None
    return resolved(part, f"part.{name}", bought=bought, steel=washer, default=default)


def resolved(
    stated: _Stated, where: str, *, bought: bool, steel: bool = False, default: str | None = None
) -> Strength | str:
    """Of what states it at the key path `where`; bought: a standard fastener, which may have a property class.

    steel: of steel where no material is stated. default: the class of bought steel that states none.
    """
    metal = metal_strength(stated.material if stated.material or not (bought or steel) else "steel")
    family = metal.family if metal is not None else ""
    own = stated.proof_strength or stated.yield_strength
    if own is not None and own > plausible_strength(stated.material)[1]:
        return _beyond(own, where, stated.material)
    if own is not None:
        what = "proof" if stated.proof_strength else "yield"
        breaks = min(stated.ultimate_strength or own, MOST_ULTIMATE * own)
        return Strength(own, breaks, f"{where}.{what}_strength", family, bought)
    given = stated.property_class
    if given is None and default is not None and family in ("steel", "stainless"):
        given = default if _fits(default, family) else None
    if given is not None:
        return _of_class(given, where, family, bought)
    if metal is None:
        named = f"{stated.material} has no strength to reckon with" if stated.material else "strength unknown"
        return f"{where}: {named}; state {where}.yield_strength, or a metal as its material"
    if bought and family in ("steel", "stainless"):
        return f'{where}: strength unknown; state {where}.property_class, for example "10.9"'
    source = f"{metal.words}; state {where}.yield_strength if it is of better"
    return Strength(metal.yield_strength, metal.ultimate, source, family, bought)


def plausible_strength(name: str | None) -> tuple[float, float]:
    """Least and greatest strength, Pa, that anything of that material is believed to have."""
    metal = metal_strength(name)
    if metal is None:
        return OF_ANYTHING if name is None else OF_PLASTIC
    hardened = metal.family in ("steel", "stainless")
    return 0.5 * metal.yield_strength, OF_ANYTHING[1] if hardened else OF_METAL * metal.ultimate


def _beyond(own: float, where: str, material: str | None) -> Strength | str:
    """What counts in place of a strength that nothing of that material has: the handbook's, else nothing."""
    metal, said = metal_strength(material), f"{own / 1e6:,.0f} MPa is beyond any {material or 'material'}"
    if metal is None:
        return f"{where}: {said}; state what its maker states"
    source = f"{metal.words}; {said}: not counted"
    return Strength(metal.yield_strength, metal.ultimate, source, metal.family)


def _fits(name: str, family: str) -> bool:
    """Whether a class is one of that metal: A2 and A4 are stainless, the others are not."""
    return name.strip().upper().startswith("A") == (family == "stainless")


def _of_class(given: str, where: str, family: str, bought: bool) -> Strength | str:
    found = property_class(given)
    if found is None:
        return f"{where}: property class {given} is not known; known are {', '.join(CLASSES)}"
    if not bought:
        return f"{where}: what is turned has no property class; state {where}.yield_strength"
    if family not in ("steel", "stainless") or not _fits(given, family):
        return f"{where}: class {given} is none of its material; state {where}.proof_strength"
    return Strength(found.proof, found.ultimate, found.source, family, rolled=True)
