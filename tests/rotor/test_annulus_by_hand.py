"""One annulus by hand, the sums of a blade from what each annulus sees, and the look-up between a table's rows."""

from dataclasses import replace
from math import acos, atan2, cos, exp, pi, radians, sin, sqrt

import numpy as np
import pytest

from featherbench.rotor.air_table import (
    AirLoads,
    axial_ratio,
    lead_lag_offsets,
    look_up,
    recentred,
    tabulate,
    thrust,
    torque,
)
from featherbench.rotor.atmosphere import air_state
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.inflow import (
    Annulus,
    annulus_flow,
    element_thrust,
    hover_guess,
    imbalance,
    momentum_thrust,
    tip_factor,
)
from featherbench.rotor.rotor_loads import rotor_loads, sectional_loads
from featherbench.rotor.section_polar import NO_TABLE, Section, separated_normal
from featherbench.rotor.trim import hover_pitch
from featherbench.rotor.unsteady import pitch_rate_terms

ANNULUS = Annulus(0.7, 0.12, 2.0, 0.007)
LATE = Section(5.5, 0.02, 0.0, 0.012, 0.9, 0.004, 0.0, 0.0, NO_TABLE)
"""Attached up to 0.9 rad."""
SPIN = 900.0


def test_prandtls_tip_factor_by_hand():
    """x 0.7, lambda 0.05, two blades: e = 0.3 sqrt(0.4925)/(0.7 x 0.05) = 6.0151; F = 2/pi acos(exp(-e))."""
    assert tip_factor(0.05, ANNULUS) == pytest.approx(2.0 / pi * acos(exp(-6.0151)), rel=1e-6)
    assert tip_factor(0.05, ANNULUS._replace(x=0.98)) == pytest.approx(
        2.0 / pi * acos(exp(-0.40052)), rel=1e-4
    )
    four = tip_factor(0.05, ANNULUS._replace(x=0.98, blades=4.0))
    assert four == pytest.approx(2.0 / pi * acos(exp(-0.80104)), rel=1e-4)
    assert tip_factor(1e-9, ANNULUS) == pytest.approx(1.0)  # an exponent too large for a float is held


def test_momentum_by_hand():
    """4 F x sqrt(lambda^2 + mu^2) (lambda - lambda_c), F = 1 far inboard: 4 x 0.2 x 0.05 x (0.0408 +- 0.01)."""
    inboard = Annulus(0.2, 0.12, 2.0, 0.03)
    far = tip_factor(0.05, inboard)
    for axial in (0.0, 0.01, -0.01):
        assert momentum_thrust(0.04, axial, inboard) == pytest.approx(far * 0.8 * 0.05 * (0.04 - axial))


def test_the_blade_element_by_hand():
    """0.5 sigma (x^2 + lambda^2) (c_l cos phi - c_d sin phi), attached section at 0.15 rad of pitch."""
    phi = atan2(0.05, 0.7)
    alpha = 0.15 - phi
    from_zero = alpha - 0.02
    lift = 5.5 * sin(from_zero) * (cos(from_zero) + 0.95 * sin(from_zero) ** 2)
    drag = 0.012 + 5.5 * sin(from_zero) ** 2 * (1.0 - 0.95 * cos(from_zero))
    by_hand = 0.06 * (0.49 + 0.0025) * (lift * cos(phi) - drag * sin(phi))
    assert element_thrust(0.05, 0.15, ANNULUS, LATE) == pytest.approx(by_hand, rel=1e-6)
    off = momentum_thrust(0.05, 0.01, ANNULUS) - element_thrust(0.05, 0.15, ANNULUS, LATE)
    assert imbalance(0.05, 0.15, 0.01, ANNULUS, LATE) == pytest.approx(off)


@pytest.mark.parametrize("angle", [0.12, -0.12])
def test_the_walk_begins_at_the_hover_inflow_of_small_angles(angle):
    """Without tip loss and floor 4 x lambda |lambda| = 0.5 sigma a x^2 (angle - lambda/x): a quadratic in lambda."""
    flow = hover_guess(0.02 + angle, ANNULUS, LATE)
    assert 4.0 * 0.7 * flow * abs(flow) == pytest.approx(0.06 * 5.5 * (0.49 * angle - 0.7 * flow), rel=1e-9)
    assert hover_guess(0.02 + 9.0 * angle, ANNULUS, LATE._replace(stall=0.1)) == pytest.approx(
        hover_guess(0.02 + np.sign(angle) * 0.13, ANNULUS, LATE)
    )  # 1.3 times the angle of stall is the furthest
    assert hover_guess(0.02, ANNULUS, LATE) == 0.0
    assert hover_guess(0.3, ANNULUS, LATE._replace(slope=0.0)) == 0.0


