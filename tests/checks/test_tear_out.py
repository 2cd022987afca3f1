"""The blade bolt tearing out of grip or root: areas by hand, the part that counts, and what decides."""

import pytest

from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Verdict
from featherbench.checks.tear_out import GRIP, ROOT, tear_out_checks

PARTS = {
    "root": {
        "group": "blade",
        "shape": "box",
        "size": {"radius": "12 mm", "chord": "10 mm", "normal": "5 mm"},
        "at": {"radius": "37 mm"},
        "mass": "0.8 g",
        "material": "nylon",
        "yield_strength": "100 MPa",
    },
    "grip": {
        "group": "grip",
        "shape": "box",
        "size": {"radius": "30 mm", "chord": "12 mm", "normal": "9 mm"},
        "at": {"radius": "24 mm"},
        "mass": "5.4 g",
        "material": "aluminium 6061",
    },
    "bolt": {
        "group": "bolt",
        "shape": "screw",
        "standard": "ISO 4762",
        "size": "M3x16",
        "at": {"radius": "36 mm"},
        "under_head": "4.5 mm",
        "shank_length": "9 mm",
        "property_class": "10.9",
    },
}


def _checks(setup_of, **changed):
    parts = {name: {**PARTS.get(name, {}), **changed.get(name, {})} for name in PARTS | changed}
    parts = {
        name: {key: value for key, value in part.items() if value is not None} for name, part in parts.items()
    }
    joint = {"clearance": "0.1 mm"}
    setup = setup_of(part=parts, joint=joint)
    case = Case(setup.scenario, setup.assembly, float(setup.moments.radial))
    return case, {check.name.removesuffix(case.at): check for check in tear_out_checks(case)}


def test_two_planes_behind_the_hole(setup_of):
    """Grip to 39 mm, hole of 3 mm at 36: 1.5 mm behind it in two cheeks of 1.9 mm; root from 31 mm: 3.5 mm, 5 thick."""
    case, found = _checks(setup_of)
    cheeks, shear = 2.0 * 1.9e-3, 0.577
    assert found[GRIP].allowable == pytest.approx(0.5 * shear * 276e6 * cheeks * 2.0 * 1.5e-3)
    assert found[ROOT].allowable == pytest.approx(0.5 * shear * 100e6 * 5e-3 * 2.0 * 3.5e-3)
    assert found[GRIP].demand == found[ROOT].demand == pytest.approx(case.pull)
    assert found[GRIP].section.startswith("1.50 mm behind")
    assert found[GRIP].load_path


def test_the_grip_is_pulled_outward_and_the_root_inward(setup_of):
    """Moving either outward gives the grip more behind its hole, and the root less."""
    _, before = _checks(setup_of)
    _, grip = _checks(setup_of, grip={"at": {"radius": "25 mm"}})
    _, root = _checks(setup_of, root={"at": {"radius": "38 mm"}})
    assert grip[GRIP].allowable == pytest.approx(before[GRIP].allowable * 2.5 / 1.5)
    assert root[ROOT].allowable == pytest.approx(before[ROOT].allowable * 2.5 / 3.5)


def test_a_narrow_grip_breaks_beside_its_hole(setup_of):
    """4 mm wide: 0.5 mm on each side of the hole are pulled, less than the planes behind it bear."""
    narrow = {"size": {"radius": "30 mm", "chord": "4 mm", "normal": "9 mm"}}
    _, found = _checks(setup_of, grip=narrow)
    assert found[GRIP].allowable == pytest.approx(0.5 * 276e6 * 2.0 * 1.9e-3 * 1.0e-3)
    assert found[GRIP].section.startswith("0.50 mm beside")


def test_off_to_one_side_the_thinner_side_counts_twice(setup_of):
    narrow = {
        "size": {"radius": "30 mm", "chord": "6 mm", "normal": "9 mm"},
        "at": {"radius": "24 mm", "chord": "1 mm"},
    }
    _, found = _checks(setup_of, grip=narrow)
    assert found[GRIP].section.startswith("0.50 mm beside")


def test_a_hole_through_the_end_bears_nothing(setup_of):
    _, found = _checks(setup_of, grip={"at": {"radius": "22.4 mm"}})
    assert found[GRIP].allowable == 0.0
    assert found[GRIP].verdict is Verdict.FAILS


def test_without_a_strength_it_is_not_known(setup_of):
    parts = {"material": "ABS"}
    _, found = _checks(setup_of, grip=parts)
    assert found[GRIP].verdict is Verdict.UNKNOWN
    assert found[ROOT].verdict is Verdict.HOLDS


def test_the_hole_of_a_thread_is_as_wide_as_its_crests(setup_of):
    """Threaded throughout the joint: the hole is 3 mm, not the pitch diameter of 2.675."""
    _, found = _checks(setup_of, bolt={"shank_length": "0 mm"})
    assert found[GRIP].section.startswith("1.50 mm behind")
    assert found[ROOT].section.startswith("3.50 mm behind")


def test_of_two_cheeks_the_weaker_tears(setup_of):
    """Upper cheek of 276 MPa, lower of 90 MPa: what the upper bears does not count for both."""
    upper = {"size": {"radius": "30 mm", "chord": "12 mm", "normal": "1.9 mm"}}
    places = [{"radius": "24 mm", "normal": f"{place} mm"} for place in (3.55, -3.55)]
    lower = {**PARTS["grip"], **upper, "at": places[1], "material": "nylon", "yield_strength": "90 MPa"}
    _, found = _checks(setup_of, grip={**upper, "at": places[0]}, lower=lower)
    assert found[GRIP].allowable == pytest.approx(0.5 * 0.577 * 90e6 * 2.0 * 1.9e-3 * 2.0 * 1.5e-3)
    assert "part.lower" in found[GRIP].section


def test_of_a_stepped_bolt_the_widest_piece_in_the_joint_makes_the_hole(setup_of):
    """3 mm over the 9 mm in the joint, 2.5 mm over 12 mm beyond it, a head of 6 mm let in by 0.3 mm: a hole of 3 mm."""
    gone = {"standard": None, "size": None, "under_head": None, "shank_length": None, "property_class": None}
    stepped = {
        "shape": "stack",
        "axis": "normal",
        "material": "steel 4140 normalised",
        "pieces": [
            {"from": "-16.5 mm", "length": "12 mm", "diameter": "2.5 mm"},
            {"from": "-4.5 mm", "length": "8.7 mm", "diameter": "3 mm"},
            {"from": "4.2 mm", "length": "3 mm", "diameter": "6 mm"},
        ],
    }
    _, found = _checks(setup_of, bolt=gone | stepped)
    assert found[GRIP].section.startswith("1.50 mm behind")
