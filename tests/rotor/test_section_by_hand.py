"""The section polar by hand: each law alone, then lift, drag and moment attached, half separated and stalled.

Laws and their status stand in `section_polar`; what is checked here is that the program says what the laws say.
"""

from dataclasses import replace
from math import cos, log, pi, radians, sin, sqrt

import numpy as np
import pytest

from featherbench.rotor.atmosphere import air_state
from featherbench.rotor.blade_stations import along, blade_stations, departed, rotor_air
from featherbench.rotor.polar_table import full_circle
from featherbench.rotor.section_polar import (
    NO_TABLE,
    Section,
    attached_share,
    attached_weight,
    half_separation,
    lift_slope,
    plate_centre,
    plate_normal,
    profile_drag,
    rotation_normal,
    section_at,
    section_coefficients,
    separated_normal,
    stall_width,
)
from featherbench.rotor.thin_aerofoil import camber_properties
from featherbench.scenario.doubt import Departure

SHARP = Section(5.0, 0.0, -0.01, 0.02, 0.3, 0.004, 0.0, 0.0, NO_TABLE)
"""Lift slope 5, stalls at 0.3 rad within a few thousandths."""


@pytest.mark.parametrize(
    ("angle", "share"),
    [
        (0.0, 1.0),
        (0.3, 0.5),
        (-0.3, 0.5),
        (0.3 - 0.004 * log(3.0), 0.75),
        (0.3 + 0.004 * log(3.0), 0.25),
        (0.6, 0.0),
    ],
)
def test_the_attached_share_is_logistic_in_the_angle(angle, share):
    """Half at the angle of stall, three quarters and one quarter a width times ln 3 before and past it."""
    assert attached_share(angle, SHARP) == pytest.approx(share, abs=1e-9)


def test_kirchhoffs_weight_by_hand():
    """((1 + sqrt f)/2)^2 less a quarter, over three quarters: of f = 1/4 it is (9/16 - 4/16)/(3/4) = 5/12."""
    weights = [attached_weight(share) for share in (0.0, 0.25, 1.0)]
    assert weights == pytest.approx([0.0, 5.0 / 12.0, 1.0])
    wide = Section(5.0, 0.0, 0.0, 0.02, 0.1, 0.05, 0.0, 0.0, NO_TABLE)
    assert attached_share(0.0, wide) == pytest.approx(1.0)  # whole at zero however wide the stall


def test_the_plate_by_hand():
    """c_n = 1.8 across the flow; at 30 deg 1.8 x 0.5/(0.56 + 0.22) = 1.1538, and Rayleigh's centre lies at
    0.5 - 0.75 x 0.86603/(4 + pi/2) = 0.38341.
    """
    assert plate_normal(1.0) == pytest.approx(1.8)
    assert plate_normal(0.5) == pytest.approx(1.153846, rel=1e-6)
    assert plate_normal(-0.5) == -plate_normal(0.5)
    assert plate_centre(0.5, sqrt(0.75)) == pytest.approx(0.383406, abs=1e-6)
    assert plate_centre(-0.5, sqrt(0.75)) == plate_centre(0.5, sqrt(0.75))
    turning = SHARP._replace(delay=0.06)
    # 5 x 0.06 = 0.3, at 60 deg a quarter of it
    assert rotation_normal(sin(pi / 3.0), 0.5, turning) == pytest.approx(0.075)
    assert rotation_normal(-sin(pi / 3.0), 0.5, turning) == pytest.approx(-0.075)


def test_the_separated_share_of_the_normal_force_by_hand():
    """At 30 deg, far past a stall of 0.3 rad, all of the plate's 1.153846 and what rotation adds: 5 x 0.06 x 0.75; at
    half separation (w = ((1 + sqrt 0.5)^2/4 - 1/4)/(3/4) = 0.638071) 0.361929 of the plate's at 0.3 rad.
    """
    turning = SHARP._replace(delay=0.06)
    assert separated_normal(pi / 6.0, turning) == pytest.approx(1.153846 + 0.225, rel=1e-6)
    assert separated_normal(-pi / 6.0, turning) == pytest.approx(-1.153846 - 0.225, rel=1e-6)
    half = 1.8 * sin(0.3) / (0.56 + 0.44 * sin(0.3))
    assert separated_normal(0.3, SHARP) == pytest.approx(0.361929 * half, rel=1e-5)
    assert separated_normal(0.1, SHARP) == pytest.approx(0.0, abs=1e-9)
    assert separated_normal(1.0, SHARP._replace(tabulated=1.0)) == 0.0