@pytest.mark.parametrize("pitch", [-0.25, -0.04, 0.02, 0.1, 0.3])
@pytest.mark.parametrize("axial", [-0.06, 0.0, 0.05])
def test_the_flow_taken_balances_to_the_tolerance(pitch, axial):
    flow = annulus_flow(pitch, axial, ANNULUS, LATE)
    slope = (
        imbalance(flow + 1e-7, pitch, axial, ANNULUS, LATE) - imbalance(flow, pitch, axial, ANNULUS, LATE)
    ) / 1e-7
    assert abs(imbalance(flow, pitch, axial, ANNULUS, LATE)) < 3e-9 * abs(slope)


# -- the whole blade -------------------------------------------------------------------------------------

TWISTED = blade_stations(
    0.04, 0.12, [(0.04, 0.028), (0.12, 0.02)], axis_at=0.4, twist=[(0.04, 0.1), (0.12, 0.0)]
)
ROTOR = rotor_air(3, TWISTED, air_state(1.2, None, None), SPIN, moment=-0.02, zero_lift=-0.02)


@pytest.mark.parametrize(("pitch", "axial"), [(0.12, 0.0), (0.3, 0.03), (-0.1, -0.02)])
def test_a_blade_is_the_sum_of_its_annuli(pitch, axial):
    """Forces along and across the flow at each annulus, turned into those along shaft and chord, summed by hand."""
    rows, blade = sectional_loads(ROTOR, pitch, axial), TWISTED
    through = rows.inflow * 0.12 * SPIN
    turning = SPIN * blade.radius
    phi = np.arctan2(through, turning)
    assert rows.attack == pytest.approx(pitch + blade.twist - phi)
    force = 0.6 * (turning**2 + through**2) * blade.chord * blade.width
    lift, drag = force * rows.lift, force * rows.drag
    loads = rotor_loads(ROTOR, pitch, axial)
    assert loads.thrust == pytest.approx(3.0 * np.sum(lift * np.cos(phi) - drag * np.sin(phi)), rel=1e-9)
    torque_by_hand = 3.0 * np.sum(blade.radius * (lift * np.sin(phi) + drag * np.cos(phi)))
    assert loads.torque == pytest.approx(torque_by_hand, rel=1e-9)
    assert loads.power == pytest.approx(SPIN * torque_by_hand, rel=1e-9)
    normal = lift * np.cos(rows.attack) + drag * np.sin(rows.attack)
    back = drag * np.cos(rows.attack) - lift * np.sin(rows.attack)
    by_hand = [normal.sum(), (blade.radius * normal).sum(), back.sum(), (blade.radius * back).sum()]
    assert [loads.normal, loads.normal_radius, loads.chordwise, loads.chordwise_radius] == pytest.approx(
        by_hand
    )
    assert loads.couple == pytest.approx(
        np.sum(force * blade.chord * rows.moment + 0.15 * blade.chord * normal)
    )
    assert loads.drag_moment(0.036) == pytest.approx(((blade.radius - 0.036) * back).sum())
    thrust_shares = 1.2 * pi * 0.12**2 * (0.12 * SPIN) ** 2 * rows.by_momentum * blade.width / 0.12
    assert loads.thrust == pytest.approx(thrust_shares.sum(), rel=1e-6)
    assert rotor_loads(ROTOR, pitch, axial, 0.5 * SPIN).power == pytest.approx(loads.power / 8.0)


# -- tables ----------------------------------------------------------------------------------------------


def plane(pitch, axial):
    """No curve, so that nothing is lost between rows."""
    return 2.0 + 3.0 * pitch - 40.0 * axial + 50.0 * pitch * axial


PITCHES, AXIALS = -0.3 + 0.1 * np.arange(7), -0.04 + 0.02 * np.arange(5)
PLANE = plane(PITCHES[:, None], AXIALS)
LOADS = AirLoads(-0.3, 0.1, -0.04, 0.02, 0.12, PLANE, 2.0 * PLANE, 3.0 * PLANE, 0.0, 0.0)


@pytest.mark.parametrize(("pitch", "axial"), [(0.0, 0.0), (0.23, -0.013), (-0.17, 0.031), (-0.3, 0.04)])
def test_look_up_is_bilinear(pitch, axial):
    assert look_up(pitch, axial, LOADS, LOADS.moment) == pytest.approx(plane(pitch, axial))
    assert thrust(pitch, axial, 10.0, LOADS) == pytest.approx(200.0 * plane(pitch, axial))
    assert torque(pitch, axial, -10.0, LOADS) == pytest.approx(300.0 * plane(pitch, axial))


