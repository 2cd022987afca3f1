"""What counts as the blade bolt, where it may give way and what hangs on it: from solids whose figures are round."""

from math import pi, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.mass_moments import MassMoments
from featherbench.checks.bolt import BENDING, PIN
from featherbench.checks.bolt_joint import Case, bolt_joint, fastest, find_bolt, overhang, pin_joint
from featherbench.checks.load_path import load_path_checks
from featherbench.checks.sections import ends, on_axis, section_at, section_of
from featherbench.checks.stations import stations

MM, G = 1e-3, 1e-3
BOLT = SimpleNamespace(radius=36 * MM, chord=2 * MM)


def solid(kind, bottom, top, width=4.0, axis="normal", **more):
    size = (width * MM, more.pop("chord", width) * MM, (top - bottom) * MM)
    return Solid(kind, axis, (36 * MM, 2 * MM, 0.5 * (bottom + top) * MM), size, **more)


def placed(name, group, *solids, mass=1.0, swings=False):
    moments = MassMoments.of_body(mass * G, np.array([36 * MM, 2 * MM, 0.0]), np.zeros((3, 3)))
    return PlacedPart(name, group, swings, moments, "weighed", tuple(solids))


def assembly(*parts):
    return SimpleNamespace(parts=parts, bolt=BOLT)


def test_a_part_hangs_over_a_face_by_the_volume_beyond_it():
    """A tube 4 x 2 mm from 2 to 7 mm and a hexagon of 5 mm from 7 to 10 mm, 3 g together, over a face at 4.5 mm.

    pi/4 (16 - 4) x 5 = 47.12 mm^3, of it 2.5/5 beyond at 1.25 mm; sqrt 3/2 x 25 x 3 = 64.95 mm^3, all of it, at 4 mm.
    """
    part = placed(
        "knob", "counterweight", solid("round", 2, 7, bore=2 * MM), solid("hex", 7, 10, 5.0), mass=3.0
    )
    tube, prism = pi / 4.0 * 12.0 * 5.0, sqrt(3.0) / 2.0 * 25.0 * 3.0
    beyond = (0.5 * tube + prism) / (tube + prism)
    found = overhang(assembly(part), 4.5 * MM)
    assert found.mass == pytest.approx(3.0 * G * beyond)
    assert found.load == pytest.approx(3.0 * G * beyond * 36 * MM)
    assert found.lever == pytest.approx((0.5 * tube * 1.25 + prism * 4.0) / (0.5 * tube + prism) * MM)
    below = placed(
        "knob",
        "bolt",
        *(one._replace(centre=(*one.centre[:2], -one.centre[2])) for one in part.solids),
        mass=3.0,
    )
    other = overhang(assembly(below), -4.5 * MM)
    assert (other.mass, other.load, other.lever) == pytest.approx((found.mass, found.load, found.lever))
    assert overhang(assembly(part), -4.5 * MM).names == ()


def test_a_block_across_counts_by_its_box_and_a_point_where_it_is():
    block = solid("box", 4, 8, 6.0, "radius", chord=3.0)
    tube = solid("round", 8, 9)
    part = placed("block", "bolt", block, tube, mass=2.0)
    whole = 6.0 * 3.0 * 4.0 + pi / 4.0 * 16.0
    found = overhang(assembly(part), 8.0 * MM)
    assert found.mass == pytest.approx(2.0 * G * pi / 4.0 * 16.0 / whole)
    point = placed("point", "counterweight", Solid("point", "", (36 * MM, 2 * MM, 9 * MM), (0.0, 0.0, 0.0)))
    assert overhang(assembly(point), 8.0 * MM).load == pytest.approx(1.0 * G * 36 * MM)
    assert overhang(assembly(point), 8.0 * MM).lever == pytest.approx(1.0 * MM)
    assert overhang(assembly(point), 9.5 * MM).names == ()
    low = placed("point", "counterweight", Solid("point", "", (36 * MM, 2 * MM, -7 * MM), (0.0, 0.0, 0.0)))
    assert overhang(assembly(low), -8.0 * MM).names == ()
    assert overhang(assembly(low), -6.0 * MM).lever == pytest.approx(1.0 * MM)


