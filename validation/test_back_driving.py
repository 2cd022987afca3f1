"""Back-driving: the mesh model's efficiency backwards against 2 - 1/eta, and against exact screw geometry.

Rule 2 - 1/eta for equal friction work both ways: derivable (D); used in a gear-friction model (FOUND-2). Screw: forward
tan(lead)/tan(lead + phi), backward tan(lead - phi)/tan(lead), self-locking when lead <= phi (F:
novasolver.jp/en/tools/worm-gear.html; values by arithmetic, D). A gear train loses what it carries times a coefficient,
as a screw does, but not by the same geometry: within 0.03 above an efficiency of 0.4.
"""

from math import atan, radians, tan

import pytest

from featherbench.servo.motor import Motor, gear_friction_limit
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="back-driving a gear train",
    left_out="screws below an efficiency of 0.4, where the rule for small loss no longer follows the screw",
)


def backward(efficiency, load=0.1):
    """What of a torque at the output reaches the motor, by the stepper's friction law."""
    motor = Motor(5.0, 0.0, 0.25, 1e-5, 0.0, 1.0 / efficiency - 1.0, 0.0, 1.0)
    return (load - gear_friction_limit(load, motor)) / load


@pytest.mark.parametrize(
    ("efficiency", "expected"),
    [(0.95, 0.9474), (0.9, 0.8889), (0.8, 0.7500), (0.7, 0.5714), (0.6, 0.3333), (0.5, 0.0)],
)
def test_mesh_against_the_rule(efficiency, expected):
    rule = 2.0 - 1.0 / efficiency
    assert abs(rule - expected) < 6e-5  # as printed
    source = "efficiency backwards, 2 - 1/eta"
    got = backward(efficiency)
    check(source, "D", f"eta = {efficiency}", rule, got, 1e-9, "same law", relative=False)


@pytest.mark.parametrize(
    ("lead", "friction", "forward", "back"),
    [
        (5.0, 0.05, 0.6336, 0.4266),
        (5.0, 0.08, 0.5187, 0.0850),
        (5.0, 0.10, 0.4626, -0.1418),
        (10.0, 0.10, 0.6269, 0.4254),
        (20.0, 0.10, 0.7559, 0.6998),
    ],
)
def test_mesh_against_screws(lead, friction, forward, back):
    source = "screw geometry, efficiency forwards and backwards"
    angle, phi = radians(lead), atan(friction)
    efficiency = tan(angle) / tan(angle + phi)
    exact = tan(angle - phi) / tan(angle)
    assert abs(efficiency - forward) < 6e-5  # as printed
    assert abs(exact - back) < 6e-5
    got = backward(efficiency)
    case = f"mesh model backward, {lead:g} deg, mu {friction:g}"
    check(source, "D", case, exact, got, 0.03, "not a screw", relative=False)
    # whichever locks, the model locks
    assert (got <= 0.0) == (exact <= 0.0)
