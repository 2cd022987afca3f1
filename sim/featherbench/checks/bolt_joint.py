"""What a blade bolt holds and how it stands in its grip, read from the scenario's own parts.

Nothing is guessed: what the parts do not show comes back as a sentence that says what to state.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import pi, sqrt
from typing import NamedTuple

from featherbench.assembly import Assembly
from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.hardware import MM, thread_of
from featherbench.checks.sections import CHORD, RADIUS, ends, on_axis
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written

NORMAL = 2
THINNEST = 0.01 * MM
"""m of a cheek, below which what is left beside the root is rounding and no metal."""
MOST_CLEARANCE = 0.5
"""Of the root's thickness, above which a clearance each side is a slip of units and no fit."""


def fastest(scenario: Scenario) -> float:
    """rad/s: the highest of rotor.speed and of what bench.spin goes to."""
    return max(float(scenario.rotor.speed), *(float(step.to) for step in scenario.bench.spin), 0.0)


@dataclass(frozen=True)
class Case:
    """A build whose load path is judged. radial: S_r of one assembly as it has swung, kg m."""

    scenario: Scenario
    assembly: Assembly
    radial: float

    @cached_property
    def bolt(self) -> Bolt | str:
        """What `find_bolt` gives; many checks ask."""
        return _find_bolt(self)

    @cached_property
    def shown(self) -> BoltJoint:
        """How grip and blade root stand about the bolt, as the parts show it."""
        return bolt_joint(self.assembly)

    @cached_property
    def joint(self) -> PinJoint | str:
        """What `pin_joint` gives."""
        return _pin_joint(self)

    @cached_property
    def _hung(self) -> dict[float, Overhang]:
        return {}

    def hung(self, face: float) -> Overhang:
        """What `overhang` gives at a height, m."""
        if face not in self._hung:
            self._hung[face] = overhang(self.assembly, face)
        return self._hung[face]

    @cached_property
    def squared(self) -> float:
        """Rotor speed at over-speed, squared, (rad/s)^2; of the fastest that the bench programme goes to."""
        return (fastest(self.scenario) * self.scenario.limits.over_speed) ** 2

    @property
    def pull(self) -> float:
        """Of what swings, on the blade bolt, N."""
        return self.assembly.swinging.radial * self.squared

    @property
    def whole(self) -> float:
        """Centrifugal load of one assembly, N."""
        return self.radial * self.squared

    @property
    def at(self) -> str:
        """The speed, as the names of checks end."""
        return f" at {self.scenario.limits.over_speed:g} x speed"

    @property
    def place(self) -> tuple[float, float]:
        """Radius and chord of the blade bolt's axis, m."""
        return self.assembly.bolt.radius, self.assembly.bolt.chord


@dataclass(frozen=True)
class Bolt:
    """name of its part; its solids, head included; thread: size of its outside thread, "" for a plain pin."""

    name: str
    solids: tuple[Solid, ...]
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


class PinJoint(NamedTuple):
    """m: root thickness, thickness of the thicker and of the thinner cheek, clearance each side, middle of the root."""

    root: float
    cheek: float
    thin_cheek: float
    clearance: float
    middle: float

    @property
    def faces(self) -> tuple[float, float]:
        """Heights of the grip's outer faces."""
        reach = 0.5 * self.root + self.clearance + self.cheek
        return self.middle - reach, self.middle + reach


def find_bolt(case: Case) -> Bolt | str:
    """The screw (or pin) that stands along the normal at the blade bolt's place, or what to state."""
    return case.bolt


def _find_bolt(case: Case) -> Bolt | str:
    found = []
    for part in case.assembly.parts:
        given = case.scenario.part[part.name]
        if part.group != "bolt" or part.swings or getattr(given, "axis", "") != "normal":
            continue
        if isinstance(given, written.NutPart | written.WasherPart) or any(one.tapped for one in part.solids):
            continue
        middle = max(part.solids, key=lambda one: one.size[NORMAL])
        away = abs(middle.centre[RADIUS] - case.place[0]), abs(middle.centre[CHORD] - case.place[1])
        if max(away) <= 0.5 * MM and isinstance(
            given, written.ScrewPart | written.CylinderPart | written.StackPart
        ):
            found.append(part)
    if not found:
        shape = 'a screw or a turned stack with axis = "normal" at blade.bolt_radius'
        return f'state the blade bolt as a part of group "bolt", {shape}'
    bolt = max(found, key=lambda part: sum(one.size[NORMAL] for one in part.solids))
    threads = [solid.thread for solid in bolt.solids if solid.thread]
    return Bolt(bolt.name, bolt.solids, threads[0] if threads else "")


def bolt_joint(assembly: Assembly) -> BoltJoint:
    """How grip and blade root stand about the bolt."""
    place = (assembly.bolt.radius, assembly.bolt.chord)
    fixed = [part for part in assembly.parts if part.group == "grip" and not part.swings]
    swinging = [part for part in assembly.parts if part.swings and part.group != "counterweight"]
    grip, grip_parts = span(fixed, place)
    root, root_parts = span(swinging, place)
    return BoltJoint(grip, root, grip_parts, root_parts)


