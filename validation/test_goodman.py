"""Goodman's line for a bolt with preload: worked example 8-5 of Shigley's Mechanical Engineering Design, 9th ed.

Read at the pages of a library's copy (digilib.universitaspertamina.ac.id, pages 471 to 475 of the file): equations 8-35
to 8-50 and the example; a second set of figures, problem 8-37, in a solutions extract (coursehero.com, file 6628926).
"""

import pytest

from featherbench.checks.endurance import goodman_amplitude
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="Goodman's line, preloaded bolt",
    mapping="Load from nothing to full on top of a preload that stays",
    uncertainty="Three figures in the print",
    left_out="Gerber's and the elliptic line, which allow more",
    quantity="fatigue by Goodman's line",
)
SOURCE = "Shigley, 9th ed., example 8-5"
KPSI = 6.894757e6


def test_example_of_a_cap_screw():
    """SAE grade 5: S_e 18.6, S_ut 120, preload 63.72, amplitude 3.10, mean 66.82 kpsi: n = 2.44."""
    on_the_line = goodman_amplitude(71.29 * KPSI, 18.6 * KPSI, 120.0 * KPSI) / KPSI
    check(SOURCE, "FOUND", "amplitude on the line, kpsi", 7.55, on_the_line, 3e-3, "three figures")
    check(SOURCE, "FOUND", "load factor", 2.44, on_the_line / 3.10, 3e-3, "three figures")
    check(SOURCE, "FOUND", "mean on the line, kpsi", 71.29, 63.72 + on_the_line, 2e-3, "four figures")


def test_metric_problem():
    """Problem 8-37: 0.33 x 80 kN on 561 mm^2, preload 450, S_e 129, S_ut 830 N/mm^2; equation 8-45 of the book."""
    amplitude = 0.33 * 80e3 / (2.0 * 561e-6)
    assert amplitude == pytest.approx(23.53e6, rel=2e-4)
    expected = 129.0 * (830.0 - 450.0) / (23.53 * (830.0 + 129.0))
    got = goodman_amplitude(450e6 + expected * amplitude, 129e6, 830e6) / amplitude
    check(
        "Shigley, equation 8-45", "FOUND", "load factor, problem 8-37", expected, got, 1e-4, "its other form"
    )


@pytest.mark.parametrize("preload", [0.0, 100e6])
def test_reversed_load_is_amplitude_over_endurance(preload):
    """With nothing but an amplitude the line is at the endurance, less what the preload takes of it."""
    got = goodman_amplitude(preload, 200e6, 800e6) / 50e6
    expected = 200.0 / 50.0 * (1.0 - preload / 800e6)
    check(
        "Goodman's line",
        "D",
        f"reversed load on {preload / 1e6:g} N/mm^2",
        expected,
        got,
        1e-12,
        "arithmetic",
    )
