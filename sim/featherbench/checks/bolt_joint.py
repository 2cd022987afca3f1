"""What a blade bolt holds and how it stands in its grip, read from the scenario's own parts.

Nothing is guessed: what the parts do not show comes back as a sentence that says what to state.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi, sqrt

from featherbench.assembly import Assembly
from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.hardware import core_diameter, split_size, thread_of
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written

RADIUS, CHORD, NORMAL = range(3)
MM = 1e-3


@dataclass(frozen=True)
class Bolt:
    """name of its part; diameter: nominal, core: what carries load, m; thread: "M3", or "" for a plain pin."""

    name: str
    diameter: float
    core: float
    thread: str


@dataclass(frozen=True)
class Overhang:
    """What hangs over one grip face on the bolt. mass kg; load kg m (mass x radius); lever m, of the load from the
    face; names of the parts that have a share.
    """

    mass: float
    load: float
    lever: float
    names: tuple[str, ...]


@dataclass(frozen=True)
class BoltJoint:
    """Grip faces (low, high) and blade root (low, high) along the normal, m; None where the parts do not show it."""

    grip: tuple[float, float] | None
    root: tuple[float, float] | None
    grip_parts: tuple[str, ...]
    root_parts: tuple[str, ...]


def find_bolt(scenario: Scenario) -> Bolt | str:
    """The screw (or pin) that stands along the normal at the blade bolt's place, or what to state."""
    blade = scenario.blade
    for name, part in scenario.part.items():
        if part.group != "bolt" or getattr(part, "axis", "") != "normal":
            continue
        reach = 0.5 * MM
        if abs(part.at.radius - blade.bolt_radius) > reach or abs(part.at.chord - blade.bolt_chord) > reach:
            continue
        if isinstance(part, written.ScrewPart):
            thread = split_size(part.size)[0]
            return Bolt(name, thread_of(thread).diameter * MM, core_diameter(thread), thread)
        if isinstance(part, written.CylinderPart):
            return Bolt(name, part.diameter, part.diameter, "")
    shape = 'a screw or a cylinder with axis = "normal" at blade.bolt_radius'
    return f'state the blade bolt as a part of group "bolt", {shape}'


def bolt_joint(assembly: Assembly) -> BoltJoint:
    """How grip and blade root stand about the bolt."""
    place = (assembly.bolt.radius, assembly.bolt.chord)
    fixed = [part for part in assembly.parts if part.group == "grip" and not part.swings]
    swinging = [part for part in assembly.parts if part.swings]
    grip, grip_parts = _span(fixed, place)
    root, root_parts = _span(swinging, place)
    return BoltJoint(grip, root, grip_parts, root_parts)


def _span(
    parts: Iterable[PlacedPart], place: tuple[float, float]
) -> tuple[tuple[float, float] | None, tuple[str, ...]]:
    """Lowest and highest face along the normal of what the bolt passes through; and whose it is."""
    low, high = 0.0, 0.0
    names: list[str] = []
    for part in parts:
        for solid in part.solids:
            if solid.kind in ("blade", "point") or not _on_axis(solid, place):
                continue
            bottom, top = _ends(solid)
            low, high = (min(low, bottom), max(high, top)) if names else (bottom, top)
            names.append(part.name)
    return ((low, high) if names else None), tuple(dict.fromkeys(names))


def _on_axis(solid: Solid, place: tuple[float, float]) -> bool:
    return (
        abs(solid.centre[RADIUS] - place[0]) <= 0.5 * solid.size[RADIUS]
        and abs(solid.centre[CHORD] - place[1]) <= 0.5 * solid.size[CHORD]
    )


def _ends(solid: Solid) -> tuple[float, float]:
    half = 0.5 * solid.size[NORMAL]
    return solid.centre[NORMAL] - half, solid.centre[NORMAL] + half


def overhang(assembly: Assembly, face: float) -> Overhang:
    """What hangs on the bolt beyond a grip face (m along the normal; above it when positive, below when negative).

    A part's mass is shared between its solids by volume; one that reaches through the face counts with what is beyond.
    """
    side = 1.0 if face > 0.0 else -1.0
    place = (assembly.bolt.radius, assembly.bolt.chord)
    mass, load, turning, names = 0.0, 0.0, 0.0, []
    for part in assembly.parts:
        if part.group not in ("bolt", "counterweight") or part.swings:
            continue
        whole = sum(_section(solid) * solid.size[NORMAL] for solid in part.solids)
        for solid in part.solids:
            bottom, top = sorted(side * end for end in _ends(solid))
            start = max(bottom, abs(face))
            beyond = top > start or top == bottom >= abs(face)
            if not beyond or not _on_axis(solid, place):
                continue
            share = _section(solid) * (top - start) / whole if whole > 0.0 else 1.0 / len(part.solids)
            own = part.moments.mass * share
            mass += own
            load += own * solid.centre[RADIUS]
            turning += own * solid.centre[RADIUS] * (0.5 * (start + top) - abs(face))
            names.append(part.name)
    return Overhang(mass, load, turning / load if load > 0.0 else 0.0, tuple(dict.fromkeys(names)))


def beside_bolt(assembly: Assembly) -> tuple[str, ...]:
    """Names of the counterweights of which no piece stands on the bolt."""
    place = (assembly.bolt.radius, assembly.bolt.chord)
    return tuple(
        part.name
        for part in assembly.parts
        if part.group == "counterweight"
        and not part.swings
        and not any(_on_axis(solid, place) for solid in part.solids)
    )


def _section(solid: Solid) -> float:
    """Cut across the normal, m^2; a body lying across is taken as its bounding box (exact when wholly beyond)."""
    width, depth = solid.size[RADIUS], solid.size[CHORD]
    if solid.axis != "normal":
        return width * depth
    outside = pi / 4.0 * width**2 if solid.kind == "round" else sqrt(3.0) / 2.0 * width**2
    return outside - pi / 4.0 * solid.bore**2


def thread_engaged(assembly: Assembly, scenario: Scenario, bolt: Bolt) -> tuple[float, float] | None:
    """(height of the hexagon of a nut on the bolt, length of thread inside it), m; None without a nut on the bolt.

    Of several nuts the one with most thread. The nylon of a lock nut carries nothing and does not count.
    """
    screw = next(part for part in assembly.parts if part.name == bolt.name)
    shank = min(screw.solids, key=lambda solid: solid.size[RADIUS])
    low, high = _ends(shank)
    place = (shank.centre[RADIUS], shank.centre[CHORD])
    found: list[tuple[float, float]] = []
    for part in assembly.parts:
        if not isinstance(scenario.part[part.name], written.NutPart):
            continue
        for solid in part.solids:
            if solid.kind == "hex" and _on_axis(solid, place):
                bottom, top = _ends(solid)
                inside = max(min(high, top) - max(low, bottom), 0.0)
                found.append((round(top - bottom, 7), round(inside, 7)))
    return max(found, key=lambda one: one[1]) if found else None