def pin_joint(case: Case) -> PinJoint | str:
    """Root and cheeks about the bolt, stated in [joint] or shown by the parts, or what to state.

    Cheeks fill what the grip leaves beside root and clearance; of two unlike ones the thicker bends the bolt more.
    """
    return case.joint


def _pin_joint(case: Case) -> PinJoint | str:
    joint, given = case.shown, case.scenario.joint
    root = given.root_thickness
    if root is None and joint.root is not None:
        root = joint.root[1] - joint.root[0]
    if root is None:
        return (
            "state joint.root_thickness, or the blade's root as a part that the bolt passes through and that swings "
            "with the blade"
        )
    if given.clearance > MOST_CLEARANCE * root:
        return (
            f"joint.clearance = {1e3 * given.clearance:g} mm is out of proportion to a blade root {1e3 * root:.2f} mm "
            "thick: state what is free between root and cheek on each side"
        )
    middle = 0.5 * sum(joint.root) if joint.root is not None else 0.0
    if given.cheek_thickness is not None:
        return PinJoint(root, given.cheek_thickness, given.cheek_thickness, given.clearance, middle)
    if joint.grip is None:
        return (
            'state joint.cheek_thickness, or the grip as a part of group "grip" that the bolt passes through'
        )
    left = [abs(face - middle) - 0.5 * root - given.clearance for face in joint.grip]
    if min(left) < THINNEST:
        return (
            "state joint.cheek_thickness: the grip's part is not higher than the blade root and its clearance"
        )
    return PinJoint(root, max(left), min(left), given.clearance, middle)


HEAD = 1.15
"""Width over that of the bolt in the joint from which on a plain piece is a head."""


def shank_width(bolt: Bolt, joint: PinJoint) -> float:
    """Of the bolt's widest piece that stands in the joint, m; a thread's over its crests.

    A piece stands in it with half its length, or through a quarter of the joint: a head let in a little does not.
    """
    low, high = joint.faces
    wide = [0.0]
    for one in bolt.solids:
        bottom, top = ends(one)
        if min(top, high) - max(bottom, low) >= min(0.5 * (top - bottom), 0.25 * (high - low)):
            crests = thread_of(one.thread).diameter * MM if one.thread else 0.0
            wide.append(max(one.size[RADIUS], one.size[CHORD], crests))
    return max(wide)


def heads(case: Case, bolt: Bolt) -> tuple[Solid, ...]:
    """Pieces of the bolt that cannot pass its hole: plain, and wider than what stands in the joint."""
    joint, narrowest = pin_joint(case), min(min(one.size[:NORMAL]) for one in bolt.solids)
    width = narrowest if isinstance(joint, str) else shank_width(bolt, joint)
    return tuple(one for one in bolt.solids if min(one.size[:NORMAL]) > HEAD * width and not one.thread)


def span(
    parts: Iterable[PlacedPart], place: tuple[float, float]
) -> tuple[tuple[float, float] | None, tuple[str, ...]]:
    """Lowest and highest face along the normal of what stands at (radius, chord), m; and whose it is."""
    low, high = 0.0, 0.0
    names: list[str] = []
    for part in parts:
        for solid in part.solids:
            if solid.kind in ("blade", "point") or not on_axis(solid, place):
                continue
            bottom, top = ends(solid)
            low, high = (min(low, bottom), max(high, top)) if names else (bottom, top)
            names.append(part.name)
    return ((low, high) if names else None), tuple(dict.fromkeys(names))


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
        whole = -1.0
        for solid in part.solids:
            bottom, top = ends(solid) if side > 0.0 else tuple(-end for end in reversed(ends(solid)))
            start = max(bottom, abs(face))
            beyond = top > start or top == bottom >= abs(face)
            if not beyond or not on_axis(solid, place):
                continue
            if whole < 0.0:
                whole = sum(_section(one) * one.size[NORMAL] for one in part.solids)
            share = _section(solid) * (top - start) / whole if whole > 0.0 else 1.0 / len(part.solids)
            own = part.moments.mass * share
            mass += own
            load += own * solid.centre[RADIUS]
            turning += own * solid.centre[RADIUS] * (0.5 * (start + top) - abs(face))
            names.append(part.name)
    return Overhang(mass, load, turning / load if load > 0.0 else 0.0, tuple(dict.fromkeys(names)))


def _section(solid: Solid) -> float:
    """Cut across the normal, m^2; a body lying across is taken as its bounding box (exact when wholly beyond)."""
    width, depth = solid.size[RADIUS], solid.size[CHORD]
    if solid.axis != "normal":
        return width * depth
    outside = pi / 4.0 * width**2 if solid.kind == "round" else sqrt(3.0) / 2.0 * width**2
    return outside - pi / 4.0 * solid.bore**2
