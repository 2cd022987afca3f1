"""The propeller moment: derived again symbolically, and what symmetry, scaling and limits say about it."""

from math import cos, isclose, pi, radians, sin, sqrt

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st

from featherbench.rotor.propeller_moment import (
    PitchMoments,
    feathering_frequency,
    propeller_moment,
)

pitches = st.floats(-1.5, 1.5)
inertias = st.floats(1e-8, 1e-5)
signed = st.floats(-1e-5, 1e-5)
spins = st.floats(50.0, 2000.0)
conings = st.floats(-0.3, 0.3)
every_moment = st.builds(PitchMoments, inertias, inertias, signed, signed, signed, conings)


@pytest.fixture(scope="module")
def derived():
    """M_prop of a point mass from the Lagrangian of its motion, and its slope over the pitch rate: functions of (r, c,
    n, coning, pitch, pitch rate, spin, spin rate).

    Generalised force of pitch Q = d/dt(dT/dtheta') - dT/dtheta; what rotation alone does is -(Q - J theta''). The turn
    about the shaft enters by its rates only, so it is taken at a turn of zero.
    """
    time, r, c, n, beta = sp.symbols("t r c n beta")
    theta, turned = sp.Function("theta")(time), sp.Function("phi")(time)
    tangential = c * sp.cos(theta) - n * sp.sin(theta)
    axial = c * sp.sin(theta) + n * sp.cos(theta)
    coned = sp.Matrix(
        [r * sp.cos(beta) - axial * sp.sin(beta), tangential, r * sp.sin(beta) + axial * sp.cos(beta)]
    )
    about_shaft = sp.Matrix(
        [[sp.cos(turned), -sp.sin(turned), 0], [sp.sin(turned), sp.cos(turned), 0], [0, 0, 1]]
    )
    velocity = (about_shaft * coned).diff(time)
    rate = theta.diff(time)
    energy = velocity.dot(velocity) / 2
    force = energy.diff(rate).diff(time) - energy.diff(theta)
    angle, pitch_rate, spin, spin_rate = sp.symbols("a p Omega dOmega")
    moment = -(force - (c**2 + n**2) * theta.diff(time, 2))
    moment = moment.subs({theta.diff(time, 2): 0, turned.diff(time, 2): spin_rate})
    moment = moment.subs({rate: pitch_rate, turned.diff(time): spin}).subs({theta: angle, turned: 0})
    arguments = (r, c, n, beta, angle, pitch_rate, spin, spin_rate)
    return tuple(sp.lambdify(arguments, one, "numpy") for one in (moment, moment.diff(pitch_rate)))


ANYWHERE = np.random.default_rng(8).uniform(-1.0, 1.0, (8, 400)) * np.array(
    [[1], [1], [1], [0.3], [1.5], [2], [3], [4]]
)


def test_formula_is_the_lagrangian_one(derived):
    """At hundreds of places of a point mass: the same sum of sines and cosines, to rounding."""
    r, c, n, beta, angle, _, spin, spin_rate = ANYWHERE
    flat = (c**2 - n**2) * np.sin(angle) * np.cos(angle) + c * n * np.cos(2 * angle)
    ours = -(spin**2) * (
        np.cos(beta) ** 2 * flat
        + np.sin(beta) * np.cos(beta) * (r * c * np.cos(angle) - r * n * np.sin(angle))
    ) + spin_rate * (
        np.cos(beta) * (r * c * np.sin(angle) + r * n * np.cos(angle)) - np.sin(beta) * (c**2 + n**2)
    )
    assert derived[0](*ANYWHERE) == pytest.approx(ours, abs=1e-12)
    assert np.ptp(ours) > 1.0


def test_no_term_in_the_pitch_rate(derived):
    assert np.broadcast_to(derived[1](*ANYWHERE), 400) == pytest.approx(np.zeros(400), abs=1e-12)


@given(
    pitch=pitches, spin=spins, spin_rate=st.floats(-1e4, 1e4), coning=conings, seed=st.integers(0, 2**32 - 1)
)
def test_kernel_is_the_symbolic_sum_over_points(derived, pitch, spin, spin_rate, coning, seed):
    random = np.random.default_rng(seed)
    mass = random.uniform(1e-3, 5e-3, 4)
    r, c, n = random.uniform(-1.0, 1.0, (3, 4)) * np.array([[0.1], [0.02], [0.02]])
    moments = PitchMoments(
        *(float(np.sum(mass * term)) for term in (c * c, n * n, c * n, r * c, r * n)), coning=coning
    )
    parts = mass * derived[0](r, c, n, coning, pitch, 0.0, spin, spin_rate)
    scale = spin**2 * float(np.sum(mass * (r * r + c * c + n * n))) + abs(spin_rate) * moments.chordwise
    assert propeller_moment(pitch, spin, spin_rate, moments) == pytest.approx(parts.sum(), abs=1e-13 * scale)


