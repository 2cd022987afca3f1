"""The room there is for weights, read from [envelope] and from the parts about the blade bolt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from featherbench.assembly import Assembly, PlacedPart
from featherbench.assembly.hardware import pitch_diameter, split_size, thread_of
from featherbench.assembly.materials import Material, material
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.usual_hardware import socket_head
from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.scenario import parts as written
from featherbench.scenario.schema import Envelope
from featherbench.sizing.fitted_bolt import FittedBolt, fitted_bolt
from featherbench.sizing.owned import Kind, kinds_of

NEAR = 0.5e-3
"""m within which a part counts as standing on the bolt's axis."""
CLEAR = 0.5e-3
"""m that an old head or nut may stand off what the bolt goes through before weights lie between (common practice)."""
STRONG = ("steel", "steel 4140 normalised", "stainless 304", "stainless 316", "titanium 6Al-4V")
"""Materials that a bolt which holds a blade may be turned from (engineering judgement)."""


@dataclass(frozen=True)
class DesignSpace:
    """Limits in m from the feathering axis (radii from the shaft). bars: diameters that can be had, bar or turned.

    replaced: names of the bolt and nut that a new bolt takes the place of. seats: the faces of head and nut, or None.
    core: pitch diameter of the thread; hub_face: where an arm stands, or None. reseated: what is to be
    said of heads and nuts whose old seats come off; own: what stacks are made from, empty without [[own]];
    carried: weights that the bolt's own head or thread holds, which do not stay when it comes off; fitted: the bolt
    that is there, or why it takes no collars; arm_hole: density of the grip where an arm screws in, kg/m^3, 0 unknown.
    """

    above: float
    below: float
    over_all: float
    bars: tuple[float, ...]
    step: float
    materials: tuple[Material, ...]
    radius: float
    chord: float
    widest: float
    replaced: tuple[str, ...]
    seat_above: float | None
    seat_below: float | None
    thread: str
    arm_radius: float
    arm_widest: float
    arm_face: float | None
    arm_material: Material
    reseated: tuple[str, ...] = ()
    own: tuple[Kind, ...] = ()
    carried: tuple[str, ...] = ()
    fitted: FittedBolt | str | None = None
    arm_hole: float = 0.0

    @property
    def shank(self) -> float:
        """Diameter of a plain shank in the bolt's hole, m: the thread's own."""
        return thread_of(self.thread).diameter * 1e-3

    @property
    def thread_from(self) -> float:
        """How far below the axis the thread of a turned bolt begins, m: a pitch before the nut's seat, and less than a
        lathe's step more, so that the plain shank can be set on the lathe.
        """
        above, pitch = self.seat_above or 0.0, thread_of(self.thread).pitch * 1e-3
        return round(float(self.whole_steps(above + (self.seat_below or 0.0) - pitch)) - above, 12)

    def whole_steps(self, length: Any, up: bool = False) -> Any:
        """A length, m, float or array, in whole steps of the lathe, down or up; a step too coarse for the thread rounds
        nothing.
        """
        if self.step > thread_of(self.thread).pitch * 0.5e-3:
            return length
        steps = np.ceil(length / self.step - 1e-6) if up else np.floor(length / self.step + 1e-6)
        return np.round(steps * self.step, 9)

    @property
    def core(self) -> float:
        """Pitch diameter of the thread, m: as which it weighs."""
        return pitch_diameter(self.thread)


def reference(scenario: Scenario, weights: str = "replace") -> tuple[Scenario, tuple[str, ...]]:
    """The build without counterweights and stand-ins, and the names of what was taken off; all of it where weights are
    to "keep". Raises ScenarioError where it is to "refuse" a build with weights.
    """
    if weights == "keep":
        return scenario, ()
    fitted = [name for name, part in scenario.part.items() if part.group == "counterweight"]
    if weights == "refuse" and fitted:
        place = scenario.source.place(f"part.{fitted[0]}")
        wanted = "a build without weights, or --weights keep or replace"
        raise ScenarioError((Problem(*place, f"part.{fitted[0]}", f"weights: {', '.join(fitted)}", wanted),))
    off = tuple(
        name for name, part in scenario.part.items() if part.group == "counterweight" or part.instead_of
    )
    kept: dict[str, Any] = {name: part for name, part in scenario.part.items() if name not in off}
    back = {name: part for name, part in scenario.replaced.items() if part.group != "counterweight"}
    return scenario.model_copy(update={"part": {**kept, **back}, "replaced": {}}), off


