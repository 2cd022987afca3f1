"""Hover thrust and torque of 2- to 5-blade rotors: M. Knight, R. A. Hefner, NACA TN 626 (1937), tables I-IV.

FOUND-2, transcriptions whose redundant columns close to 1 per cent (2-4 blades). The report's coefficients
use half the dynamic pressure of ours; the values here are halved already. NACA 0015, untwisted, R 0.762 m,
chord 0.0508 m, aerofoil from r = 0.127 m, 960 rpm, tip Reynolds number 2.4e5.

Two sections: the one the report states (a = 5.75/rad, c_d = 0.0113 + 1.25 alpha^2; the 1.25 also circulates
as 0.75), and our default polar; only the second counts in the summary. Its torque misses its bar of 8 per cent: stated
below, not tuned.
"""

import numpy as np
import pytest

from air_data import coefficients, hold, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.rotor.polar_table import full_circle
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="hover rotors of 2 to 5 blades, NACA TN 626",
    mapping="The report uses half the dynamic pressure of ours: its C_T and C_Q are halved",
    uncertainty="None stated; torque at zero pitch scatters by 25 % between rotors",
    left_out="Nothing",
)

SOURCE = "Knight & Hefner, NACA TN 626"
BLADES = (2, 3, 4, 5)
# degrees: C_T, C_Q for 2, 3, 4, 5 blades
MEASURED = {
    0: (0.0, 0.000054, 0.0, 0.0000925, 0.0, 0.000134, 0.0, 0.000119),
    2: (0.0004365, 0.0000625, 0.000510, 0.000103, 0.000521, 0.000150, 0.0005905, 0.000135),
    4: (0.001240, 0.0000955, 0.001490, 0.000150, 0.001690, 0.000205, 0.001810, 0.000198),
    6: (0.002210, 0.000158, 0.002740, 0.000237, 0.003225, 0.000310, 0.003470, 0.000340),
    8: (0.003250, 0.000247, 0.004165, 0.0003675, 0.004905, 0.000460, 0.005515, 0.000543),
    10: (0.004235, 0.0003455, 0.005625, 0.000524, 0.006910, 0.0006975, 0.007740, 0.0008175),
    12: (0.004950, 0.000439, 0.006850, 0.0006785, 0.008725, 0.000955, 0.010000, 0.001140),
}
THRUST_BAR = {6: 0.15, 8: 0.08, 10: 0.08, 12: 0.12}
TORQUE_BAR = {6: 0.15, 8: 0.08, 10: 0.08, 12: 0.12}
THRUST, LOW_THRUST = "hover thrust, pitch from 6 deg", "hover thrust, pitch below 6 deg"
TORQUE, LOW_TORQUE = "hover torque, pitch from 6 deg", "hover torque, pitch below 6 deg"
WHY = "about twice the mean modelling error; no wake contraction, swirl or root loss"


def _rotor(blades, section):
    stations = blade_stations(0.127, 0.762, [(0.0, 0.0508)], thickness=[(0.0, 0.15)])
    polar = None
    if section == "stated":
        alpha = np.radians(np.arange(-20.0, 20.5, 0.5))
        rows = np.column_stack([alpha, 5.75 * alpha, 0.0113 + 1.25 * alpha**2, 0.0 * alpha])
        polar = full_circle(rows, 2e5, 0.15)
    return rotor_air(blades, stations, sea_level(), 960.0 * np.pi / 30.0, polar=polar)


def _ratios(section, which, pitches):
    return [
        coefficients(_rotor(blades, section), degrees)[which] / MEASURED[degrees][2 * (blades - 2) + which]
        for blades in BLADES
        for degrees in pitches
    ]


@pytest.mark.parametrize("section", ["stated", "default"])
@pytest.mark.parametrize("blades", BLADES)
def test_thrust(section, blades):
    rotor = _rotor(blades, section)
    for degrees, bar in THRUST_BAR.items():
        measured = MEASURED[degrees][2 * (blades - 2)]
        got = coefficients(rotor, degrees)[0]
        case = f"C_T, {blades} blades, {degrees} deg, {section} section"
        check(SOURCE, "FOUND-2", case, measured, got, bar, WHY, quantity=THRUST, repeats=section == "stated")


@pytest.mark.parametrize("section", ["stated", "default"])
def test_thrust_bias_and_scatter(section):
    hold(_ratios(section, 0, (6, 8, 10, 12)), 0.05, 0.06)


@pytest.mark.parametrize("blades", BLADES)
def test_torque_with_the_stated_section(blades):
    rotor = _rotor(blades, "stated")
    for degrees, bar in {8: 0.08, 10: 0.08, 12: 0.12}.items():
        measured = MEASURED[degrees][2 * (blades - 2) + 1]
        got = coefficients(rotor, degrees)[1]
        case = f"C_Q, {blades} blades, {degrees} deg, stated section"
        check(SOURCE, "FOUND-2", case, measured, got, bar, WHY, quantity=TORQUE, repeats=True)


def test_torque_with_the_default_section_is_low():
    """A miss of the bars at most points: the default section's drag rise is too gentle for this rotor."""
    for blades in BLADES:
        rotor = _rotor(blades, "default")
        for degrees, bar in TORQUE_BAR.items():
            measured = MEASURED[degrees][2 * (blades - 2) + 1]
            got = coefficients(rotor, degrees)[1]
            case = f"C_Q, {blades} blades, {degrees} deg, default section"
            reason = f"bar {bar:.0%}; up to 14 % low: drag rise before the stall too gentle"
            check(SOURCE, "FOUND-2", case, measured, got, 0.15, reason, quantity=TORQUE, bar=bar)
    assert hold(_ratios("default", 1, (8, 10)), 0.13, 0.06) < -0.07


def test_low_pitch_is_high():
    """Below 6 degrees only order is asked; the excess of thrust grows with blade number and is shown."""
    reason = "bar 18 %; C_T is tiny, sections unlike at low lift; the excess grows with blade number"
    for blades in BLADES:
        rotor = _rotor(blades, "default")
        for degrees in (2, 4):
            for which, name, quantity in ((0, "C_T", LOW_THRUST), (1, "C_Q", LOW_TORQUE)):
                measured = MEASURED[degrees][2 * (blades - 2) + which]
                got = coefficients(rotor, degrees)[which]
                case = f"{name}, {blades} blades, {degrees} deg, default section"
                check(SOURCE, "FOUND-2", case, measured, got, 0.36, reason, quantity=quantity, bar=0.18)
    assert hold(_ratios("default", 0, (2, 4)), 0.25, 0.15) > 0.15
    for degrees in (2, 4, 6, 8, 10, 12):
        thrusts = [coefficients(_rotor(blades, "default"), degrees)[0] for blades in BLADES]
        assert thrusts == sorted(thrusts)


def test_profile_torque_at_zero_pitch():
    """The data do not scale with blade number (0.027, 0.031, 0.034, 0.024 e-3 per blade)."""
    for blades in BLADES:
        measured = MEASURED[0][2 * (blades - 2) + 1]
        got = coefficients(_rotor(blades, "default"), 0)[1]
        case = f"C_Q, {blades} blades, zero pitch"
        reason = "scatter of the data, 25 per cent"
        check(SOURCE, "FOUND-2", case, measured, got, 0.25, reason, quantity=LOW_TORQUE)
