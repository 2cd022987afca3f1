"""Hover thrust of a 2-blade rotor of aspect ratio 6: F. X. Caradonna, C. Tung, NASA TM-81232 (1981), legends
figs 3-5.

Status F2 (page scans). NACA 0012, untwisted, R 1.143 m, chord 0.1905 m. C_T comes from blade pressures, not a
balance, and blade-element momentum theory has no finite-blade physics, so it is an upper bound here: ratios
are the test.
"""

import math

from air_data import bias_and_scatter, coefficients, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.section_polar import section_at
from source import About
from table import check

ABOUT = About(
    kind="experiment",
    title="two-blade hover rotor of aspect ratio 6, NASA TM-81232",
    mapping="C_T over rho pi R^2 (Omega R)^2, as ours; half a degree of precone left out",
    uncertainty="None stated in the report; the same pitch at other speeds spreads by 4 %",
    left_out="The report has no torque. Copies in circulation with C_T 0.0044, 0.0074, 0.0110 contradict its "
    "captions and are not used",
)

SOURCE = "Caradonna & Tung, NASA TM-81232"
MEASURED = {5: 0.00213, 8: 0.00459, 12: 0.00796}  # 1250 rpm


def _rotor(rpm, polar=None):
    stations = blade_stations(0.1905, 1.143, [(0.0, 0.1905)], thickness=[(0.0, 0.12)])
    return rotor_air(2, stations, sea_level(), rpm * math.pi / 30.0, polar=polar)


def test_ratios():
    got = {degrees: coefficients(_rotor(1250.0), degrees)[0] for degrees in MEASURED}
    reason = "finite-blade physics missing, much the same at each pitch"
    for high, low in ((12, 8), (8, 5)):
        expected = MEASURED[high] / MEASURED[low]
        check(SOURCE, "F2", f"C_T({high})/C_T({low})", expected, got[high] / got[low], 0.12, reason)


def test_upper_bound():
    """Predicted over measured should lie in 1.00 to 1.40; at 5 degrees it is 1.44: a stated miss."""
    ratios = {
        degrees: coefficients(_rotor(1250.0), degrees)[0] / value for degrees, value in MEASURED.items()
    }
    for degrees in (8, 12):
        reason = "upper bound, 1.00 to 1.40"
        check(
            SOURCE, "F2", f"C_T/measured, {degrees} deg", 1.20, ratios[degrees], 0.20, reason, relative=False
        )
    reason = "STATED MISS: bar 1.40; compressible slope and the mass flux floor add to the usual 1.36"
    check(SOURCE, "F2", "C_T/measured, 5 deg", 1.20, ratios[5], 0.26, reason, relative=False)
    assert ratios[5] > 1.40
    bias, scatter = bias_and_scatter(list(ratios.values()))
    reason = (
        "apart from this program, annular theory with tip loss and a slope of 5.73 is 36, 22 and 22 % high"
    )
    check(SOURCE, "D", "C_T bias", 0.267, bias, 0.10, reason, relative=False)
    check(SOURCE, "D", "C_T scatter", 0.081, scatter, 0.05, reason, relative=False)


def test_speed_does_not_matter_with_one_section():
    """Measured C_T at 8 degrees spreads by 4 per cent from 1250 to 2500 rpm; with a section held fixed ours
    is constant.
    """
    section = section_at(2e6, 0.0, 0.12)
    reference = coefficients(_rotor(1250.0, section), 8)[0]
    for rpm in (1750.0, 2250.0, 2500.0):
        got = coefficients(_rotor(rpm, section), 8)[0]
        check(SOURCE, "D", f"C_T at {rpm:g} rpm over 1250 rpm", 1.0, got / reference, 1e-9, "scaling")
