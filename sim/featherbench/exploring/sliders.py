"""What can be moved in a build: a few dimensions of its weights, their phase, rotor speed, servo arm."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import NamedTuple

from featherbench import quantities
from featherbench.assembly import Assembly, PlacedPart
from featherbench.exploring.dimensions import Dimension, dimensions, outward
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written

MOST_DIMENSIONS = 4
"""Sliders for dimensions; more than these nobody keeps apart."""
LATHE_STEP = 1e-4
STEPS = {"metric": {"length": LATHE_STEP}, "trade": {"length": 0.005 * 0.0254}}
"""Of lengths, m: a tenth of a millimetre, five thousandths of an inch."""
OTHER_STEPS = {"angle": quantities.parse("0.5 deg", "angle").value, "mass": 0.05e-3}
SPEED_STEP = quantities.parse("50 rpm", "rotation").value
LARGEST_PHASE = quantities.parse("30 deg", "angle").value
ADDED = ("added-weight-above", "added-weight-below")
ADDED_LENGTH, ADDED_HEIGHT = 1e-3, 8e-3
ADDED_DIAMETER = {"metric": 5e-3, "trade": 0.2 * 0.0254}
"""m: of an added weight before it is moved, and how long it may be where no envelope says."""
ADDED_MATERIAL = "brass"


class Effect(NamedTuple):
    """The value at a key path of the scenario changes by `factor` times the change of the slider."""

    key: str
    factor: float


@dataclass(frozen=True)
class Slider:
    """One thing to move, SI.

    kind: of quantity; start: as in the file; zero: where the values of the parts it changes are as they stand in the
    scenario (`start`, except for a weight that is not there yet); step: what a builder can make or set.
    """

    key: str
    label: str
    kind: str
    start: float
    low: float
    high: float
    step: float
    zero: float
    effects: tuple[Effect, ...]

    @property
    def places(self) -> tuple[float, ...]:
        """Where it may stand: multiples of the step between low and high, and where it starts."""
        first, last = ceil(self.low / self.step - 1e-6), floor(self.high / self.step + 1e-6)
        steps = {round(number * self.step, 12) for number in range(first, last + 1)}
        near = {place for place in steps if abs(place - self.start) < 1e-6 * self.step}
        return tuple(sorted(steps - near | {self.start}))

    def nearest(self, value: float) -> float:
        """The place nearest a value."""
        return min(self.places, key=lambda place: abs(place - value))


def offered(scenario: Scenario, assembly: Assembly, system: str) -> tuple[Scenario, tuple[Slider, ...]]:
    """The sliders of a build, and the scenario they change: the same with a pair of weights to add, if it has none.

    The added pair is in the parts under the names of ADDED; without length it is not fitted (see `Exploration`).
    """
    envelope = scenario.envelope
    step = STEPS[system]["length"]
    if system == "metric" and envelope is not None:
        step = envelope.lathe_step
    weights = {name: part for name, part in scenario.part.items() if part.group == "counterweight"}
    if weights:
        sliders = _chosen(scenario, assembly, weights, step)
    else:
        scenario = _with_added(scenario, assembly, ADDED_DIAMETER[system])
        weights = {name: scenario.part[name] for name in ADDED}
        sliders = _added_sliders(scenario, ADDED_DIAMETER[system], step)
    return scenario, (*sliders, _phase(weights), *_others(scenario, STEPS[system]["length"]))


def _chosen(
    scenario: Scenario, assembly: Assembly, weights: dict[str, written.Part], step: float
) -> list[Slider]:
    """Dimensions of the weights that matter most: all of one kind, or the first two of two kinds."""
    effect = {
        part.name: abs(part.moments.normal - part.moments.chordwise)
        for part in assembly.parts
        if part.name in weights
    }
    found = [dims for dims in dimensions(weights, effect, scenario.envelope) if dims]
    if len(found) > 1 and all(len(dims) == 1 for dims in found):
        found = [[outward(weights)]]
    if len(found) == 1:
        chosen = found[0][:MOST_DIMENSIONS]
        names = [f"weights' {dim.word}" for dim in chosen]
    else:
        share = MOST_DIMENSIONS // max(min(len(found), 2), 1)
        chosen = [dim for dims in found[:2] for dim in dims[:share]]
        names = [f"{dim.part}: {dim.word}" for dim in chosen]
    return [_slider(dim, name, step) for dim, name in zip(chosen, names, strict=True)]


def _slider(dim: Dimension, label: str, step: float) -> Slider:
    own = step if dim.kind == "length" else OTHER_STEPS[dim.kind]
    key = f"{dim.part}.{dim.word}".replace(" ", "_")
    effects = tuple(Effect(*effect) for effect in dim.effects)
    return Slider(key, label, dim.kind, dim.start, dim.low, dim.high, own, dim.start, effects)


def _phase(weights: dict[str, written.Part]) -> Slider:
    """All weights turned together about the feathering axis."""
    turns = {part.turn for part in weights.values()}
    start = turns.pop() if len(turns) == 1 else 0.0
    effects = tuple(Effect(f"part.{name}.turn", 1.0) for name in weights)
    step = OTHER_STEPS["angle"]
    low, high = min(-LARGEST_PHASE, start), max(LARGEST_PHASE, start)
    return Slider("phase", "weights turned (as pitch)", "angle", start, low, high, step, start, effects)


def _others(scenario: Scenario, step: float) -> tuple[Slider, Slider]:
    speed, arm = float(scenario.rotor.speed), float(scenario.linkage.servo_arm)
    return (
        Slider(
            "rotor.speed",
            "rotor speed",
            "rotation",
            speed,
            0.6 * speed,
            1.25 * speed,
            SPEED_STEP,
            speed,
            (Effect("rotor.speed", 1.0),),
        ),
        Slider(
            "linkage.servo_arm",
            "servo arm",
            "length",
            arm,
            0.5 * arm,
            1.6 * arm,
            step,
            arm,
            (Effect("linkage.servo_arm", 1.0),),
        ),
    )


def _with_added(scenario: Scenario, assembly: Assembly, diameter: float) -> Scenario:
    """The scenario with the least pair of weights on the blade bolt's axis, their feet on what is there."""
    bolt = assembly.bolt
    material = scenario.envelope.materials[-1] if scenario.envelope else ADDED_MATERIAL
    parts: dict[str, written.Part] = dict(scenario.part)
    for name, side in zip(ADDED, (1.0, -1.0), strict=True):
        foot = _foot(assembly.parts, bolt.radius, bolt.chord, side)
        parts[name] = written.CylinderPart(
            group="counterweight",
            at=written.Place.model_construct(
                radius=bolt.radius, chord=bolt.chord, normal=side * (foot + ADDED_LENGTH / 2.0)
            ),
            material=material,
            shape="cylinder",
            axis="normal",
            diameter=quantities.text(diameter, "length", digits=12),
            length=quantities.text(ADDED_LENGTH, "length"),
        )
    return scenario.model_copy(update={"part": parts})