@given(pitch=pitches, spin=spins, factor=st.floats(0.1, 10.0), moments=every_moment)
def test_grows_with_the_square_of_the_speed(pitch, spin, factor, moments):
    once = propeller_moment(pitch, spin, 0.0, moments)
    assert propeller_moment(pitch, factor * spin, 0.0, moments) == pytest.approx(factor**2 * once, rel=1e-12)


@given(pitch=pitches, spin=spins, moments=every_moment)
def test_the_sense_of_rotation_does_not_matter_at_constant_speed(pitch, spin, moments):
    assert propeller_moment(pitch, -spin, 0.0, moments) == propeller_moment(pitch, spin, 0.0, moments)


@given(pitch=pitches, spin=spins, chordwise=inertias, normal=inertias)
def test_odd_in_pitch_and_restoring_for_a_flat_symmetric_blade(pitch, spin, chordwise, normal):
    moments = PitchMoments(chordwise, normal, 0.0)
    here = propeller_moment(pitch, spin, 0.0, moments)
    assert propeller_moment(-pitch, spin, 0.0, moments) == -here
    assert here * pitch * (chordwise - normal) <= 0.0


@given(spin=spins, moments=every_moment, pitch=pitches)
def test_a_quarter_turn_swaps_the_inertias_and_changes_the_sign(spin, moments, pitch):
    moments = moments._replace(coning=0.0)
    turned = PitchMoments(moments.normal, moments.chordwise, -moments.product)
    once = propeller_moment(pitch, spin, 0.0, moments)
    scale = spin**2 * (moments.chordwise + moments.normal + abs(moments.product))
    assert propeller_moment(pitch + pi / 2, spin, 0.0, turned) == pytest.approx(once, abs=1e-14 * scale)


@given(pitch=pitches, spin=spins, chordwise=inertias)
def test_cancelled_at_every_pitch_when_the_inertias_are_equal(pitch, spin, chordwise):
    assert propeller_moment(pitch, spin, 0.0, PitchMoments(chordwise, chordwise, 0.0)) == 0.0


@given(pitch=pitches, spin=spins, spin_rate=st.floats(-1e4, 1e4), moments=every_moment)
def test_coning_is_continuous_through_zero(pitch, spin, spin_rate, moments):
    """The kernel takes a short cut without coning; a tiny coning must give the same."""
    flat = propeller_moment(pitch, spin, spin_rate, moments._replace(coning=0.0))
    coned = propeller_moment(pitch, spin, spin_rate, moments._replace(coning=1e-13))
    scale = (spin**2 + abs(spin_rate)) * sum(abs(part) for part in moments[:5])
    assert coned == pytest.approx(flat, abs=1e-12 * scale)


@given(spin=spins, moments=every_moment)
def test_moment_is_the_slope_of_the_rotational_energy(spin, moments):
    """At constant speed M_prop = d/dtheta of half Omega^2 times the inertia about the shaft."""
    cone, tilt = cos(moments.coning), sin(moments.coning)

    def energy(pitch):
        sine, cosine = sin(pitch), cos(pitch)
        tangential = (
            moments.chordwise * cosine**2 + moments.normal * sine**2 - 2 * moments.product * sine * cosine
        )
        axial = moments.chordwise * sine**2 + moments.normal * cosine**2 + 2 * moments.product * sine * cosine
        radial_axial = moments.radial_chordwise * sine + moments.radial_normal * cosine
        # inertia about the shaft, less the part that pitch does not change
        return 0.5 * spin**2 * (tangential + tilt**2 * axial - 2 * cone * tilt * radial_axial)

    scale = spin**2 * sum(abs(part) for part in moments[:5])
    for pitch in (-0.4, 0.0, 0.3):
        slope = (energy(pitch + 1e-4) - energy(pitch - 1e-4)) / 2e-4
        assert propeller_moment(pitch, spin, 0.0, moments) == pytest.approx(slope, abs=1e-7 * scale)


@given(spin=spins, moments=every_moment)
def test_feathering_frequency_follows_from_the_moment_slope(spin, moments):
    step = 1e-5
    above, below = (propeller_moment(pitch, spin, 0.0, moments) for pitch in (step, -step))
    squared = -(above - below) / (2.0 * step) / (moments.chordwise + moments.normal)
    frequency = feathering_frequency(spin, moments)
    scale = spin**2 * sum(abs(part) for part in moments[:5]) / (moments.chordwise + moments.normal)
    assert frequency * abs(frequency) == pytest.approx(squared, abs=1e-8 * scale)


def test_feathering_frequency_of_a_lamina_and_of_one_on_edge():
    assert feathering_frequency(1000.0, PitchMoments(1e-6, 0.0, 0.0)) == 1000.0
    assert feathering_frequency(1000.0, PitchMoments(0.0, 1e-6, 0.0)) == -1000.0
    assert isclose(feathering_frequency(1000.0, PitchMoments(2e-6, 1e-6, 0.0)), 1000.0 / sqrt(3.0))


def test_one_compiled_version_serves_all_floats():
    propeller_moment(radians(1.0), 1.0, 0.0, PitchMoments(1.0, 0.0, 0.0))
    assert len(propeller_moment.signatures) == 1
