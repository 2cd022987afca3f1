"""Hover thrust of a 2-blade rotor of aspect ratio 6: F. X. Caradonna, C. Tung, NASA TM-81232 (1981), legends
figs 3-5.

Status F2 (page scans). NACA 0012, untwisted, R 1.143 m, chord 0.1905 m. C_T comes from blade pressures, not a
balance, and blade-element momentum theory has no finite-blade physics, so it is an upper bound here: ratios
are the test, and every point counts in the summary.
"""

import math

from air_data import bias_and_scatter, coefficients, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.section_polar import section_at
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="two-blade hover rotor of aspect ratio 6, NASA TM-81232",
    mapping="C_T over rho pi R^2 (Omega R)^2, as ours; half a degree of precone left out",
    uncertainty="None stated in the report; the same pitch at other speeds spreads by 4 %",
    quantity="hover thrust of broad blades",
    left_out="The report has no torque. A third speed at 5 degrees is printed 0.0200, plainly 0.00200. "
    "Copies in circulation with C_T 0.0044, 0.0074, 0.0110 contradict its "
    "captions and are not used",
)

SOURCE = "Caradonna & Tung, NASA TM-81232"
MEASURED = {  # degrees: rpm: C_T
    5: {1250: 0.00213, 1750: 0.00218},
    8: {1250: 0.00459, 1750: 0.00455, 2250: 0.00462, 2500: 0.00473},
    12: {1250: 0.00796, 1750: 0.00807, 2279: 0.00792},
}


def _rotor(rpm, polar=None):
    stations = blade_stations(0.1905, 1.143, [(0.0, 0.1905)], thickness=[(0.0, 0.12)])
    return rotor_air(2, stations, sea_level(), rpm * math.pi / 30.0, polar=polar)


def test_ratios():
    got = {degrees: coefficients(_rotor(1250.0), degrees)[0] for degrees in MEASURED}
    reason = "finite-blade physics missing, much the same at each pitch"
    for high, low in ((12, 8), (8, 5)):
        expected = MEASURED[high][1250] / MEASURED[low][1250]
        case = f"C_T({high})/C_T({low})"
        check(SOURCE, "F2", case, expected, got[high] / got[low], 0.12, reason, repeats=True)


def test_upper_bound():
    """Predicted over measured should lie in 1.00 to 1.40 at 1250 rpm; at 5 degrees it is 1.44. High at every point."""
    for degrees, speeds in MEASURED.items():
        for rpm, value in speeds.items():
            got = coefficients(_rotor(rpm), degrees)[0]
            reason = (
                "bar 40 % high: no finite-blade physics; the slope grows with speed in ours, hardly in theirs"
            )
            check(SOURCE, "F2", f"C_T, {degrees} deg, {rpm} rpm", value, got, 0.46, reason, bar=0.40)
            assert got > value
    ratios = [coefficients(_rotor(1250.0), degrees)[0] / speeds[1250] for degrees, speeds in MEASURED.items()]
    assert 1.40 < ratios[0] < 1.46
    assert max(ratios[1:]) < 1.40
    # apart from this program, annular theory with tip loss and a slope of 5.73 is 36, 22 and 22 % high
    bias, scatter = bias_and_scatter(ratios)
    assert abs(bias - 0.267) <= 0.10
    assert abs(scatter - 0.081) <= 0.05


def test_speed_does_not_matter_with_one_section():
    """Measured C_T at 8 degrees spreads by 4 per cent from 1250 to 2500 rpm; with a section held fixed ours
    is constant.
    """
    section = section_at(2e6, 0.0, 0.12)
    reference = coefficients(_rotor(1250.0, section), 8)[0]
    for rpm in (1750.0, 2250.0, 2500.0):
        got = coefficients(_rotor(rpm, section), 8)[0]
        check(SOURCE, "D", f"C_T at {rpm:g} rpm over 1250 rpm", 1.0, got / reference, 1e-9, "scaling")