def test_what_swings_or_stands_beside_or_is_no_weight_hangs_on_nothing():
    high = solid("round", 5, 8)
    beside = high._replace(centre=(40 * MM, 2 * MM, 6.5 * MM))
    for part in (
        placed("a", "counterweight", high, swings=True),
        placed("a", "grip", high),
        placed("a", "counterweight", beside),
        placed("a", "counterweight", high._replace(centre=(36 * MM, -2 * MM, 6.5 * MM))),
    ):
        assert overhang(assembly(part), 4.5 * MM).load == 0.0


def test_root_and_grip_are_what_stands_about_the_bolt():
    """A root wholly above the axis begins above it; a weight on the blade is not its root, what swings no grip."""
    root, second = solid("box", 1.5, 6.5, 12.0), solid("box", 5.0, 7.0, 12.0)
    weight, blade = solid("round", -9, 9), solid("blade", -20, 20)
    build = assembly(
        placed("root", "blade", root, second, blade, swings=True),
        placed("weight", "counterweight", weight, swings=True),
        placed("grip", "grip", solid("box", -3, -1), solid("box", -2, 1)),
    )
    joint = bolt_joint(build)
    assert joint.root == pytest.approx((1.5 * MM, 7 * MM))
    assert joint.grip == pytest.approx((-3 * MM, 1 * MM))
    assert (joint.grip_parts, joint.root_parts) == (("grip",), ("root",))


@pytest.mark.parametrize(
    ("axis", "across"), [("normal", (4.0, 3.0)), ("radius", (3.0, 9.0)), ("chord", (4.0, 9.0))]
)
def test_a_section_is_cut_across_the_axis_and_the_narrower_way(axis, across):
    """4 x 3 x 9 mm along radius, chord and normal."""
    one = Solid("round", axis, (0.0, 0.0, 0.0), (4 * MM, 3 * MM, 9 * MM))
    assert section_of(one).width == min(across) * MM
    assert section_of(one).nominal == min(across) * MM
    threaded = section_of(one._replace(thread="M4"))
    assert threaded.width == pytest.approx((4.0 - 1.226869 * 0.7) * MM)
    assert threaded.nominal == pytest.approx(4.0 * MM)
    assert threaded.words == "thread M4, core d3 = 3.14 mm"


def test_the_weaker_of_what_meets_at_a_height():
    thick, thin = solid("round", 0, 5, 6.0), solid("round", 5, 9, 4.0)
    box = solid("box", -5, 20, 1.0)
    for height, width in ((0.0, 6.0), (4.9, 6.0), (5.0, 4.0), (9.0, 4.0)):
        assert section_at((thick, thin, box), height * MM).width == pytest.approx(width * MM)
    assert section_at((thick, thin, box), 9.1 * MM) is None
    assert section_at((solid("hex", 0, 5, 6.0),), 1 * MM).width == pytest.approx(6 * MM)
    assert ends(thin) == pytest.approx((5 * MM, 9 * MM))


def test_a_solid_is_passed_by_the_axis_within_half_its_size():
    """4 mm along the radius, 6 mm along the chord."""
    one = solid("box", 0, 5, 4.0, chord=6.0)
    for away, inside in ((0.0, True), (1.99, True), (2.01, False)):
        for side in (-1.0, 1.0):
            assert on_axis(one, ((36 + side * away) * MM, 2 * MM)) == inside
            assert on_axis(one, (36 * MM, (2 + side * 1.5 * away) * MM)) == inside


def case_of(setup):
    return Case(setup.scenario, setup.assembly, float(setup.moments.radial))


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({}, True),
        ({"at": {"radius": "36.4 mm"}}, True),
        ({"at": {"radius": "36.6 mm"}}, False),
        ({"at": {"radius": "33 mm"}}, False),
        ({"at": {"chord": "0.4 mm"}}, True),
        ({"at": {"chord": "-0.6 mm"}}, False),
        ({"axis": "chord"}, False),
        ({"group": "grip"}, False),
        ({"swings": True}, False),
    ],
)
def test_the_blade_bolt_stands_in_its_place(setup_of, sound, changes, found):
    """Within half a millimetre of it, along the normal, of group bolt and not swinging."""
    bolt = find_bolt(case_of(setup_of(**sound(part={"bolt": changes}))))
    assert (getattr(bolt, "name", None) == "bolt") == found
    assert found or "state the blade bolt as a part" in bolt


