"""Section properties of the NACA 4-digit family; a solid blade made of it is in `test_propeller_moment_exact.py`.

Formula: NACA Report 460 half-thickness polynomial (F: aerofoilengineering.com/Help/HelpNaca4.htm). Expected
values: integrals of that polynomial worked out apart from this program (D), seven figures.
"""

import numpy as np
import pytest

from featherbench.sections.section import naca_half_thickness, naca_symmetric
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="NACA four-digit section properties",
    mapping="Chord fraction from the nose there; ours is positive toward the leading edge",
)

FORMULA = "NACA 4-digit open trailing edge polynomial"
PRINTED = "rounding of the listed figures"


@pytest.mark.parametrize("t", [0.06, 0.12, 0.15, 0.21])
def test_section_properties(t):
    s = naca_symmetric(t)
    centroid = s.x / s.area
    across = s.xx - s.area * centroid**2
    quarter = s.xx - 2 * 0.25 * s.x + 0.25**2 * s.area
    exact_area = 10.0 * (0.2969 * 2 / 3 - 0.1260 / 2 - 0.3516 / 3 + 0.2843 / 4 - 0.1015 / 5)
    rows = [
        ("area/(t c^2)", 0.685083, s.area / t),
        ("centroid x/c", 0.420435, centroid),
        ("second moment across the chord, centroid/(t c^4)", 0.0378196, across / t),
        ("second moment across the chord, quarter chord/(t c^4)", 0.0577201, quarter / t),
        ("second moment about the chord line/(t^3 c^4)", 0.0394075, s.yy / t**3),
    ]
    for quantity, expected, got in rows:
        check(FORMULA, "D", f"t = {t}: {quantity}", expected, got, 1e-5, PRINTED)
    check(FORMULA, "D", f"t = {t}: area against its closed form", exact_area * t, s.area, 1e-12, "rounding")


def test_thickest_place_and_trailing_edge():
    x = np.linspace(0.0, 1.0, 200001)
    half = naca_half_thickness(x, 1.0)
    check(FORMULA, "D", "greatest half thickness/(t c)", 0.500144, float(half.max()), 2e-6, PRINTED)
    check(FORMULA, "D", "at x/c", 0.29983, float(x[half.argmax()]), 1e-4, "flat maximum, five figures")
    check(
        FORMULA,
        "D",
        "trailing edge half thickness/(t c)",
        0.0105,
        float(half[-1]),
        1e-9,
        "exact sum of coefficients",
    )
