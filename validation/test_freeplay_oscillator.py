"""A mass between two springs with a gap: the contact law against the exact frequency.

omega/omega_0 = (pi/2) / (pi/2 + d/(A - d)) for half gap d and amplitude A (D: time in the gap plus half a period on the
spring). Sine-input describing function of the same dead zone, N = 1 - (2/pi)(asin x + x sqrt(1 - x^2)) with x = d/A
(F: python-control describing functions, after Gelb & Vander Velde 1968).
"""

import numpy as np
import pytest
from numba import njit

from featherbench.plant.contact import contact_energy, contact_force
from featherbench.plant.parameters import Contact
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="oscillator with free play",
)


@njit
def _period(amplitude, law, step, cycles):
    """Mean period of a unit mass held by the contact, let go at `amplitude`; and the relative energy drift.

    Speeds are kept half a step behind, so the pair is a leapfrog and second order in the step.
    """
    place = amplitude
    speed = -0.5 * step * contact_force(place, 0.0, law)[0]
    start = contact_energy(place, law)
    crossings = 0
    first, last, count = 0.0, 0.0, 0
    while crossings < 2 * cycles + 1:
        before = place
        place += step * speed
        count += 1
        if before > 0.0 >= place or before < 0.0 <= place:
            last = (count - 1 + before / (before - place)) * step
            if crossings == 0:
                first = last
            crossings += 1
        speed -= step * contact_force(place, speed, law)[0]
    middle = speed + 0.5 * step * contact_force(place, speed, law)[0]
    energy = contact_energy(place, law) + 0.5 * middle * middle
    return (last - first) / cycles, energy / start - 1.0


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(1.2, 0.23906), (1.5, 0.43990), (2.0, 0.61102), (3.0, 0.75855), (5.0, 0.86270), (10.0, 0.93394)],
)
def test_free_play_oscillator(ratio, expected):
    law = Contact(1.0, 1.0, 0.0, 1e-9)
    period, drift = _period(ratio, law, 1e-4, 20)
    check(
        "free-play oscillator, exact",
        "D",
        f"omega/omega_0 at A/d = {ratio:g}",
        expected,
        2 * np.pi / period,
        1e-4,
        "gate of the exact row",
    )
    assert abs(drift) < 1e-4


@pytest.mark.parametrize(
    ("share", "expected"),
    [(0.1, 0.87289), (0.2, 0.74706), (0.3, 0.62384), (0.5, 0.39100), (0.7, 0.18812), (0.9, 0.03739)],
)
def test_dead_zone_describing_function(share, expected):
    law = Contact(1.0, share, 0.0, 1e-9)
    angle = (np.arange(20_000) + 0.5) * 2 * np.pi / 20_000
    force = np.array([contact_force(np.sin(value), 0.0, law)[0] for value in angle])
    got = 2.0 * np.mean(force * np.sin(angle))
    check(
        "dead-zone describing function",
        "D",
        f"gain at d/A = {share:g}",
        expected,
        got,
        2e-5,
        "five printed figures",
        relative=False,
    )


def test_contact_never_pulls():
    law = Contact(4e4, 1e-5, 50.0, 2e-6)
    for offset in np.linspace(-5e-5, 5e-5, 401):
        for rate in (-1.0, -0.01, 0.0, 0.01, 1.0):
            force, _ = contact_force(offset, rate, law)
            assert force * offset >= 0.0
            assert abs(offset) > law.half_play or force == 0.0
