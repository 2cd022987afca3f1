"""Lift slope of the default section.

McCroskey, NASA TM 100019: FOUND-2. Slopes printed in NACA TN 2474 table VIII for a NACA 0015 at three
quarters radius (6.09 in root cut-out rotors, hover tests): FOUND-2; the 4-ft 1600 rpm value is printed 5.95.
"""

import math

import pytest

from featherbench.rotor.section_polar import lift_slope
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="lift slope, NASA TM 100019 and NACA TN 2474",
    mapping="Slopes per degree there, per radian here",
)

TM = "McCroskey, NASA TM 100019"
TN = "Castles & Gray, NACA TN 2474, table VIII"


def test_formula():
    reason = "rounded constants of the formula"
    check(TM, "DER", "slope at Re 1e6, M 0, 1/rad", 5.873, lift_slope(1e6), 1e-4, reason)
    reason = "held at Re 5e6, the end of our data: 0.3 per cent"
    check(
        TM,
        "DER",
        "slope at Re 6e6, M 0.15, 1/deg",
        0.10749,
        math.radians(lift_slope(6e6, 0.15)),
        5e-3,
        reason,
    )
    check(TM, "DER", "slope at Re 2.56e5, M 0.248, 1/rad", 5.892, lift_slope(2.56e5, 0.248), 1e-4, "digits")


# rotor tip speeds over 340 m/s at three quarters radius
@pytest.mark.parametrize(
    ("reynolds", "mach", "printed"),
    [(1.14e5, 0.169, 5.83), (1.52e5, 0.225, 5.95), (2.56e5, 0.253, 5.90), (3.41e5, 0.338, 6.07)],
)
def test_against_measured_rotor_sections(reynolds, mach, printed):
    reason = "extrapolated formula, other thickness"
    got = lift_slope(reynolds, mach)
    case = f"slope at Re {reynolds:.3g}, M {mach}, 1/rad"
    more = {"kind": "measured print", "quantity": "section lift and slope up to the stall"}
    check(TN, "FOUND-2", case, printed, got, 0.035, reason, **more)


def test_below_thin_aerofoil_theory():
    """2 pi per radian is 6 to 13 per cent above a real section at these Reynolds numbers."""
    for reynolds in (5e4, 1e5, 3.5e5):
        assert 0.87 < lift_slope(reynolds) / (2.0 * math.pi) < 0.94
