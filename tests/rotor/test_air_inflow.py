"""Blade-element momentum theory: balance, symmetry, signs, continuity, and that nothing ever fails."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.rotor.atmosphere import air_state
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.inflow import Annulus, annulus_flow, imbalance, momentum_thrust, tip_factor
from featherbench.rotor.rotor_loads import rotor_loads, sectional_loads
from featherbench.rotor.section_polar import section_at

SPIN = 8400.0 * math.pi / 30.0
CHORD = [(0.040, 0.029), (0.135, 0.024)]


def small_rotor(axis_at=0.38, zero_lift=0.0, floor=0.007, annuli=40):
    """An invented two-blade rotor."""
    stations = blade_stations(0.040, 0.135, CHORD, axis_at=axis_at, annuli=annuli)
    air, moment = air_state(1.18, None, None), -0.02 if zero_lift else 0.0
    return rotor_air(2, stations, air, SPIN, zero_lift=zero_lift, moment=moment, floor=floor)


ROTOR = small_rotor()
PITCH = st.floats(math.radians(-60.0), math.radians(60.0))
AXIAL = st.floats(-0.15, 0.15)


@settings(max_examples=60, deadline=None)
@given(PITCH, AXIAL)
def test_never_fails_and_balances_in_each_annulus(pitch, axial):
    loads = rotor_loads(ROTOR, pitch, axial)
    assert all(math.isfinite(value) for value in vars(loads).values())
    rows = sectional_loads(ROTOR, pitch, axial)
    scale = np.max(np.abs(rows.by_element)) + 1e-6
    assert np.max(np.abs(rows.by_momentum - rows.by_element)) < 1e-6 * scale + 1e-9


@settings(max_examples=40, deadline=None)
@given(PITCH, st.floats(-0.08, 0.08))
def test_antisymmetric_for_a_symmetric_section(pitch, axial):
    one, other = rotor_loads(ROTOR, pitch, axial), rotor_loads(ROTOR, -pitch, -axial)
    assert one.thrust == pytest.approx(-other.thrust, abs=1e-6)
    assert one.couple == pytest.approx(-other.couple, abs=1e-8)
    assert one.torque == pytest.approx(other.torque, rel=1e-6, abs=1e-8)
    assert one.chordwise_radius == pytest.approx(other.chordwise_radius, abs=1e-8)


@settings(max_examples=20, deadline=None)
@given(PITCH, st.floats(0.1, 3.0))
def test_loads_go_with_spin_squared(pitch, factor):
    one, other = rotor_loads(ROTOR, pitch), rotor_loads(ROTOR, pitch, spin=factor * SPIN)
    for name in ("thrust", "torque", "couple", "normal", "chordwise"):
        assert getattr(other, name) == pytest.approx(factor**2 * getattr(one, name), rel=1e-12)
    assert other.power == pytest.approx(factor**3 * one.power, rel=1e-12)


def test_slope_at_zero_pitch_is_positive_and_finite():
    step = math.radians(0.05)
    slopes = []
    for floor in (0.005, 0.007, 0.010):
        rotor = small_rotor(floor=floor)
        slopes.append((rotor_loads(rotor, step).thrust - rotor_loads(rotor, -step).thrust) / (2.0 * step))
    at_eight = math.radians(8.0)
    steep = (rotor_loads(ROTOR, at_eight + step).thrust - rotor_loads(ROTOR, at_eight - step).thrust) / (
        2.0 * step
    )
    assert 0.0 < slopes[0] < slopes[1] < slopes[2] < 0.3 * steep


def test_mass_flux_floor_hardly_matters_at_working_pitch():
    """The stated effect: 0.2 per cent of thrust at 8 degrees."""
    without = rotor_loads(small_rotor(floor=1e-6), math.radians(8.0)).thrust
    assert rotor_loads(ROTOR, math.radians(8.0)).thrust == pytest.approx(without, rel=0.004)


def test_thrust_falls_when_advancing():
    for degrees in (-12.0, -4.0, 0.0, 4.0, 12.0):
        pitch = math.radians(degrees)
        thrusts = [rotor_loads(ROTOR, pitch, axial).thrust for axial in (-0.04, -0.01, 0.0, 0.01, 0.04)]
        assert thrusts == sorted(thrusts, reverse=True)


@pytest.mark.parametrize("zero_lift", [0.0, -0.03])
def test_continuous_in_pitch_and_axial_flow(zero_lift):
    """Fine steps inside the tabulated axial flows move a load by no more than a steep slope allows."""
    rotor = small_rotor(zero_lift=zero_lift)
    pitches = np.radians(np.arange(-36.0, 36.0, 0.1))
    for axial in (-0.08, -0.03, 0.0, 0.05):
        thrusts = np.array([rotor_loads(rotor, float(pitch), axial).thrust for pitch in pitches])
        assert np.max(np.abs(np.diff(thrusts))) < 0.015 * np.ptp(thrusts)
    axials = np.arange(-0.08, 0.08, 0.0005)
    for degrees in (0.0, 3.0, 9.0, 17.0, 28.0):
        loads = [rotor_loads(rotor, math.radians(degrees), float(axial)) for axial in axials]
        for name in ("thrust", "couple"):
            values = np.array([getattr(load, name) for load in loads])
            assert np.max(np.abs(np.diff(values))) < 0.05 * max(np.ptp(values), 0.02 * abs(values).max())


def test_axial_flow_far_from_hover_is_momentum_free():
    """A fast climb at the pitch of the flow: hardly any thrust, so hardly any induced flow."""
    annulus = Annulus(0.7, 0.12, 2.0, 0.007)
    section = section_at(2e5, 0.3)
    axial = 0.3
    assert annulus_flow(math.atan2(axial, 0.7), axial, annulus, section) == pytest.approx(axial, abs=3e-3)


@given(st.floats(0.05, 0.98), st.floats(1e-4, 0.5), st.sampled_from([2.0, 3.0, 4.0]))
def test_tip_factor_lies_between_0_and_1(x, through, blades):
    value = tip_factor(through, Annulus(x, 0.1, blades, 0.007))
    assert 0.0 < value <= 1.0
    assert value <= tip_factor(through, Annulus(x, 0.1, blades + 1.0, 0.007)) + 1e-12


def test_momentum_balance_is_signed():
    annulus = Annulus(0.7, 0.1, 2.0, 0.007)
    assert momentum_thrust(0.05, 0.0, annulus) == pytest.approx(-momentum_thrust(-0.05, 0.0, annulus))
    assert (
        momentum_thrust(-0.05, -0.08, annulus) > 0.0
    )  # windmill side: thrust from induced flow against the stream


@settings(max_examples=60)
@given(PITCH, AXIAL, st.floats(0.2, 0.98), st.floats(0.02, 0.3))
def test_annulus_root_is_a_root(pitch, axial, x, solidity):
    annulus, section = Annulus(x, solidity, 2.0, 0.007), section_at(1.5e5, 0.3)
    flow = annulus_flow(pitch, axial, annulus, section)
    around = [imbalance(flow + step, pitch, axial, annulus, section) for step in (-2e-9, 2e-9)]
    assert min(around) <= 0.0 <= max(around) or min(map(abs, around)) < 1e-8


def test_more_annuli_change_little():
    """Forty annuli against four hundred: 0.3 per cent, from the last annulus at the tip."""
    results = [rotor_loads(small_rotor(annuli=count), math.radians(10.0)) for count in (40, 400)]
    assert results[0].thrust == pytest.approx(results[1].thrust, rel=4e-3)
    assert results[0].couple == pytest.approx(results[1].couple, rel=4e-3)


def test_drag_moment_about_the_bolt_at_zero_pitch_is_the_drag():
    rows = sectional_loads(ROTOR, 0.0)
    blade = ROTOR.stations
    pressure = 0.5 * ROTOR.air.density * (SPIN * blade.radius) ** 2
    expected = np.sum((blade.radius - 0.036) * rows.drag * pressure * blade.chord * blade.width)
    assert rotor_loads(ROTOR, 0.0).drag_moment(0.036) == pytest.approx(expected, rel=1e-6)


def test_blade_moment_from_sectional_loads():
    pitch = math.radians(14.0)
    rows, blade = sectional_loads(ROTOR, pitch), ROTOR.stations
    speed = SPIN * np.hypot(blade.radius, rows.inflow * ROTOR.tip)
    force = 0.5 * ROTOR.air.density * speed**2 * blade.chord * blade.width
    normal = force * (rows.lift * np.cos(rows.attack) + rows.drag * np.sin(rows.attack))
    expected = np.sum(normal * blade.quarter_chord + force * blade.chord * rows.moment)
    assert rotor_loads(ROTOR, pitch).couple == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("root", "tip", "annuli", "words"),
    [(0.1, 0.05, 40, "outside"), (0.0, 0.1, 40, "root"), (0.03, 0.1, 12, "30")],
)
def test_impossible_blades_are_refused(root, tip, annuli, words):
    with pytest.raises(ValueError, match=words):
        blade_stations(root, tip, [(0.0, 0.03)], annuli=annuli)
