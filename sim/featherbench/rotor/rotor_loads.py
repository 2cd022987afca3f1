"""Loads of the whole rotor and along one blade, from the inflow of its annuli."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from featherbench.rotor.blade_stations import RotorAir
from featherbench.rotor.inflow import LOADS, SEPARATED, Array, annulus_rows, blade_sums, geometry


@dataclass(frozen=True)
class SectionalLoads:
    """Along one blade, all (n,): radius m, inflow over tip speed, angle of attack rad, coefficients c_l, c_d,
    c_m about the quarter chord, and dC_T/dx by momentum and by blade element (equal to the solver's
    tolerance).
    """

    radius: Array
    inflow: Array
    attack: Array
    lift: Array
    drag: Array
    moment: Array
    by_momentum: Array
    by_element: Array


def sectional_loads(rotor: RotorAir, pitch: float, axial: float = 0.0) -> SectionalLoads:
    """What each annulus sees at a pitch (rad) and an axial flow over tip speed."""
    rows = np.empty((rotor.stations.radius.size, 7))
    annulus_rows(float(pitch), float(axial), geometry(rotor), rows)
    return SectionalLoads(rotor.stations.radius, *rows.T)


@dataclass(frozen=True)
class RotorLoads:
    """Loads of a rotor at one pitch and axial flow. thrust N and torque N m of the whole rotor, power W; per
    blade: normal force N and its radial moment N m, couple N m about the feathering axis with the blade
    straight out (section moment and quarter-chord offset), chordwise force toward the trailing edge N and its
    radial moment N m.
    """

    thrust: float
    torque: float
    power: float
    normal: float
    normal_radius: float
    couple: float
    chordwise: float
    chordwise_radius: float

    def drag_moment(self, bolt_radius: float) -> float:
        """Moment about the blade bolt at a radius (m), N m per blade, positive when it swings the tip
        rearward.

        The bolt stands along the blade's normal, so only the force along the chord counts; at zero pitch that
        is the drag.
        """
        return self.chordwise_radius - bolt_radius * self.chordwise


def rotor_loads(rotor: RotorAir, pitch: float, axial: float = 0.0, spin: float | None = None) -> RotorLoads:
    """Direct evaluation at a pitch (rad), axial flow over tip speed and rotor speed (rad/s, the rotor's own
    when None).

    The sections stay those of the rotor's own speed, so loads go exactly with the square of spin.
    """
    turning = rotor.spin if spin is None else float(spin)
    sums = np.empty(LOADS)
    blade_sums(float(pitch), float(axial), geometry(rotor), rotor.stations.quarter_chord, sums)
    thrust, torque, *blade = (float(value) for value in sums[:SEPARATED] * turning**2)
    return RotorLoads(thrust, torque, torque * turning, *blade)
