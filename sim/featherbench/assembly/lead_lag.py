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

from featherbench.assembly.assembled import Assembly, BladeBolt, PlacedPart
from featherbench.assembly.blade import quarter_chord_line
from featherbench.assembly.mass_moments import C, MassMoments, N, R, Vector
from featherbench.assembly.place import swing_move
from featherbench.scenario import Problem, ScenarioError

_WAY = np.linspace(0.0, math.pi / 2.0, 181).tolist()
"""Steps of half a degree in which the first steady angle is looked for."""

SCALED = ("blade", "grip")
"""Groups whose second moments the assembly's `scale` multiplies: bolts and weights are turned parts, known as drawn."""


class LeadLagBalance(NamedTuple):
    """Coefficients of the moment about the bolt over Omega^2, kg m^2, as a function of the swing delta."""

    a: float
    b: float
    d: float
    e: float
    drag: float

    def moment(self, delta: float) -> float:
        """Net moment toward the leading edge over Omega^2, kg m^2."""
        first = self.a * math.cos(delta) + self.b * math.sin(delta)
        return first + self.d * math.cos(2.0 * delta) + self.e * math.sin(2.0 * delta) - self.drag

    def slope(self, delta: float) -> float:
        """Its derivative by delta; negative where the blade is steady."""
        first = -self.a * math.sin(delta) + self.b * math.cos(delta)
        return first - 2.0 * self.d * math.sin(2.0 * delta) + 2.0 * self.e * math.cos(2.0 * delta)


def lead_lag_balance(assembly: Assembly, pitch: float, drag: float) -> LeadLagBalance:
    """The balance of the parts that swing; pitch rad, drag kg m^2."""
    about, bolt = assembly.about_bolt, assembly.bolt
    rho, gamma = about.first[R], about.first[C]
    cos, sin = math.cos(pitch), math.sin(pitch)
    return LeadLagBalance(
        a=float(-bolt.radius * gamma + cos**2 * bolt.chord * rho - sin * cos * about.second[R, N]),
        b=float(-bolt.radius * rho - cos**2 * bolt.chord * gamma + sin * cos * about.second[C, N]),
        d=float(-(sin**2) * about.second[R, C]),
        e=float(-0.5 * sin**2 * (about.second[R, R] - about.second[C, C])),
        drag=drag,
    )


def lead_lag_angle(assembly: Assembly, pitch: float, drag: float = 0.0) -> float:
    """Swing of the blade on its bolt at a pitch, rad, tip toward the leading edge positive.

    drag: drag moment about the bolt over spin^2, kg m^2, pulling the tip back when positive. Clamped: the
    angle as set. Free: the steady angle that a blade released straight out comes to. Raises ScenarioError when
    it meets none within a quarter turn.
    """
    if not assembly.bolt.free:
        return assembly.bolt.set_angle
    balance = lead_lag_balance(assembly, pitch, drag)
    start = balance.moment(0.0)
    if start == 0.0 and balance.slope(0.0) < 0.0:
        return _held_beside(assembly, balance, 0.0)
    way = math.copysign(1.0, start)
    past = next((step for step in range(1, len(_WAY)) if way * balance.moment(way * _WAY[step]) < 0.0), 0)
    if not start or not past:
        raise ScenarioError((_no_steady_angle(assembly.bolt, pitch),))
    steady = _zero_between(balance, way * _WAY[past - 1], way * _WAY[past])
    return steady + _held_beside(assembly, balance, steady)


def _zero_between(balance: LeadLagBalance, before: float, past: float) -> float:
    """Where the moment is zero between two swings (rad) that it has other signs at, by Newton's rule held within them.

    scipy has the same and takes a third of a second to load, longer than the rest of a prediction.
    """
    side = math.copysign(1.0, balance.moment(before))
    place = 0.5 * (before + past)
    for _ in range(60):  # halving alone takes 53 to the last digit
        moment = balance.moment(place)
        before, past = (place, past) if side * moment > 0.0 else (before, place)
        slope = balance.slope(place)
        step = place - moment / slope if slope else math.inf
        following = step if min(before, past) < step < max(before, past) else 0.5 * (before + past)
        if abs(following - place) <= 1e-15 or moment == 0.0:
            break
        place = following
    return place


def _held_beside(assembly: Assembly, balance: LeadLagBalance, steady: float) -> float:
    """How far friction on the bolt holds the blade beside its balance, rad, tip toward the leading edge positive."""
    if assembly.bolt.stuck == 0.0:
        return 0.0
    return assembly.bolt.stuck * float(assembly.swinging.radial) / abs(balance.slope(steady))


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
