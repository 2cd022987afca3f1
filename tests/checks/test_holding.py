"""What holds each weight, and what closes the bolt: said by the builder, and then held against the parts."""

from math import pi, sqrt

import pytest

from featherbench.checks.endurance import endurance_at
from featherbench.checks.strength import Strength
from featherbench.checks.thread import LIMITS, stripping_load, thread_areas

SPIN = 9000.0 * 2.0 * pi / 60.0 * 1.2
RING = {
    "group": "counterweight",
    "shape": "tube",
    "axis": "normal",
    "diameter": "5 mm",
    "bore": "3 mm",
    "length": "2 mm",
    "at": {"radius": "36 mm", "normal": "-5.5 mm"},
    "material": "brass",
    "held_by": "clamped under nut",
}
RINGED = {
    "bolt": {"size": "M3x20", "shank_length": "9.6 mm"},
    "nut": {"at": {"radius": "36 mm", "normal": "-7.7 mm"}},
}
ARM = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "2.675 mm",
    "thread": "M3",
    "length": "6 mm",
    "at": {"radius": "22 mm", "normal": "7.5 mm"},
    "mirror": "normal",
    "material": "steel",
    "held_by": "screwed into the grip",
    "engagement": "4 mm",
}
NUT_ON_ARM = {
    "group": "counterweight",
    "shape": "tube",
    "axis": "normal",
    "diameter": "6 mm",
    "bore": "2.675 mm",
    "tapped": "M3",
    "length": "3 mm",
    "at": {"radius": "22 mm", "normal": "9 mm"},
    "mirror": "normal",
    "material": "brass",
    "held_by": "thread",
    "held_to": "arm",
}


def held(path_of, name, **parts):
    return path_of(part=parts)[f'what holds the weight "{name}"']


def test_a_ring_under_the_nut_bears_on_its_wall(path_of):
    """0.5 x 170 MPa over the smaller of bore 3 mm and wall 2 x 1 mm, 2 mm long."""
    check = held(path_of, "ring", **RINGED, ring=RING)
    assert check.verdict == "holds"
    assert check.allowable == pytest.approx(0.5 * 170e6 * 2e-3 * 2e-3)
    mass = 8500.0 * pi / 4.0 * (25.0 - 9.0) * 1e-6 * 2e-3
    assert check.demand == pytest.approx(mass * 36e-3 * SPIN**2)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"held_by": None}, "not known what holds it"),
        ({"held_by": "clamped under head"}, "no head"),
        ({"held_by": "nut"}, "tapped"),
        ({"held_by": "thread"}, "tapped"),
        ({"held_by": "head"}, "bought screw"),
        ({"material": "nylon"}, "nylon"),
        ({"material": None, "mass": "0.3 g"}, "strength unknown"),
        ({"at": {"radius": "36 mm", "normal": "-20 mm"}}, "does not reach through"),
        ({"at": {"radius": "30 mm", "normal": "-5.5 mm"}}, "held_to"),
        ({"shape": "cylinder", "bore": None}, "no bore"),
    ],
)
def test_a_ring_that_nothing_holds_is_not_known(path_of, changes, said):
    check = held(
        path_of,
        "ring",
        **RINGED,
        ring={key: value for key, value in {**RING, **changes}.items() if value is not None},
    )
    assert check.verdict == "unknown"
    assert said in check.source


def test_a_collar_standing_on_a_bolt_head_is_held_by_nothing(path_of):
    collar = {**RING, "shape": "cylinder", "at": {"radius": "36 mm", "normal": "8.5 mm"}}
    del collar["bore"]
    for way in (None, "head", "clamped under head", "thread", "nut"):
        assert held(path_of, "collar", collar={**collar, "held_by": way}).verdict == "unknown"


def test_loose_pieces_of_the_bolts_group_are_asked_too(path_of):
    assert (
        held(path_of, "ring", **RINGED, ring={**RING, "group": "bolt", "held_by": None}).verdict == "unknown"
    )


