"""A counterweight as a governor ball: the height at which it balances gravity depends on speed alone.

Watt governor, h = g / omega^2, quoted as 895 000 / N^2 mm with N in rpm: 89.5 mm at 100 rpm, 87.74 mm at
101 rpm, a change of 1.76 mm. FOUND at sarthaks.com/2587324 (numbers) and
extrudesign.com/what-is-watt-governor (derivation). Exact with g = 9.81 m/s^2 (DER): 89.456 and 87.694 mm;
the 895 is rounded from 894.57.
"""

from math import acos, cos, pi, sin

import pytest
from scipy.optimize import brentq

from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="governor ball",
    uncertainty="895 is rounded from 894.57",
)

SOURCE = "Watt governor, h = 895 000 / N^2 mm"
ARM, MASS, GRAVITY = 0.125, 2e-3, 9.81
BALL = PitchMoments(0.0, MASS * ARM**2, 0.0)
"""A ball on the chord normal: at a pitch it stands ARM cos(pitch) along the shaft, ARM sin(pitch) off it."""


def balance_height(rpm):
    """Height (m) at which the ball's moment about its pivot equals that of its weight."""
    spin = rpm * pi / 30.0
    pitch = brentq(
        lambda angle: propeller_moment(angle, spin, 0.0, BALL) - MASS * GRAVITY * ARM * sin(angle),
        0.1,
        1.5,
        xtol=1e-14,
    )
    return ARM * cos(pitch)


@pytest.mark.parametrize(("rpm", "quoted", "exact"), [(100, 89.5, 89.456), (101, 87.74, 87.694)])
def test_height(rpm, quoted, exact):
    got = 1e3 * balance_height(rpm)
    check(SOURCE, "FOUND", f"height at {rpm} rpm, mm", quoted, got, 1e-3, "895 is rounded from 894.57")
    check(SOURCE, "DER", f"height at {rpm} rpm, g = 9.81, mm", exact, got, 1e-5, "printed digits")


def test_change_of_height():
    got = 1e3 * (balance_height(100) - balance_height(101))
    check(SOURCE, "FOUND", "change from 100 to 101 rpm, mm", 1.76, got, 3e-3, "printed digits")


def test_moment_at_the_quoted_height():
    pitch = acos(0.0895 / ARM)
    got = propeller_moment(pitch, 100 * pi / 30.0, 0.0, BALL)
    weight = MASS * GRAVITY * ARM * sin(pitch)
    check(SOURCE, "FOUND", "moment at 89.5 mm over the weight's", 1.0, got / weight, 1e-3, "895 is rounded")
