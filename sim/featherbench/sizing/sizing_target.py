"""What a target asks for, and how much of it any weights give: static, the same laws as the bench's.

The loads are linear in the mass moments, and the weights do not swing, so the build without them is worked out once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.hover import main_torque
from featherbench.assembly import moments_at, plain_moments
from featherbench.assembly.assembled import Assembly
from featherbench.bench.setup import Setup, load_table
from featherbench.linkage.force import JointFriction, rod_force, rod_friction
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import tabulated
from featherbench.rotor.bearing import bearing_friction
from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from featherbench.rotor.trim import hover_pitch
from featherbench.sizing.machined import Column
from featherbench.studies.free_play import HOVER_BAND

ZERO_BAND = np.deg2rad(6.0)
"""Half-width of the band about zero that is judged when no hover is known, rad."""

ROWS = 20_000
"""Choices that are judged at a time, to spare memory."""

Values = NDArray[np.float64]


@dataclass(frozen=True)
class SizingTarget:
    """A target and what decides it.

    quantity: "compensation", "seat_ratio" or "rod_force"; value SI. plain, kept: I_c - I_n of the build without weights
    and of what stays of it; radial: S_r of what stays, kg m. pitch (p,), moment (p,) of what stays with the air, per
    blade; slopes (5, p): moment per unit of I_c, I_n, I_cn, S_rc, S_rn; friction (2, p): at the pitch axis, all blades,
    without bearing load and per unit of S_r; travel (p,) m/rad. gain: gauge over static force.
    """

    quantity: str
    value: float
    plain: float
    kept: float
    pitch: Values
    moment: Values
    slopes: Values
    friction: Values
    travel: Values
    blades: float
    radial: float
    rod_friction: float
    joints: JointFriction
    gain: float = 1.0

    def usable(self, weights: Column, chord: Any) -> NDArray[np.bool_]:
        """Which columns leave the blades centring themselves; all of them where a compensation is asked for."""
        left = self.kept + _chordwise(weights, chord) - np.atleast_1d(np.asarray(weights.second, dtype=float))
        return np.asarray((left > 0.0) | (self.quantity == "compensation"))

    def measure(self, weights: Column, radius: Any, chord: Any) -> Values:
        """The target's quantity with columns of metal (n,) at (radius, chord), m; (n,)."""
        mass, first, second, across = (np.atleast_1d(np.asarray(value, dtype=float)) for value in weights)
        chordwise = mass * chord**2 + across
        if self.quantity == "compensation":
            return np.asarray(1.0 - (self.kept + chordwise - second) / self.plain)
        if mass.size > ROWS:
            rows = [slice(first, first + ROWS) for first in range(0, mass.size, ROWS)]
            return np.concatenate(
                [self.measure(Column(*(v[row] for v in weights)), radius, chord) for row in rows]
            )
        moments = np.stack([chordwise, second, chord * first, mass * radius * chord, first * radius])
        moment = self.moment + moments.T @ self.slopes
        friction = self.friction[0] + np.outer(self.radial + mass * radius, self.friction[1])
        if self.quantity == "seat_ratio":
            return np.asarray(np.min(np.abs(self.blades * moment) / np.maximum(friction, 1e-12), axis=1))
        load = np.abs(rod_force(-moment, self.travel, self.blades))
        force = load + rod_friction(friction, self.travel, self.rod_friction, 1.0, load, self.joints)
        return np.asarray(self.gain * np.max(force, axis=1))


def _chordwise(weights: Column, chord: Any) -> Values:
    return np.atleast_1d(np.asarray(weights.mass * chord**2 + weights.across, dtype=float))


def stated_target(setup: Setup) -> tuple[str, float]:
    """Quantity and value of the scenario's target."""
    envelope = setup.scenario.envelope
    assert envelope is not None
    for name in ("compensation", "seat_ratio", "rod_force"):
        value = getattr(envelope.target, name)
        if value is not None:
            return name, float(value)
    raise AssertionError("the scenario's rules see to it that a target is stated")


def sizing_target_of(setup: Setup, removed: tuple[str, ...]) -> SizingTarget:
    """The target of a build (`setup`, without counterweights) whose parts `removed` come off for the new ones."""
    quantity, value = stated_target(setup)
    assembly = setup.assembly
    kept = replace(assembly, parts=tuple(part for part in assembly.parts if part.name not in removed))
    plain, rest = plain_moments(assembly, setup.lead_lag), moments_at(kept, setup.lead_lag)
    pitch = _pitches(setup, quantity)
    moment, slopes = _loads(setup, kept, pitch)
    axis, spin = setup.plant.pitch, float(setup.scenario.rotor.speed)
    bearing = setup.scenario.bearing
    per_radial = bearing_friction(bearing, 1.0).load_moment
    travel = [pitch_rod_travel(float(angle), setup.plant.linkage) for angle in pitch]
    bare = np.array([pitch_friction_limit(spin, row[3], axis._replace(load_moment=0.0)) for row in travel])
    loaded = np.array(
        [pitch_friction_limit(spin, row[3], axis._replace(load_moment=per_radial)) for row in travel]
    )
    return SizingTarget(
        quantity=quantity,
        value=value,
        plain=plain.chordwise - plain.normal,
        kept=rest.chordwise - rest.normal,
        pitch=pitch,
        moment=moment,
        slopes=slopes,
        friction=np.stack([bare, loaded - bare]),
        travel=np.array([row[1] for row in travel]),
        blades=float(axis.blades),
        radial=rest.radial,
        rod_friction=float(setup.plant.output.rod_friction),
        joints=JointFriction(setup.plant.pitch.load_share, setup.plant.output.load_share),
    )


def _pitches(setup: Setup, quantity: str) -> Values:
    """Pitch over which the target is judged, rad: the whole range for a force, the hover band for a seat ratio."""
    low, high = setup.scenario.rotor.pitch_range
    if quantity != "seat_ratio":
        return setup.pitch_grid
    aircraft = setup.scenario.aircraft
    middle, half = 0.0, ZERO_BAND
    if aircraft is not None:
        density = setup.air.state.density
        torque, _ = main_torque(aircraft, density)
        thrust = torque / float(aircraft.tail_arm)
        trim = hover_pitch(setup.air.table, thrust, density, float(setup.scenario.rotor.speed))
        if trim.found and low <= trim.pitch <= high:
            middle, half = float(trim.pitch), HOVER_BAND
    return np.linspace(max(middle - half, low), min(middle + half, high), 25)


def _loads(setup: Setup, kept: Assembly, pitch: Values) -> tuple[Values, Values]:
    """Moment of what stays, with the air, N m per blade (p,); and moment per unit of each mass moment (5, p)."""
    loads = load_table(setup.scenario, kept, setup.air)
    spin, coning = float(setup.scenario.rotor.speed), float(setup.scenario.rotor.coning)
    moment, slopes = [], np.zeros((5, pitch.size))
    for column, angle in enumerate(pitch.tolist()):
        moments, air = tabulated(angle, loads)
        moment.append(propeller_moment(angle, spin, 0.0, moments) + air * spin**2)
        for row in range(5):
            one = [1.0 if row == other else 0.0 for other in range(5)]
            unit = PitchMoments(one[0], one[1], one[2], one[3], one[4], coning)
            slopes[row, column] = propeller_moment(angle, spin, 0.0, unit)
    return np.array(moment), slopes
