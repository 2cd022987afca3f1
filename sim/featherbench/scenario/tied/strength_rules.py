"""Rules of what carries load: strengths stated once, screws that can be, weights that hang on something."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from featherbench.scenario import parts as shapes
from featherbench.scenario.built_tables import Retention
from featherbench.scenario.locate import Path as KeyPath


class Broken(NamedTuple):
    """A broken rule: the key path at fault, what is expected, what was given (if not the value itself)."""

    path: KeyPath
    expected: str
    given: str = ""


def broken_strength(part: Any) -> Iterator[Broken]:
    """A strength is stated once, and breaks above where it yields."""
    if part.proof_strength is not None and part.yield_strength is not None:
        yield Broken(("proof_strength",), "either proof_strength or yield_strength, not both")
    least = part.proof_strength or part.yield_strength
    if least is not None and part.property_class is not None:
        yield Broken(("property_class",), "either a property class or a strength of its own, not both")
    if part.ultimate_strength is not None and part.ultimate_strength < (least or 0.0):
        yield Broken(("ultimate_strength",), "a stress not below the yield or proof strength")


def broken_screw(part: shapes.ScrewPart) -> Iterator[Broken]:
    """A plain length has a length."""
    if part.shank_diameter is not None and not part.shank_length:
        yield Broken(("shank_length",), 'the plain length that is so wide, for example "8 mm"')


def broken_retention(retention: Retention) -> Iterator[Broken]:
    """As of a part."""
    for broken in broken_strength(retention):
        yield broken._replace(path=("retention", *broken.path))


def broken_carriers(parts: Mapping[str, Any]) -> Iterator[Broken]:
    """What a part is held to is another part, and no ring of parts hold each other."""
    for name, part in parts.items():
        seen, carrier = {name}, part.held_to
        while carrier is not None and carrier in parts and carrier not in seen:
            seen.add(carrier)
            carrier = parts[carrier].held_to
        if part.held_to is not None and (part.held_to not in parts or carrier in seen):
            others = ", ".join(key for key in parts if key != name)
            yield Broken(("part", name, "held_to"), f"the name of the part that carries it ({others})")
