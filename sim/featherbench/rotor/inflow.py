"""Blade-element momentum theory of a rotor in axial flow, one annulus at a time.

Everything is over tip speed Omega R: x = r/R, lambda_c = V_c/(Omega R) the axial flow far away (positive when
the rotor advances along its own thrust), lambda the flow through the disc, lambda - lambda_c the induced
part. Per annulus:

    blade element:  dC_T/dx = (N_b c/(2 pi R)) (x^2 + lambda^2) (c_l cos phi - c_d sin phi)
    momentum:       dC_T/dx = 4 F x sqrt(lambda^2 + mu^2) (lambda - lambda_c)

with phi = atan2(lambda, x) and Prandtl's tip factor F = (2/pi) acos(exp(-(N_b/2)(1 - x)/(x sin phi)))
(Glauert 1935; any rotor textbook, MEM). The momentum balance is signed: thrust goes with |flow| times induced
flow, so it holds for both signs of pitch and of axial flow. mu is a small in-plane or recirculating share of
the mass flux: without it slope and damping at zero thrust would vanish. At the stated 0.007 of tip speed it
moves the thrust of a two-blade model tail rotor by 0.2 per cent at 8 degrees and 0.5 at 6, and makes the
slope at zero pitch 0.13 of that at 8 degrees (0.10 at 0.005, 0.18 at 0.010, 0.016 without); the slope at zero
is thus an assumption, not a result. Swirl and root loss are left out: Prandtl's factor for
the root, tried in both forms in use, moves the thrust of the published rotors of `validation/` by 0.1 per cent at most.

The root: the balance has one root for unstalled sections while |lambda_c| < N_b c a/(8 pi R); beyond (a fast
descent: the vortex ring) there may be three. The one taken is the first met when walking from the closed-form
hover inflow in the direction in which the balance is off, which is continuous in pitch and axial flow
wherever that root itself goes on.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.rotor.blade_stations import RotorAir
from featherbench.rotor.section_polar import Section, section_coefficients, separated_normal

Array = NDArray[np.float64]

ROOT_TOLERANCE = 1e-10
WALK_FIRST, WALK_MOST = 0.003, 0.03
WALK_STEPS, ROOT_STEPS = 2000, 100

(THRUST, TORQUE, NORMAL, NORMAL_RADIUS, COUPLE, CHORDWISE, CHORDWISE_RADIUS, SEPARATED) = range(8)
LOADS = 8
"""Columns of what `blade_sums` fills in, per spin squared; see `RotorLoads` for their meaning. SEPARATED: the couple
that separated flow makes per chord by which its centre of pressure lies further ahead."""


class Annulus(NamedTuple):
    """One annulus, over tip radius and tip speed: radius x, solidity N_b c/(pi R), blades N_b, mass flux
    floor mu.
    """

    x: float
    solidity: float
    blades: float
    floor: float


@kernel
def tip_factor(through: float, annulus: Annulus) -> float:
    """Prandtl's F, 0 at the tip to 1; through: sqrt(lambda^2 + mu^2), flow through the disc."""
    x = annulus.x
    exponent = 0.5 * annulus.blades * (1.0 - x) * math.sqrt(x * x + through * through) / (x * through)
    return 2.0 / math.pi * math.acos(math.exp(-min(exponent, 700.0)))


@kernel
def momentum_thrust(flow: float, axial: float, annulus: Annulus) -> float:
    """dC_T/dx by the momentum balance; flow lambda, axial lambda_c."""
    through = math.sqrt(flow * flow + annulus.floor * annulus.floor)
    return 4.0 * annulus.x * tip_factor(through, annulus) * through * (flow - axial)


@kernel
def element_thrust(flow: float, pitch: float, annulus: Annulus, section: Section) -> float:
    """dC_T/dx by the blade element; pitch: of this section, twist included, rad."""
    x = annulus.x
    lift, drag, _ = section_coefficients(pitch - math.atan2(flow, x), section)
    return 0.5 * annulus.solidity * math.sqrt(x * x + flow * flow) * (lift * x - drag * flow)


@kernel
def imbalance(flow: float, pitch: float, axial: float, annulus: Annulus, section: Section) -> float:
    """Momentum minus blade-element thrust; rises through zero at the flow that balances."""
    return momentum_thrust(flow, axial, annulus) - element_thrust(flow, pitch, annulus, section)


@kernel
def hover_guess(pitch: float, annulus: Annulus, section: Section) -> float:
    """Closed-form hover inflow of an unstalled annulus without tip loss, mirrored at zero lift: where the
    walk begins.
    """
    reach = 1.3 * section.stall
    angle = min(max(pitch - section.zero_lift, -reach), reach)
    part = annulus.solidity * section.slope / 16.0
    if part <= 0.0:
        return 0.0
    size = part * (math.sqrt(1.0 + 2.0 * annulus.x * abs(angle) / part) - 1.0)
    return math.copysign(size, angle)


@kernel
def annulus_flow(pitch: float, axial: float, annulus: Annulus, section: Section) -> float:
    """Flow lambda through the disc at which momentum and blade element agree (see the module's note on
    roots).
    """
    flow = hover_guess(pitch, annulus, section)
    off = imbalance(flow, pitch, axial, annulus, section)
    if off == 0.0:
        return flow
    way = -math.copysign(1.0, off)
    step = WALK_FIRST
    for _ in range(WALK_STEPS):
        further = flow + way * step
        off_further = imbalance(further, pitch, axial, annulus, section)
        if off_further * off <= 0.0:
            return _root_between(flow, off, further, off_further, pitch, axial, annulus, section)
        flow, off = further, off_further
        step = min(2.0 * step, WALK_MOST)
    return flow  # not reached: far out momentum outgrows any blade force, so the signs must change


