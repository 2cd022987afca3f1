"""Static thrust and power of small propellers of our size and Reynolds number.

Status F: J. B. Brandt, R. W. Deters, G. K. Ananda, O. D. Dantsker, M. S. Selig, UIUC Propeller Database,
volume 2; R. W. Deters, G. K. Ananda, M. S. Selig, AIAA 2014-2151 (2014). Three rows of each static test and
the blade shapes are typed in. Diameter 0.2286 m, section SDA1075 (cambered, 12 per cent thick), Reynolds
number 25 000 to 90 000 at 0.75 R.

Four like blades of pitch 2.85 to 8.95 inch stand for a sweep of collective. Twist adds 30 degrees at the
root, so much of each blade is stalled in still air, more than on an untwisted tail rotor blade. Our section
has the stall of a symmetric one, delayed by rotation, and its camber from thin-aerofoil theory. This set was
looked at before the stall was held below Reynolds 1.6e5 (see `section_polar`) and before the published law of
`stall_delay` was taken in, so it is no blind test of either: without the delay the thrust of the two steepest
came 18 to 32 per cent low, with the report's own low-Reynolds stall 12 to 37.
"""

import math

import numpy as np
import pytest

from air_data import bias_and_scatter, data_folder, hold, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.rotor_loads import rotor_loads
from featherbench.rotor.thin_aerofoil import camber_properties
from featherbench.sections.outline import greatest_thickness, mean_line, read_outline
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="small propellers at rest",
    mapping="C_T of propellers is over n^2 D^4: turned into ours",
    uncertainty="None stated with the tables",
    left_out="Other rows of each static test; forward flight",
)

SOURCE = "UIUC propeller database vol. 2, static"
RADIUS = 0.1143
# of SDA1075, from its coordinates by thin-aerofoil theory (DER)
THICKNESS, ZERO_LIFT, MOMENT = 0.120, math.radians(-1.479), -0.0260
STATIONS = (
    0.15,
    0.20,
    0.25,
    0.30,
    0.35,
    0.40,
    0.45,
    0.50,
    0.55,
    0.60,
    0.65,
    0.70,
    0.75,
    0.80,
    0.85,
    0.90,
    0.95,
    1.00,
)
# c/R and twist in degrees at STATIONS
BLADES = {
    "DA4002 9x2.85": (
        (
            0.1248,
            0.1147,
            0.1462,
            0.1705,
            0.1789,
            0.1798,
            0.1801,
            0.1817,
            0.1821,
            0.1814,
            0.1815,
            0.1814,
            0.1807,
            0.1805,
            0.1810,
            0.1814,
            0.1611,
            0.0514,
        ),
        (
            43.320,
            38.634,
            31.915,
            28.052,
            24.658,
            21.238,
            18.602,
            16.694,
            14.984,
            13.469,
            12.289,
            11.332,
            10.539,
            9.863,
            9.245,
            8.712,
            7.302,
            1.192,
        ),
    ),
    "DA4002 9x4.76": (
        (
            0.1253,
            0.1158,
            0.1478,
            0.1731,
            0.1803,
            0.1801,
            0.1799,
            0.1808,
            0.1815,
            0.1812,
            0.1812,
            0.1811,
            0.1808,
            0.1813,
            0.1815,
            0.1812,
            0.1493,
            0.0045,
        ),
        (
            44.221,
            41.639,
            36.819,
            33.254,
            30.176,
            26.971,
            24.301,
            22.390,
            20.638,
            19.079,
            17.795,
            16.653,
            15.719,
            14.945,
            14.224,
            13.675,
            11.870,
            8.130,
        ),
    ),
    "DA4002 9x6.75": (
        (
            0.1198,
            0.1128,
            0.1436,
            0.1689,
            0.1775,
            0.1782,
            0.1773,
            0.1782,
            0.1790,
            0.1787,
            0.1787,
            0.1786,
            0.1785,
            0.1790,
            0.1792,
            0.1792,
            0.1692,
            0.0154,
        ),
        (
            42.481,
            44.647,
            41.154,
            37.475,
            34.027,
            30.549,
            27.875,
            25.831,
            23.996,
            22.396,
            21.009,
            19.814,
            18.786,
            17.957,
            17.245,
            16.657,
            13.973,
            2.117,
        ),
    ),
    "DA4002 9x8.95": (
        (
            0.1237,
            0.1156,
            0.1465,
            0.1702,
            0.1791,
            0.1791,
            0.1786,
            0.1797,
            0.1803,
            0.1800,
            0.1801,
            0.1795,
            0.1795,
            0.1803,
            0.1803,
            0.1805,
            0.1584,
            0.0220,
        ),
        (
            46.133,
            47.135,
            45.275,
            42.641,
            39.111,
            35.616,
            32.962,
            30.955,
            29.208,
            27.606,
            26.251,
            25.061,
            24.011,
            23.191,
            22.464,
            21.779,
            18.976,
            5.306,
        ),
    ),
    "DA4022 9x6.75": (
        (
            0.1193,
            0.1286,
            0.1828,
            0.2233,
            0.2332,
            0.2301,
            0.2288,
            0.2302,
            0.2310,
            0.2304,
            0.2299,
            0.2300,
            0.2301,
            0.2303,
            0.2307,
            0.2308,
            0.2179,
            0.0282,
        ),
        (
            42.796,
            44.686,
            40.682,
            37.035,
            33.643,
            30.338,
            27.662,
            25.566,
            23.829,
            22.353,
            21.112,
            20.013,
            18.971,
            18.002,
            17.117,
            16.205,
            12.840,
            6.329,
        ),
    ),
}
# propeller, blades: (rpm, C_T, C_P) of the static test, C_T = T/(rho n^2 D^4), C_P = P/(rho n^3 D^5)
STATIC = {
    ("DA4002 9x2.85", 2): [
        (1970.0, 0.078056, 0.036060),
        (3700.0, 0.080094, 0.032748),
        (5203.3, 0.082223, 0.032343),
    ],
    ("DA4002 9x4.76", 2): [
        (2006.7, 0.105353, 0.054682),
        (3683.3, 0.108939, 0.051720),
        (5193.3, 0.112862, 0.050751),
    ],
    ("DA4002 9x6.75", 2): [
        (2053.3, 0.129033, 0.087836),
        (3743.3, 0.134311, 0.083174),
        (5186.7, 0.138747, 0.079026),
    ],
    ("DA4002 9x8.95", 2): [
        (1970.0, 0.145743, 0.130253),
        (3673.3, 0.150087, 0.123997),
        (5180.0, 0.151425, 0.120956),
    ],
    ("DA4022 9x6.75", 2): [
        (1953.3, 0.146078, 0.083298),
        (3710.0, 0.147485, 0.076383),
        (5183.3, 0.153229, 0.078077),
    ],
    ("DA4022 9x6.75", 3): [
        (2122.2, 0.200055, 0.118555),
        (3697.8, 0.201415, 0.112750),
        (5193.3, 0.207191, 0.114618),
    ],
}