def test_the_longest_of_several_is_the_bolt_and_a_block_is_none(setup_of, sound):
    pin = {"group": "bolt", "shape": "cylinder", "axis": "normal", "diameter": "2 mm", "length": "5 mm",
           "at": {"radius": "36 mm"}, "material": "steel"}  # fmt: skip
    hexagon = {"group": "bolt", "shape": "hex", "axis": "normal", "across_flats": "3 mm", "length": "60 mm",
               "at": {"radius": "36 mm"}, "material": "steel"}  # fmt: skip
    bolt = find_bolt(case_of(setup_of(**sound(part={"pin": pin, "hexagon": hexagon}))))
    assert (bolt.name, bolt.thread) == ("bolt", "M3")
    assert find_bolt(case_of(setup_of(**sound(part={"bolt": None, "pin": pin})))).thread == ""


def test_a_speed_below_1_is_a_speed():
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=0.5), bench=SimpleNamespace(spin=()))
    assert fastest(scenario) == 0.5


def test_unlike_cheeks(setup_of, sound):
    """Grip from -3.5 to 5.5 mm: (3.5 - 2.5 - 0.1) and (5.5 - 2.5 - 0.1) mm."""
    joint = pin_joint(case_of(setup_of(**sound(part={"grip": {"at": {"normal": "1 mm"}}}))))
    assert joint[:4] == pytest.approx((5 * MM, 2.9 * MM, 0.9 * MM, 0.1 * MM))
    assert joint.faces == pytest.approx((-5.5 * MM, 5.5 * MM))
    thin = pin_joint(case_of(setup_of(**sound(part={"grip": {"size": {"normal": "5.19 mm"}}}))))
    assert "is not higher than the blade root" in thin


def test_the_stations_of_a_plain_bolt(setup_of, sound):
    """Middle, faces of root and cheeks; a fillet under the head, thread where it begins, and nothing in between."""
    case = case_of(setup_of(**sound()))
    found = stations(case, pin_joint(case), find_bolt(case))
    assert [round(one.height / MM, 6) for one in found] == [-4.5, -4.1, -2.6, -2.5, 0.0, 2.5, 2.6, 4.5]
    assert [one.place for one in found] == [
        "thread",
        "thread",
        "shank",
        "shank",
        "shank",
        "shank",
        "shank",
        "fillet",
    ]
    assert [one.where for one in found] == [
        "at the grip's outer face below", "where the thread ends below", "at the cheek's inner face below",
        "at the root's face below", "middle of the blade root", "at the root's face above",
        "at the cheek's inner face above", "at the grip's outer face above",
    ]  # fmt: skip


def test_a_bolt_that_narrows_above_the_grip_bends_there(setup_of, sound):
    """A turned bolt, 3 mm to 8 mm up and 2 mm from there to its 1 g knob at 12 to 16 mm: lever 6 mm."""
    taken = dict.fromkeys(("standard", "size", "under_head", "shank_length", "property_class"))
    pieces = [
        {"from": "-9 mm", "length": "17 mm", "diameter": "3 mm"},
        {"from": "8 mm", "length": "8 mm", "diameter": "2 mm"},
    ]
    bolt = {**taken, "shape": "stack", "axis": "normal", "material": "steel", "pieces": pieces}
    knob = {"group": "counterweight", "shape": "cylinder", "axis": "normal", "diameter": "8 mm", "length": "4 mm",
            "at": {"radius": "36 mm", "normal": "14 mm"}, "mass": "1 g"}  # fmt: skip
    setup = setup_of(**sound(part={"bolt": bolt, "knob": knob}))
    case = case_of(setup)
    found = stations(case, pin_joint(case), find_bolt(case))
    (neck,) = (one for one in found if one.height == pytest.approx(8 * MM))
    own = 7850.0 * pi / 4.0 * (2 * MM) ** 2 * 8 * MM  # the thin end of the bolt itself, lever 4 mm
    pull = case.squared * 36 * MM
    assert neck.hung == pytest.approx(pull * (1.0 * G * 6 * MM + own * 4 * MM), rel=1e-4)
    assert neck.shear == pytest.approx(pull * (1.0 * G + own), rel=1e-4)
    assert neck.section.width == pytest.approx(2 * MM)
    assert (neck.place, neck.where, neck.pin) == ("fillet", "above the grip, where it changes", 0.0)
    (check,) = (one for one in load_path_checks(setup) if one.name.startswith(BENDING))
    assert check.section == f"{neck.section.words}, {neck.where}"
    assert "bolt, knob beyond the face" in check.source