@kernel
def _root_between(
    low: float,
    off_low: float,
    high: float,
    off_high: float,
    pitch: float,
    axial: float,
    annulus: Annulus,
    section: Section,
) -> float:
    """Illinois variant of regula falsi with a bisection every fourth step: keeps the bracket, cannot fail."""
    flow = high
    for count in range(ROOT_STEPS):
        if off_high == 0.0 or abs(high - low) < ROOT_TOLERANCE:
            return high
        flow = 0.5 * (low + high) if count % 4 == 3 else high - off_high * (high - low) / (off_high - off_low)
        off = imbalance(flow, pitch, axial, annulus, section)
        if off * off_high < 0.0:
            low, off_low = high, off_high
        else:
            off_low *= 0.5
        if abs(flow - high) < ROOT_TOLERANCE:
            return flow
        high, off_high = flow, off
    return flow


@kernel
def _annulus(index: int, radius: Array, chord: Array, tip: float, blades: float, floor: float) -> Annulus:
    return Annulus(radius[index] / tip, blades * chord[index] / (math.pi * tip), blades, floor)


@kernel
def _section(index: int, sections: Array, tabulated: float, table: Array) -> Section:
    return Section(
        sections[index, 0],
        sections[index, 1],
        sections[index, 2],
        sections[index, 3],
        sections[index, 4],
        sections[index, 5],
        sections[index, 6],
        tabulated,
        table,
    )


class Geometry(NamedTuple):
    """What `blade_sums` reads, arrays (n,) but for sections (n, 7) and table; the fields of RotorAir and
    BladeStations.
    """

    radius: Array
    width: Array
    chord: Array
    twist: Array
    tip: float
    blades: float
    floor: float
    density: float
    sections: Array
    tabulated: float
    table: Array


def geometry(rotor: RotorAir) -> Geometry:
    """The kernel's view of a rotor."""
    blade = rotor.stations
    return Geometry(
        blade.radius,
        blade.width,
        blade.chord,
        blade.twist,
        blade.tip,
        rotor.blades,
        rotor.floor,
        rotor.air.density,
        rotor.sections,
        rotor.tabulated,
        rotor.table,
    )


@kernel
def blade_sums(pitch: float, axial: float, rotor: Geometry, quarter_chord: Array, sums: Array) -> None:
    """Loads at one pitch (rad) and axial flow over tip speed, per spin squared, summed into sums (8,).

    quarter_chord: (n,) m ahead of the feathering axis; its moment goes into COUPLE with the section's own.
    """
    sums[:] = 0.0
    for index in range(rotor.radius.size):
        annulus = _annulus(index, rotor.radius, rotor.chord, rotor.tip, rotor.blades, rotor.floor)
        section = _section(index, rotor.sections, rotor.tabulated, rotor.table)
        angle = pitch + rotor.twist[index]
        flow = annulus_flow(angle, axial, annulus, section)
        x, radius = annulus.x, rotor.radius[index]
        attack = angle - math.atan2(flow, x)
        lift, drag, moment = section_coefficients(attack, section)
        speed = math.sqrt(x * x + flow * flow)
        force = 0.5 * rotor.density * (rotor.tip * speed) ** 2 * rotor.chord[index] * rotor.width[index]
        normal = force * (lift * math.cos(attack) + drag * math.sin(attack))
        chordwise = force * (drag * math.cos(attack) - lift * math.sin(attack))
        sums[THRUST] += rotor.blades * force * (lift * x - drag * flow) / speed
        sums[TORQUE] += rotor.blades * force * radius * (lift * flow + drag * x) / speed
        sums[NORMAL] += normal
        sums[NORMAL_RADIUS] += radius * normal
        sums[COUPLE] += force * rotor.chord[index] * moment + quarter_chord[index] * normal
        sums[CHORDWISE] += chordwise
        sums[CHORDWISE_RADIUS] += radius * chordwise
        sums[SEPARATED] += force * rotor.chord[index] * separated_normal(attack, section)


@kernel
def annulus_rows(pitch: float, axial: float, rotor: Geometry, rows: Array) -> None:
    """Fill `rows` (annuli, 7) with the loads of each annulus, one blade; pitch rad, axial as lambda_c."""
    for index in range(rotor.radius.size):
        annulus = _annulus(index, rotor.radius, rotor.chord, rotor.tip, rotor.blades, rotor.floor)
        section = _section(index, rotor.sections, rotor.tabulated, rotor.table)
        angle = pitch + rotor.twist[index]
        flow = annulus_flow(angle, axial, annulus, section)
        attack = angle - math.atan2(flow, annulus.x)
        lift, drag, moment = section_coefficients(attack, section)
        rows[index, 0] = flow
        rows[index, 1] = attack
        rows[index, 2] = lift
        rows[index, 3] = drag
        rows[index, 4] = moment
        rows[index, 5] = momentum_thrust(flow, axial, annulus)
        rows[index, 6] = element_thrust(flow, angle, annulus, section)