def rotor(name, blades, rpm):
    """One propeller, as a rotor whose pitch is all in its twist."""
    chord, twist = BLADES[name]
    stations = blade_stations(
        STATIONS[0] * RADIUS,
        RADIUS,
        [(x * RADIUS, c * RADIUS) for x, c in zip(STATIONS, chord, strict=True)],
        twist=[(x * RADIUS, math.radians(t)) for x, t in zip(STATIONS, twist, strict=True)],
        thickness=[(0.0, THICKNESS)],
    )
    return rotor_air(blades, stations, sea_level(), rpm * math.pi / 30.0, zero_lift=ZERO_LIFT, moment=MOMENT)


def _predicted(name, blades, rpm):
    propeller = rotor(name, blades, rpm)
    loads, turns, diameter = rotor_loads(propeller, 0.0), rpm / 60.0, 2.0 * RADIUS
    density = propeller.air.density
    return loads.thrust / (density * turns**2 * diameter**4), loads.power / (density * turns**3 * diameter**5)


def _ratios(keys, which):
    return [_predicted(*key, row[0])[which] / row[1 + which] for key in keys for row in STATIC[key]]


def _book(keys, quantity, bars, allowed, reason):
    """Every point of those propellers: thrust and power, each with its bar, what is allowed, and why."""
    for name, blades in keys:
        for rpm, *measured in STATIC[name, blades]:
            got = _predicted(name, blades, rpm)
            for which, coefficient in enumerate(("C_T", "C_P")):
                case = f"{coefficient}, {name}, {blades} blades, {rpm:.0f} rpm"
                of = f"small propellers' {('thrust', 'power')[which]}, {quantity}"
                more = {"quantity": of, "bar": bars[which]}
                check(SOURCE, "F", case, measured[which], got[which], allowed[which], reason[which], **more)


def test_thrust_and_power_at_the_pitches_of_a_tail_rotor():
    """The two lower pitches (10 and 16 degrees at 0.75 R): mostly unstalled."""
    keys = [("DA4002 9x2.85", 2), ("DA4002 9x4.76", 2)]
    reason = ("bar 8 %", "bar 10 %; drag at Re below 1e5 is too small")
    _book(keys, "unstalled", (0.08, 0.10), (0.10, 0.20), reason)
    hold(_ratios(keys, 0), 0.06, 0.05)
    assert hold(_ratios(keys, 1), 0.12, 0.09) < -0.04


