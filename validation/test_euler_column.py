"""Euler buckling: an examination problem and a small pushrod."""

from featherbench.checks.rod import euler_load, rod_second_moment
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="Euler columns",
)


def test_examination_column():
    """E 200 GPa, 1 m, 10 x 20 mm, hinged ends; it buckles about its weak axis."""
    got = euler_load(200e9, 20e-3 * 10e-3**3 / 12.0, 1.0)
    check(
        "GATE examination column (gate-exam.in)",
        "D",
        "Euler load, N",
        3289.87,
        got,
        1e-6,
        "problem read, answer derived",
    )


def test_steel_pushrod():
    got = euler_load(205e9, rod_second_moment(1.5e-3), 0.1)
    source = "Steel pushrod 1.5 mm, 100 mm, pinned"
    check(source, "D", "Euler load, N", 50.279, got, 2e-5, "five figures")
    # clamped at both ends it buckles as one of half the length
    clamped = euler_load(205e9, rod_second_moment(1.5e-3), 0.05)
    check(source, "D", "clamped over pinned", 4.0, clamped / got, 1e-12, "exact")


def test_tube_is_the_difference_of_two_rods():
    got = rod_second_moment(2.5e-3, 1.2e-3)
    check(
        "Second moment of a tube",
        "D",
        "m^4",
        rod_second_moment(2.5e-3) - rod_second_moment(1.2e-3),
        got,
        1e-12,
        "exact",
    )