def test_an_arm_bends_at_its_foot(path_of):
    """Two pieces' loads of one side: the arm at 3 mm, the weight at 4.5 mm from the grip's face, on the core of M3."""
    check = held(path_of, "arm", arm=ARM, weight=NUT_ON_ARM)
    core = 3e-3 - 1.226869 * 0.5e-3
    arm = 7850.0 * pi / 4.0 * 2.675e-3**2 * 6e-3 * 22e-3 * SPIN**2
    weight = 8500.0 * pi / 4.0 * (6e-3**2 - 2.675e-3**2) * 3e-3 * 22e-3 * SPIN**2
    bending = (arm * 3e-3 + weight * 4.5e-3) / (pi * core**3 / 32.0)
    pulling = (arm + weight) / (pi / 4.0 * core**2)
    assert check.demand == pytest.approx(sqrt((bending + pulling) ** 2 + 3.0 * pulling**2))
    assert check.allowable == pytest.approx(0.5 * 235e6)
    for key in ("engagement", "thread", "held_by", "material"):
        broken = {**ARM, key: None} | ({"mass": "0.3 g"} if key == "material" else {})
        assert held(path_of, "arm", arm=broken, weight=NUT_ON_ARM).verdict == "unknown", key


def test_a_weight_on_an_arm_hangs_on_its_thread(path_of):
    """3 mm of M3 less a pitch, the weaker of 235 MPa bolt thread and 170 MPa nut thread in shear, half of it."""
    check = held(path_of, "weight", arm=ARM, weight=NUT_ON_ARM)
    outside, inside = thread_areas("M3")
    bears = 0.577 * 2.5e-3 * min(235e6 * outside, 170e6 * inside)
    assert check.allowable == pytest.approx(0.5 * bears)
    off = {**NUT_ON_ARM, "at": {"radius": "22 mm", "normal": "11.5 mm"}}  # half a millimetre of it on the arm
    assert held(path_of, "weight", arm=ARM, weight=off).verdict == "fails"
    other = {**NUT_ON_ARM, "tapped": "M4", "bore": "3.545 mm"}
    assert held(path_of, "weight", arm=ARM, weight=other).verdict == "fails"


@pytest.mark.parametrize(
    ("size", "outside", "inside"),
    [
        ("M2", 2.447, 3.441),
        ("M2.5", 3.177, 4.477),
        ("M3", 3.903, 5.547),
        ("M4", 5.473, 7.769),
        ("M5", 35.366 / 5.0, 49.994 / 5.0),
    ],
)
def test_shear_areas_of_threads(size, outside, inside):
    """mm^2 per mm at the limits of 6g and 6H; M5 as printed in a handbook for a length of one diameter."""
    assert thread_areas(size)[0] * 1e3 == pytest.approx(outside, rel=2e-3)
    assert thread_areas(size)[1] * 1e3 == pytest.approx(inside, rel=2e-3)
    assert set(LIMITS) >= {size}


def test_the_weaker_thread_strips_and_its_ends_do_not_count():
    full = stripping_load("M3", 5.5e-3, 600e6, 200e6)
    assert full == pytest.approx(0.577 * 5e-3 * 200e6 * thread_areas("M3")[1])
    assert stripping_load("M3", 5.5e-3, 200e6, 600e6) == pytest.approx(
        0.577 * 5e-3 * 200e6 * thread_areas("M3")[0]
    )
    assert stripping_load("M3", 0.4e-3, 600e6, 600e6) == 0.0


