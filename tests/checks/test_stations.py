"""Where the blade bolt may give way: what bends it there, what shears it, and whether thread or shank counts."""

import pytest

from featherbench.checks.bolt_joint import Case, find_bolt, pin_joint
from featherbench.checks.sections import Section
from featherbench.checks.stations import Station, stations

KNOB = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "8 mm",
    "length": "12 mm",
    "at": {"radius": "36 mm", "normal": "13.5 mm"},
    "material": "tungsten",
}


@pytest.fixture
def of_joint(setup_of, sound):
    def found(**changes):
        setup = setup_of(**sound(**changes))
        case = Case(setup.scenario, setup.assembly, float(setup.moments.radial))
        return case, stations(case, pin_joint(case), find_bolt(case))

    return found


def test_both_moments_bend_one_section():
    """1 N m of the blade's pull and 0.5 N m of what hangs over, on a bar of 3 mm: 32 x 1.5 / (pi 27e-9) Pa."""
    station = Station(0.0, 1.0, 0.5, 100.0, Section(3e-3, 0.0, "", 3e-3), "", "shank")
    assert station.bending == pytest.approx(1.5 * 32.0 / (3.141592653589793 * 27e-9))
    assert station.shearing == pytest.approx(100.0 * 4.0 / (3.141592653589793 * 9e-6))


def test_what_hangs_over_the_grip_shears_the_bolt_at_its_face(of_joint):
    """At the outer face the cheek has taken up the blade's pull; the weight's own load is left."""
    case, found = of_joint(part={"knob": KNOB})
    weight = next(part for part in case.assembly.parts if part.name == "knob")
    assert found[-1].shear > weight.moments.radial * case.squared * 0.99
    _, bare = of_joint()
    assert bare[-1].shear < 0.2 * found[-1].shear


def test_a_thread_in_the_joint_counts_as_a_thread(of_joint):
    _, plain = of_joint()
    _, threaded = of_joint(part={"bolt": {"shank_length": None}})
    middle = len(plain) // 2
    assert plain[middle].place == "shank"
    assert {one.place for one in threaded} == {"thread"}
