"""JCGM 100:2008 (GUM) example H.1, an end gauge: the uncertainty path of `spread` against its budget."""

import numpy as np

from featherbench.sampling.shares import variance_shares
from featherbench.sampling.spread import sample_places
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="GUM example H.1",
    uncertainty="Contributions printed to 0.1 nm",
)

SOURCE = "GUM, JCGM 100:2008, example H.1 (end gauge)"
INPUTS = (
    # name, estimate, standard uncertainty; nm, nm, 1/degC, 1/degC, degC, degC
    ("length of the standard", 50.000623e6, 25.0),
    ("difference", 215.0, 9.7),
    ("expansion of the standard", 11.5e-6, 1.2e-6),
    ("difference of expansion", 0.0, 0.58e-6),
    ("deviation of temperature", -0.1, 0.41),
    ("difference of temperature", 0.0, 0.029),
)


def length(values):
    """l = l_S + d - l_S (d_alpha theta + alpha_S d_theta), nm; values (samples, 6)."""
    standard, difference, expansion, d_expansion, theta, d_theta = values.T
    return standard + difference - standard * (d_expansion * theta + expansion * d_theta)


def test_budget():
    estimate = np.array([row[1] for row in INPUTS])
    uncertain = np.array([row[2] for row in INPUTS])
    places = sample_places(len(INPUTS), 512, 0)
    # even bounds of the same standard uncertainty, as every tolerance is taken
    values = length(estimate + places * np.sqrt(3.0) * uncertain)
    got = variance_shares(places, values)
    check(
        SOURCE, "F2", "length, mm", 50.000838, float(values.mean()) * 1e-6, 1e-9, "printed to the nanometre"
    )
    named = dict(zip([row[0] for row in INPUTS], got.linear.tolist(), strict=True))
    for name, printed in (
        ("length of the standard", 25.0),
        ("difference", 9.7),
        ("difference of expansion", 2.9),
        ("difference of temperature", 16.6),
    ):
        check(
            SOURCE,
            "F2",
            f"contribution, {name}, nm",
            printed,
            named[name],
            0.1,
            "printed to 0.1 nm",
            relative=False,
        )
    first = float(np.sqrt((got.linear**2).sum()))
    check(
        SOURCE, "F2", "combined standard uncertainty, nm", 32.0, first, 0.5, "printed as 32", relative=False
    )
    check(SOURCE, "D", "combined standard uncertainty, nm", 31.67, first, 3e-3, "four figures")
    whole = float(np.std(values))
    reason = "H.1.7, with the second-order term; printed as 34"
    check(SOURCE, "M", "with the second-order term, nm", 34.0, whole, 0.6, reason, relative=False)
