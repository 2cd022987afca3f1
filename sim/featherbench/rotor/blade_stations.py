"""A blade cut into annuli of equal width, and the rotor made of such blades with its section at every
annulus.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from featherbench.rotor.atmosphere import AirState
from featherbench.rotor.section_polar import NO_TABLE, Section, section_at
from featherbench.rotor.stall_delay import stall_delay_factor
from featherbench.scenario.doubt import Departure

Array = NDArray[np.float64]

ANNULI = 40
MASS_FLUX_FLOOR = 0.007
"""In-plane or recirculating share of the mass flux at zero thrust, over tip speed (see `inflow`)."""

STALL_COLUMN, DELAY_COLUMN = Section._fields.index("stall"), Section._fields.index("delay")
"""Columns of `RotorAir.sections` that hold the angle of stall and what of it rotation makes."""
DRAG_COLUMN = Section._fields.index("drag")
"""Column that holds the profile drag at zero lift."""
SECTION_COLUMNS = DELAY_COLUMN + 1
"""Columns of `RotorAir.sections`: the first fields of `Section`."""


@dataclass(frozen=True)
class BladeStations:
    """One blade at the middle of n annuli, all (n,).

    radius, chord: m. width: of the annulus, m. twist: built-in, rad, added to pitch. thickness: greatest
    section thickness in chords. quarter_chord: distance of the quarter chord ahead of the feathering axis,
    blade straight out, m. root, tip: ends of the aerofoil, m.
    """

    radius: Array
    width: Array
    chord: Array
    twist: Array
    thickness: Array
    quarter_chord: Array
    root: float
    tip: float


def along(rows: Sequence[tuple[float, float]], radius: Array) -> Array:
    """Values (n,) at radius (n,) from rows (radius, value): linear between rows, constant beyond them."""
    table = np.array(sorted(rows), dtype=float)
    return np.interp(radius, table[:, 0], table[:, 1])


def blade_stations(
    root: float,
    tip: float,
    chord: Sequence[tuple[float, float]],
    *,
    axis_at: float = 0.25,
    twist: Sequence[tuple[float, float]] = ((0.0, 0.0),),
    thickness: Sequence[tuple[float, float]] = ((0.0, 0.12),),
    annuli: int = ANNULI,
) -> BladeStations:
    """Cuts a blade from root to tip (m) into annuli of equal width.

    chord, twist, thickness: rows (radius m, value) in m, rad and chords. axis_at: feathering axis behind the
    leading edge in chords, blade straight out. Raises ValueError unless 0 < root < tip and there are at least
    30 annuli.
    """
    if not 0.0 < root < tip:
        raise ValueError("the blade's tip must lie outside its root, and the root outside the shaft")
    if annuli < 30:
        raise ValueError("at least 30 annuli are needed")
    edges = np.linspace(root, tip, annuli + 1)
    radius = 0.5 * (edges[1:] + edges[:-1])
    chords = along(chord, radius)
    return BladeStations(
        radius,
        np.diff(edges),
        chords,
        along(twist, radius),
        along(thickness, radius),
        (axis_at - 0.25) * chords,
        float(root),
        float(tip),
    )


@dataclass(frozen=True)
class RotorAir:
    """A rotor in still air: what the blade-element sums need.

    blades: number (a float, for the kernels). stations: one blade. sections: (n, 7) first seven fields of
    `Section` at each annulus, at the Reynolds and Mach number of `spin`. tabulated, table: as in `Section`,
    the same at all annuli. air: the air. spin: rotor speed the sections were taken at, rad/s. floor: mass
    flux floor over tip speed.
    """

    blades: float
    stations: BladeStations
    sections: Array
    tabulated: float
    table: Array
    air: AirState
    spin: float
    floor: float = MASS_FLUX_FLOOR

    @property
    def tip(self) -> float:
        """Tip radius, m."""
        return self.stations.tip

    @property
    def solidity(self) -> float:
        """Blade area over disc area, with the chord continued to the shaft as a mean."""
        return float(self.blades * np.mean(self.stations.chord) / (np.pi * self.tip))


def rotor_air(
    blades: int,
    stations: BladeStations,
    air: AirState,
    spin: float,
    *,
    zero_lift: float = 0.0,
    moment: float = 0.0,
    polar: Section | None = None,
    floor: float = MASS_FLUX_FLOOR,
) -> RotorAir:
    """A rotor of like blades whose default section is taken at each annulus's own Reynolds and Mach number, its stall
    delayed by rotation (`stall_delay`).

    spin: rad/s, > 0. zero_lift (rad), moment: of a cambered section. polar: a section to use as it is at
    every annulus instead, without delay (see `polar_table.full_circle`, or a `Section` with stated constants).
    """
    if spin <= 0.0:
        raise ValueError("the rotor speed at which the sections are taken must be positive")
    speed = spin * stations.radius
    if polar is None:
        rows = [
            section_at(u * c / air.viscosity, u / air.sound_speed, t, zero_lift, moment)[:SECTION_COLUMNS]
            for u, c, t in zip(speed, stations.chord, stations.thickness, strict=True)
        ]
        sections = np.array(rows, dtype=float)
        delay = sections[:, STALL_COLUMN] * (stall_delay_factor(stations.chord / stations.radius) - 1.0)
        sections[:, STALL_COLUMN] += delay
        sections[:, DELAY_COLUMN] = delay
    else:
        sections = np.array([polar[:SECTION_COLUMNS]] * len(speed), dtype=float)
    return RotorAir(
        float(blades),
        stations,
        sections,
        0.0 if polar is None else float(polar.tabulated),
        NO_TABLE if polar is None else polar.table,
        air,
        float(spin),
        float(floor),
    )


def departed(rotor: RotorAir, away: Departure) -> RotorAir:
    """The rotor with the stall of its sections, and what rotation makes of it, moved, and with more profile drag; as it
    is where its sections read a table.
    """
    if rotor.tabulated or not (away.air_stall or away.profile_drag):
        return rotor
    sections = rotor.sections.copy()
    sections[:, STALL_COLUMN] += away.air_stall
    sections[:, DELAY_COLUMN] += away.air_stall
    sections[:, DRAG_COLUMN] *= 1.0 + away.profile_drag
    return replace(rotor, sections=sections)
