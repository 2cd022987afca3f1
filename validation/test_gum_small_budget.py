"""A three-line uncertainty budget of a length measurement through the same path as every tolerance.

Source: a bolt maker's guide to micrometer measurements (F: talalspecialbolt.com): 0.00033, 0.00029 and 0.00025 mm
combine to 0.00051 mm, expanded (k = 2) 0.0010 mm. Redone (D): 0.000505 mm, which rounds to 0.00051 or 0.00050; the
guide takes resolution over sqrt 12 of the full step.
"""

import numpy as np

from featherbench.sampling.shares import variance_shares
from featherbench.sampling.spread import sample_places
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="three-line uncertainty budget of a micrometer",
    citation="talalspecialbolt.com, micrometer guide",
    mapping="Normal and rectangular contributions alike enter as even bounds of the same standard uncertainty",
    uncertainty="Printed to two figures",
)
PARTS = np.array([0.33, 0.29, 0.25])


def test_combined_uncertainty():
    places = sample_places(3, 512, 0)
    got = variance_shares(places, places @ (np.sqrt(3.0) * PARTS))
    combined = float(np.sqrt((np.asarray(got.linear) ** 2).sum()))
    check(ABOUT.title, "F", "combined standard uncertainty, um", 0.51, combined, 0.02, "two figures")
    check(ABOUT.title, "D", "combined standard uncertainty, um", 0.505470, combined, 2e-3, "512 samples")
    check(ABOUT.title, "F", "expanded uncertainty, k = 2, um", 1.0, 2.0 * combined, 0.05, "two figures")
