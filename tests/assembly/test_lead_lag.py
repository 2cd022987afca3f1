"""The swing on the bolt against the energy of a cloud of points and, where there are any, closed forms."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from featherbench.assembly import (
    Assembly,
    BladeBolt,
    PlacedPart,
    blade_axis_place,
    compensation,
    lead_lag_angle,
    moments_at,
    moments_by_group,
    quarter_chord,
)
from featherbench.assembly.blade import Planform, blade_moments
from featherbench.assembly.lead_lag import LeadLagBalance, _zero_between
from featherbench.assembly.mass_moments import MassMoments
from featherbench.scenario import ScenarioError
from featherbench.sections.section import naca_symmetric

pitches = st.floats(-0.6, 0.6)
bolts = st.builds(BladeBolt, st.just(True), st.floats(0.02, 0.05), st.floats(-0.004, 0.004), st.just(0.0))
points = st.lists(
    st.tuples(
        st.floats(1e-4, 1e-2),
        st.tuples(st.floats(0.06, 0.15), st.floats(-0.02, 0.02), st.floats(-0.004, 0.004)),
    ),
    min_size=2,
    max_size=6,
)


def of_points(cloud):
    none = np.zeros((3, 3))
    return sum((MassMoments.of_body(m, np.array(p), none) for m, p in cloud), MassMoments.zero())


def outline(axis_at=0.38):
    return Planform.of((0.04, 0.135), [(0.04, 0.029), (0.135, 0.022)], None, axis_at, naca_symmetric(0.12))


def assembly_of(moments, bolt, *others):
    return Assembly((PlacedPart("blade", "blade", True, moments, "weighed"), *others), bolt, outline())


def part(name, group, at, mass=0.002, swings=False):
    return PlacedPart(
        name, group, swings, MassMoments.of_body(mass, np.array(at), np.zeros((3, 3))), "weighed"
    )


def potential(delta, cloud, bolt, pitch, drag):
    """-1/2 sum m (r^2 + y^2) + drag delta, over Omega^2, of the cloud swung by delta."""
    mass = np.array([m for m, _ in cloud])
    r, c, n = np.array([p for _, p in cloud]).T
    out, ahead = r - bolt.radius, c - bolt.chord
    r = bolt.radius + out * math.cos(delta) - ahead * math.sin(delta)
    c = bolt.chord + out * math.sin(delta) + ahead * math.cos(delta)
    y = c * math.cos(pitch) - n * math.sin(pitch)
    return -0.5 * np.sum(mass * (r**2 + y**2)) + drag * delta


@given(points, bolts, pitches, st.floats(-0.1, 0.1))
@settings(max_examples=60)
def test_the_blade_settles_where_the_centrifugal_energy_is_least(cloud, bolt, pitch, pull):
    body = of_points(cloud)
    drag = pull * bolt.radius * body.mass * (body.centre[0] - bolt.radius)
    delta = lead_lag_angle(assembly_of(body, bolt), pitch, drag)
    scale = body.mass * 0.1**2
    least = minimize_scalar(
        lambda d: potential(d, cloud, bolt, pitch, drag) / scale,
        bounds=(delta - 0.3, delta + 0.3),
        method="bounded",
        options={"xatol": 1e-10},
    )
    assert least.x == pytest.approx(delta, abs=2e-6)


@given(points, bolts, pitches)
@settings(max_examples=30)
def test_the_moments_after_the_swing_balance(cloud, bolt, pitch):
    """The balance as the model states it, in the moments the assembly hands on."""
    assembly = assembly_of(of_points(cloud), bolt)
    m = moments_at(assembly, lead_lag_angle(assembly, pitch))
    cos, sin = math.cos(pitch), math.sin(pitch)
    left = cos**2 * (m.radial_chordwise - bolt.radius * m.first[1])
    left -= sin * cos * (m.radial_normal - bolt.radius * m.first[2])
    left += -m.radial_chordwise + bolt.chord * m.radial
    assert left == pytest.approx(0.0, abs=1e-12 * m.mass)


@given(points, bolts, st.floats(-0.1, 0.1))
@settings(max_examples=30)
def test_at_zero_pitch_the_centre_of_mass_lies_where_the_closed_form_says(cloud, bolt, pull):
    """c_cg = c_b r_cg / r_b - drag / (m r_b)."""
    body = of_points(cloud)
    drag = pull * bolt.radius * body.mass * (body.centre[0] - bolt.radius)
    assembly = assembly_of(body, bolt)
    r, c, _ = moments_at(assembly, lead_lag_angle(assembly, 0.0, drag)).centre
    assert c == pytest.approx(bolt.chord * r / bolt.radius - drag / (body.mass * bolt.radius), abs=1e-12)


@given(st.floats(0.0, 0.6), st.floats(0.2, 0.6))
@settings(max_examples=20)
def test_a_symmetric_blade_with_its_bolt_on_the_axis(pitch, axis_at):
    """r_b cos^2(theta) S_c + sin^2(theta) S_rc = 0, and the same at either sign of pitch."""
    assembly = assembly_of(blade_moments(outline(axis_at), 1600.0), BladeBolt(True, 0.036, 0.0, 0.0))
    delta = lead_lag_angle(assembly, pitch)
    m = moments_at(assembly, delta)
    balance = 0.036 * math.cos(pitch) ** 2 * m.first[1] + math.sin(pitch) ** 2 * m.radial_chordwise
    assert balance == pytest.approx(0.0, abs=1e-12 * m.mass)
    assert lead_lag_angle(assembly, -pitch) == pytest.approx(delta, abs=1e-12)


def test_the_mass_of_a_blade_pitched_to_28_degrees_has_left_the_axis_by_tenths_of_a_millimetre():
    """The trial named in the model: from 0 to 0.3 mm between 0 and 28 deg."""
    assembly = assembly_of(blade_moments(outline(0.38), 1600.0), BladeBolt(True, 0.036, 0.0, 0.0))
    at = [moments_at(assembly, lead_lag_angle(assembly, math.radians(p))).centre[1] for p in (0.0, 28.0)]
    assert at[0] == pytest.approx(0.0, abs=1e-12)
    assert 0.05e-3 < abs(at[1]) < 1e-3


@given(points, bolts, pitches, st.floats(0.1, 10.0))
@settings(max_examples=15)
def test_density_does_not_matter_and_drag_trails_the_tip(cloud, bolt, pitch, factor):
    body = of_points(cloud)
    heavy = of_points([(factor * m, p) for m, p in cloud])
    delta = lead_lag_angle(assembly_of(body, bolt), pitch)
    assert lead_lag_angle(assembly_of(heavy, bolt), pitch) == pytest.approx(delta, abs=1e-9)
    drag = 0.02 * bolt.radius * body.mass * (body.centre[0] - bolt.radius)
    assert lead_lag_angle(assembly_of(body, bolt), pitch, drag) < delta


def test_a_clamped_blade_keeps_its_angle():
    bolt = BladeBolt(False, 0.036, 0.0, 0.02)
    assert lead_lag_angle(assembly_of(blade_moments(outline(), 1600.0), bolt), 0.3, 1e-5) == 0.02


@pytest.mark.parametrize(("radius", "drag"), [(0.2, 0.0), (0.036, 1.0)])
def test_a_blade_that_finds_no_steady_angle_is_refused_with_advice(radius, drag):
    assembly = assembly_of(blade_moments(outline(), 1600.0), BladeBolt(True, radius, 0.0, 0.0))
    with pytest.raises(ScenarioError) as refused:
        lead_lag_angle(assembly, 0.0, drag)
    (problem,) = refused.value.problems
    assert problem.key == "blade.bolt_radius"
    assert "clamped" in problem.expected


def test_groups_add_up_and_only_the_blade_swings():
    bolt = BladeBolt(True, 0.036, 0.0, 0.0)
    grip, weight = (
        part("grip", "grip", (0.02, 0.001, 0.0)),
        part("weight", "counterweight", (0.03, 0.0, 0.011)),
    )
    assembly = assembly_of(blade_moments(outline(0.3), 1600.0), bolt, grip, weight)
    groups = moments_by_group(assembly, 0.05)
    total = moments_at(assembly, 0.05)
    np.testing.assert_allclose(sum(g.second for g in groups.values()), total.second)
    np.testing.assert_allclose(groups["grip"].second, grip.moments.second)
    assert groups["blade"].chordwise != pytest.approx(moments_by_group(assembly, 0.0)["blade"].chordwise)


def test_compensation_counts_the_counterweights_alone():
    bolt, blade = BladeBolt(False, 0.036, 0.0, 0.0), blade_moments(outline(0.38), 1600.0)
    assert compensation(assembly_of(blade, bolt), 0.0) == 0.0
    surplus = blade.chordwise - blade.normal
    neutral = part("weight", "counterweight", (0.03, 0.0, 0.01), mass=surplus / 0.01**2)
    assert compensation(assembly_of(blade, bolt, neutral), 0.0) == pytest.approx(1.0)
    half = part("weight", "counterweight", (0.03, 0.0, 0.01), mass=0.5 * surplus / 0.01**2)
    assert compensation(assembly_of(blade, bolt, half), 0.0) == pytest.approx(0.5)
    ahead = part("weight", "counterweight", (0.03, 0.01, 0.0))
    assert compensation(assembly_of(blade, bolt, ahead), 0.0) < 0.0


@given(st.floats(-0.2, 0.2), st.floats(0.05, 0.13))
@settings(max_examples=20)
def test_the_quarter_chord_swings_with_the_blade(lead_lag, station):
    """A point of the straight line, turned about the bolt by hand, lies on the swung line."""
    bolt = BladeBolt(False, 0.036, 0.001, lead_lag)
    assembly = assembly_of(blade_moments(outline(0.38), 1600.0), bolt)
    ahead = 0.13 * float(assembly.outline.chord(station)) - bolt.chord
    r = bolt.radius + (station - bolt.radius) * math.cos(lead_lag) - ahead * math.sin(lead_lag)
    c = bolt.chord + (station - bolt.radius) * math.sin(lead_lag) + ahead * math.cos(lead_lag)
    assert float(quarter_chord(assembly, lead_lag, r)) == pytest.approx(c, abs=1e-9)
    assert float(blade_axis_place(assembly, lead_lag, r)) == pytest.approx(-c, abs=1e-9)


@given(points, bolts, pitches)
@settings(max_examples=15)
def test_a_mirror_image_settles_mirrored(cloud, bolt, pitch):
    """Chord, bolt offset and pitch reversed together, normal kept: the same picture from the other side."""
    assume(abs(bolt.chord) > 1e-6)
    image = [(m, (r, -c, n)) for m, (r, c, n) in cloud]
    other = BladeBolt(True, bolt.radius, -bolt.chord, 0.0)
    one = lead_lag_angle(assembly_of(of_points(cloud), bolt), pitch)
    assert lead_lag_angle(assembly_of(of_points(image), other), -pitch) == pytest.approx(-one, abs=1e-9)


@given(st.floats(-1.5, 1.5))
def test_slope_is_the_derivative_of_the_moment(delta):
    balance = LeadLagBalance(3e-6, -7e-6, 2e-6, -1.5e-6, 1e-6)
    small = 1e-5
    asked = (balance.moment(delta + small) - balance.moment(delta - small)) / (2.0 * small)
    assert balance.slope(delta) == pytest.approx(asked, rel=1e-6, abs=1e-13)
    assert balance.moment(0.0) == pytest.approx(3e-6 + 2e-6 - 1e-6)


@given(*[st.floats(-1.0, 1.0)] * 4, st.floats(-1.0, 1.0), st.integers(-180, 179))
def test_a_zero_within_a_step_is_where_scipy_finds_it(a, b, d, e, share, step):
    """The drag is what makes it zero somewhere within the step, at `share` of its half-width from the middle."""
    middle, half = math.radians(0.5 * step + 0.25), math.radians(0.25)
    free = LeadLagBalance(a, b, d, e, 0.0)
    balance = free._replace(drag=float(free.moment(middle + share * half)))
    low, high = middle - half, middle + half
    assume(
        balance.moment(low) * balance.moment(high) < 0.0 and abs(balance.slope(middle + share * half)) > 1e-3
    )
    wanted = brentq(balance.moment, low, high, xtol=1e-15)
    for one, other in ((low, high), (high, low)):
        (found,) = _zero_between(balance, np.array([one]), np.array([other]))
        assert found == pytest.approx(wanted, abs=1e-11)
