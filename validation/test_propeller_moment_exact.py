"""The propeller moment against exact bodies: point masses, a solid blade, counterweights, free feathering.

All values are D: derived from the stated inputs by three routes that agree (the formula; the radial
component of sum r x m a; the slope of the rotational energy). No published worked number for a rotor
blade was found. The sense (PM-5) is stated by FAA-H-8083-3C, Airplane Flying Handbook, ch. 12, "Blade
Angle Control": the blades' centrifugal twisting moment turns them toward low pitch, counterweights turn
them toward high pitch (FOUND-2).
"""

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import ellipk

from featherbench.assembly.blade import Planform, blade_moments
from featherbench.rotor.propeller_moment import PitchMoments, feathering_frequency, propeller_moment
from featherbench.sections.section import naca_symmetric
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="propeller moment of exact bodies",
    mapping="x toward the leading edge, z normal to the chord, nose-up positive: as ours",
    left_out="No printed worked number for a rotor blade was found",
)

SPIN = 1000.0
DERIVED = "arithmetic from stated inputs"


def of_points(rows):
    """PitchMoments of rows of mass, chord, normal, radius."""
    m, c, n, r = np.array(rows, dtype=float).T
    return PitchMoments(*(float(np.sum(m * term)) for term in (c * c, n * n, c * n, r * c, r * n)))


def of_body(moments):
    """PitchMoments of an assembly body."""
    return PitchMoments(
        moments.chordwise, moments.normal, moments.product, moments.radial_chordwise, moments.radial_normal
    )


def solid_blade(axis_at):
    """NACA 0015, chord 30 mm, 45 to 150 mm, 1600 kg/m^3."""
    section = naca_symmetric(0.15)
    return blade_moments(Planform.of((0.045, 0.15), [(0.0, 0.03)], None, axis_at, section), 1600.0)


def test_three_point_masses():
    rows = [(5e-3, 10e-3, 2e-3, 60e-3), (3e-3, -20e-3, -1e-3, 100e-3), (2e-3, 0.0, 15e-3, 45e-3)]
    moments = of_points(rows)
    source = "Exact: three point masses"
    sums = zip(("I_c", "I_n", "I_cn"), moments[:3], (1.700e-6, 4.730e-7, 1.600e-7), strict=True)
    for name, got, expected in sums:
        check(source, "D", f"{name}, kg m^2", expected, got, 1e-12, DERIVED)
    expected = (-0.160000, -0.264102, -0.360180, -0.445314, -0.516917, -0.611307, -0.613500)
    for degrees, value in zip((0, 5, 10, 15, 20, 30, 45), expected, strict=True):
        got = propeller_moment(radians(degrees), SPIN, 0.0, moments)
        check(source, "D", f"M_prop at {degrees} deg, N m", value, got, 3e-6, "printed digits")


@pytest.mark.parametrize(
    ("axis_at", "chordwise", "moments", "slope", "weight"),
    [
        (0.25, 1.178182e-6, (-100.723, -198.386, -290.021, -372.844), -1.160084, 2.57796e-3),
        (0.35, 8.413504e-7, (-71.478, -140.784, -205.813, -264.588), -0.823252, 1.82945e-3),
    ],
)
def test_solid_blade(axis_at, chordwise, moments, slope, weight):
    body = solid_blade(axis_at)
    blade = of_body(body)
    source = f"Exact: solid NACA 0015 blade, axis at {axis_at} chord"
    quadrature = "section quadrature"
    check(source, "D", "mass, kg", 15.5377e-3, body.mass, 1e-5, quadrature)
    check(source, "D", "centrifugal load, N", 1514.9, body.radial * SPIN**2, 1e-4, quadrature)
    check(source, "D", "I_c, kg m^2", chordwise, blade.chordwise, 1e-5, quadrature)
    check(source, "D", "I_n, kg m^2", 1.80987e-8, blade.normal, 1e-5, quadrature)
    check(source, "D", "I_cn, kg m^2", 0.0, blade.product, 1e-20, "symmetric section", relative=False)
    for degrees, value in zip((5, 10, 15, 20), moments, strict=True):
        got = 1e3 * propeller_moment(radians(degrees), SPIN, 0.0, blade)
        check(source, "D", f"M_prop at {degrees} deg, mN m", value, got, 1e-5, "printed digits")
    step = 1e-4
    got = propeller_moment(step, SPIN, 0.0, blade) / step
    check(source, "D", "dM/dtheta at 0, N m/rad", slope, got, 1e-5, quadrature)
    got = (blade.chordwise - blade.normal) / (2.0 * 15e-3**2)
    check(source, "D", "each weight at +/-15 mm that cancels, kg", weight, got, 1e-5, quadrature)
    cancelled = blade._replace(normal=blade.normal + 2.0 * got * 15e-3**2)
    for degrees in (-26, 5, 26):
        left = propeller_moment(radians(degrees), SPIN, 0.0, cancelled)
        check(
            source,
            "D",
            f"M_prop with both weights, {degrees} deg, N m",
            0.0,
            left,
            1e-12,
            "exact",
            relative=False,
        )


