"""Where in the friction band a servo comes to rest, after each way of getting there.

At rest the gear train, the arm and the pitch axis hold by friction: between the least and the most current that keeps a
load lies a band, and any current in it holds. A stick slam, a hand's move and an overshoot that comes back end in
different places of it, and a rotor that shakes lets the hold down toward what the load itself needs. So a hold is a
range, and where in it a meter reads is told by how the stick was moved.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from featherbench.bench.legs import Leg
from featherbench.bench.servo_run import run_legs
from featherbench.bench.servo_test import held_supply
from featherbench.bench.setup import Setup
from featherbench.linkage import LinkageReach, servo_angle_for
from featherbench.linkage.force import rod_force
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit, rod_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.scenario.bench_tables import Move
from featherbench.servo.motor import holding_band

HAND = 0.4
"""s in which a hand moves the stick from end to end (0.3 to 0.5 s: judgement)."""
BEYOND = 0.04
"""Of the target, by which the stick is taken too far before it comes back."""
BACK = 0.3
"""s in which it comes back."""
HOLD, PAUSE = 0.8, 0.3
"""s of each hold, and at zero pitch before the next."""


class Way(StrEnum):
    """How the stick is moved to a hold."""

    SLAM = "slam"
    HAND = "hand"
    OVERSHOOT = "overshoot"


def way_at(place: float) -> Way:
    """The way at a place in [-1, 1]: half by hand, a third slammed, a sixth too far and back.

    Judgement: a stick ends at its stop, a tester's knob does not.
    """
    if place < -2.0 / 3.0:
        return Way.OVERSHOOT
    return Way.SLAM if place > 1.0 / 3.0 else Way.HAND


@dataclass(frozen=True)
class HoldBand:
    """Least and most supply current (A, idle off) and winding current (A, toward the load) that hold a pitch (rad)."""

    pitch: float
    least: float
    most: float
    winding_least: float
    winding_most: float


def hold_band(setup: Setup, pitch: float) -> HoldBand:
    """The band at rest at `pitch` (rad): friction of blades, slider, rod, arm and gear train all holding the load, or
    all against it.

    Raises LinkageReach for a pitch that the linkage does not reach.
    """
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    _, slope, _, slider = pitch_rod_travel(pitch, plant.linkage)
    arm = abs(servo_rod_travel(servo_angle_for(pitch, plant.linkage), plant.linkage)[1])
    load = abs(rod_force(-blade_moment(pitch, spin, 0.0, plant.loads), slope, plant.pitch.blades))
    limit = pitch_friction_limit(spin, slider, plant.pitch)
    held = plant.pitch.breakaway_ratio * limit / abs(slope)
    torques = []
    for side in (-1.0, 1.0):
        rod = (load + side * held) / (1.0 - side * plant.pitch.breakaway_ratio * plant.pitch.load_share)
        along = rod_friction_limit(rod, plant.output)
        torques.append((rod + side * along) * arm + side * plant.output.friction)
    least = holding_band(torques[0], plant.motor)[0]
    most = holding_band(torques[1], plant.motor)[1]
    drawn = [held_supply(setup.drive, plant.supply, current) for current in (least, most)]
    return HoldBand(pitch, 0.0 if least <= 0.0 else drawn[0], drawn[1], least, most)


def held_after(setup: Setup, way: Way, *, step_share: float = 1.0) -> tuple[Leg | None, Leg | None]:
    """The holds at the high and at the low end after one way of getting there; None where the range has no such end,
    or the stick cannot be taken beyond it.
    """
    low, high = setup.scenario.rotor.pitch_range
    moves: list[Move] = []
    places: list[int | None] = []
    for go, end in ((1.0, high), (-1.0, low)):
        if end * go <= 0.0 or (way is Way.OVERSHOOT and not _goes_beyond(setup, end)):
            places.append(None)
            continue
        if moves:
            moves.append(_move(0.0, PAUSE))
        if way is Way.OVERSHOOT:
            moves.append(_move((1.0 + BEYOND) * go, PAUSE, HAND))
        over = {Way.SLAM: 0.0, Way.HAND: HAND, Way.OVERSHOOT: BACK}[way]
        places.append(len(moves))
        moves.append(_move(go, HOLD, over))
    if not moves:
        return None, None
    asked = [place for place in places if place is not None]
    legs = dict(zip(asked, run_legs(setup, moves, asked, step_share=step_share), strict=True))
    first, second = (None if place is None else legs[place] for place in places)
    return first, second


def _goes_beyond(setup: Setup, end: float) -> bool:
    """Whether linkage and servo travel let the stick go past an end of the range (rad)."""
    try:
        angle = servo_angle_for((1.0 + BEYOND) * end, setup.plant.linkage)
    except LinkageReach:
        return False
    return bool(np.abs(angle) <= setup.scenario.servo.travel)


def _move(go: float, hold: float, over: float = 0.0) -> Move:
    return Move.model_construct(go=go, hold=hold, over=over)
