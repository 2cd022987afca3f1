"""Conversion factors against NIST SP 811 (Appendix B) and scipy.constants.

SP 811 rows are FOUND-2: read in unit tables based on it. scipy.constants rows are RAN. Model-trade
"oz-in" of torque means ounce-force inch and "kg" of torque kilogram-force centimetre (common practice, no
source).
"""

import pytest
from scipy import constants

from featherbench import quantities
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="NIST SP 811 conversion factors",
    uncertainty="Seven printed figures",
)

SP_811 = [
    ("1 ozf", "force", 0.2780139),
    ("1 ozf*inch", "moment", 7.061552e-3),
    ("1 lbf*inch", "moment", 0.1129848),
    ("1 lbf*ft", "moment", 1.355818),
    ("1 lbf", "force", 4.448222),
]
EXACT = [
    ("1 lbf", "force", 4.4482216152605),
    ("1 lbf", "force", constants.lbf),
    ("1 inch", "length", constants.inch),
    ("1 inch", "length", 0.0254),
    ("1 kgf*cm", "moment", constants.kgf * constants.centi),
    ("1 kgf*cm", "moment", 0.0980665),
    ("1 oz", "mass", constants.oz),
    ("1 lb", "mass", constants.lb),
    ("1 ozf", "force", constants.oz * constants.g),
    ("1 ozf*inch", "moment", constants.oz * constants.g * constants.inch),
    ("1 deg", "angle", constants.degree),
    ("1 rpm", "rotation", 2.0 * constants.pi / constants.minute),
    ("0 degC", "temperature", constants.zero_Celsius),
]


@pytest.mark.parametrize(("text", "kind", "expected"), SP_811)
def test_sp_811(text, kind, expected):
    got = quantities.parse(text, kind).value
    check("NIST SP 811, Appendix B", "FOUND-2", text, expected, got, 1e-6, "seven printed digits")


@pytest.mark.parametrize(("text", "kind", "expected"), EXACT)
def test_scipy_constants(text, kind, expected):
    got = quantities.parse(text, kind).value
    check("scipy.constants", "RAN", text, expected, got, 1e-12, "rounding")


def test_kilogram_force_centimetre_in_ounce_force_inches():
    value = quantities.parse("1 kgf*cm", "moment").value
    got, unit = quantities.shown(value, "moment", "trade")
    assert "ozf" in unit
    check(
        "scipy.constants, pint 0.25.3", "RAN", "1 kgf cm in ozf inch", 13.88739, got, 1e-6, "printed digits"
    )


def test_ounce_of_mass_in_grams():
    got = 1e3 * quantities.parse("1 oz", "mass").value
    check("scipy.constants", "RAN", "1 oz in g", 28.34952, got, 1e-6, "printed digits")
