"""The air table and its look-up: against direct evaluation, scaling, offsets, and the hover trim on it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.rotor.air_table import (
    AXIALS,
    axial_ratio,
    lead_lag_offsets,
    look_up,
    tabulate,
    thrust,
    torque,
)
from featherbench.rotor.atmosphere import air_state
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.inflow import COUPLE
from featherbench.rotor.rotor_loads import rotor_loads
from featherbench.rotor.trim import hover_pitch

SPIN = 8400.0 * math.pi / 30.0
CHORD = [(0.040, 0.029), (0.135, 0.024)]


def small_rotor(axis_at=0.38, zero_lift=0.0, floor=0.007, annuli=40):
    """An invented two-blade rotor."""
    stations = blade_stations(0.040, 0.135, CHORD, axis_at=axis_at, annuli=annuli)
    air, moment = air_state(1.18, None, None), -0.02 if zero_lift else 0.0
    return rotor_air(2, stations, air, SPIN, zero_lift=zero_lift, moment=moment, floor=floor)


def small_table(**changes):
    return tabulate(small_rotor(), math.radians(-38.0), math.radians(38.0), **changes)


TABLE = small_table()
LOADS = TABLE.loads()
ROTOR = TABLE.rotor
MOST_THRUST = float(np.max(np.abs(TABLE.thrust))) * SPIN**2
MOST_MOMENT = float(np.max(np.abs(TABLE.moment()))) * SPIN**2
STALL_CORNER = 0.015
"""Stated error of linear look-up, share of the greatest load: worst at the corner of stall; 0.3 per cent
below it.
"""


@settings(max_examples=80, deadline=None)
@given(st.floats(-0.6, 0.6), st.floats(-0.08, 0.08))
def test_look_up_equals_direct_evaluation(pitch, axial):
    direct = rotor_loads(ROTOR, pitch, axial)
    assert thrust(pitch, axial, SPIN, LOADS) == pytest.approx(direct.thrust, abs=STALL_CORNER * MOST_THRUST)
    assert air_moment(pitch, axial, SPIN, LOADS) == pytest.approx(
        direct.couple, abs=STALL_CORNER * MOST_MOMENT
    )
    assert torque(pitch, axial, SPIN, LOADS) == pytest.approx(direct.torque, rel=0.03, abs=2e-3)


@settings(max_examples=40, deadline=None)
@given(st.floats(-0.2, 0.2), st.floats(-0.02, 0.02))
def test_look_up_below_stall(pitch, axial):
    direct = rotor_loads(ROTOR, pitch, axial)
    assert thrust(pitch, axial, SPIN, LOADS) == pytest.approx(direct.thrust, abs=3e-3 * MOST_THRUST)
    assert air_moment(pitch, axial, SPIN, LOADS) == pytest.approx(direct.couple, abs=3e-3 * MOST_MOMENT)


def air_moment(pitch, axial, spin, loads):
    return spin * spin * look_up(pitch, axial, loads, loads.moment)


def test_exact_on_the_grid():
    pitch = float(TABLE.pitch[70])
    assert thrust(pitch, 0.0, SPIN, LOADS) == pytest.approx(rotor_loads(ROTOR, pitch).thrust, rel=1e-9)
    assert LOADS.moment[70, 4] * SPIN**2 == pytest.approx(rotor_loads(ROTOR, pitch).couple, rel=1e-12)


@settings(deadline=None)
@given(st.floats(0.0, 2000.0), st.floats(-0.7, 0.7))
def test_loads_scale_with_spin(spin, pitch):
    assert thrust(pitch, 0.0, spin, LOADS) == pytest.approx(
        (spin / SPIN) ** 2 * thrust(pitch, 0.0, SPIN, LOADS)
    )
    assert air_moment(pitch, 0.0, -spin, LOADS) == pytest.approx(air_moment(pitch, 0.0, spin, LOADS))


def test_held_beyond_the_grid():
    assert look_up(2.0, 0.0, LOADS, LOADS.thrust) == pytest.approx(LOADS.thrust[-1, 4])
    assert look_up(TABLE.pitch[70], 5.0, LOADS, LOADS.thrust) == pytest.approx(LOADS.thrust[70, -1])
    assert look_up(-2.0, -5.0, LOADS, LOADS.thrust) == LOADS.thrust[0, 0]


def test_axial_ratio_at_rest_is_zero():
    assert axial_ratio(3.0, 0.0, LOADS) == 0.0
    assert axial_ratio(3.0, SPIN, LOADS) == pytest.approx(3.0 / (SPIN * 0.135))


def test_yaw_damping_at_every_pitch():
    """A tail that moves along its own thrust loses thrust, also at zero pitch."""
    for degrees in (-15.0, 0.0, 2.0, 6.0, 15.0):
        pitch = math.radians(degrees)
        assert (
            thrust(pitch, 0.01, SPIN, LOADS)
            < thrust(pitch, 0.0, SPIN, LOADS)
            < thrust(pitch, -0.01, SPIN, LOADS)
        )


def test_offsets_move_the_normal_force():
    """A table with offsets equals a rotor whose quarter chord really lies there."""
    ahead = small_rotor(axis_at=0.38)
    straight = tabulate(ahead, -0.3, 0.3, pitches=25, axials=3)
    shifted = straight.moment(offset=0.002, slope=-0.01)
    blade = ahead.stations
    other = replace(
        ahead, stations=replace(blade, quarter_chord=blade.quarter_chord + 0.002 - 0.01 * blade.radius)
    )
    moved = tabulate(other, -0.3, 0.3, pitches=25, axials=3)
    assert np.allclose(shifted, moved.moment(), rtol=1e-9, atol=1e-16)
    assert straight.loads(0.002, -0.01).damping == pytest.approx(moved.loads().damping, rel=1e-12)


def test_offsets_by_pitch_and_still_air_moment():
    offsets = 0.001 * np.cos(TABLE.pitch)
    table = TABLE.moment(offsets, 0.0)
    assert np.allclose(TABLE.moment_over(TABLE.pitch, offsets), table[:, 4])
    between = TABLE.moment_over([0.5 * (TABLE.pitch[60] + TABLE.pitch[61])])
    assert between[0] == pytest.approx(0.5 * (TABLE.moment()[60, 4] + TABLE.moment()[61, 4]), abs=1e-15)


def test_swing_offsets_keep_the_bolt_in_place():
    offset, slope = lead_lag_offsets([-0.05, 0.0, 0.08], 0.036)
    assert offset + slope * 0.036 == pytest.approx([0.0, 0.0, 0.0])
    assert np.all(np.diff(offset + slope * 0.12) > 0.0)  # a forward swing carries the tip forward


def test_air_drives_pitch_up_with_the_quarter_chord_ahead():
    assert air_moment(0.1, 0.0, SPIN, LOADS) > 0.0 > air_moment(-0.1, 0.0, SPIN, LOADS)
    behind = tabulate(small_rotor(axis_at=0.20), -0.3, 0.3, pitches=31, axials=3).loads()
    assert air_moment(0.1, 0.0, SPIN, behind) < 0.0


def test_moment_falls_past_stall():
    """The centre of pressure moves aft: at full pitch several times less than at the stall's brink."""
    values = TABLE.moment()[:, 4] * SPIN**2
    brink, full = float(np.max(values)), float(np.interp(math.radians(28.0), TABLE.pitch, values))
    assert 0.0 < full < brink / 2.5


