"""ISO 21940-11 (formerly ISO 1940-1): permissible residual unbalance, worked figures."""

from math import pi

from featherbench.checks.balance import grade_speed, permissible_unbalance
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="ISO 21940-11 residual unbalance",
    uncertainty="Printed to two figures",
)

RPM = pi / 30.0
G_MM = 1e-6
OZ, INCH, LB = 0.028349523125, 0.0254, 0.45359237


def unbalance(grade, mass, rpm):
    """kg m."""
    return permissible_unbalance(grade_speed(grade), mass, rpm * RPM)


def test_tool_maker_example():
    source = "Tool maker's catalogue, balancing page: 2 kg, 10 000 rpm, G 6.3"
    got = unbalance("G6.3", 2.0, 10000.0) / G_MM
    check(source, "F", "permissible unbalance, g mm", 12.0, got, 1e-2, "printed to two figures")
    check(source, "D", "permissible unbalance, g mm", 12.03, got, 1e-3, "four figures")


def test_formula_in_metric_and_in_ounce_inches():
    got = unbalance("G1", 1.0, 1.0) / G_MM
    check("U = 9549 G m / n", "F", "constant, g mm", 9549.0, got, 1e-4, "printed to four figures")
    imperial = unbalance("G1", LB, 1.0) / (OZ * INCH)
    check(
        "U = 6.015 G W / n (trade article)",
        "F",
        "constant, oz in",
        6.015,
        imperial,
        1e-3,
        "printed to four figures",
    )


def test_standard_example():
    got = unbalance("G2.5", 3600.0, 3000.0) / G_MM
    check("ISO 1940-1 example, 3600 kg, 3000 rpm, G 2.5", "M", "g mm", 28648.0, got, 1e-4, "five figures")


def test_our_scale():
    mass = 0.06
    got = unbalance("G6.3", mass, 10500.0)
    source = "60 g tail rotor, 10 500 rpm, G 6.3"
    check(source, "D", "permissible unbalance, g mm", 0.344, got / G_MM, 2e-3, "three figures")
    check(source, "D", "permissible eccentricity, um", 5.73, got / mass * 1e6, 1e-3, "three figures")