def test_counterweights():
    source = "Exact: 2 g counterweights at 15 mm, 10 deg"
    pair = of_points([(2e-3, 0.0, side * 15e-3, 0.03) for side in (1.0, -1.0)])
    got = propeller_moment(radians(10.0), SPIN, 0.0, pair)
    check(source, "D", "pair, N m", 0.153909, got, 5e-6, "printed digits")
    for tilt, value in ((0, 76.955), (5, 39.071), (10, 0.0), (-10, 144.627)):
        arm = radians(tilt)
        one = of_points([(2e-3, 15e-3 * sin(arm), 15e-3 * cos(arm), 0.03)])
        got = 1e3 * propeller_moment(radians(10.0), SPIN, 0.0, one)
        name = f"one, arm tilted {tilt} deg to the leading edge, mN m"
        check(source, "D", name, value, got, 6e-4, "printed digits", relative=False)


def test_small_free_feathering():
    source = "Exact: free feathering, small motion"
    for ratio, value in ((0.0, 1.0), (0.0100, 0.990050), (0.0144, 0.985702), (0.0225, 0.977748)):
        got = feathering_frequency(SPIN, PitchMoments(1e-6, ratio * 1e-6, 0.0)) / SPIN
        check(source, "D", f"omega/Omega at I_n/I_c = {ratio}", value, got, 6e-7, "printed digits")
    blade = of_body(solid_blade(0.25))
    got = feathering_frequency(SPIN, blade)
    check(source, "D", "solid blade, omega/Omega", 0.984754, got / SPIN, 1e-6, "printed digits")
    check(source, "D", "solid blade, Hz", 156.728, got / (2.0 * pi), 1e-5, "last digit cut off, 156.7286")


@pytest.mark.parametrize(
    ("degrees", "value"), [(1, 0.984680), (10, 0.977260), (20, 0.954830), (45, 0.834297)]
)
def test_wide_free_feathering(degrees, value):
    """The pendulum in 2 theta: T = 4 K(sin^2 theta_0) / omega_n, integrated here with our moment."""
    blade = of_body(solid_blade(0.25))
    inertia = blade.chordwise + blade.normal

    def through_zero(_, state):
        return state[0]

    through_zero.terminal = True
    motion = solve_ivp(
        lambda _, state: [state[1], propeller_moment(state[0], SPIN, 0.0, blade) / inertia],
        (0.0, 0.02),
        [radians(degrees), 0.0],
        method="DOP853",
        rtol=1e-11,
        atol=1e-13,
        events=through_zero,
    )
    period = 4.0 * float(motion.t_events[0][0])
    source = "Exact: free feathering, wide motion"
    got = 2.0 * pi / period / SPIN
    check(source, "D", f"omega/Omega from {degrees} deg", value, got, 1e-6, "printed digits")
    exact = pi / (2.0 * ellipk(sin(radians(degrees)) ** 2))
    exact *= sqrt((blade.chordwise - blade.normal) / inertia)
    check(source, "D", f"the same by elliptic integral, {degrees} deg", exact, got, 1e-9, "integrator")


@pytest.mark.parametrize("degrees", [-20, -5, 5, 20])
def test_sense_of_blade_and_of_counterweights(degrees):
    source = "FAA-H-8083-3C ch. 12, Blade Angle Control: sense of the moment"
    flat = PitchMoments(1e-6, 0.0, 0.0)
    weighted = flat._replace(normal=2e-6)
    toward_low = np.sign(propeller_moment(radians(degrees), SPIN, 0.0, flat)) * np.sign(degrees)
    toward_high = np.sign(propeller_moment(radians(degrees), SPIN, 0.0, weighted)) * np.sign(degrees)
    check(source, "FOUND-2", f"flat blade at {degrees} deg, toward low pitch", -1.0, toward_low, 0.0, "sign")
    check(source, "FOUND-2", f"weighted at {degrees} deg, toward high pitch", 1.0, toward_high, 0.0, "sign")