def find_design_space(scenario: Scenario, assembly: Assembly) -> DesignSpace:
    """The room of a scenario without counterweights; raises ScenarioError when it has no [envelope]."""
    envelope = scenario.envelope
    if envelope is None:
        raise ScenarioError((_no_envelope(scenario),))
    radius, chord = assembly.bolt.radius, assembly.bolt.chord
    hardware = [part for part in assembly.parts if part.group == "bolt" and _coaxial(part, radius, chord)]
    above, higher = _seat(assembly, hardware, scenario, 1.0)
    below, lower = _seat(assembly, hardware, scenario, -1.0)
    grips = [part for part in assembly.parts if part.group == "grip" and not part.swings]
    largest = max(grips, key=lambda part: part.moments.mass, default=None)
    middle = float(largest.moments.centre[0]) if largest is not None else radius
    arm_radius = envelope.arm_radius or middle
    try:
        materials = tuple(
            material(name, f"envelope.materials.{i}") for i, name in enumerate(envelope.materials)
        )
        own = material(envelope.arm_material, "envelope.arm_material")
        thread = envelope.thread or _thread(scenario, hardware)
        pitch_diameter(thread)
    except PartRefused as refused:
        raise ScenarioError((refused.problem(),)) from None
    return DesignSpace(
        above=envelope.height_above,
        below=envelope.height_below,
        over_all=envelope.bolt_length or envelope.height_above + envelope.height_below,
        bars=_bars(envelope),
        step=envelope.lathe_step,
        materials=materials,
        radius=radius,
        chord=chord,
        widest=_widest(envelope, radius),
        replaced=tuple(part.name for part in hardware),
        seat_above=above,
        seat_below=below,
        thread=split_size(thread)[0],
        arm_radius=arm_radius,
        arm_widest=_widest(envelope, arm_radius),
        arm_face=envelope.arm_foot or _outer_face(grips, arm_radius),
        arm_material=own,
        reseated=tuple(filter(None, (higher, lower))),
        carried=tuple(
            part.name for part in assembly.parts if _carried(part, scenario, hardware, radius, chord)
        ),
        arm_hole=_density_at(grips, arm_radius),
        fitted=fitted_bolt(scenario, assembly, hardware, (above, below)) if above and below else None,
        own=kinds_of(scenario, tuple(part.name for part in hardware)) if scenario.own else (),
    )


def _carried(
    part: PlacedPart, scenario: Scenario, hardware: list[PlacedPart], radius: float, chord: float
) -> bool:
    """Whether a weight is held by the bolt itself, and not by lying between its head and its nut."""
    if part.group != "counterweight":
        return False
    given, names = scenario.part[part.name], [one.name for one in hardware]
    on_bolt = given.held_to in names or (given.held_to is None and _coaxial(part, radius, chord))
    return on_bolt and not str(given.held_by).startswith("clamped")


def _seat(
    assembly: Assembly, hardware: list[PlacedPart], scenario: Scenario, side: float
) -> tuple[float | None, str]:
    """Face that a head (side 1) or a nut (-1) rests on, m from the axis, and what is to be said of it.

    The new one goes down to the face that stays, and says so where the old one stood off it on weights that come off.
    """
    envelope = scenario.envelope
    stated = (envelope.seat_above if side > 0.0 else envelope.seat_below) if envelope else None
    if stated:
        return stated, ""
    found = _inner_face(hardware, scenario, side)
    face = _face_left(assembly, hardware, side)
    if found is None or face is None or found < face:
        return found, ""
    if found - face <= CLEAR:
        return face, ""
    what, where = ("head", "above") if side > 0.0 else ("nut", "below")
    return face, (
        f"the {what} stood {1e3 * found:.4g} mm {where} the axis, on weights that come off: the new one rests on what "
        f"stays there, {1e3 * face:.4g} mm {where} it (envelope.seat_{where} says otherwise)."
    )


