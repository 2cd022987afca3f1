"""The default section polar against Sheldahl & Klimas, SAND80-2114 (1981), NACA 0015 and 0012.

FOUND-2: NACA 0015 lift and drag as kept with a public wind-turbine code; NACA 0012 quarter-chord moments
(measured, Re 3.6e5 and up) from cyberiad.net/library/airfoils/foildata/n0012cm.htm, those of the NACA 0021 from
n0021cm.htm there. Drag at zero lift and the
place of stall are taken from this report, so those rows show how well our law carries it; lift past stall and
the moments are not fitted.
"""

import math

import numpy as np
import pytest

from featherbench.rotor.section_polar import section_at, section_coefficients
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="section data, SAND80-2114",
    uncertainty="None stated; the moments scatter by 0.02 among themselves, "
    "lift past stall differs between tunnels by tenths",
    left_out="Points past 25 degrees other than five of deep stall",
)

SOURCE = "Sheldahl & Klimas, SAND80-2114"
LIFT_LINE, DRAG = "section lift and slope up to the stall", "section drag"
STALLED = {"relative": False, "absolute": True, "quantity": "section lift past the stall, c_l"}

# NACA 0015: degrees, then c_l at Re 1.6e5 and 3.6e5
LIFT = {
    4: (0.4400, 0.4400),
    6: (0.6299, 0.6600),
    8: (0.7851, 0.8240),
    10: (0.8322, 0.9440),
    11: (0.7623, 0.9572),
    12: (0.5936, 0.9285),
    14: (0.2371, 0.7483),
    16: (0.2665, 0.5384),
    20: (0.4575, 0.5247),
    25: (0.7224, 0.7511),
}
DEEP = {
    30: (0.8550, 0.5700),
    45: (1.0500, 1.0750),
    60: (0.8750, 1.4700),
    90: (0.0900, 1.8000),
    120: (-0.67, 1.465),
}  # NACA 0012 at Re 3.6e5, 5e5, 7e5: c_m about the quarter chord, tests
MOMENT = {
    0: (0.0, 0.0, 0.0),
    2: (-0.010, -0.005, 0.007),
    4: (-0.022, -0.010, 0.008),
    6: (-0.012, 0.006, 0.003),
    8: (0.021, 0.022, 0.016),
    10: (0.026, 0.037, 0.030),
    11: (0.012, 0.040, 0.034),
    12: (-0.050, -0.021, -0.022),
    13: (-0.059, -0.050, -0.050),
    14: (-0.079, -0.061, -0.060),
    15: (-0.081, -0.068, -0.061),
    16: (-0.088, -0.062, -0.064),
    17: (-0.083, -0.070, -0.070),
    18: (-0.075, -0.081, -0.076),
    20: (-0.081, -0.063, -0.067),
}
# NACA 0021 at Re 3.6e5, 5e5, 6.8e5, past its stall: the same plate, so to say
THICK_MOMENT = {
    20: (-0.060, -0.060, -0.025),
    22: (-0.066, -0.062, -0.040),
    25: (-0.075, -0.065, -0.060),
    27: (-0.0782, -0.095, -0.100),
    30: (-0.080, -0.110, -0.130),
    35: (-0.080, -0.125, -0.140),
}


@pytest.mark.parametrize(("column", "reynolds", "greatest"), [(0, 1.6e5, 0.8322), (1, 3.6e5, 0.9572)])
def test_lift_up_to_the_stall(column, reynolds, greatest):
    """The greatest lift follows from Kirchhoff's flow, of which only the place of stall is the report's."""
    section = section_at(reynolds, 0.0, 0.15)
    angles = np.radians(np.arange(0.0, 15.0, 0.1))
    got = max(section_coefficients(float(angle), section)[0] for angle in angles)
    case = f"greatest c_l of NACA 0015 at Re {reynolds:g}"
    check(SOURCE, "FOUND-2", case, greatest, got, 0.03, "other lift slope", quantity=LIFT_LINE)
    for degrees in (4, 6, 8, 10):
        got = section_coefficients(math.radians(degrees), section)[0]
        reason = "the report's computed slope is the thin-aerofoil 6.30, ours the measured 5.65-5.75"
        case = f"c_l at {degrees} deg, Re {reynolds:g}"
        check(SOURCE, "FOUND-2", case, LIFT[degrees][column], got, 0.12, reason, quantity=LIFT_LINE)


@pytest.mark.parametrize(
    ("column", "reynolds", "low", "high"), [(0, 1.6e5, 0.3, 0.6), (1, 3.6e5, 0.15, 0.40)]
)
def test_drop_past_stall_is_missed(column, reynolds, low, high):
    """The report's lift at Re 1.6e5 falls to 0.24 at 14 degrees and climbs back by 25; ours stays near 0.78.

    The trough belongs to the computed part of the report; a rotating blade is known to stall more gently. At
    Re 3.6e5 the miss is smaller.
    """
    section = section_at(reynolds, 0.0, 0.15)
    over = {}
    for degrees in (11, 12, 14, 16, 20, 25):
        measured = LIFT[degrees][column]
        got = section_coefficients(math.radians(degrees), section)[0]
        over[degrees] = got - measured
        reason = f"bar 0.15 in c_l; up to {high} too high between 12 and 25 deg"
        case = f"c_l at {degrees} deg, Re {reynolds:g}"
        check(SOURCE, "FOUND-2", case, measured, got, high, reason, bar=0.15, **STALLED)
    assert low < max(over[degrees] for degrees in (14, 16, 20)) <= high