@pytest.mark.parametrize("changes", [{"axials": 8}, {"axials": -1}, {"pitches": 1}])
def test_bad_grids_are_refused(changes):
    with pytest.raises(ValueError, match=r"grid|odd"):
        small_table(**changes)


@pytest.mark.parametrize(
    "differs", [{"axis_at": 0.39}, {"zero_lift": 0.01}, {"floor": 0.0071}, {"annuli": 41}, {}]
)
def test_a_kept_table_is_that_of_its_own_rotor_and_nobody_elses_to_change(differs):
    rotor = small_rotor(**differs)
    grid = (math.radians(-38.0), math.radians(38.0 if differs else 37.0))
    first = tabulate(rotor, *grid)
    assert not np.array_equal(first.sums, TABLE.sums)
    kept = first.sums.copy()
    first.sums[:] = 0.0
    np.testing.assert_array_equal(tabulate(rotor, *grid).sums, kept)
    direct = rotor_loads(rotor, float(first.pitch[90]), 0.0).couple
    assert kept[90, AXIALS // 2, COUPLE] * SPIN**2 == pytest.approx(direct, rel=1e-9)


def test_hover_pitch_makes_the_thrust():
    for needed in (-6.0, -0.2, 0.0, 0.3, 5.0, 11.0):
        trim = hover_pitch(TABLE, needed, 1.18, SPIN)
        assert trim.found
        assert trim.advice == ""
        assert thrust(trim.pitch, 0.0, SPIN, LOADS) == pytest.approx(needed, abs=1e-9)
        assert abs(trim.pitch) < math.radians(17.0)


def test_hover_pitch_knows_density_and_speed():
    reference = hover_pitch(TABLE, 5.0, 1.18, SPIN).pitch
    assert hover_pitch(TABLE, 2.5, 0.59, SPIN).pitch == pytest.approx(reference)
    assert hover_pitch(TABLE, 5.0, 1.18, 0.9 * SPIN).pitch > reference


def test_hover_pitch_out_of_reach_says_what_was_reachable():
    trim = hover_pitch(TABLE, 500.0, 1.18, SPIN)
    assert not trim.found
    assert "500" in trim.advice
    assert trim.thrust_high < 500.0
    assert thrust(trim.pitch, 0.0, SPIN, LOADS) == pytest.approx(trim.thrust_high)
    assert hover_pitch(TABLE, -500.0, 1.18, SPIN).pitch < 0.0