def test_attached_flow_by_hand():
    """At 0.1 rad: normal force 5 sin = 0.499167, suction 0.95 x 5 sin^2 = 0.047342 along the chord, drag 0.02 beside.

    c_l = 0.499167 cos + 0.047342 sin = 0.501400; c_d = 0.02 + 0.499167 sin - 0.047342 cos = 0.022728.
    """
    lift, drag, moment = section_coefficients(0.1, SHARP)
    assert (lift, drag, moment) == pytest.approx((0.501400, 0.022728, -0.01), abs=1e-6)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_stalled_flow_by_hand(side):
    """At 40 deg of a section that stalls at 0.3 rad: the plate, and rotation's share on it, at Rayleigh's centre.

    sin 0.642788, cos 0.766044: plate 1.8 x 0.642788/0.842827 = 1.372782; delay 0.06 gives 0.3 cos^2 = 0.176047;
    together 1.548829 at 0.5 - 0.574533/6.019377 = 0.404553 chord, 0.154553 behind the quarter chord.
    """
    turning = SHARP._replace(delay=0.06)
    lift, drag, moment = section_coefficients(side * radians(40.0), turning)
    assert side * lift == pytest.approx(1.548829 * 0.766044, rel=1e-5)
    assert drag == pytest.approx(0.02 + 1.548829 * 0.642788, rel=1e-5)
    assert side * moment == pytest.approx(-1.548829 * 0.154553, rel=1e-5)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_cambered_section_half_separated_by_hand(side):
    """f = 1/2 where the angle is 0.3 rad from midway between chord line and zero lift (-0.08): 0.26 and -0.34 rad.

    Weight (((1 + 0.707107)/2)^2 - 1/4)/(3/4) = 0.638071; the centre of pressure 0.04 sin(pi/4) = 0.028284 ahead.
    """
    cambered = SHARP._replace(zero_lift=-0.08)
    alpha = side * 0.3 - 0.04
    lift, drag, moment = section_coefficients(alpha, cambered)
    from_zero = alpha + 0.08
    attached = 0.638071 * 5.0 * sin(from_zero)
    separated = 0.361929 * 1.8 * sin(alpha) / (0.56 + 0.44 * abs(sin(alpha)))
    suction = 0.95 * attached * sin(from_zero)
    by_hand = attached * cos(from_zero) + suction * sin(from_zero) + separated * cos(alpha)
    dragged = 0.02 + attached * sin(from_zero) - suction * cos(from_zero) + separated * sin(alpha)
    assert (lift, drag) == pytest.approx((by_hand, dragged), rel=1e-5)
    behind = 0.25 - 0.75 * cos(alpha) / (4.0 + pi * abs(sin(alpha)))
    ahead = 0.028284 * (lift * cos(alpha) + drag * sin(alpha))
    assert moment == pytest.approx(0.638071 * -0.01 - separated * behind + ahead, rel=3e-4)


def test_lift_slope_by_hand():
    """McCroskey: 0.1025 per degree = 5.8728 at Re 1e6, 0.00485 less a decade below; held at 2e4, 5e6 and Mach 0.7."""
    per_degree = 180.0 / pi
    assert lift_slope(1e6) == pytest.approx(0.1025 * per_degree)
    assert lift_slope(1e5) == pytest.approx(0.09765 * per_degree)
    assert lift_slope(1e3) == lift_slope(2e4) < lift_slope(3e4)
    assert lift_slope(4e6) < lift_slope(5e6) == lift_slope(5e7)
    assert lift_slope(1e6, -0.6) == pytest.approx(lift_slope(1e6) / 0.8)
    assert lift_slope(1e6, 0.9) == lift_slope(1e6, 0.7) == pytest.approx(lift_slope(1e6) / sqrt(0.51))


PRINTED_DRAG = {
    2.0e4: 0.0265, 4.0e4: 0.0196, 8.0e4: 0.0147, 1.6e5: 0.0116, 3.6e5: 0.0091, 7.0e5: 0.0077, 1.0e6: 0.0074,
    2.0e6: 0.0070,
}  # fmt: skip
"""NACA 0015 at zero lift, SAND80-2114 (1981), FOUND-2."""