@pytest.mark.parametrize("degrees", sorted(DEEP))
def test_deep_stall(degrees):
    section = section_at(3.6e5, 0.0, 0.15)
    lift, drag, _ = section_coefficients(math.radians(degrees), section)
    reason = "plate law; its c_n at 90 deg is the report's"
    check(SOURCE, "FOUND-2", f"c_l at {degrees} deg", DEEP[degrees][0], lift, 0.17, reason, **STALLED)
    more = {"relative": False, "quantity": DRAG}
    check(SOURCE, "FOUND-2", f"c_d at {degrees} deg", DEEP[degrees][1], drag, 0.05, reason, **more)


BANDS = (
    ("attached", (0, 2, 4, 6), 0.02, 0.024, "the tests scatter by 0.03 among themselves"),
    ("before the stall", (8, 10, 11), 0.02, 0.02, "forward shift of the centre of pressure, not fitted"),
    ("at the stall", (12, 13, 14, 15), 0.02, 0.06, "the tests drop at once, ours over three degrees"),
    ("past the stall", (16, 17, 18, 20), 0.02, 0.032, "Rayleigh's centre of pressure, not fitted"),
)


@pytest.mark.parametrize(("band", "angles", "bar", "allowed", "reason"), BANDS, ids=[row[0] for row in BANDS])
def test_moment(band, angles, bar, allowed, reason):
    """c_m about the quarter chord by bands of incidence; nothing was fitted to it."""
    more = {"relative": False, "bar": bar, "absolute": True, "sigma": 0.02}
    more["quantity"] = f"section moment {band}, c_m"
    for column, reynolds in enumerate((3.6e5, 5e5, 7e5)):
        section = section_at(reynolds, 0.0, 0.12)
        for degrees in angles:
            got = section_coefficients(math.radians(degrees), section)[2]
            case = f"c_m at {degrees} deg, Re {reynolds:g}"
            check(
                SOURCE, "FOUND-2", case, MOMENT[degrees][column], got, allowed, f"bar {bar}; {reason}", **more
            )


def test_moment_of_a_stalled_plate():
    """From 20 to 35 degrees the tests have the force further forward than Rayleigh: half of what is doubted is here."""
    more = {"relative": False, "bar": 0.02, "absolute": True, "sigma": 0.02}
    more["quantity"] = "section moment past the stall, c_m"
    at_22 = ((22, "0012", (3.6e5, 5e5), (-0.068, -0.065)),)
    thick = ((angle, "0021", (3.6e5, 5e5, 6.8e5), rows) for angle, rows in THICK_MOMENT.items())
    for degrees, name, numbers, rows in (*at_22, *thick):
        for reynolds, printed in zip(numbers, rows, strict=True):
            section = section_at(reynolds, 0.0, 0.12 if name == "0012" else 0.21)
            got = section_coefficients(math.radians(degrees), section)[2]
            case = f"c_m of NACA {name} at {degrees} deg, Re {reynolds:g}"
            reason = (
                "bar 0.02; MISS, up to 0.10 too far nose down: Rayleigh's centre of pressure, our larger c_n"
            )
            check(SOURCE, "FOUND-2", case, printed, got, 0.105, reason, **more)


def test_moment_about_the_feathering_axis_before_the_stall():
    """About 0.40 of the chord, from the tabulated c_m and our normal force: what the servo feels."""
    more = {"quantity": "moment about 0.40 chord before the stall", "repeats": True}
    for column, reynolds in enumerate((3.6e5, 5e5, 7e5)):
        section = section_at(reynolds, 0.0, 0.12)
        for degrees in (8, 10, 11):
            alpha = math.radians(degrees)
            lift, drag, moment = section_coefficients(alpha, section)
            lever = 0.15 * (lift * math.cos(alpha) + drag * math.sin(alpha))
            case = f"moment about 0.40 c, {degrees} deg, Re {reynolds:g}"
            reason = "an eighth: the tests of three Reynolds numbers differ by as much"
            check(
                SOURCE,
                "FOUND-2",
                case,
                MOMENT[degrees][column] + lever,
                moment + lever,
                0.125,
                reason,
                **more,
            )


def test_profile_drag_at_zero_lift():
    for reynolds, thin, thick in ((1.6e5, 0.0103, 0.0116), (3.6e5, 0.0079, 0.0091), (1e6, 0.0065, 0.0074)):
        for name, thickness, printed in (("0012", 0.12, thin), ("0015", 0.15, thick)):
            got = section_at(reynolds, 0.0, thickness).drag
            case = f"c_d0 NACA {name}, Re {reynolds:g}"
            reason = "one thickness ratio; our drag at zero lift is taken from these"
            check(SOURCE, "FOUND-2", case, printed, got, 0.016, reason, quantity=DRAG)