def test_the_nut_of_the_bolt_strips_under_the_preload(path_of):
    """Tightened to 0.3 x 830 MPa on the core; half of what 2.4 mm less a pitch bear, the bolt's thread the weaker."""
    check = path_of()["thread of the blade bolt, stripping"]
    core = 3e-3 - 1.226869 * 0.5e-3
    assert check.demand == pytest.approx(0.3 * 830e6 * pi / 4.0 * core**2)
    assert check.allowable == pytest.approx(0.5 * 0.577 * 1.9e-3 * 830e6 * thread_areas("M3")[0])
    soft = {"property_class": None, "yield_strength": "170 MPa", "material": "brass"}
    assert path_of(part={"nut": soft})["thread of the blade bolt, stripping"].verdict == "fails"


def test_engagement_is_what_is_on_the_thread_and_a_nut_is_wanted_whole(path_of):
    name = "thread of the blade bolt in its nut"
    assert path_of()[name].verdict == "holds"
    assert path_of()[name].demand == path_of()[name].allowable == pytest.approx(2.4e-3)
    short = path_of(part={"bolt": {"size": "M3x10"}})[name]
    assert short.verdict == "fails"
    assert short.allowable == pytest.approx(1.0e-3)  # the nut reaches from 4.5 to 6.9 mm, the screw to 5.5
    assert short.demand == pytest.approx(2.4e-3)
    two = {"nut2": {"group": "bolt", "shape": "nut", "standard": "ISO 4032", "size": "M3", "property_class": "10.9",
                    "at": {"radius": "36 mm", "normal": "-11 mm"}}}  # fmt: skip
    assert path_of(part=two)[name].allowable == pytest.approx(2.4e-3)  # that with most thread
    plain = path_of(part={"bolt": {"shank_length": "10.5 mm"}})[name]
    assert plain.allowable == pytest.approx(0.9e-3)  # from 6.0 to 6.9 mm: where it is plain nothing engages
    assert path_of(part={"nut": {"size": "M4"}})[name].verdict == "fails"


def test_a_turned_nut_is_as_high_as_a_standard_one_at_least(path_of):
    """0.8 of the thread's 3 mm: one of 1.95 mm, which is 0.8 of the core, is too low."""
    turned = {
        "shape": "tube",
        "standard": None,
        "size": None,
        "diameter": "5.5 mm",
        "bore": "2.675 mm",
        "tapped": "M3",
        "axis": "normal",
        "property_class": None,
        "material": "steel 4140 normalised",
    }
    name = "thread of the blade bolt in its nut"
    checks = {
        height: path_of(part={"nut": {**turned, "length": f"{height} mm"}})[name] for height in (1.95, 2.4)
    }
    assert checks[1.95].verdict == "fails"
    assert checks[1.95].demand == pytest.approx(2.4e-3)
    assert checks[2.4].verdict == "holds"


@pytest.mark.parametrize("standard", ["ISO 4035", "DIN 439"])
def test_a_thin_nut_does_not_close_a_blade_bolt(path_of, standard):
    """1.8 mm of thread on a bolt of 3 mm, where 2.4 are wanted: 0.75 x; behind a standard nut it only locks."""
    name = "thread of the blade bolt in its nut"
    at = {"radius": "36 mm", "normal": "-5.4 mm"}
    thin = {"standard": standard, "at": at}
    check = path_of(part={"nut": {**thin, "property_class": "05"}})[name]
    assert (check.verdict, check.safety) == ("fails", pytest.approx(0.75))
    assert "a thin nut locks another" in check.source
    behind = {
        "group": "bolt",
        "shape": "nut",
        "size": "M3",
        **thin,
        "at": {"radius": "36 mm", "normal": "-7.8 mm"},
    }
    locked = path_of(part={"lock": {**behind, "property_class": "05"}})[name]
    assert (locked.verdict, locked.holding) == ("holds", "a whole nut")