def test_profile_drag_is_the_printed_one_and_thinner_sections_have_less():
    """The NACA 0012 of the same report has 0.876 of it, 0.124 less for 0.03 of thickness; held from 0.06 to 0.21."""
    for reynolds, printed in PRINTED_DRAG.items():
        assert profile_drag(reynolds, 0.15) == pytest.approx(printed, rel=1e-9)
        assert profile_drag(reynolds, 0.12) == pytest.approx(0.876 * printed, rel=1e-9)
    assert profile_drag(sqrt(1.6e5 * 3.6e5), 0.15) == pytest.approx(
        sqrt(0.0116 * 0.0091)
    )  # straight in logarithms
    assert profile_drag(1e3, 0.15) == pytest.approx(0.0265)
    for thickness, share in ((0.21, 1.248), (0.30, 1.248), (0.06, 0.628), (0.02, 0.628)):
        assert profile_drag(1e6, thickness) == pytest.approx(share * 0.0074)


def test_the_stall_is_where_the_printed_lift_says():
    """Kirchhoff read backwards, f = (2 sqrt(c_l/(slope alpha)) - 1)^2: half separated where f = 1/2.

    At Re 3.6e5 c_l 0.9285 at 12 deg of slope 6.30: sqrt(0.9285/1.3195) = 0.8389, f = 0.4593, so 11.72 + 1.64 ln(f/(1 -
    f)) back: 11.73 deg. At 1.6e5 0.8322 at 10 deg: f = 0.5453, 10.23 deg with the width of 1.37.
    """
    for reynolds, degrees, lift, half in ((1.6e5, 10, 0.8322, 10.23), (3.6e5, 12, 0.9285, 11.72)):
        share = (2.0 * sqrt(lift / (6.30 * radians(degrees))) - 1.0) ** 2
        width = np.degrees(stall_width(reynolds))
        assert degrees - width * log((1.0 - share) / share) == pytest.approx(half, abs=0.06)
        assert np.degrees(half_separation(reynolds)) == pytest.approx(half, abs=0.02)
    rising = [1e4, 1.6e5, 3.6e5, 7e5, 1e6, 2e6, 9e6]
    for law, low, high in ((half_separation, 10.23, 14.75), (stall_width, 1.37, 2.25)):
        degrees = [np.degrees(law(reynolds)) for reynolds in rising]
        assert (
            degrees[0] == pytest.approx(degrees[1]) == pytest.approx(low)
        )  # held where tests show no collapse
        assert degrees[-1] == pytest.approx(degrees[-2]) == pytest.approx(high)
        assert np.all(np.diff(degrees[1:-1]) > 0.08)
        steps = np.diff(degrees[1:-1]) / np.diff(np.log(rising[1:-1]))
        assert steps.max() < 4.0 * steps.min()  # no figure out of line with its neighbours


def test_a_section_holds_what_belongs_to_its_own_reynolds_and_mach_number():
    section = section_at(1.2e5, 0.4, 0.10, -0.03, -0.02)
    stall = (half_separation(1.2e5), stall_width(1.2e5))
    own = (lift_slope(1.2e5, 0.4), -0.03, -0.02, profile_drag(1.2e5, 0.10), *stall, 0.0)
    assert section[:7] == pytest.approx(own)
    assert section.tabulated == 0.0


def test_a_polar_goes_over_to_the_default_section_as_it_is_said():
    """10 deg past its end 1/e of the difference at the end is left; its drag never falls below its own least."""
    angles = np.radians([-8.0, 0.0, 8.0])
    rows = np.column_stack([angles, [-0.9, 0.0, 0.9], [0.05, 0.04, 0.05], [0.02, 0.0, -0.02]])
    own, beyond = full_circle(rows, 3e5, 0.10), section_at(3e5, 0.0, 0.10)
    at_end, default_end = (np.array(section_coefficients(radians(8.0), one)) for one in (own, beyond))
    further, default = (np.array(section_coefficients(radians(18.0), one)) for one in (own, beyond))
    assert at_end == pytest.approx((0.9, 0.05, -0.02))
    assert further[[0, 2]] == pytest.approx((default + (at_end - default_end) / np.e)[[0, 2]], rel=1e-6)
    mirrored = np.array(section_coefficients(radians(-18.0), own))
    assert mirrored == pytest.approx(further * [-1.0, 1.0, -1.0])
    assert section_coefficients(radians(-4.2), own) == pytest.approx((-0.4725, 0.04525, 0.0105))
    around = np.radians(np.arange(-180.0, 180.5, 0.5))
    assert min(section_coefficients(float(one), own)[1] for one in around) == pytest.approx(0.04)
    assert section_coefficients(pi, own) == pytest.approx(section_coefficients(pi - 1e-9, own), abs=1e-6)
    assert section_coefficients(radians(4.2), own) == pytest.approx((0.4725, 0.04525, -0.0105))