def test_axial_flow_over_tip_speed_by_hand():
    """3 m/s at 900 rad/s on 0.12 m: 3/108; the sense of rotation does not matter."""
    assert axial_ratio(3.0, 900.0, LOADS) == axial_ratio(3.0, -900.0, LOADS) == pytest.approx(3.0 / 108.0)
    assert axial_ratio(3.0, 1e-6, LOADS) == 0.0


def test_a_swing_moves_the_quarter_chord_by_hand():
    """0.2 rad on a bolt at 36 mm, 2 mm ahead: (r - 36 mm) sin 0.2, and the bolt's 2 mm less their cosine share."""
    offset, slope = lead_lag_offsets(0.2, 0.036, 0.002)
    assert slope == pytest.approx(0.198669, rel=1e-5)
    assert offset == pytest.approx(0.002 * (1.0 - 0.980067) - 0.036 * 0.198669, rel=1e-4)


TABLE = tabulate(ROTOR, -0.4, 0.5, pitches=31, axials=5, axial_reach=0.06)


def test_a_table_holds_what_the_rotor_gives_on_its_own_grid():
    assert TABLE.pitch == pytest.approx(np.linspace(-0.4, 0.5, 31))
    assert TABLE.axial == pytest.approx([-0.06, -0.03, 0.0, 0.03, 0.06])
    loads = TABLE.loads(0.001, 0.02)
    assert loads[:5] == pytest.approx((-0.4, 0.03, -0.06, 0.03, 0.12))
    one = rotor_loads(ROTOR, float(TABLE.pitch[20]), 0.03)
    assert loads.thrust[20, 3] * SPIN**2 == pytest.approx(one.thrust)
    assert loads.torque[20, 3] * SPIN**2 == pytest.approx(one.torque)
    swung = one.couple + 0.001 * one.normal + 0.02 * one.normal_radius
    assert loads.moment[20, 3] * SPIN**2 == pytest.approx(swung)
    still = rotor_loads(ROTOR, float(TABLE.pitch[20]))
    assert TABLE.drag_moment(0.036)[20] * SPIN**2 == pytest.approx(still.drag_moment(0.036))
    between = TABLE.moment_over([0.5 * (TABLE.pitch[20] + TABLE.pitch[21])], [0.001], [0.02])
    assert between[0] == pytest.approx(0.5 * TABLE.moment(0.001, 0.02)[20:22, 2].sum())
    assert TABLE.moment_over([9.0], 0.001)[0] == pytest.approx(TABLE.moment(0.001)[-1, 2])
    for bad in ({"pitch_low": 0.5}, {"pitches": 1}, {"axials": -1}, {"axials": 4}):
        with pytest.raises(ValueError, match=r"grid|odd"):
            tabulate(ROTOR, **{"pitch_low": -0.4, "pitch_high": 0.5, **bad})
    assert tabulate(ROTOR, -0.1, 0.1, pitches=2, axials=3).sums.shape == (2, 3, 8)


def test_a_table_of_still_air_is_the_middle_of_one_over_axial_flow_and_has_none_itself():
    still = tabulate(ROTOR, -0.4, 0.5, pitches=31, axials=1)
    assert still.axial.tolist() == [0.0]
    assert np.array_equal(still.sums[:, 0], TABLE.sums[:, 2])
    assert still.moment_over([0.1], 0.001, 0.02) == TABLE.moment_over([0.1], 0.001, 0.02)
    assert np.array_equal(still.drag_moment(0.036), TABLE.drag_moment(0.036))
    loads = TABLE.loads(0.001, 0.02)
    assert still.rate_terms(0.001, 0.02) == (loads.damping, loads.inertia)
    with pytest.raises(ValueError, match="still air only"):
        still.loads()
    whole = tabulate(ROTOR, -0.4, 0.5, pitches=31)
    assert np.array_equal(still.over_axial_flow().sums, whole.sums)
    assert whole.over_axial_flow() is whole
    aft = replace(still, sums=recentred(still.sums, 0.05), aft=0.05).over_axial_flow()
    assert np.array_equal(aft.sums, recentred(whole.sums, 0.05))
    assert np.array_equal(aft.axial, whole.axial)


