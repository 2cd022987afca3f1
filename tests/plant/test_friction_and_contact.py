"""The friction projection and the contact law, each by what must hold of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.plant.contact import contact, contact_energy, contact_force
from featherbench.plant.friction import after_friction
from featherbench.plant.parameters import Contact

speeds = st.floats(-10.0, 10.0)
laws = st.builds(
    Contact,
    st.floats(1e2, 1e5),
    st.one_of(st.just(0.0), st.floats(1e-6, 1e-3)),
    st.floats(0.0, 50.0),
    st.floats(1e-7, 1e-4),
)
offsets = st.floats(-2e-3, 2e-3)
rates = st.floats(-2.0, 2.0)


@given(speeds, speeds, st.floats(0.0, 5.0), st.floats(1.0, 2.0))
def test_friction_slows_and_never_reverses(speed, before, most, ratio):
    after = after_friction(speed, before, most, ratio)
    assert after * speed >= 0.0
    assert abs(after) <= abs(speed)
    assert after_friction(-speed, -before, most, ratio) == -after
    # it takes all of its limit, or exactly what is there
    if after == 0.0:
        assert abs(speed) <= most * (ratio if before == 0.0 else 1.0)
    else:
        assert abs(speed) - abs(after) == pytest.approx(most, abs=1e-12)


@given(st.floats(0.1, 5.0), st.floats(1.1, 2.0), st.floats(0.0, 1.0, exclude_min=True, exclude_max=True))
def test_breakaway_counts_only_from_rest(most, ratio, share):
    """Between the sliding and the static limit a resting body stays, a moving one goes on."""
    speed = most * (1.0 + share * (ratio - 1.0))
    assert after_friction(speed, 0.0, most, ratio) == 0.0
    assert after_friction(speed, 1.0, most, ratio) == pytest.approx(speed - most, abs=1e-12)


@given(offsets, rates, laws)
def test_contact_never_pulls_and_is_even_handed(offset, rate, law):
    force, elastic = contact_force(offset, rate, law)
    assert force * offset >= 0.0
    assert elastic * offset >= 0.0
    assert abs(offset) > law.half_play or force == 0.0
    assert contact_force(-offset, -rate, law) == (-force, -elastic)


@given(rates, laws, st.floats(0.0, 1.0))
def test_contact_force_is_continuous_at_impact(rate, law, share):
    """However fast the impact, the force starts from nothing: it is at most (k + c |v| / fade) times the depth."""
    depth = share * law.fade
    force, _ = contact_force(law.half_play + depth, rate, law)
    assert force <= (law.stiffness + law.damping * abs(rate) / law.fade) * depth * (1.0 + 1e-6) + 1e-9
    assert contact_force(law.half_play, rate, law) == (0.0, 0.0)


@given(offsets, rates, laws)
def test_contact_only_takes_energy(offset, rate, law):
    force, elastic = contact_force(offset, rate, law)
    assert (force - elastic) * rate >= 0.0
    assert contact_energy(offset, law) >= 0.0


@given(offsets, laws)
def test_contact_energy_is_the_work_of_its_elastic_force(offset, law):
    places = np.linspace(0.0, offset, 4001)
    forces = np.array([contact_force(place, 0.0, law)[1] for place in places])
    scale = law.stiffness * offset**2 + 1e-12
    assert contact_energy(offset, law) == pytest.approx(np.trapezoid(forces, places), abs=1e-6 * scale)


def test_contact_damping_is_a_share_of_critical():
    """On the reduced mass, with no play, a damping ratio of 0.1 leaves exp(-2 pi 0.1 / sqrt(1 - 0.01)) a cycle."""
    law = contact(400.0, 0.0, 0.1, 0.04, 1e-12)
    place, speed, step = 1.0, 0.0, 1e-5
    tops = []
    for _ in range(200_000):
        before = speed
        speed -= step * (law.stiffness * place + law.damping * speed) / 0.04
        place += step * speed
        if before > 0.0 >= speed:
            tops.append(place)
    assert tops[1] / tops[0] == pytest.approx(np.exp(-2 * np.pi * 0.1 / np.sqrt(0.99)), rel=1e-3)
    assert law.half_play == 0.0