def test_stalled_blades():
    """The two higher pitches (19 and 24 degrees at 0.75 R): deeper in stall by us than in the test, delay or not."""
    keys = [("DA4002 9x6.75", 2), ("DA4002 9x8.95", 2)]
    reason = ("bar 8 %; the section's own stall is later than a symmetric one's", "bar 10 %; as its thrust")
    _book(keys, "stalled", (0.08, 0.10), (0.18, 0.22), reason)
    assert hold(_ratios(keys, 0), 0.13, 0.06) < -0.05
    assert abs(bias_and_scatter(_ratios(keys, 1))[0]) <= 0.16


def test_all_of_them_together():
    """18 points from 10 to 24 degrees at 0.75 R: within 4 per cent of bias in thrust, a tenth of scatter."""
    hold(_ratios(STATIC, 0), 0.04, 0.10)
    hold(_ratios(STATIC, 1), 0.06, 0.12)


def test_broad_blades():
    """A third more chord, at 19 degrees: less stalled, by the higher Reynolds number and solidity."""
    keys = [("DA4022 9x6.75", 2), ("DA4022 9x6.75", 3)]
    reason = ("bar 8 %; no finite-span theory in ours", "bar 10 %; as its thrust")
    _book(keys, "broad blades", (0.08, 0.10), (0.14, 0.14), reason)


def test_thrust_rises_with_pitch():
    names = ["DA4002 9x2.85", "DA4002 9x4.76", "DA4002 9x6.75"]
    thrusts = [_predicted(name, 2, 5200.0)[0] for name in names]
    assert thrusts == sorted(thrusts)
    more = {"quantity": "small propellers' thrust, stalled", "repeats": True}
    measured = STATIC[names[1], 2][-1][1] / STATIC[names[0], 2][-1][1]
    got = thrusts[1] / thrusts[0]
    check(SOURCE, "F", "C_T(9x4.76)/C_T(9x2.85)", measured, got, 0.05, "mostly unstalled", **more)
    measured = STATIC[names[2], 2][-1][1] / STATIC[names[1], 2][-1][1]
    reason = "MISS: 12 per cent low, the section stalls too early"
    got = thrusts[2] / thrusts[1]
    check(SOURCE, "F", "C_T(9x6.75)/C_T(9x4.76)", measured, got, 0.14, reason, **more)


def test_blade_count_ratio():
    """3 over 2 blades of the same shape at one speed. The bar is 5 per cent; the two-blade rotor is the more
    stalled.
    """
    two = STATIC["DA4022 9x6.75", 2]
    three = STATIC["DA4022 9x6.75", 3]
    more = {"quantity": "small propellers' thrust, broad blades", "repeats": True}
    for (rpm_two, thrust_two, _), (rpm_three, thrust_three, _) in zip(two[1:], three[1:], strict=True):
        expected = thrust_three / thrust_two
        got = _predicted("DA4022 9x6.75", 3, rpm_three)[0] / _predicted("DA4022 9x6.75", 2, rpm_two)[0]
        reason = "bar 5 per cent; the two-blade rotor is the more stalled"
        case = f"C_T ratio 3/2 blades, {rpm_two:.0f} rpm"
        check(SOURCE, "F", case, expected, got, 0.05, reason, **more)


def test_section_constants_from_its_coordinates():
    outline = read_outline("SDA1075.dat", data_folder("uiuc_rotors"))
    thickness = greatest_thickness(outline)
    zero_lift, moment = camber_properties(*mean_line(outline))
    check("SDA1075, AIAA 2014-2151 table 4", "DER", "thickness", THICKNESS, thickness, 2e-3, "digits")
    check("SDA1075, AIAA 2014-2151 table 4", "DER", "zero lift, rad", ZERO_LIFT, zero_lift, 2e-3, "digits")
    check("SDA1075, AIAA 2014-2151 table 4", "DER", "moment", MOMENT, moment, 2e-3, "digits")


@pytest.mark.parametrize(("camber", "place", "zero_lift", "moment"), [(0.02, 0.4, -2.077, -0.0532)])
def test_thin_aerofoil_theory(camber, place, zero_lift, moment):
    """NACA 2412 in thin-aerofoil theory: -2.08 degrees and -0.053 in textbooks (MEM); digits by quadrature
    (DER).
    """
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, 4001)))
    fore = camber / place**2 * (2.0 * place * x - x**2)
    aft = camber / (1.0 - place) ** 2 * (1.0 - 2.0 * place + 2.0 * place * x - x**2)
    got = camber_properties(x, np.where(x < place, fore, aft))
    source = "Thin-aerofoil theory, NACA 2412"
    angle = math.degrees(got[0])
    check(source, "MEM", "zero lift, deg", zero_lift, angle, 2e-3, "digits", kind="standard")
    check(source, "MEM", "moment", moment, got[1], 3e-3, "digits", kind="standard")