def test_a_thin_weight_just_beyond_a_neck_bends_it_too(setup_of, sound):
    """1 mm thick, lever 0.5 mm: little, but no head of the bolt itself; two like pieces end to end make no fillet."""
    taken = dict.fromkeys(("standard", "size", "under_head", "shank_length", "property_class"))
    rows = ((-9, 11.5, 3), (2.5, 5.5, 3), (8, 1, 2))
    pieces = [{"from": f"{a} mm", "length": f"{b} mm", "diameter": f"{c} mm"} for a, b, c in rows]
    bolt = {**taken, "shape": "stack", "axis": "normal", "material": "steel", "pieces": pieces}
    disc = {"group": "counterweight", "shape": "cylinder", "axis": "normal", "diameter": "9 mm", "length": "1 mm",
            "at": {"radius": "36 mm", "normal": "8.5 mm"}, "mass": "1 g"}  # fmt: skip
    case = case_of(setup_of(**sound(part={"bolt": bolt, "disc": disc})))
    found = {round(one.height / MM, 3): one for one in stations(case, pin_joint(case), find_bolt(case))}
    assert found[8.0].hung == pytest.approx(1.0 * G * 36 * MM * 0.5 * MM * case.squared, rel=0.05)
    assert found[2.5].place == "shank"


def test_a_clamped_bolt_counts_as_loose_and_says_so(path_of):
    assert "counted as loose" in path_of()[PIN].source
    assert "counted as loose" not in path_of(blade={"swing": "free"})[PIN].source


def test_a_check_keeps_its_name_whether_it_can_be_made_or_not(setup_of, sound):
    """All that depends on speed says at which, so that two tables of checks can be laid side by side."""
    whole = {check.name for check in load_path_checks(setup_of(**sound()))}
    assert len(whole) == 15
    still = {"thread of the blade bolt in its nut", "thread of the blade bolt, stripping"}
    assert all(name.endswith(" at 1.2 x speed") for name in whole - still)
    for changes in (
        {"part": {"bolt": None}},
        {"part": {"root": None}},
        {"part": {"bolt": {"material": "brass", "property_class": None}}},
        {"part": {"bolt": {"material": "titanium", "property_class": None, "proof_strength": "500 MPa"}}},
        {"part": {"bolt": {"size": "M3x8", "shank_length": "5 mm"}}},
        {"part": {"grip": {"material": "nylon"}}},
        {"part": {"root": {"material": None}}},
        {"retention": None},
        {"retention": {"thread": "M77"}},
        {"retention": {"thread": None, "diameter": "3 mm"}},
        {"retention": {"engagement": None}},
        {"retention": {"into": "nylon"}},
        {"retention": {"thread": "M8"}},
        {"retention": {"property_class": None, "material": "brass"}},
        {"retention": {"property_class": "99"}},
        {"bearing": {"static_rating": None}},
    ):
        found = {check.name for check in load_path_checks(setup_of(**sound(**changes)))}
        new = (
            found - whole - {'what holds the weight "nut" at 1.2 x speed'}
        )  # asked where the bolt is not known
        assert not new, changes


def test_a_head_is_wider_than_the_bolt_in_its_hole_not_than_a_groove_elsewhere(path_of):
    """Half a millimetre left under the thread above: the shank in the joint, six times as wide, is no head."""
    pieces = [
        {"from": "-9 mm", "length": "5 mm", "thread": "M3"},
        {"from": "-4 mm", "length": "8.5 mm", "diameter": "3 mm"},
        {"from": "4.5 mm", "length": "3 mm", "diameter": "5.5 mm"},
        {"from": "7.5 mm", "length": "1 mm", "diameter": "0.5 mm"},
        {"from": "8.5 mm", "length": "2 mm", "thread": "M3"},
    ]
    bought = dict.fromkeys(("standard", "size", "under_head", "shank_length", "property_class"))
    stud = {**bought, "shape": "stack", "axis": "normal", "material": "steel 4140", "pieces": pieces}
    found = path_of(part={"bolt": stud})
    assert found["thread of the blade bolt in its nut"].verdict == "holds"
    assert "head and nut of the blade bolt" not in found
    flush = {**stud, "pieces": [*pieces[:2], {**pieces[2], "diameter": "3.4 mm"}]}
    assert "above" in path_of(part={"bolt": flush})["head and nut of the blade bolt"].source
    headed = {**stud, "pieces": [*pieces[:2], {**pieces[2], "diameter": "3.5 mm"}]}
    assert "head and nut of the blade bolt" not in path_of(part={"bolt": headed})
