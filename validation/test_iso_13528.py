"""The normalised error E_n against published figures.

Source: the reference manual of a national metrology institute's statistics program, page "ISO 13528 EN SCORE" (F:
itl.nist.gov/div898/software/dataplot/refman2/auxillar/enscore.htm): E_n = (x - X) / sqrt(U_x^2 + U_X^2), expanded
uncertainties; printed example with X = 1, U of the assigned value twice the standard deviation of all readings, U of
each batch twice its own. The page prints the scores to three figures. The data behind it, 100 gear diameters, are
printed rounded; the two standard deviations, 0.006279 and 0.004346, are from memory (M) of the institute's handbook.
The standard itself was not read (C).
"""

import pytest

from featherbench.fitting.match import normalised_error
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="ISO 13528 normalised error, printed example",
    citation="itl.nist.gov, statistics program reference manual, page ISO 13528 EN SCORE; the standard was not read",
    mapping="x is the simulation, X the measurement. The page takes expanded uncertainties; ours takes standard ones "
    "and doubles them.",
    uncertainty="Scores printed to 0.001",
    left_out="Batches whose lines were not in the excerpt read",
)
ASSIGNED, ALL_READINGS, FIRST_BATCH = 1.0, 6.278908e-3, 4.346135e-3


@pytest.mark.parametrize(
    ("reading", "printed"), [(1.006, 0.393), (0.996, -0.262), (0.998, -0.131), (1.000, 0.0)]
)
def test_printed_scores(reading, printed):
    got = normalised_error(reading, ASSIGNED, FIRST_BATCH, ALL_READINGS)
    check(
        ABOUT.title,
        "F",
        f"E_n of {reading:.3f}",
        printed,
        got,
        6e-4,
        "printed to 0.001; uncertainties from memory",
        relative=False,
    )


def test_ratios_of_printed_scores_need_no_remembered_value():
    """0.393 : -0.262 : -0.131 are 6 : -4 : -2 whatever the uncertainties: the formula is linear in the difference."""
    first = normalised_error(1.006, ASSIGNED, 0.01, 0.02)
    for reading, printed in ((0.996, -0.262), (0.998, -0.131)):
        ratio = normalised_error(reading, ASSIGNED, 0.01, 0.02) / first
        check(
            ABOUT.title,
            "F",
            f"E_n of {reading:.3f} over that of 1.006",
            printed / 0.393,
            ratio,
            3e-3,
            "three figures",
        )


def test_plain_figures():
    """Whole numbers: a difference of 5 with expanded uncertainties 3 and 4 is exactly at the limit."""
    check(
        ABOUT.title,
        "D",
        "difference 5, U 3 and 4",
        1.0,
        normalised_error(15.0, 10.0, 1.5, 2.0),
        1e-12,
        "exact",
    )
    check(
        ABOUT.title,
        "D",
        "difference -10, U 3 and 4",
        -2.0,
        normalised_error(0.0, 10.0, 1.5, 2.0),
        1e-12,
        "exact",
    )
