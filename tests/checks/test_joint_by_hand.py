"""One joint in which every figure is another: each check written out, with its own section and its own part's strength.

Root 5 mm thick, 120 MPa; grip 150 MPa with cheeks of 3.1 mm above and 2.3 mm below; bolt of 640 and 800 MPa, bored
1 mm, M3 from 3 mm below the middle, plain above; nut of 300 MPa. The whole joint stands 1 mm above the feathering axis.
"""

from math import pi, sqrt

import pytest

from featherbench.checks.bolt import BENDING, COMBINED, LASTS, PIN, SHEAR
from featherbench.checks.bolt_joint import Case, find_bolt, overhang, pin_joint
from featherbench.checks.stations import stations
from featherbench.checks.tear_out import GRIP as TORN_GRIP
from featherbench.checks.tear_out import ROOT as TORN_ROOT
from featherbench.checks.thread import thread_areas

SPIN = 9000.0 * 2.0 * pi / 60.0 * 1.2
MPA, MM = 1e6, 1e-3
CORE = (3.0 - 1.226869 * 0.5) * MM
RADIUS = 36.0 * MM
BOUGHT = ("standard", "size", "under_head", "shank_length", "property_class")
PARTS = {
    "root": {"at": {"radius": "36 mm", "normal": "1 mm"}, "material": "nylon", "yield_strength": "120 MPa"},
    "grip": {
        "at": {"radius": "24 mm", "normal": "1.4 mm"},
        "size": {"normal": "11 mm"},
        "yield_strength": "150 MPa",
    },
    "bolt": {
        **dict.fromkeys(BOUGHT),
        "shape": "stack",
        "axis": "normal",
        "material": "steel",
        "yield_strength": "640 MPa",
        "ultimate_strength": "800 MPa",
        "pieces": [
            {"from": "-9 mm", "length": "7 mm", "thread": "M3", "bore": "1 mm"},
            {"from": "-2 mm", "length": "8.9 mm", "diameter": "3 mm", "bore": "1 mm"},
            {"from": "6.9 mm", "length": "2.5 mm", "diameter": "6 mm", "bore": "1 mm"},
        ],
    },
    "nut": {
        "at": {"radius": "36 mm", "normal": "-6.1 mm"},
        "property_class": None,
        "proof_strength": "300 MPa",
    },
}
JOINT = {"clearance": "0.3 mm"}


def area(width, bore=1.0 * MM):
    return pi / 4.0 * (width**2 - bore**2)


def modulus(width, bore=1.0 * MM):
    """Of a tube: second moment pi (d^4 - b^4)/64 over half its width."""
    return pi * (width**4 - bore**4) / 64.0 / (0.5 * width)


@pytest.fixture(scope="module")
def case(setup_of, sound):
    setup = setup_of(**sound(part=PARTS, joint=JOINT))
    return Case(setup.scenario, setup.assembly, float(setup.moments.radial))


@pytest.fixture
def found(path_of):
    return path_of(part=PARTS, joint=JOINT)


@pytest.fixture
def low(case):
    """Load, N, and its lever from the lower face at -4.9 mm: 4.1 mm of thread, and the nut from there to 7.3 mm."""
    nut = next(part for part in case.assembly.parts if part.name == "nut").moments.mass
    thread = 7850.0 * area(2.675 * MM) * 4.1 * MM
    load = (nut + thread) * RADIUS * SPIN**2
    return load, (nut * 1.2 * MM + thread * 2.05 * MM) * RADIUS * SPIN**2 / load


def test_the_bolt_by_hand(found, case, low):
    """Shear in two plain planes; between the cheeks F/8 (5 + 4 x 0.3 + 2 x 3.1) mm; the nut's side at the face."""
    pull = case.assembly.swinging.radial * SPIN**2
    in_middle, load = pull / 8.0 * 12.4 * MM, low[0]
    assert found[SHEAR].demand == pytest.approx(pull)
    assert found[SHEAR].allowable == pytest.approx(0.5 * 0.6 * 800.0 * MPA * 2.0 * area(3.0 * MM))
    assert found[PIN].demand == pytest.approx(in_middle)
    assert found[PIN].allowable == pytest.approx(0.5 * 640.0 * MPA * modulus(3.0 * MM))
    assert found[BENDING].demand == pytest.approx(load * low[1], rel=1e-4)
    assert found[BENDING].allowable == pytest.approx(0.5 * 640.0 * MPA * modulus(CORE))
    assert "nut" in found[BENDING].source
    assert found[COMBINED].demand == pytest.approx(0.3 * 640.0 * MPA + in_middle / modulus(3.0 * MM))
    assert found[COMBINED].allowable == pytest.approx(0.8 * 640.0 * MPA)


def test_the_thread_lasts_less_than_the_shank_that_swings_more(found, case, low):
    """3 mm below the middle the thread is 0.2 mm inside its cheek: F 2.9^2/(4 x 3.1) bends and F/2 2.9/3.1 shears it.

    A cut thread bears 0.79 of 59.5 MPa, or 1/3.8 of the bar with its mean by Goodman's line, whichever is less.
    """
    pull = case.assembly.swinging.radial * SPIN**2
    left = 0.2 / 3.1
    moment = pull * (2.9 * MM) ** 2 / (4.0 * 3.1 * MM) + left * low[0] * low[1]
    shear = 0.5 * pull * 2.9 / 3.1
    stress = sqrt((moment / modulus(CORE)) ** 2 + 3.0 * (shear / area(CORE)) ** 2)
    bar = 0.5 * 800.0 * MPA * 4.51 * 800.0**-0.265
    mean = 0.3 * 640.0 * MPA + 0.5 * stress
    allowed = min(bar / 3.8 * (1.0 - mean / (800.0 * MPA)), 0.79 * 59.5 * MPA)
    assert found[LASTS].demand == pytest.approx((0.1 + 0.5 / 200.0 ** (1.0 / 3.0)) * stress, rel=1e-4)
    assert found[LASTS].allowable == pytest.approx(0.7 * allowed, rel=1e-4)
    assert "thread M3" in found[LASTS].section


