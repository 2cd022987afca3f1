"""Static curves: moments at the blade by cause, the rod force that holds them, what the servo needs and what it has."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import moments_by_group
from featherbench.bench.setup import Setup, pitch_moments
from featherbench.linkage import servo_angles_for
from featherbench.linkage.force import (
    JointFriction,
    force_available,
    rod_force,
    rod_friction,
    rod_friction_easier,
)
from featherbench.linkage.geometry import Linkage, pitch_rod_travels, servo_rod_travels
from featherbench.notebook import HtmlDisplay, frame
from featherbench.plant.joint_friction import pitch_friction_limit, rod_friction_limit
from featherbench.plant.loads import blade_moments
from featherbench.rotor.propeller_moment import propeller_moment

if TYPE_CHECKING:
    import pandas as pd

Curve = NDArray[np.float64]
KINDS = {
    "pitch": "angle",
    "rod_force": "force",
    "rod_friction": "force",
    "rod_friction_easier": "force",
    "rod_breakaway": "force",
    "servo_force": "force",
    "servo_torque": "moment",
    "servo_angle": "angle",
}
"""Kinds of quantity of the curves that are not moments."""


@dataclass(frozen=True)
class StaticCurves(HtmlDisplay):
    """At rest, at rotor speed, over pitch. All arrays (n,), SI.

    pitch rad; moment N m per blade, positive raises pitch; by_group the share of each part group; air its share;
    friction N m per blade, half the band of an unloaded rod; rod_force N, push positive, what holds them without it;
    rod_friction N, what friction adds at the rod's end, moving the harder way; rod_friction_easier N, what it takes off
    where the load helps; rod_breakaway N, before it starts;
    servo_force N, greatest push or pull that the servo's arm gives there under its supply; servo_torque N m, what the
    servo's output needs to start the blades against load and friction, the harder way; servo_angle rad.
    """

    pitch: Curve
    moment: Curve
    by_group: dict[str, Curve]
    air: Curve
    friction: Curve
    rod_force: Curve
    rod_friction: Curve
    rod_friction_easier: Curve
    rod_breakaway: Curve
    servo_force: Curve
    servo_torque: Curve
    servo_angle: Curve

    @property
    def loop(self) -> tuple[Curve, Curve]:
        """Upper and lower edge of the loop, N: the rod's force while it moves towards push, and towards pull."""
        pushes = self.rod_force > 0.0
        upper = self.rod_force + np.where(pushes, self.rod_friction, self.rod_friction_easier)
        lower = self.rod_force - np.where(pushes, self.rod_friction_easier, self.rod_friction)
        return upper, lower

    @property
    def largest(self) -> tuple[float, float]:
        """Push and pull, N, that starting the blades takes at most over the stroke; 0 where nothing is."""
        push = float((self.rod_force + self.rod_breakaway).max())
        pull = float((self.rod_breakaway - self.rod_force).max())
        return max(0.0, push), max(0.0, pull)

    @property
    def per_moment(self) -> Curve:
        """Rod force (N) that holds one N m on each blade: virtual work, the same for every cause of a moment; where
        nothing loads the rod, between the pitches beside it. Zero where nothing loads it anywhere.
        """
        known = np.abs(self.moment) > 1e-9 * max(float(np.abs(self.moment).max()), 1e-300)
        if not known.any():
            return np.zeros_like(self.pitch)
        ratio = self.rod_force[known] / self.moment[known]
        return np.asarray(np.interp(self.pitch, self.pitch[known], ratio))

    def to_frame(self) -> pd.DataFrame:
        """All curves as a pandas frame over pitch, SI, units in the column names (e.g. "moment_blade [N*m]")."""
        shares = {f"moment_{group}": share for group, share in self.by_group.items()}
        moments = {"moment": self.moment, **shares, "moment_air": self.air, "friction": self.friction}
        columns = {
            "pitch": self.pitch,
            **moments,
            **{name: getattr(self, name) for name in KINDS if name != "pitch"},
        }
        return frame(columns, {**dict.fromkeys(moments, "moment"), **KINDS})


def static_curves(setup: Setup, spin: float | None = None, *, groups: bool = True) -> StaticCurves:
    """Static curves at rotor speed `spin` (rad/s), by default the scenario's; groups: with the part groups' shares."""
    omega = float(setup.scenario.rotor.speed if spin is None else spin)
    plant = setup.plant
    pitch = setup.pitch_grid
    blades = plant.pitch.blades
    moved = _moved(plant.linkage, tuple(pitch.tolist()))
    slope = moved.slope
    moment, air = blade_moments(pitch, omega, plant.loads).T.copy()
    friction = np.array([pitch_friction_limit(omega, each, plant.pitch) for each in moved.slider]) / blades
    needed = rod_force(-moment, slope, blades)
    bearings, along_rod = blades * friction, rod_friction_limit(0.0, plant.output)
    joints = JointFriction(plant.pitch.load_share, plant.output.load_share)
    breakaway = rod_friction(bearings, slope, along_rod, plant.pitch.breakaway_ratio, needed, joints)
    return StaticCurves(
        pitch=pitch,
        moment=moment,
        by_group=_by_group(setup, pitch, omega) if groups else {},
        air=air * omega**2,
        friction=friction,
        rod_force=needed,
        rod_friction=rod_friction(bearings, slope, along_rod, 1.0, needed, joints),
        rod_friction_easier=np.asarray(
            rod_friction_easier(bearings, slope, along_rod, needed, joints), dtype=float
        ),
        rod_breakaway=breakaway,
        servo_force=force_available(setup.drive.available_torque(plant.supply), moved.arm),
        servo_torque=(np.abs(needed) + breakaway) * moved.arm,
        servo_angle=moved.angle,
    )


class _Moved(NamedTuple):
    """How a linkage moves over pitch: travel of rod and slider per pitch, m/rad; servo angle, rad; its arm, m."""

    slope: Curve
    slider: Curve
    angle: Curve
    arm: Curve


@functools.lru_cache(maxsize=16)
def _moved(linkage: Linkage, pitch: tuple[float, ...]) -> _Moved:
    """Builds of a study mostly share their linkage, whose laws are asked point by point."""
    grid = np.array(pitch)
    travel = pitch_rod_travels(grid, linkage)
    angle = servo_angles_for(grid, linkage)
    arm = np.abs(servo_rod_travels(angle, linkage)[:, 1])
    found = _Moved(travel[:, 1].copy(), travel[:, 3].copy(), angle, arm)
    for curve in found:
        curve.flags.writeable = False
    return found


def _by_group(setup: Setup, pitch: Curve, spin: float) -> dict[str, Curve]:
    """Propeller moment of each part group by itself, N m per blade."""
    coning = setup.scenario.rotor.coning
    shares: dict[str, list[float]] = {}
    for angle, lead_lag in zip(pitch.tolist(), setup.lead_lags_at(pitch).tolist(), strict=True):
        groups = moments_by_group(setup.assembly, lead_lag)
        for group, moments in groups.items():
            value = propeller_moment(angle, spin, 0.0, pitch_moments(moments, coning))
            shares.setdefault(group, []).append(value)
    return {group: np.array(values) for group, values in shares.items()}