def test_a_parabolic_mean_line_by_hand():
    """z = 4 f x (1 - x): zero lift at -2 f rad, moment -pi f about the quarter chord (Glauert 1926, MEM)."""
    x = np.linspace(0.0, 1.0, 4001)
    for f in (0.02, -0.03):
        zero_lift, moment = camber_properties(x, 4.0 * f * x * (1.0 - x))
        assert zero_lift == pytest.approx(-2.0 * f, rel=1e-3)
        assert moment == pytest.approx(-pi * f, rel=1e-3)


# -- the blade in annuli ---------------------------------------------------------------------------------


def test_a_blade_in_annuli_by_hand():
    """40 to 120 mm in 40 annuli of 2 mm, the first about 41 mm; rows in any order, constant beyond their ends."""
    blade = blade_stations(
        0.04, 0.12, [(0.10, 0.020), (0.06, 0.030)], axis_at=0.40, twist=[(0.04, 0.2), (0.12, 0.0)],
        thickness=[(0.0, 0.1)],
    )  # fmt: skip
    assert blade.width == pytest.approx(np.full(40, 0.002))
    assert blade.radius[[0, -1]] == pytest.approx([0.041, 0.119])
    assert blade.chord[[0, 20, -1]] == pytest.approx([0.030, 0.02475, 0.020])
    assert blade.quarter_chord == pytest.approx(0.15 * blade.chord)
    assert blade.twist[[0, -1]] == pytest.approx([0.1975, 0.0025])
    assert blade.thickness == pytest.approx(0.1)
    assert along([(2.0, 5.0), (1.0, 3.0)], np.array([0.0, 1.5, 9.0])) == pytest.approx([3.0, 4.0, 5.0])
    assert blade_stations(0.04, 0.12, [(0.0, 0.02)], annuli=30).radius.size == 30
    with pytest.raises(ValueError, match="outside"):
        blade_stations(0.04, 0.04, [(0.0, 0.02)])


AIR = air_state(1.2, None, 288.15)


def test_each_annulus_has_its_own_section_and_delay():
    """At 900 rad/s and 80 mm: 72 m/s, of a chord of 20 mm in 1.2 kg/m^3 Re = 72 x 0.02 x 1.2/1.7894e-5 = 9.66e4.

    c/r = 0.25: gradient (0.1517/0.25)^(1/1.084) = 0.6308, factor 0.6308 x 0.25/0.136 = 1.1595.
    """
    blade = blade_stations(0.0395, 0.1195, [(0.0, 0.020)], annuli=80)
    rotor = rotor_air(3, blade, AIR, 900.0, zero_lift=-0.02, moment=-0.015)
    middle = 40
    assert blade.radius[middle] == pytest.approx(0.080)
    row = rotor.sections[middle]
    default = section_at(72.0 * 0.02 * 1.2 / 1.7894e-5, 72.0 / 340.29, 0.12, -0.02, -0.015)
    assert row[:4] == pytest.approx(default[:4], rel=1e-4)
    assert row[4] == pytest.approx(1.1595 * default.stall, rel=1e-4)
    assert row[6] == pytest.approx(0.1595 * default.stall, rel=1e-3)
    assert rotor.solidity == pytest.approx(3 * 0.020 / (pi * 0.1195))
    assert (rotor.blades, rotor.tip, rotor.floor, rotor.tabulated) == (3.0, 0.1195, 0.007, 0.0)
    for spin in (0.0, -5.0):
        with pytest.raises(ValueError, match="positive"):
            rotor_air(3, blade, AIR, spin)


def test_a_departure_moves_stall_and_drag_of_the_default_section_only():
    blade = blade_stations(0.04, 0.12, [(0.0, 0.020)])
    rotor = rotor_air(2, blade, AIR, 900.0)
    moved = departed(rotor, Departure(air_stall=0.02, profile_drag=0.25))
    change = moved.sections - rotor.sections
    assert change[:, 4] == pytest.approx(0.02)
    assert change[:, 6] == pytest.approx(0.02)
    assert moved.sections[:, 3] == pytest.approx(1.25 * rotor.sections[:, 3])
    assert change[:, [0, 1, 2, 5]] == pytest.approx(0.0)
    assert departed(rotor, Departure(air_stall=0.02)).sections[:, 3] == pytest.approx(rotor.sections[:, 3])
    assert departed(rotor, Departure(profile_drag=0.1)).sections[:, 3] == pytest.approx(
        1.1 * rotor.sections[:, 3]
    )
    assert departed(rotor, Departure()) is rotor
    tabulated = replace(rotor, tabulated=1.0)
    assert departed(tabulated, Departure(air_stall=0.02)) is tabulated