def test_what_hangs_over_shears_the_bolt_at_the_lower_face(case, low):
    """The cheek has taken up the blade's pull there: thread and nut are left, of the upper side the head."""
    places = {round(one.height / MM, 3): one for one in stations(case, pin_joint(case), find_bolt(case))}
    assert places[-4.9].shear == pytest.approx(low[0], rel=1e-4)
    assert places[6.9].shear == pytest.approx(7850.0 * area(6.0 * MM) * 2.5 * MM * RADIUS * SPIN**2, rel=1e-4)


def test_pressures_and_tearing_by_hand(found, case):
    """3 mm of shank on 5 mm of root, 2.675 mm of thread on twice the thin cheek; the hole is as wide as the shank."""
    pull = case.assembly.swinging.radial * SPIN**2
    root, grip = found["bolt pressure in the blade root"], found["bolt pressure in the grip"]
    assert root.demand == pytest.approx(pull / (3.0 * 5.0 * MM**2))
    assert grip.demand == pytest.approx(pull / (2.675 * 2.0 * 2.3 * MM**2), rel=1e-4)
    assert (root.allowable, grip.allowable) == pytest.approx((60.0 * MPA, 75.0 * MPA))
    assert (root.section, grip.section) == ("part.root", "part.grip")
    planes = 2.0 * 0.577 * 1.5 * MM  # from the hole, 37.5 mm, to the grip's end at 39 mm
    assert found[TORN_GRIP].allowable == pytest.approx(0.5 * 150.0 * MPA * 2.0 * 2.3 * MM * planes)
    planes = 2.0 * 0.577 * 4.5 * MM  # from 34.5 mm inward to the root's end at 30 mm
    assert found[TORN_ROOT].allowable == pytest.approx(0.5 * 120.0 * MPA * 5.0 * MM * planes)


def test_the_nut_by_hand(found):
    """2.4 mm of thread in each other less a pitch; the nut's metal is softer by more than its thread is wider."""
    outside, inside = thread_areas("M3")
    strips = found["thread of the blade bolt, stripping"]
    assert strips.demand == pytest.approx(0.3 * 640.0 * MPA * pi / 4.0 * CORE**2)
    assert strips.allowable == pytest.approx(0.5 * 0.577 * 1.9 * MM * 300.0 * MPA * inside)
    assert 300.0 * inside < 640.0 * outside
    length = found["thread of the blade bolt in its nut"]
    assert (length.demand, length.allowable) == pytest.approx((2.4 * MM, 2.4 * MM))


def test_what_hangs_over_a_face_by_hand(case, low):
    """Above 6.9 mm the head alone, 2.5 mm high: half of that is its lever."""
    above, below = overhang(case.assembly, 6.9 * MM), overhang(case.assembly, -4.9 * MM)
    head = 7850.0 * area(6.0 * MM) * 2.5 * MM
    assert (above.mass, above.load) == pytest.approx((head, head * RADIUS), rel=1e-4)
    assert above.lever == pytest.approx(1.25 * MM)
    assert (below.load * SPIN**2, below.lever) == pytest.approx(low, rel=1e-4)
    assert below.mass == pytest.approx(low[0] / SPIN**2 / RADIUS, rel=1e-4)
    assert (above.names, set(below.names)) == (("bolt",), {"bolt", "nut"})


def same(one, other, names=None):
    assert set(one) == set(other)
    for name in names or one:
        pair = one[name], other[name]
        assert pair[0].demand == pytest.approx(pair[1].demand, rel=1e-6), name
        assert pair[0].allowable == pytest.approx(pair[1].allowable, rel=1e-6), name
        assert pair[0].verdict == pair[1].verdict, name


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
WITH_RING = {
    "bolt": {"size": "M3x20", "shank_length": "9.6 mm"},
    "nut": {"at": {"radius": "36 mm", "normal": "-7.7 mm"}},
    "ring": RING,
}


def test_a_joint_that_stands_elsewhere_is_the_same_joint(path_of):
    """1.5 mm up and 2 mm forward, all of it with its bolt: no load, section or strength changes."""

    def place(radius, normal):
        return {"at": {"radius": f"{radius} mm", "normal": f"{normal} mm", "chord": "2 mm"}}

    moved = {
        "root": place(36, 1.5),
        "grip": place(24, 1.5),
        "bolt": {**WITH_RING["bolt"], **place(36, 0), "under_head": "6 mm"},
        "nut": place(36, -6.2),
        "ring": {**RING, **place(36, -4.0)},
    }
    there = path_of(part=moved, blade={"bolt_chord": "2 mm"})
    same(path_of(part=WITH_RING), there)
    assert all(check.verdict == "holds" for check in there.values())


def test_a_joint_upside_down_is_the_same_joint(path_of):
    """Head below and nut above, and the ring with it."""
    over = {
        "bolt": {**WITH_RING["bolt"], "head": "-", "under_head": "-4.5 mm"},
        "nut": {"at": {"radius": "36 mm", "normal": "7.7 mm"}},
        "ring": {**RING, "at": {"radius": "36 mm", "normal": "5.5 mm"}},
    }
    same(path_of(part=WITH_RING), path_of(part=over))