def test_a_centre_of_pressure_further_aft_takes_the_separated_force_times_its_lever_off_the_couple():
    """Of each annulus: half rho U^2 c^2 times the separated share of c_n and 0.04 of the chord; all else stays."""
    row = 30
    seen = sectional_loads(ROTOR, float(TABLE.pitch[row]))
    blade = ROTOR.stations
    taken = 0.0
    for index, (radius, flow, attack) in enumerate(zip(blade.radius, seen.inflow, seen.attack, strict=True)):
        square = SPIN**2 * (radius**2 + (flow * blade.tip) ** 2)
        section = Section(*ROTOR.sections[index], 0.0, NO_TABLE)
        area = blade.chord[index] ** 2 * blade.width[index]
        taken += 0.5 * ROTOR.air.density * square * area * 0.04 * separated_normal(attack, section)
    moved = replace(TABLE, sums=recentred(TABLE.sums, 0.04))
    change = (moved.moment() - TABLE.moment())[row, 2] * SPIN**2
    assert change == pytest.approx(-taken, rel=1e-6)
    assert abs(change) > 1e-4
    assert np.array_equal(moved.thrust, TABLE.thrust)


def test_rate_terms_are_those_of_the_blade_as_it_has_swung_at_neutral():
    """The offsets differ by pitch; what counts is the one at the pitch nearest zero, not the first or the last."""
    neutral = int(np.argmin(np.abs(TABLE.pitch)))
    offsets, slopes = np.linspace(0.0, 0.003, 31), np.linspace(0.01, -0.03, 31)
    loads = TABLE.loads(offsets, slopes)
    damping, inertia = pitch_rate_terms(TWISTED, 1.2, float(offsets[neutral]), float(slopes[neutral]))
    assert (loads.damping, loads.inertia) == pytest.approx((damping, inertia), rel=1e-12)
    semi = 0.5 * TWISTED.chord
    a = -0.5 + (0.15 * TWISTED.chord + offsets[neutral] + slopes[neutral] * TWISTED.radius) / semi
    by_hand = 2.0 * pi * 1.2 * np.sum(TWISTED.radius * semi**3 * a * (a - 0.5) * TWISTED.width)
    assert damping == pytest.approx(by_hand)
    assert inertia == pytest.approx(pi * 1.2 * np.sum(semi**4 * (0.125 + a * a) * TWISTED.width))


def hill(thrusts, pitches=None):
    """A table that makes these thrusts at these pitches (deg) in still air and nonsense elsewhere, at 1 rad/s."""
    sums = np.full((len(thrusts), 3, 7), -7.0)
    sums[:, 1, 0] = thrusts
    pitch = np.radians(np.arange(len(thrusts), dtype=float) if pitches is None else pitches)
    return replace(TABLE, pitch=pitch, axial=np.array([-0.01, 0.0, 0.01]), sums=sums)


@pytest.mark.parametrize(
    ("thrusts", "needed", "degrees"),
    [
        ([-2.0, 0.0, 2.0, 4.0, 3.0, 5.0], 3.0, 2.5),  # passed again at 4 deg and beyond
        ([-3.0, -4.0, -2.0, 0.0, 2.0], -3.0, 1.5),  # and before, past the stall on the other side
        ([-2.0, 0.0, 2.0], 2.0, 2.0),
        ([-2.0, 0.0, 2.0], -2.0, 0.0),
        ([-2.0, 0.0, 0.0, 2.0], 0.0, 1.0),
    ],
)
def test_hover_pitch_by_hand(thrusts, needed, degrees):
    trim = hover_pitch(hill(thrusts), needed, 1.2, 1.0)
    assert trim.found
    assert trim.pitch == pytest.approx(radians(degrees))
    assert (trim.thrust_low, trim.thrust_high) == (min(thrusts), max(thrusts))
    thin = hover_pitch(hill(thrusts), 0.5 * 9.0 * needed, 0.6, 3.0)
    assert thin.pitch == pytest.approx(radians(degrees))


@pytest.mark.parametrize(("needed", "degrees"), [(4.5, 3.0), (-2.5, 0.0)])
def test_a_thrust_out_of_reach_goes_to_the_nearest_there_is(needed, degrees):
    trim = hover_pitch(hill([-2.0, 0.0, 2.0, 4.0, 3.0]), needed, 1.2, 1.0)
    assert not trim.found
    assert trim.pitch == pytest.approx(radians(degrees))
    assert "between -2 N and 4 N" in trim.advice


def test_thrust_that_only_falls_has_no_hover_pitch():
    trim = hover_pitch(hill([2.0, 1.0, -1.0]), 0.5, 1.2, 1.0)
    assert not trim.found
    assert np.isnan(trim.pitch)
    assert "falls" in trim.advice


def test_the_root_of_a_fast_descent_goes_on_from_that_of_hover():
    """Walked in small steps of axial flow from hover, the root taken never jumps while the balance is steep."""
    flows = [annulus_flow(0.15, float(axial), ANNULUS, LATE) for axial in np.linspace(0.0, -0.05, 101)]
    assert np.abs(np.diff(flows)).max() < 0.002
    assert sqrt(np.var(flows)) > 1e-3
