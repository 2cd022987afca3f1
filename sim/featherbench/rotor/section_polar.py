"""Lift, drag and moment of a blade section at every angle of attack, attached or stalled, by Reynolds and
Mach number.

One weight w(alpha), 1 attached and 0 separated, joins two flows:

* attached: normal force a sin(alpha_e) with the leading-edge suction recovered to `SUCTION`, profile drag
  c_d0, moment about the quarter chord constant but for the forward shift of the centre of pressure while the rear of
  the section loses its lift; alpha_e from zero lift;
* separated: a flat plate's normal force, acting at the free-streamline centre of pressure, which lies at 5/16
  of the chord at small angles and moves aft to mid-chord at 90 degrees.

w is Kirchhoff's trailing-edge separation law, w = (((1 + sqrt f)/2)^2 - 1/4)/(3/4), with the attached share
of the chord f a logistic function of angle. The published numbers behind it, and their status:

* lift slope: McCroskey, NASA TM 100019: (0.1025 + 0.00485 log10(Re/1e6))/sqrt(1 - M^2) per degree. FOUND-2.
  It was fitted to the NACA 0012 at Re above about 1e6; a model tail rotor runs at 5e4 to 4e5, so this is an
  extrapolation. Slopes in NACA TN 2474 for a NACA 0015 at 1.1e5 to 3.4e5 lie within 3 per cent of it; below
  1e5 it is doubtful (laminar bubbles make real lift curves bend near zero).
* c_d0, the angle of half separation and the width of the stall: Sheldahl & Klimas, SAND80-2114 (1981), NACA
  0015 (and 0012 for c_d0). FOUND-2. The report synthesised its low-Reynolds numbers from tests and
  computation. Below Re 1.6e5 its computed lift collapses (greatest c_l 0.57 at 4e4), which tests do not show
  (a NACA 0012 wing section at 5e4, 1e5 and 1.5e5 all reached about 0.8 at 9 to 10 degrees: FOUND, a
  university laboratory report, scribd.com/document/350752), so the stall is held at its 1.6e5 values there.
  Other thicknesses stall as the NACA 0015 does.
* leading-edge suction recovered: 0.95; forward shift of the centre of pressure before the stall, in chords:
  `CENTRE_SHIFT` sin(pi f^2), the second term of c_m/c_n = K0 + K1 (1 - f) + K2 sin(pi f^2) with K2 = 0.04 for the
  NACA 0012: Leishman & Beddoes, A semi-empirical model for dynamic stall (1989), MEM for both numbers. (K1, the
  rearward shift of the separated share, is what the flat plate's centre of pressure does here; K0 = 0.0025 is left
  out.) It was not fitted to the moments of SAND80-2114, which it meets within 0.012 from 6 to 11 degrees.
* flat plate: c_n = c_n90 sin(alpha)/(0.56 + 0.44 sin(alpha)), the shape of Hoerner's 1/(0.222 +
  0.283/sin(alpha)), FOUND-2, with c_n90 = 1.8 from SAND80-2114 (1.98 is a thin plate's).
* centre of pressure: Rayleigh's x/c = 1/2 - (3/4) cos(alpha)/(4 + pi sin(alpha)). FOUND-2.

Rotation delays the stall of a blade: see `stall_delay`, which is applied to the sections of a rotor, not here. That the
blade's aspect ratio is small is not modelled. Just past stall SAND80-2114 shows a
trough of lift at low Reynolds number (0.24 at 14 degrees and Re 1.6e5, where this gives 0.78), which belongs
to its computed part and is left out. Past stall trust the normal force to 25 per cent and c_m to 0.02.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.rotor.even_grid import grid_cell

SUCTION = 0.95
PLATE_NORMAL = 1.8
CENTRE_SHIFT = 0.04
"""Greatest forward shift of the centre of pressure of partly separated flow, in chords."""

REYNOLDS_RANGE = (2.0e4, 5.0e6)
"""Reynolds numbers the data below reach; others use the nearest end."""
MACH_CEILING = 0.7
"""Above it the Prandtl-Glauert factor is held: the linear correction fails near the critical Mach number."""

# NACA 0015, SAND80-2114: Reynolds number and profile drag at zero lift.
_REYNOLDS = np.array([2.0e4, 4.0e4, 8.0e4, 1.6e5, 3.6e5, 7.0e5, 1.0e6, 2.0e6])
_DRAG = np.array([0.0265, 0.0196, 0.0147, 0.0116, 0.0091, 0.0077, 0.0074, 0.0070])
# Half separation and width (degrees) by Kirchhoff's law from the same lift table at Re 1.6e5 and up:
# f = (2 sqrt(c_l/(slope alpha)) - 1)^2 with the slope at one degree; width from f = 3/4 and 1/4 (1/2 at 2e6).
_STALL_REYNOLDS = _REYNOLDS[3:]
_HALF_SEPARATION = np.array([10.23, 11.72, 12.90, 13.52, 14.75])
_STALL_WIDTH = np.array([1.37, 1.64, 1.91, 2.05, 2.25])
# NACA 0012 over NACA 0015 profile drag, same report, mean of Re 1.6e5, 3.6e5, 7e5 and 1e6: .888, .868, .870,
# .878
_DRAG_THINNER = 0.876

NO_TABLE = np.zeros((1, 3))
TABLE_STEP = math.radians(0.5)
TABLE_ROWS = 721
"""A tabulated polar is held from -180 to 180 degrees in this step: columns c_l, c_d, c_m."""


class Section(NamedTuple):
    """One section at one Reynolds and Mach number.

    slope: lift slope, 1/rad. zero_lift: angle of zero lift, rad. moment: attached moment coefficient about
    the quarter chord, nose up positive. drag: profile drag coefficient at zero lift. stall: angle from zero
    lift (camber shared) where half the chord is separated, rad. stall_width: its spread, rad. tabulated: 1.0
    to read `table` instead. table: (721, 3) c_l, c_d, c_m from -180 to 180 degrees, or (1, 3) unused.
    """

    slope: float
    zero_lift: float
    moment: float
    drag: float
    stall: float
    stall_width: float
    delay: float
    tabulated: float
    table: NDArray[np.float64]


@kernel
def attached_share(angle: float, section: Section) -> float:
    """Share f of the chord over which the flow is attached, 1 at zero to 0 far past stall. angle: from the stall's
    centre line, rad.
    """
    at_zero = 1.0 + math.exp(-section.stall / section.stall_width)
    return at_zero / (1.0 + math.exp(min((abs(angle) - section.stall) / section.stall_width, 500.0)))


@kernel
def attached_weight(share: float) -> float:
    """Kirchhoff weight w of the attached flow, 1 to 0; share: f of the chord, see `attached_share`."""
    return (0.25 * (1.0 + math.sqrt(share)) ** 2 - 0.25) / 0.75


@kernel
def centre_shift(share: float) -> float:
    """How far the centre of pressure of partly separated flow lies ahead of where it was, in chords."""
    return CENTRE_SHIFT * math.sin(math.pi * share * share)


@kernel
def plate_normal(sine: float) -> float:
    """Normal-force coefficient of a fully separated section; sine: of the angle of attack."""
    return PLATE_NORMAL * sine / (0.56 + 0.44 * abs(sine))


@kernel
def rotation_normal(sine: float, cosine: float, section: Section) -> float:
    """What rotation adds to the normal-force coefficient of separated flow; sine, cosine: of the angle of attack.

    slope times the delay of the stall, as the law of `stall_delay` carries the lift on past the later stall; faded by
    cos^2, so that it is gone where the blade stands across the flow (judgement: the law says nothing of 90 degrees).
    """
    return math.copysign(section.slope * section.delay * cosine * cosine, sine)


@kernel
def _separated(weight: float, sine: float, cosine: float, section: Section) -> float:
    return (1.0 - weight) * (plate_normal(sine) + rotation_normal(sine, cosine, section))


@kernel
def separated_normal(alpha: float, section: Section) -> float:
    """Share of the normal-force coefficient that separated flow makes; alpha: rad. 0 where a table is read."""
    if section.tabulated > 0.5:
        return 0.0
    weight = attached_weight(attached_share(alpha - 0.5 * section.zero_lift, section))
    return _separated(weight, math.sin(alpha), math.cos(alpha), section)


@kernel
def plate_centre(sine: float, cosine: float) -> float:
    """Centre of pressure of a fully separated section behind its leading edge, in chords (Rayleigh)."""
    return 0.5 - 0.75 * cosine / (4.0 + math.pi * abs(sine))


@kernel
def section_coefficients(alpha: float, section: Section) -> tuple[float, float, float]:
    """(c_l, c_d, c_m about the quarter chord, nose up positive) at angle of attack alpha (rad, -pi to pi)."""
    if section.tabulated > 0.5:
        return _from_table(alpha, section.table)
    from_zero = alpha - section.zero_lift
    share = attached_share(alpha - 0.5 * section.zero_lift, section)
    weight = attached_weight(share)
    sine_zero, cosine_zero = math.sin(from_zero), math.cos(from_zero)
    sine, cosine = math.sin(alpha), math.cos(alpha)
    attached = weight * section.slope * sine_zero
    separated = _separated(weight, sine, cosine, section)
    suction = SUCTION * sine_zero
    lift = attached * (cosine_zero + suction * sine_zero) + separated * cosine
    drag = section.drag + attached * sine_zero * (1.0 - SUCTION * cosine_zero) + separated * sine
    normal = lift * cosine + drag * sine
    moment = (
        weight * section.moment
        - separated * (plate_centre(sine, cosine) - 0.25)
        + centre_shift(share) * normal
    )
    return lift, drag, moment


@kernel
def _from_table(alpha: float, table: NDArray[np.float64]) -> tuple[float, float, float]:
    row, part = grid_cell((alpha + math.pi) / TABLE_STEP, TABLE_ROWS)
    return (
        table[row, 0] + part * (table[row + 1, 0] - table[row, 0]),
        table[row, 1] + part * (table[row + 1, 1] - table[row, 1]),
        table[row, 2] + part * (table[row + 1, 2] - table[row, 2]),
    )


def lift_slope(reynolds: float, mach: float = 0.0) -> float:
    """McCroskey's lift slope of a NACA 0012, 1/rad, with Prandtl-Glauert; extrapolated below Re 1e6 (see
    above).
    """
    held = min(max(reynolds, REYNOLDS_RANGE[0]), REYNOLDS_RANGE[1])
    per_degree = 0.1025 + 0.00485 * math.log10(held / 1e6)
    return math.degrees(per_degree) / math.sqrt(1.0 - min(abs(mach), MACH_CEILING) ** 2)


def profile_drag(reynolds: float, thickness: float) -> float:
    """Profile drag coefficient at zero lift; thickness in chords (linear through the NACA 0012 and 0015,
    0.06-0.21).
    """
    base = math.exp(float(np.interp(math.log(max(reynolds, 1.0)), np.log(_REYNOLDS), np.log(_DRAG))))
    held = min(max(thickness, 0.06), 0.21)
    return base * (1.0 + (1.0 - _DRAG_THINNER) * (held - 0.15) / 0.03)


def half_separation(reynolds: float) -> float:
    """Angle (rad) at which half the chord is separated, interpolated in log(Re)."""
    return math.radians(
        float(np.interp(math.log(max(reynolds, 1.0)), np.log(_STALL_REYNOLDS), _HALF_SEPARATION))
    )


def stall_width(reynolds: float) -> float:
    """Logistic width of the stall (rad), interpolated in log(Re)."""
    return math.radians(float(np.interp(math.log(max(reynolds, 1.0)), np.log(_STALL_REYNOLDS), _STALL_WIDTH)))


def section_at(
    reynolds: float, mach: float, thickness: float = 0.12, zero_lift: float = 0.0, moment: float = 0.0
) -> Section:
    """The default section at a Reynolds and a Mach number.

    thickness: greatest thickness in chords. zero_lift: rad, moment: about the quarter chord; both 0 for a
    symmetric section, else from `thin_aerofoil.camber_properties`.
    """
    return Section(
        lift_slope(reynolds, mach),
        float(zero_lift),
        float(moment),
        profile_drag(reynolds, thickness),
        half_separation(reynolds),
        stall_width(reynolds),
        0.0,
        0.0,
        NO_TABLE,
    )


def tabulated_section(table: NDArray[np.float64]) -> Section:
    """A section that reads a table made by `polar_table.full_circle`: the same at every Reynolds number."""
    return Section(0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 1.0, np.ascontiguousarray(table, dtype=np.float64))
