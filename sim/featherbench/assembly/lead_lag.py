"""Where the blade settles on its bolt, and the assembly's moments once it has.

A mass point of the swinging parts lies rho outboard of the bolt and gamma ahead of it (blade straight out)
and n along the normal. Swung by delta (tip toward the leading edge positive) it is at r = r_b + rho cos -
gamma sin and c = c_b + rho sin + gamma cos. In the rotating frame the centrifugal potential is -1/2 Omega^2
sum m (r^2 + y^2), y = c cos(theta) - n sin(theta); its derivative by delta balances the drag moment about the
bolt:

    cos^2(theta) (S_rc - r_b S_c) - sin(theta) cos(theta) (S_rn - r_b S_n) - S_rc + c_b S_r - drag = 0,

sums over the swinging parts after the swing. In delta the left side is a cos(delta) + b sin(delta) +
d cos(2 delta) + e sin(2 delta) - drag, with d = e = 0 at zero pitch only. Where it falls through zero as
delta grows the blade is steady; that root is bracketed and closed in on.

Friction in the bolt's hole holds the blade beside that angle. The swinging parts pull on the pin with F = Omega^2 S_r
(their first moment about the shaft), so friction bears mu F r_pin about it (the friction circle of a journal, any
machine-design handbook, MEM), against a restoring moment of Omega^2 times the slope of the left side: the blade may
stay anywhere within mu S_r r_pin / |slope|, whatever the speed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.assembled import Assembly, BladeBolt, PlacedPart
from featherbench.assembly.blade import quarter_chord_line
from featherbench.assembly.mass_moments import C, MassMoments, N, R, Vector
from featherbench.assembly.place import swing_move
from featherbench.scenario import Problem, ScenarioError

_WAY = np.linspace(0.0, math.pi / 2.0, 181)
"""Steps of half a degree in which the first steady angle is looked for."""
_AT_ONCE = 15
"""Steps that are tried for all pitches before it is looked who needs more: blades seldom swing by more."""

SCALED = ("blade", "grip")
"""Groups whose second moments the assembly's `scale` multiplies: bolts and weights are turned parts, known as drawn."""


class LeadLagBalance(NamedTuple):
    """Coefficients of the moment about the bolt over Omega^2, kg m^2, as a function of the swing delta: floats, or
    arrays (n,) of as many pitches.
    """

    a: float | Vector
    b: float | Vector
    d: float | Vector
    e: float | Vector
    drag: float | Vector

    def moment(self, delta: float | Vector) -> Vector:
        """Net moment toward the leading edge over Omega^2, kg m^2."""
        first = self.a * np.cos(delta) + self.b * np.sin(delta)
        return np.asarray(first + self.d * np.cos(2.0 * delta) + self.e * np.sin(2.0 * delta) - self.drag)

    def slope(self, delta: float | Vector) -> Vector:
        """Its derivative by delta; negative where the blade is steady."""
        first = -self.a * np.sin(delta) + self.b * np.cos(delta)
        return np.asarray(first - 2.0 * self.d * np.sin(2.0 * delta) + 2.0 * self.e * np.cos(2.0 * delta))


def lead_lag_balance(assembly: Assembly, pitch: Vector, drag: Vector) -> LeadLagBalance:
    """The balance of the parts that swing; pitch (n,) rad, drag (n,) kg m^2."""
    about, bolt = assembly.about_bolt, assembly.bolt
    rho, gamma = about.first[R], about.first[C]
    cos, sin = np.cos(pitch), np.sin(pitch)
    return LeadLagBalance(
        a=-bolt.radius * gamma + cos**2 * bolt.chord * rho - sin * cos * about.second[R, N],
        b=-bolt.radius * rho - cos**2 * bolt.chord * gamma + sin * cos * about.second[C, N],
        d=-(sin**2) * about.second[R, C],
        e=-0.5 * sin**2 * (about.second[R, R] - about.second[C, C]),
        drag=drag,
    )


def lead_lag_angle(assembly: Assembly, pitch: float, drag: float = 0.0) -> float:
    """`lead_lag_angles` at one pitch, rad."""
    return float(lead_lag_angles(assembly, np.array([pitch]), np.array([drag]))[0])


def lead_lag_angles(assembly: Assembly, pitch: Vector, drag: Vector) -> Vector:
    """Swing (n,) of the blade on its bolt at pitches (n,), rad, tip toward the leading edge positive.

    drag (n,): drag moment about the bolt over spin^2, kg m^2, pulling the tip back when positive. Clamped: the
    angle as set. Free: the steady angle that a blade released straight out comes to. Raises ScenarioError when
    it meets none within a quarter turn.
    """
    if not assembly.bolt.free:
        return np.full(len(pitch), float(assembly.bolt.set_angle))
    balance = lead_lag_balance(assembly, pitch, drag)
    start = balance.moment(0.0)
    way = np.copysign(1.0, start)
    past = _first_past(balance, way)
    straight = (start == 0.0) & (balance.slope(0.0) < 0.0)
    lost = ~straight & ((past == 0) | (start == 0.0))
    if lost.any():
        raise ScenarioError((_no_steady_angle(assembly.bolt, float(pitch[np.argmax(lost)])),))
    steady = _zero_between(balance, way * _WAY[np.maximum(past - 1, 0)], way * _WAY[past])
    steady = np.where(straight, 0.0, steady)
    return steady + _held_beside(assembly, balance, steady)


