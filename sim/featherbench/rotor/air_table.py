"""Air loads of a set-up, computed once over pitch and axial flow, and the look-up that the time stepper
calls.

At given pitch and axial flow over tip speed all static loads go with density and spin squared, damping with
spin, and apparent inertia with neither, so one table serves every rotor speed; Reynolds and Mach number stay
those of the set-up speed. A swing of the blade on its bolt moves the quarter chord by offset + slope *
radius; moments for any such offsets follow from stored sums without solving the inflow again.
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from featherbench.kernel import kernel
from featherbench.rotor.blade_stations import RotorAir
from featherbench.rotor.even_grid import grid_cell
from featherbench.rotor.inflow import (
    CHORDWISE,
    CHORDWISE_RADIUS,
    COUPLE,
    LOADS,
    NORMAL,
    NORMAL_RADIUS,
    SEPARATED,
    THRUST,
    TORQUE,
    Geometry,
    blade_sums,
    geometry,
)
from featherbench.rotor.unsteady import pitch_rate_terms

Array = NDArray[np.float64]

MOST_KEPT = 8
_KEPT: dict[Any, Array] = {}
_KEEPING = threading.Lock()

PITCHES, AXIALS, STILL = 121, 9, 1
AXIAL_REACH = 0.08
"""Axial flows tabulated, each way, over tip speed: beyond the first few hundredths the root may fold (see
`inflow`).
"""
PITCH_MARGIN = math.radians(12.0)
"""The table reaches this far beyond the pitch range, so that a released blade stays on it."""


class AirLoads(NamedTuple):
    """Kernel table over uniform grids of pitch (n) and axial flow over tip speed (m).

    pitch_first, pitch_step: rad. axial_first, axial_step: over tip speed. tip: radius, m. moment: (n, m) per
    blade about the feathering axis, positive raises pitch, N m s^2 (over spin squared). thrust N s^2, torque
    N m s^2: (n, m), of the whole rotor, over spin squared. damping: per blade over spin, N m s^2. inertia:
    apparent, per blade, kg m^2.
    """

    pitch_first: float
    pitch_step: float
    axial_first: float
    axial_step: float
    tip: float
    moment: Array
    thrust: Array
    torque: Array
    damping: float
    inertia: float


@kernel
def look_up(pitch: float, axial: float, loads: AirLoads, table: Array) -> float:
    """Bilinear interpolation in one of the tables of `loads`; beyond the grid the end value holds."""
    i, p = grid_cell((pitch - loads.pitch_first) / loads.pitch_step, table.shape[0])
    j, a = grid_cell((axial - loads.axial_first) / loads.axial_step, table.shape[1])
    near = table[i, j] + a * (table[i, j + 1] - table[i, j])
    far = table[i + 1, j] + a * (table[i + 1, j + 1] - table[i + 1, j])
    return near + p * (far - near)


@kernel
def axial_ratio(axial_speed: float, spin: float, loads: AirLoads) -> float:
    """Axial flow over tip speed; axial_speed m/s, positive when the rotor advances along its thrust; 0 at
    rest.
    """
    tip_speed = abs(spin) * loads.tip
    return axial_speed / tip_speed if tip_speed > 1e-6 else 0.0


@kernel
def thrust(pitch: float, axial: float, spin: float, loads: AirLoads) -> float:
    """Thrust of the rotor, N, positive toward the blade's normal. pitch rad, axial over tip speed, spin
    rad/s.
    """
    return spin * spin * look_up(pitch, axial, loads, loads.thrust)


@kernel
def torque(pitch: float, axial: float, spin: float, loads: AirLoads) -> float:
    """Torque that turning the rotor takes, N m. pitch rad, axial over tip speed, spin rad/s."""
    return spin * spin * look_up(pitch, axial, loads, loads.torque)


@kernel
def _fill(pitch: Array, axial: Array, rotor: Geometry, quarter_chord: Array, sums: Array) -> None:
    for i in range(pitch.size):
        for j in range(axial.size):
            blade_sums(pitch[i], axial[j], rotor, quarter_chord, sums[i, j])


def recentred(sums: Array, aft: float) -> Array:
    """Sums (..., 8) with the centre of pressure of separated flow further aft by so many chords; the inflow stays."""
    moved = sums.copy()
    moved[..., COUPLE] -= aft * sums[..., SEPARATED]
    return moved


@dataclass(frozen=True)
class AirTable:
    """Air loads of a set-up over uniform grids: pitch (n,) rad, axial (m,) over tip speed.

    sums: (n, m, 8) over spin squared, columns THRUST .. SEPARATED of `inflow`. rotor: what it was made
    for. aft: by how many chords the sums have the centre of pressure of separated flow further aft.
    """

    pitch: Array
    axial: Array
    sums: Array
    rotor: RotorAir
    aft: float = 0.0

    @property
    def thrust(self) -> Array:
        """(n, m) thrust of the rotor over spin squared, N s^2."""
        return self.sums[:, :, THRUST]

    @property
    def torque(self) -> Array:
        """(n, m) torque of the rotor over spin squared, N m s^2."""
        return self.sums[:, :, TORQUE]

    def moment(self, offset: ArrayLike = 0.0, slope: ArrayLike = 0.0) -> Array:
        """(n, m) moment per blade about the feathering axis over spin squared, N m s^2, positive raises
        pitch.

        offset (m) and slope: scalar or (n,) over pitch; the quarter chord lies offset + slope * radius
        further ahead of the axis than with the blade straight out (see `lead_lag_offsets`).
        """
        ahead = np.broadcast_to(np.asarray(offset, dtype=float), self.pitch.shape)[:, None]
        leaning = np.broadcast_to(np.asarray(slope, dtype=float), self.pitch.shape)[:, None]
        moment: Array = (
            self.sums[:, :, COUPLE]
            + ahead * self.sums[:, :, NORMAL]
            + leaning * self.sums[:, :, NORMAL_RADIUS]
        )
        return moment

    def moment_over(self, pitch: ArrayLike, offset: ArrayLike = 0.0, slope: ArrayLike = 0.0) -> Array:
        """(k,) still-air moment per blade over spin squared, N m s^2, at pitches (k,) with an offset and
        slope at each.

        Linear between the table's pitches and held beyond them, as in the kernel.
        """
        middle = self.axial.size // 2
        places = np.asarray(pitch, dtype=float)
        couple, normal, radial = (
            np.interp(places, self.pitch, self.sums[:, middle, column])
            for column in (COUPLE, NORMAL, NORMAL_RADIUS)
        )
        return np.asarray(couple + np.asarray(offset) * normal + np.asarray(slope) * radial)

    def drag_moment(self, bolt_radius: float) -> Array:
        """(n,) moment about the blade bolt over spin squared without axial flow, N m s^2, positive swings the
        tip rearward.

        The bolt stands along the blade's normal, so it is the force along the chord that counts.
        """
        middle = self.axial.size // 2
        still = self.sums[:, middle, CHORDWISE_RADIUS] - bolt_radius * self.sums[:, middle, CHORDWISE]
        return np.asarray(still)

    def over_axial_flow(self) -> AirTable:
        """The same rotor over AXIALS axial flows, solved anew where this is a table of still air only."""
        if self.axial.size > 1:
            return self
        axial = _axial_flows(AXIALS, AXIAL_REACH)
        sums = _solved(self.pitch, axial, self.rotor)
        return AirTable(self.pitch, axial, recentred(sums, self.aft), self.rotor, self.aft)

    def rate_terms(self, offset: float = 0.0, slope: float = 0.0) -> tuple[float, float]:
        """(damping per blade over spin, N m s^2; apparent inertia per blade, kg m^2), offsets as for `moment`."""
        return pitch_rate_terms(self.rotor.stations, self.rotor.air.density, offset, slope)

    def loads(self, offset: ArrayLike = 0.0, slope: ArrayLike = 0.0) -> AirLoads:
        """The kernel table for given offsets of the quarter chord (scalar, or (n,) over pitch: the swing at
        each pitch).

        Damping and apparent inertia are taken with the offsets at the pitch nearest zero. Raises ValueError for a table
        of still air only.
        """
        if self.axial.size < 2:
            raise ValueError("a table of still air only has no loads over axial flow")
        neutral = int(np.argmin(np.abs(self.pitch)))
        at_neutral = [
            float(np.broadcast_to(np.asarray(value, dtype=float), self.pitch.shape)[neutral])
            for value in (offset, slope)
        ]
        damping, inertia = self.rate_terms(*at_neutral)
        return AirLoads(
            float(self.pitch[0]),
            float(self.pitch[1] - self.pitch[0]),
            float(self.axial[0]),
            float(self.axial[1] - self.axial[0]),
            self.rotor.tip,
            np.ascontiguousarray(self.moment(offset, slope)),
            np.ascontiguousarray(self.thrust),
            np.ascontiguousarray(self.torque),
            damping,
            inertia,
        )


def tabulate(
    rotor: RotorAir,
    pitch_low: float,
    pitch_high: float,
    *,
    pitches: int = PITCHES,
    axials: int = AXIALS,
    axial_reach: float = AXIAL_REACH,
) -> AirTable:
    """Solves the rotor over a uniform grid of pitch (rad, low to high) and axial flow (each way, over tip
    speed).

    The number of axial flows must be odd, so that still air is on the grid: the only one, if it is 1. Raises
    ValueError otherwise.
    """
    if pitch_high <= pitch_low or pitches < 2:
        raise ValueError("the pitch grid needs a low end below its high end and at least 2 points")
    if axials < 1 or axials % 2 == 0:
        raise ValueError("the number of axial flows must be odd and at least 1")
    pitch = np.linspace(pitch_low, pitch_high, pitches)
    axial = _axial_flows(axials, axial_reach)
    return AirTable(pitch, axial, _solved(pitch, axial, rotor), rotor)


def _axial_flows(count: int, reach: float) -> Array:
    axial = reach * np.linspace(-1.0, 1.0, count)
    axial[count // 2] = 0.0
    return axial


def _solved(pitch: Array, axial: Array, rotor: RotorAir) -> Array:
    """Sums (pitches, axials, LOADS): those of the last few rotors are kept, since builds differ by their parts more
    often than by their blades, and this is a third of what a prediction waits for. What is handed out is the caller's.
    """
    asked = (pitch, axial, *geometry(rotor), rotor.stations.quarter_chord)
    key = tuple((one.shape, one.tobytes()) if isinstance(one, np.ndarray) else one for one in asked)
    sums = _KEPT.get(key)
    if sums is None:
        sums = np.empty((pitch.size, axial.size, LOADS))
        _fill(pitch, axial, geometry(rotor), rotor.stations.quarter_chord, sums)
        with _KEEPING:
            _KEPT[key] = sums
            while len(_KEPT) > MOST_KEPT:
                del _KEPT[next(iter(_KEPT))]
    return sums.copy()


def lead_lag_offsets(lead_lag: ArrayLike, bolt_radius: float, bolt_chord: float = 0.0) -> tuple[Array, Array]:
    """(offset m, slope) that a lead-lag angle (rad, tip toward the leading edge positive) on a bolt adds to the
    quarter chord.

    A point at radius r moves forward by (r - bolt_radius) sin(lead_lag), to first order in its own chordwise
    distance from the bolt; the remainder, (1 - cos lead_lag) of that distance, is 0.1 per cent at 3 degrees.
    """
    lean = np.sin(np.asarray(lead_lag, dtype=float))
    drop = bolt_chord * (1.0 - np.cos(np.asarray(lead_lag, dtype=float)))
    return drop - bolt_radius * lean, lean
