"""Hover thrust and torque of 3-blade rotors of our scale: W. Castles, R. B. Gray, NACA TN 2474 (1951), tables
V and VII.

Status F2: typed from page scans. NACA 0015, untwisted, constant chord, solidity 0.050, R 0.9144 m (chord
0.0480 m) and 0.6096 m (0.0319 m), aerofoil from r = 0.155 m, pitch measured at 0.75 R. Delta C_Q is C_Q less
its zero-thrust value.
"""

import math

import pytest

from air_data import coefficients, hold, sea_level
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from source import About
from table import check

ABOUT = About(
    kind="measured print",
    title="three-blade hover rotors of 0.6 and 0.9 m, NACA TN 2474",
    mapping="C_T as ours; torque less its value at zero thrust; pitch at 0.75 R",
    uncertainty="None stated; single runs scatter visibly by 5 to 10 %",
    left_out="Runs 42 and 43 are identical line by line in the transcription (a slip of copying). Point 6.99 "
    "deg of run 39 is off its own curve",
)

SOURCE = "Castles & Gray, NACA TN 2474"
THRUST, LOW_THRUST = "hover thrust, pitch from 6 deg", "hover thrust, pitch below 6 deg"
TORQUE, LOW_TORQUE = "hover torque, pitch from 6 deg", "hover torque, pitch below 6 deg"
RADIUS = {"6 ft": 0.9144, "4 ft": 0.6096}
# rotor, run, rpm: (degrees, C_T, delta C_Q)
RUNS = {
    ("6 ft", 15, 1200): [
        (3.08, 0.00098, 0.000024),
        (4.91, 0.00168, 0.000070),
        (6.68, 0.00289, 0.000137),
        (8.46, 0.00400, 0.000226),
        (10.29, 0.00488, 0.000342),
    ],
    ("6 ft", 16, 1600): [
        (2.31, 0.00075, 0.000016),
        (3.96, 0.00160, 0.000053),
        (5.55, 0.00255, 0.000108),
        (7.18, 0.00346, 0.000194),
        (8.85, 0.00421, 0.000301),
    ],
    ("6 ft", 39, 1200): [
        (3.42, 0.00088, 0.000029),
        (5.22, 0.00179, 0.000070),
        (6.99, 0.00284, 0.000138),
        (8.70, 0.00414, 0.000228),
        (10.34, 0.00513, 0.000323),
    ],
    ("6 ft", 41, 1600): [
        (3.15, 0.00089, 0.000025),
        (4.81, 0.00187, 0.000050),
        (6.45, 0.00278, 0.000114),
        (8.02, 0.00374, 0.000199),
        (9.53, 0.00471, 0.000321),
    ],
    ("4 ft", 17, 1200): [
        (4.05, 0.00152, 0.000058),
        (6.02, 0.00275, 0.000110),
        (8.00, 0.00397, 0.000196),
        (9.92, 0.00468, 0.000271),
        (11.73, 0.00527, 0.000375),
        (8.30, 0.00411, 0.000229),
    ],
    ("4 ft", 18, 1600): [
        (3.83, 0.00136, 0.000050),
        (5.70, 0.00245, 0.000109),
        (7.72, 0.00382, 0.000203),
        (9.61, 0.00477, 0.000279),
        (11.39, 0.00535, 0.000373),
        (7.68, 0.00379, 0.000201),
    ],
}


def _rotor(name, rpm):
    radius = RADIUS[name]
    chord = 0.050 * math.pi * radius / 3.0
    stations = blade_stations(0.155, radius, [(0.0, chord)], thickness=[(0.0, 0.15)])
    return rotor_air(3, stations, sea_level(), rpm * math.pi / 30.0)


def _ratios(low, high, which):
    out = []
    for (name, _, rpm), rows in RUNS.items():
        rotor = _rotor(name, rpm)
        zero = coefficients(rotor, 0.0)[1]
        for degrees, thrust, torque in rows:
            if low <= degrees <= high:
                got = coefficients(rotor, degrees)
                out.append(got[0] / thrust if which == "thrust" else (got[1] - zero) / torque)
    return out


@pytest.mark.parametrize("run", RUNS, ids=lambda run: f"run{run[1]}")
def test_thrust_and_torque(run):
    """Every point. Below 6 degrees runs of one rotor disagree by 30 per cent (0.00098 at 3.08 deg, 0.00088 at 3.42)."""
    name, number, rpm = run
    rotor = _rotor(name, rpm)
    zero = coefficients(rotor, 0.0)[1]
    for degrees, thrust, torque in RUNS[run]:
        got = coefficients(rotor, degrees)
        place = f"{name} run {number}, {rpm} rpm, {degrees} deg"
        low = degrees < 6.0
        reason = "runs of the same rotor differ by 5 to 10 per cent"
        if low:
            reason = "bar 18 %; runs disagree by 30 per cent"
        allowed, quantity = (0.37, LOW_THRUST) if low else (0.15, THRUST)
        bar = 0.18 if low else None
        check(SOURCE, "F2", f"C_T, {place}", thrust, got[0], allowed, reason, quantity=quantity, bar=bar)
        allowed, quantity = (0.42, LOW_TORQUE) if low else (0.20, TORQUE)
        reason += "; the default section's drag rise is gentle"
        got = got[1] - zero
        check(SOURCE, "F2", f"delta C_Q, {place}", torque, got, allowed, reason, quantity=quantity, bar=0.18)


def test_bias_and_scatter():
    hold(_ratios(6.0, 10.5, "thrust"), 0.07, 0.08)
    hold(_ratios(6.0, 10.5, "torque"), 0.12, 0.12)


def test_low_pitch():
    hold(_ratios(2.0, 6.0, "thrust"), 0.10, 0.18)