def _first_past(balance: LeadLagBalance, way: Vector) -> NDArray[np.int_]:
    """Number of the first step (n,) on each way (n,), +1 or -1, at which the moment has turned over; 0 at none."""
    rows = LeadLagBalance(*(np.reshape(one, (-1, 1)) for one in balance))
    past = np.zeros(len(way), dtype=int)
    for first in range(1, len(_WAY), _AT_ONCE):
        steps = way[:, None] * _WAY[first : first + _AT_ONCE]
        over = way[:, None] * rows.moment(steps) < 0.0
        past = np.where((past == 0) & over.any(axis=1), first + over.argmax(axis=1), past)
        if past.all():
            break
    return past


def _zero_between(balance: LeadLagBalance, before: Vector, past: Vector) -> Vector:
    """Where the moment is zero between two swings (n,), rad, that it has other signs at: Newton's rule, held within.

    scipy has the same and takes a third of a second to load, longer than the rest of a prediction.
    """
    side = np.copysign(1.0, balance.moment(before))
    place = 0.5 * (before + past)
    for _ in range(60):  # halving alone takes 53 to the last digit
        moment = balance.moment(place)
        ahead = side * moment > 0.0
        before, past = np.where(ahead, place, before), np.where(ahead, past, place)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = place - moment / balance.slope(place)
        within = (np.minimum(before, past) <= step) & (step <= np.maximum(before, past))
        following = np.where(within, step, 0.5 * (before + past))
        moved = np.where(moment == 0.0, 0.0, following - place)
        place = place + moved
        if np.all(np.abs(moved) <= 1e-12):  # the next one would be the square of it
            break
    return np.asarray(place)


def _held_beside(assembly: Assembly, balance: LeadLagBalance, steady: Vector) -> Vector:
    """How far (n,) friction on the bolt holds the blade beside its balance, rad, tip toward the leading edge."""
    if assembly.bolt.stuck == 0.0:
        return np.zeros(len(steady))
    return np.asarray(assembly.bolt.stuck * float(assembly.swinging.radial) / np.abs(balance.slope(steady)))


def _no_steady_angle(bolt: BladeBolt, pitch: float) -> Problem:
    """What is wrong with a bolt on which the blade does not settle."""
    return Problem(
        key="blade.bolt_radius",
        given=f"{1e3 * bolt.radius:g} mm: no steady blade angle at {math.degrees(pitch):.3g} deg pitch",
        expected=(
            "a bolt inboard of the blade's centre of mass and clear of the shaft, less drag_moment, "
            'or swing = "clamped"'
        ),
    )


def moments_by_part(assembly: Assembly, lead_lag: float | Vector) -> dict[str, MassMoments]:
    """Moments of each part about the frame's origin, the swinging ones swung by `lead_lag`, rad."""
    return _by_name(assembly.parts, assembly, lead_lag)


def _by_name(
    parts: Iterable[PlacedPart], assembly: Assembly, lead_lag: float | Vector
) -> dict[str, MassMoments]:
    move = swing_move((assembly.bolt.radius, assembly.bolt.chord), lead_lag) if np.any(lead_lag) else None
    found = {}
    for part in parts:
        own = part.moments.moved(*move) if part.swings and move else part.moments
        found[part.name] = own.scaled(assembly.scale) if part.group in SCALED else own
    return found


def moments_by_group(assembly: Assembly, lead_lag: float) -> dict[str, MassMoments]:
    """The same summed by group, in the order in which groups first appear."""
    parts = moments_by_part(assembly, lead_lag)
    groups: dict[str, MassMoments] = {}
    for part in assembly.parts:
        groups[part.group] = groups.get(part.group, MassMoments.zero()) + parts[part.name]
    return groups


def moments_at(assembly: Assembly, lead_lag: float | Vector) -> MassMoments:
    """Moments of the whole assembly about the frame's origin, swung by `lead_lag`, rad; of several angles (n,), all at
    once.
    """
    return sum(moments_by_part(assembly, lead_lag).values(), MassMoments.zero())


def plain_moments(assembly: Assembly, lead_lag: float) -> MassMoments:
    """Moments of the build without counterweights, swung by `lead_lag`, rad: what stands in for parts of the plain
    build gives its place back to them.
    """
    kept = [part for part in assembly.parts if part.group != "counterweight" and not part.stands_in]
    return sum(_by_name((*kept, *assembly.replaced), assembly, lead_lag).values(), MassMoments.zero())


def compensation(assembly: Assembly, lead_lag: float) -> float:
    """kappa = 1 - (I_c - I_n) with / without the counterweights: 0 with none, 1 neutral, above 1 divergent.

    nan when the build without them has I_c = I_n, so that there is nothing to compensate.
    """
    plain, fitted = plain_moments(assembly, lead_lag), moments_at(assembly, lead_lag)
    without = plain.chordwise - plain.normal
    if all(part.group != "counterweight" and not part.stands_in for part in assembly.parts):
        return 0.0
    return 1.0 - (fitted.chordwise - fitted.normal) / without if without else math.nan


def quarter_chord(assembly: Assembly, lead_lag: float, radius: Vector | float) -> Vector:
    """Chord coordinate (m, leading edge positive) of the swung blade's quarter chord at a radius (m), any
    shape.
    """
    line = quarter_chord_line(assembly.outline) - [assembly.bolt.radius, assembly.bolt.chord]
    cos, sin = math.cos(lead_lag), math.sin(lead_lag)
    r = assembly.bolt.radius + cos * line[:, 0] - sin * line[:, 1]
    c = assembly.bolt.chord + sin * line[:, 0] + cos * line[:, 1]
    return np.asarray(np.interp(radius, r, c))


def blade_axis_place(assembly: Assembly, lead_lag: float, radius: Vector | float) -> Vector:
    """How far the feathering axis lies ahead (+) of the swung blade's quarter chord at a radius (m), m, any
    shape.

    Linear in radius where the chord is constant; the lift's lever about the feathering axis is its negative.
    """
    return -quarter_chord(assembly, lead_lag, radius)
