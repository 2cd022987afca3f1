"""A slender rod on a vertical axle, held by a wire: a textbook problem in pounds and feet.

F. P. Beer, E. R. Johnston, Vector Mechanics for Engineers: Dynamics, Sample Problem 18.3: rod of 8 ft and
40 lb, pinned at its foot to an axle turning at 15 rad/s, held at 60 deg from the horizontal by a
horizontal wire at its end. The printed answers are MEM, from memory: the book has not been opened. The
same by arithmetic (DER) is finer.
"""

from math import cos, radians, sin

from featherbench import quantities
from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="rod on a vertical axle",
    mapping="Pounds and feet, g = 32.2 ft/s^2; angle from the horizontal",
    uncertainty="Printed answers from memory, to three figures",
)

SOURCE = "Beer & Johnston, Dynamics, Sample Problem 18.3"
GRAVITY = 32.2
"""ft/s^2, as the book takes it."""
SPIN, ANGLE = 15.0, radians(60.0)

FOOT = quantities.parse("1 ft", "length").value
POUND = quantities.parse("1 lbf", "force").value
POUND_FOOT = quantities.parse("1 lbf*ft", "moment").value
MASS = quantities.parse("40 lbf", "force").value / (GRAVITY * FOOT)
LENGTH = quantities.parse("8 ft", "length").value


def centrifugal(inertia):
    """Magnitude of the centrifugal moment of a chordwise line with that I_c (kg m^2), lbf ft."""
    return abs(propeller_moment(ANGLE, SPIN, 0.0, PitchMoments(inertia, 0.0, 0.0))) / POUND_FOOT


def test_moments_about_centre_and_pin():
    about_centre = centrifugal(MASS * LENGTH**2 / 12.0)
    check(SOURCE, "MEM", "dH_G/dt, lb ft", 645.0, about_centre, 1e-3, "three printed digits")
    check(SOURCE, "DER", "dH_G/dt, lb ft", 645.48, about_centre, 1e-5, "printed digits")
    about_pin = centrifugal(MASS * LENGTH**2 / 3.0)
    check(SOURCE, "DER", "about the pin, lb ft", 2581.9, about_pin, 3e-5, "printed digits")


def test_wire_tension_and_pin():
    weight = MASS * GRAVITY * FOOT / POUND
    turning = centrifugal(MASS * LENGTH**2 / 3.0) + weight * 0.5 * 8.0 * cos(ANGLE)
    tension = turning / (8.0 * sin(ANGLE))
    pull = MASS * 0.5 * LENGTH * cos(ANGLE) * SPIN**2 / POUND
    check(SOURCE, "MEM", "wire tension, lb", 384.0, tension, 1e-3, "three printed digits")
    check(SOURCE, "DER", "wire tension, lb", 384.22, tension, 2e-5, "printed digits")
    assert abs(pull - 559.0) < 0.56  # as printed; nothing of ours in it but the units
    check(SOURCE, "MEM", "A_x, lb", -175.0, tension - pull, 2e-3, "three printed digits")
