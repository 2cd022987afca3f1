"""ISO 898-1: stress areas, ultimate and proof loads of small threads."""

import pytest

from featherbench.assembly.hardware import stress_area
from featherbench.checks.fasteners import CLASSES
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="ISO 898-1 loads",
    uncertainty="Printed to three figures",
    left_out="A table with 91130 N for M4 10.9 is a misprint of 9130",
)

SOURCE = "ISO 898-1 load tables (bearing maker's copy)"
LOADS = {  # N, ultimate and proof
    ("M3", "8.8"): (4020.0, 2920.0),
    ("M3", "10.9"): (5230.0, 4180.0),
    ("M3", "12.9"): (6140.0, 4880.0),
    ("M4", "8.8"): (7020.0, 5100.0),
    ("M4", "10.9"): (9130.0, 7290.0),
    ("M4", "12.9"): (10700.0, 8520.0),
}
AREAS = {"M2": 2.0732, "M2.5": 3.3908, "M3": 5.0308, "M4": 8.7787}


@pytest.mark.parametrize(("thread", "name"), list(LOADS))
def test_loads(thread, name):
    ultimate, proof = LOADS[(thread, name)]
    own, area, reason = CLASSES[name], stress_area(thread), "the standard rounds to three figures"
    check(SOURCE, "F", f"{thread} {name} ultimate load, N", ultimate, own.ultimate * area, 5e-3, reason)
    check(SOURCE, "F", f"{thread} {name} proof load, N", proof, own.proof * area, 5e-3, reason)


@pytest.mark.parametrize("thread", list(AREAS))
def test_stress_areas(thread):
    got = stress_area(thread) * 1e6
    check(
        "Stress area (pi/4)(d - 0.9382 P)^2", "D", f"{thread}, mm^2", AREAS[thread], got, 2e-5, "five figures"
    )


def test_loads_of_a_thread_outside_the_table():
    """M2, outside the table that was seen: derived from the same stresses."""
    for name, ultimate, proof in (
        ("8.8", 1656.0, 1201.0),
        ("10.9", 2153.0, 1718.0),
        ("12.9", 2525.0, 2008.0),
    ):
        own, area = CLASSES[name], stress_area("M2")
        source, reason = "ISO 898-1 stresses on the area of M2", "2.07 mm^2 taken to three figures there"
        check(source, "D", f"M2 {name} ultimate load, N", ultimate, own.ultimate * area, 5e-3, reason)
        check(source, "D", f"M2 {name} proof load, N", proof, own.proof * area, 5e-3, reason)