def _foot(parts: tuple[PlacedPart, ...], radius: float, chord: float, side: float) -> float:
    """How far anything but the blade's aerofoil reaches from the feathering axis where the bolt stands, m."""
    faces = [
        side * solid.centre[2] + solid.size[2] / 2.0
        for part in parts
        for solid in part.solids
        if solid.kind != "blade"
        and abs(solid.centre[0] - radius) <= solid.size[0] / 2.0
        and abs(solid.centre[1] - chord) <= solid.size[1] / 2.0
    ]
    return round(max([0.0, *faces]), 6)


def _added_sliders(scenario: Scenario, diameter: float, step: float) -> list[Slider]:
    """Length (from none) and diameter of the pair."""
    above = scenario.part[ADDED[0]].at.normal - ADDED_LENGTH / 2.0
    below = -scenario.part[ADDED[1]].at.normal - ADDED_LENGTH / 2.0
    longest, widest = ADDED_HEIGHT, 2.0 * diameter
    if scenario.envelope is not None:
        room = min(scenario.envelope.height_above - above, scenario.envelope.height_below - below)
        longest = room if room > ADDED_LENGTH else longest
        widest = scenario.envelope.diameter
    length = [Effect(f"part.{name}.length", 1.0) for name in ADDED]
    length += [
        Effect(f"part.{name}.at.normal", side / 2.0) for name, side in zip(ADDED, (1.0, -1.0), strict=True)
    ]
    across = tuple(Effect(f"part.{name}.diameter", 1.0) for name in ADDED)
    start = min(diameter, widest)
    return [
        Slider(
            "added.length",
            "added weights' length",
            "length",
            0.0,
            0.0,
            longest,
            step,
            ADDED_LENGTH,
            tuple(length),
        ),
        Slider(
            "added.diameter",
            "added weights' diameter",
            "length",
            start,
            min(1e-3, start),
            widest,
            step,
            diameter,
            across,
        ),
    ]
