"""Threads that strip: shear areas of bolt and nut thread at the tolerance limits, formulas of FED-STD-H28/2B.

The formulas were read in two reproductions (an open program; engineersedge.com, minimum length of thread
engagement). Areas of M threads 6H/6g over one diameter of engagement: after J. H. Bickford, Introduction to the Design
and Behavior of Bolted Joints, 4th ed., read at engineersedge.com (metric thread stress and shear areas). Proof loads of
ISO 4032 nuts: extract of DIN EN 20898-2, read at scribd.com, document 183112648, page 30.
"""

import pytest

from featherbench.assembly.hardware import stress_area
from featherbench.checks.fasteners import CLASSES
from featherbench.checks.thread import LIMITS, stripping_load, thread_areas
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="Thread stripping areas",
    mapping="Area per metre of full thread here, over one diameter in the print. Bolt thread: sheared on the nut's "
    "greatest inside diameter; nut thread: on the bolt's least outside diameter",
    uncertainty="Five figures in the table of areas; two in the proof loads",
    left_out="The print begins at M5; limits of smaller threads are held to the tolerances of ISO 965-1, from memory",
    quantity="thread stripping",
)
SOURCE = "Bickford, Bolted Joints, 4th ed.: 6H/6g stripping areas"
PITCH = {"M2": 0.4, "M2.5": 0.45, "M3": 0.5, "M4": 0.7, "M5": 0.8}
NUTS = {  # N: proof load of an ISO 4032 nut, class 8, and its greatest height m, mm
    "M3": (4000.0, 2.4),
    "M4": (7000.0, 3.2),
    "M5": (12140.0, 4.7),
}


def test_areas_of_the_largest_thread():
    bolt, nut = thread_areas("M5")
    five = "five figures"
    check(SOURCE, "FOUND-2", "M5 tensile area, mm^2", 14.183, stress_area("M5") * 1e6, 1e-4, five)
    check(SOURCE, "FOUND-2", "M5 bolt thread over 5 mm, mm^2", 35.366, bolt * 5e-3 * 1e6, 2e-5, five)
    check(SOURCE, "FOUND-2", "M5 nut thread over 5 mm, mm^2", 49.994, nut * 5e-3 * 1e6, 2e-5, five)


@pytest.mark.parametrize("size", list(PITCH))
def test_limits_follow_the_tolerances(size):
    """ISO 965-1: es(g) = -(15 + 11 P), T_d(6) = 180 P^(2/3) - 3.15/sqrt P, T_d2(6) = 90 P^0.4 d^0.1, T_D2 = 1.32 of
    it, T_D1(6) = 433 P - 190 P^1.22 below 1 mm; micrometres, d the geometric mean of its range. Rounded to R40 there,
    so one step of that series (6 %) of each tolerance is allowed.
    """
    pitch, diameter, limits = PITCH[size], float(size[1:]), LIMITS[size]
    mean = (1.4 * 2.8) ** 0.5 if diameter < 2.8 else (2.8 * 5.6) ** 0.5
    deviation = 15.0 + 11.0 * pitch
    outside = 180.0 * pitch ** (2.0 / 3.0) - 3.15 / pitch**0.5
    middle = 90.0 * pitch**0.4 * mean**0.1
    inside = 433.0 * pitch - 190.0 * pitch**1.22
    basic = diameter - 0.649519 * pitch
    for name, expected, got, tolerance in (
        ("least outside diameter", diameter - (deviation + outside) * 1e-3, limits.outside, outside),
        ("least pitch diameter", basic - (deviation + middle) * 1e-3, limits.bolt_pitch, middle),
        ("greatest pitch diameter of the nut", basic + 1.32e-3 * middle, limits.nut_pitch, 1.32 * middle),
        (
            "greatest inside diameter of the nut",
            diameter - 1.082532 * pitch + 1e-3 * inside,
            limits.nut_inside,
            inside,
        ),
    ):
        slack = 0.06 * tolerance * 1e-3
        check(
            "ISO 965-1 tolerances 6g and 6H",
            "MEM",
            f"{size} {name}, mm",
            expected,
            got,
            slack,
            "rounded to R40",
            relative=False,
        )


@pytest.mark.parametrize("size", list(NUTS))
def test_nuts_bear_less_here_than_their_proof_load(size):
    """A class 8 nut must bear its proof load on a hardened mandrel; a class 8.8 thread in it may not count for more."""
    proof, height = NUTS[size]
    own = CLASSES["8.8"]
    got = stripping_load(size, height * 1e-3, own.proof, own.proof)
    source = "DIN EN 20898-2 proof loads, ISO 4032 nut class 8"
    reason = "MISS on the safe side: worst tolerances, one pitch taken off, yield for strength"
    check(source, "FOUND-2", f"{size} thread in its nut, N", proof, got, 0.5, reason)
    assert got < proof
