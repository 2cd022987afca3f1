"""Unsteady thin-aerofoil terms in the quasi-steady limit.

Formula: Theodorsen, NACA Report 496, quoted in HeliAeroNotes Lectures/8_UnsteadyAerodynamics (F). Worked
strip sum with a quarter-chord axis: D. C(k) from scipy's Hankel functions (RAN) shows what C = 1 leaves out.
"""

import math

import pytest
import sympy
from scipy.special import hankel2

from featherbench.rotor.blade_stations import blade_stations
from featherbench.rotor.unsteady import pitch_rate_terms, strip_damping, strip_inertia
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="unsteady thin aerofoil",
    mapping="h downward and nose-up moment there; ours nose-up about the quarter chord",
    left_out="Printed flutter examples of the old reports contain errors and are not used",
)

SOURCE = "Theodorsen, NACA Report 496"


def test_worked_strip_sum():
    blade = blade_stations(0.045, 0.150, [(0.0, 0.030)], axis_at=0.25, annuli=200)
    damping, inertia = pitch_rate_terms(blade, 1.225)
    check(SOURCE, "D", "pitch damping at 1000 rad/s, N m s/rad", 1.32970e-4, damping * 1000.0, 1e-5, "digits")
    check(SOURCE, "D", "apparent inertia, kg m^2", 7.6713e-9, inertia, 1e-5, "digits")


def test_against_the_formula_by_computer_algebra():
    """Collects the pitch-rate and pitch-acceleration terms of the published moment with C = 1, h = 0."""
    rho, b, speed, a, angle, rate, second = sympy.symbols("rho b U a alpha rate second", real=True)
    moment = -sympy.pi * rho * b**2 * (
        (sympy.Rational(1, 2) - a) * speed * b * rate + b**2 * (sympy.Rational(1, 8) + a**2) * second
    ) + 2 * sympy.pi * rho * speed * b**2 * (a + sympy.Rational(1, 2)) * (
        speed * angle + b * (sympy.Rational(1, 2) - a) * rate
    )
    for place in (-0.9, -0.5, -0.24, 0.1, 0.7):
        numbers = {rho: 1.2, b: 0.0135, speed: 90.0, a: place}
        expected = -float(sympy.diff(moment, rate).subs(numbers))
        got = strip_damping(90.0, 0.0135, place, 1.2)
        check(SOURCE, "D", f"damping per span, axis {place}", expected, got, 1e-12, "algebra")
        expected = -float(sympy.diff(moment, second).subs(numbers))
        check(
            SOURCE,
            "D",
            f"inertia per span, axis {place}",
            expected,
            strip_inertia(0.0135, place, 1.2),
            1e-12,
            "algebra",
        )


@pytest.mark.parametrize(
    ("k", "real", "imaginary"), [(0.1, 0.83192, -0.17230), (0.2, 0.72758, -0.18862), (0.5, 0.59794, -0.15071)]
)
def test_what_the_quasi_steady_limit_leaves_out(k, real, imaginary):
    """The stated limit C = 1 drops the wake: at a feathering frequency of 1/rev, k = b/r is 0.1 to 0.35 on
    these blades.
    """
    deficiency = hankel2(1, k) / (hankel2(1, k) + 1j * hankel2(0, k))
    # scipy against itself and the printed figures: nothing of ours, so no row
    assert deficiency.real == pytest.approx(real, rel=1e-5)
    assert deficiency.imag == pytest.approx(imaginary, rel=1e-4)


def test_quarter_chord_axis_has_no_circulatory_term():
    b, speed, rho = 0.015, 80.0, 1.225
    got = strip_damping(speed, b, -0.5, rho)
    check(
        SOURCE, "F", "quarter-chord damping per span", math.pi * rho * b**3 * speed, got, 1e-12, "closed form"
    )
    got = strip_inertia(b, -0.5, rho)
    check(
        SOURCE, "F", "quarter-chord inertia per span", 0.375 * math.pi * rho * b**4, got, 1e-12, "closed form"
    )
