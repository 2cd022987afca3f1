"""Shares of variance: the Ishigami function and a linear one, against closed forms and against SALib."""

import functools
from math import pi

import numpy as np
from SALib.analyze import sobol as sobol_analysis
from SALib.sample import sobol as sobol_sampling

from featherbench.sampling.shares import variance_shares
from featherbench.sampling.spread import RUNS, sample_places
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="shares of variance",
)

A, B = 7.0, 0.1
SOURCE = "Ishigami & Homma (1990) function, a = 7, b = 0.1"


def ishigami(places):
    """Of inputs (samples, 3), each even on [-pi, pi]."""
    x, y, z = places.T
    return np.sin(x) + A * np.sin(y) ** 2 + B * z**4 * np.sin(x)


@functools.cache
def ours():
    """Shares as the program finds them, from as many samples as it takes unasked."""
    places = sample_places(3, RUNS, 0)
    return variance_shares(places, ishigami(pi * places))


def closed_forms():
    """First-order and total shares, from the variances of the terms."""
    variance = A**2 / 8.0 + B * pi**4 / 5.0 + B**2 * pi**8 / 18.0 + 0.5
    one = 0.5 * (1.0 + B * pi**4 / 5.0) ** 2
    two = A**2 / 8.0
    both = B**2 * pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    return np.array([one, two, 0.0]) / variance, np.array([one + both, two, both]) / variance


def test_ishigami_against_closed_forms():
    got = ours()
    first, total = closed_forms()
    reason = "degree-10 polynomial of 2048 samples"
    for index in range(3):
        check(
            SOURCE,
            "D",
            f"first-order share of x{index + 1}",
            first[index],
            got.first[index],
            0.01,
            reason,
            relative=False,
        )
        check(
            SOURCE,
            "D",
            f"total share of x{index + 1}",
            total[index],
            got.total[index],
            0.01,
            reason,
            relative=False,
        )
    check(SOURCE, "D", "share left unexplained", 0.0, got.unexplained, 0.01, reason, relative=False)


def test_ishigami_against_salib():
    """An independent estimator (Saltelli, Jansen) on its own samples, about 131 000 evaluations."""
    problem = {"num_vars": 3, "names": ["x1", "x2", "x3"], "bounds": [[-pi, pi]] * 3}
    samples = sobol_sampling.sample(problem, 2**14, calc_second_order=False, seed=1)
    theirs = sobol_analysis.analyze(problem, ishigami(samples), calc_second_order=False, seed=1)
    found = ours()
    for index in range(3):
        for name, one, two in (
            ("first-order", theirs["S1"], found.first),
            ("total", theirs["ST"], found.total),
        ):
            check(
                "SALib, Ishigami function",
                "RAN",
                f"{name} share of x{index + 1}",
                float(one[index]),
                float(two[index]),
                0.015,
                "scatter of its estimate, and our polynomial",
                relative=False,
            )


def test_linear_function():
    """Shares go with slope^2 x half-width^2."""
    half = np.array([0.05, 1.0, 3.0, 0.2])
    slope = np.array([20.0, 1.5, -0.1, 0.0])
    places = sample_places(4, 256, 3)
    got = variance_shares(places, (places * half) @ slope)
    expected = (half * slope) ** 2 / ((half * slope) ** 2).sum()
    for index in range(4):
        check(
            "Linear function of four inputs",
            "D",
            f"share of x{index + 1}",
            expected[index],
            got.first[index],
            1e-9,
            "exact for a polynomial",
            relative=False,
        )
