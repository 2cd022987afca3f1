"""Closed forms of hover momentum theory, inside the range where they hold: unstalled, positive pitch, no tip
loss.

Formulas F: HeliAeroNotes Lectures/2_BEMT (BET.ipynb, BEM.ipynb), spinningwing.com/momentum-theory-calculator.
Values D.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from featherbench.rotor.inflow import Annulus, annulus_flow, element_thrust, hover_guess, momentum_thrust
from featherbench.rotor.section_polar import Section, tabulated_section
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="closed forms of hover momentum theory",
)

SOURCE = "Hover closed forms"
SLOPE, SOLIDITY = 2.0 * math.pi, 0.1


def _linear_section(slope):
    """c_l = slope alpha without drag or stall, as far as the closed form's small-angle algebra asks."""
    alpha = np.linspace(-math.pi, math.pi, 721)
    table = tabulated_section(np.column_stack([slope * alpha, 0.0 * alpha, 0.0 * alpha]))
    return Section(slope, 0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 1.0, table.table)


def _closed_form_thrust(degrees):
    part = SOLIDITY * SLOPE

    def inflow(x):
        return part / 16.0 * (math.sqrt(1.0 + 32.0 * math.radians(degrees) * x / part) - 1.0)

    by_element = quad(lambda x: 0.5 * part * (math.radians(degrees) * x**2 - inflow(x) * x), 0.0, 1.0)[0]
    by_momentum = 4.0 * quad(lambda x: inflow(x) ** 2 * x, 0.0, 1.0)[0]
    return by_element, by_momentum


def test_worked_value():
    by_element, by_momentum = _closed_form_thrust(10.0)
    # the closed form alone, by two roads: nothing of ours, so no row
    assert by_element == pytest.approx(0.00843463, rel=1e-6)
    assert by_momentum == pytest.approx(0.00843463, rel=1e-6)


@pytest.mark.parametrize("degrees", [2.0, 6.0, 10.0])
def test_solver_tends_to_the_closed_form(degrees):
    """With 400 blades there is no tip loss, and the closed form follows to the error of its small-angle
    algebra.
    """
    count = 200
    total = 0.0
    section = _linear_section(SLOPE)
    for x in (np.arange(count) + 0.5) / count:
        annulus = Annulus(float(x), SOLIDITY, 400.0, 1e-9)
        flow = annulus_flow(math.radians(degrees), 0.0, annulus, section)
        total += momentum_thrust(flow, 0.0, annulus) / count
        closed = hover_guess(math.radians(degrees), annulus, section)
        assert math.isclose(flow, closed, rel_tol=0.05 if x > 0.2 else 0.3)
    expected = _closed_form_thrust(degrees)[0]
    reason = "small angles in the closed form, 0.5 blade of tip loss in 400"
    check(SOURCE, "D", f"C_T of the solver, {degrees:g} deg", expected, total, 0.01, reason)


def test_uniform_inflow_from_an_ideal_rotor():
    """An ideally twisted blade (pitch = tip pitch/x) has the same inflow at every radius: the slope factor
    aside, the solver must find lambda = sqrt(C_T/2).
    """
    section = _linear_section(SLOPE)
    flows, thrusts = [], []
    places = (np.arange(20, 100) + 0.5) / 100.0
    for x in places:
        annulus = Annulus(float(x), SOLIDITY, 1e5, 1e-9)
        tip_pitch = math.radians(5.0)
        flow = annulus_flow(math.atan(math.tan(tip_pitch) / x), 0.0, annulus, section)
        flows.append(flow)
        thrusts.append(element_thrust(flow, math.atan(math.tan(tip_pitch) / x), annulus, section) / x)
    spread = float(np.std(flows) / np.mean(flows))
    check(
        SOURCE,
        "D",
        "spread of inflow, ideal twist",
        0.0,
        spread,
        0.01,
        "angle against tangent",
        relative=False,
    )
    disc = float(np.mean(thrusts)) / 2.0  # C_T of the disc: dC_T/dx is 2 x C_T
    check(
        SOURCE,
        "D",
        "inflow over sqrt(C_T/2)",
        1.0,
        float(np.mean(flows)) / math.sqrt(disc / 2.0),
        1e-3,
        "momentum",
    )


def test_induced_velocity_and_power():
    """v_i = sqrt(T/(2 rho A)), P = T v_i: T 5 N, R 0.15 m, rho 1.225 gives 5.37323 m/s and 26.8662 W."""
    area = math.pi * 0.15**2
    induced = math.sqrt(5.0 / (2.0 * 1.225 * area))
    assert induced == pytest.approx(5.37323, rel=1e-6)
    tip_speed = 130.0
    # dC_T/dx of an annulus at that uniform inflow, without tip loss, must be 4 x lambda^2
    annulus = Annulus(0.7, 0.1, 1e5, 1e-12)
    got = momentum_thrust(induced / tip_speed, 0.0, annulus) / (2.0 * 0.7)  # C_T of the whole disc
    thrust = got * 1.225 * area * tip_speed**2
    check(SOURCE, "D", "thrust from the annulus balance, N", 5.0, thrust, 1e-9, "momentum")
    check(SOURCE, "D", "ideal power, W", 26.8662, thrust * induced, 1e-5, "digits")
