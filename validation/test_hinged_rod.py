"""A rod hinged on a spinning shaft: the same integral as a chordwise line of mass at a pitch.

JEE Main 2020 (National Testing Agency, India; exam date from memory), question with worked solution,
FOUND at learn.careers360.com and byjus.com: a uniform rod of length l, hinged at one end to a vertical
shaft turning at omega, stands off the shaft by cos theta = 3 g / (2 omega^2 l). Numbers below are D, with
g = 9.81 m/s^2.
"""

from math import acos, cos, degrees, pi, sin

import numpy as np
from scipy.optimize import brentq

from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="rod hinged on a spinning shaft",
    mapping="Angle from the shaft there, pitch from the plane of rotation here: 90 degrees less",
)

SOURCE = "JEE Main 2020, rod hinged on a spinning shaft"
MASS, LENGTH, SPIN, GRAVITY = 0.2, 0.30, 10.0, 9.81
DERIVED = "arithmetic from stated inputs"


def gravity_moment(off_shaft):
    """About the hinge, N m, at an angle off the shaft."""
    return MASS * GRAVITY * 0.5 * LENGTH * sin(off_shaft)


def centrifugal_moment(off_shaft, moments):
    """Magnitude; a rod off the shaft by an angle is a chord at a pitch of 90 deg less that angle."""
    return abs(propeller_moment(0.5 * pi - off_shaft, SPIN, 0.0, moments))


def test_the_rod_stands_where_the_solution_says():
    rod = PitchMoments(MASS * LENGTH**2 / 3.0, 0.0, 0.0)
    stands = brentq(
        lambda angle: centrifugal_moment(angle, rod) - gravity_moment(angle), 0.3, 1.5, xtol=1e-14
    )
    formula = 3.0 * GRAVITY / (2.0 * SPIN**2 * LENGTH)
    check(SOURCE, "FOUND", "cos theta = 3 g / (2 omega^2 l)", formula, cos(stands), 1e-10, "root finder")
    check(SOURCE, "DER", "cos theta", 0.4905, cos(stands), 1e-9, DERIVED)
    check(SOURCE, "DER", "theta, deg", 60.6265, degrees(stands), 1e-6, "printed digits")
    moment = centrifugal_moment(stands, rod)
    check(SOURCE, "DER", "moment about the hinge, N m", 0.256465, moment, 2e-6, "printed digits")
    check(SOURCE, "DER", "and gravity's, N m", gravity_moment(stands), moment, 1e-10, "root finder")


def test_the_same_from_point_masses():
    count = 400
    places = (np.arange(count) + 0.5) * LENGTH / count
    line = PitchMoments(float(np.sum(MASS / count * places**2)), 0.0, 0.0)
    got = centrifugal_moment(acos(0.4905), line)
    check(
        SOURCE, "DER", "the same from 400 point masses, N m", 0.256465, got, 1e-5, "discretisation 1/(4 n^2)"
    )