def _face_left(assembly: Assembly, hardware: list[PlacedPart], side: float) -> float | None:
    """How far from the axis what the bolt goes through reaches on one side, its own hardware and weights aside, m."""
    names = {part.name for part in hardware}
    faces = [
        side * solid.centre[2] + solid.size[2] / 2.0
        for part in assembly.parts
        if part.name not in names
        for solid in part.solids
        if solid.kind in ("box", "round", "hex")
        and abs(solid.centre[0] - assembly.bolt.radius) <= solid.size[0] / 2.0
        and abs(solid.centre[1] - assembly.bolt.chord) <= solid.size[1] / 2.0
    ]
    return max(faces) if faces and max(faces) > 0.0 else None


def _no_envelope(scenario: Scenario) -> Problem:
    wanted = (
        'the table [envelope], for example height_above = "16 mm", height_below = "14 mm", diameter = "9 mm", '
        'materials = ["steel"], target = { compensation = 0.65 }'
    )
    return Problem(
        scenario.source.files[0] if scenario.source.files else "", None, "envelope", "nothing", wanted
    )


def _coaxial(part: PlacedPart, radius: float, chord: float) -> bool:
    return bool(part.solids) and all(
        abs(solid.centre[0] - radius) < NEAR and abs(solid.centre[1] - chord) < NEAR for solid in part.solids
    )


def _inner_face(hardware: list[PlacedPart], scenario: Scenario, side: float) -> float | None:
    """Height of the face nearest the axis of the heads, nuts or washers that lie wholly on one side, m."""
    faces = []
    for part in hardware:
        screw = isinstance(scenario.part[part.name], written.ScrewPart)
        widest = max((solid.size[0] for solid in part.solids), default=0.0)
        for solid in part.solids[1:] if screw else part.solids:
            if solid.thread or (screw and solid.size[0] < widest):  # it rests on its head, plain shank or not
                continue
            near = side * solid.centre[2] - solid.size[2] / 2.0
            if near > 0.0:
                faces.append(near)
    return min(faces, default=None)


def _outer_face(grips: list[PlacedPart], radius: float) -> float | None:
    """How high the grip stands at a radius over the axis, m."""
    faces = [
        solid.centre[2] + solid.size[2] / 2.0
        for part in grips
        for solid in part.solids
        if abs(solid.centre[0] - radius) <= solid.size[0] / 2.0
        and abs(solid.centre[1]) <= solid.size[1] / 2.0
    ]
    return max(faces, default=None)


def _density_at(grips: list[PlacedPart], radius: float) -> float:
    """Of what stands highest of the grip at a radius, kg/m^3; 0 where that is not known."""
    found = [part for part in grips if part.volume > 0.0 and _outer_face([part], radius) is not None]
    high = max(found, key=lambda part: _outer_face([part], radius) or 0.0, default=None)
    return float(high.moments.mass) / high.volume if high else 0.0


def _thread(scenario: Scenario, hardware: list[PlacedPart]) -> str:
    for part in hardware:
        given = scenario.part[part.name]
        if isinstance(given, written.ScrewPart):
            return split_size(given.size)[0]
        for solid in part.solids:
            if solid.thread:
                return solid.thread
    raise PartRefused("envelope.thread", "nothing", 'the thread of the bolt, for example "M3"')


def _widest(envelope: Envelope, radius: float) -> float:
    """Largest diameter at a radius, m, between the keep-outs."""
    rooms = [envelope.diameter]
    if envelope.clear_inboard is not None:
        rooms.append(2.0 * (radius - envelope.clear_inboard))
    if envelope.clear_outboard is not None:
        rooms.append(2.0 * (envelope.clear_outboard - radius))
    return max(min(rooms), 0.0)


def _bars(envelope: Envelope) -> tuple[float, ...]:
    """Bars as they are, and every step that they can be turned down to; without stock, every step."""
    largest = max(envelope.stock, default=envelope.diameter)
    turned = np.arange(1, math.floor(largest / envelope.lathe_step + 1e-6) + 1) * envelope.lathe_step
    every = {*np.round(turned, 9).tolist(), *(round(bar, 9) for bar in envelope.stock)}
    return tuple(sorted(size for size in every if size <= envelope.diameter + 1e-9))


def head_diameter(space: DesignSpace) -> float:
    """Least diameter of a head or nut: that of a standard head of the thread, m."""
    return socket_head(space.thread).diameter * 1e-3