def test_a_bolt_without_nut_or_head_is_not_known(path_of):
    assert path_of(part={"nut": None})["thread of the blade bolt in its nut"].verdict == "unknown"
    assert path_of(part={"nut": None})["head and nut of the blade bolt"].verdict == "unknown"
    thick = {"nut": None, "grip": {"size": {"normal": "14 mm"}}, "bolt": {"under_head": "7 mm"}}
    screwed = path_of(part=thick, joint={"thread_in_grip": "4 mm"})
    assert screwed["thread of the blade bolt in its nut"].verdict == "holds"
    pin = {"standard": None, "size": None, "under_head": None, "shank_length": None, "property_class": None,
           "shape": "cylinder", "axis": "normal", "diameter": "3 mm", "length": "16 mm",
           "material": "steel 4140"}  # fmt: skip
    found = path_of(part={"bolt": pin})
    assert found["thread of the blade bolt in its nut"].verdict == "unknown"
    assert "above" in found["head and nut of the blade bolt"].source


def test_a_bolt_that_ends_in_the_joint_is_not_known(path_of):
    found = path_of(part={"bolt": {"size": "M3x8", "shank_length": "5 mm"}})
    assert found["blade bolt, bending between the cheeks"].verdict == "unknown"
    assert "does not reach through" in found["blade bolt, bending between the cheeks"].source


def test_a_thread_in_the_cheek_ends_with_the_cheek_and_with_the_bolts_thread(path_of):
    """A cheek of 1.9 mm, its outer face at 4.5 mm: 50 mm of thread are not in it, and a plain shank is none."""
    name = "thread of the blade bolt in its nut"
    threaded = {"nut": None, "bolt": {"shank_length": "4 mm"}}
    for stated in ("4 mm", "50 mm"):
        found = path_of(part=threaded, joint={"thread_in_grip": stated})[name]
        assert found.verdict == "fails"
        assert found.allowable == pytest.approx(1.9e-3)
    plain = path_of(part={"nut": None}, joint={"thread_in_grip": "1.9 mm"})[name]
    assert plain.allowable == pytest.approx(0.4e-3)  # the shank ends at 4.1 mm


def test_a_head_below_leaves_the_nut_above_to_close_the_bolt(path_of):
    """A stud with its nut above and, below, a piece of its own that is said to be its head."""
    bought = dict.fromkeys(("standard", "size", "under_head", "shank_length", "property_class"))
    pieces = [
        {"from": "-9 mm", "length": "13 mm", "diameter": "3 mm"},
        {"from": "4 mm", "length": "5 mm", "thread": "M3"},
    ]
    stud = {**bought, "shape": "stack", "axis": "normal", "material": "steel 4140", "pieces": pieces}
    cap = {"group": "counterweight", "shape": "cylinder", "axis": "normal", "diameter": "6 mm", "length": "4 mm",
           "at": {"radius": "36 mm", "normal": "-7 mm"}, "material": "steel 4140", "held_by": "head"}  # fmt: skip
    found = path_of(part={"bolt": stud, "nut": {"at": {"radius": "36 mm", "normal": "5.7 mm"}}, "cap": cap})
    closing = found["thread of the blade bolt in its nut"]
    assert (closing.verdict, closing.section, closing.allowable) == (
        "holds",
        "part.nut",
        pytest.approx(2.4e-3),
    )


def test_the_neck_of_the_grips_screw_lasts_as_long_as_its_mean_load_lets_it(path_of, setup_of, sound):
    """Mean: 0.3 of proof from tightening and half of what the start adds; less of it would bear more."""
    weak = {"retention": {"diameter": "2.3 mm"}}
    check = path_of(**weak)["what holds the grip, starts and turns"]
    setup = setup_of(**sound(**weak))
    load = float(setup.moments.radial) * (1.2 * float(setup.scenario.rotor.speed)) ** 2
    stress = load / (pi / 4.0 * 2.3e-3**2)
    bolt = Strength(830e6, 1040e6, "10.9", "steel", rolled=True)
    assert check.allowable == pytest.approx(endurance_at(bolt, "fillet", 2.3e-3, 0.3 * 830e6 + 0.5 * stress))
    assert check.allowable < 0.95 * endurance_at(bolt, "fillet", 2.3e-3, 0.3 * 830e6 - 0.5 * stress)
