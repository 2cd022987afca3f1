"""Figure of merit C_T^1.5/(sqrt 2 C_Q) in hover.

From NACA TN 626 at 12 degrees: 0.561, 0.591, 0.603, 0.620 for 2, 3, 4, 5 blades (DER from FOUND-2 tables).
Momentum theory forbids more than 1 at any pitch and disc loading.
"""

import math

import numpy as np
import pytest

from air_data import coefficients, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.polar_table import full_circle
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="figure of merit from NACA TN 626",
    mapping="Coefficients of the report halved",
    uncertainty="See NACA TN 626",
)

SOURCE = "Figure of merit from NACA TN 626"
AGAIN = {
    "relative": False,
    "kind": "measured print",
    "quantity": "hover torque, pitch from 6 deg",
    "repeats": True,
}
"""Thrust and torque of these points are rows of their own."""


def _merit(rotor, degrees):
    thrust, torque = coefficients(rotor, degrees)
    return abs(thrust) ** 1.5 / (math.sqrt(2.0) * torque)


def _rotor(blades, polar=None):
    stations = blade_stations(0.127, 0.762, [(0.0, 0.0508)], thickness=[(0.0, 0.15)])
    return rotor_air(blades, stations, sea_level(), 960.0 * math.pi / 30.0, polar=polar)


@pytest.mark.parametrize(("blades", "measured"), [(2, 0.561), (3, 0.591), (4, 0.603), (5, 0.620)])
def test_against_measured(blades, measured):
    alpha = np.radians(np.arange(-20.0, 20.5, 0.5))
    rows = np.column_stack([alpha, 5.75 * alpha, 0.0113 + 1.25 * alpha**2, 0.0 * alpha])
    got = _merit(_rotor(blades, full_circle(rows, 2e5, 0.15)), 12)
    quantity = f"merit, {blades} blades, 12 deg"
    reason = "twice the model's error in C_Q"
    check(SOURCE, "DER", f"{quantity}, stated section", measured, got, 0.06, reason, **AGAIN)
    got = _merit(_rotor(blades), 12)
    reason = "bar 0.06; up to 0.09 high: the default section's torque is low"
    check(SOURCE, "DER", f"{quantity}, default section", measured, got, 0.11, reason, bar=0.06, **AGAIN)
    assert got > measured + 0.06


def test_never_above_one():
    for blades in (2, 4):
        for chord in (0.008, 0.027, 0.05):
            rotor = rotor_air(blades, blade_stations(0.03, 0.135, [(0.0, chord)]), sea_level(), 900.0)
            worst = max(_merit(rotor, degrees) for degrees in range(-40, 41, 2))
            assert 0.0 < worst < 1.0
