"""The blade bolt by hand: the section that decides, each load by itself, all together, and for long."""

from math import pi, sqrt

import pytest

from featherbench.checks.bolt import BENDING, COMBINED, LASTS, PIN, SHEAR
from featherbench.checks.endurance import endurance_at, stress_amplitude, thread_endurance
from featherbench.checks.fasteners import combined_stress
from featherbench.checks.pin import pin_load, pin_moment
from featherbench.checks.strength import Strength

CORE = 3e-3 - 1.226869 * 0.5e-3
SPIN = 9000.0 * 2.0 * pi / 60.0 * 1.2


@pytest.fixture(scope="module")
def pull(setup_of, sound):
    """Of blade and root on the bolt at 1.2 x speed, N."""
    return setup_of(**sound()).assembly.swinging.radial * SPIN**2


def modulus(diameter):
    return pi * diameter**3 / 32.0


def area(diameter):
    return pi / 4.0 * diameter**2


@pytest.mark.parametrize(
    ("force", "root", "cheek", "clearance", "expected"),
    [
        (100e3, 10e-3, 10e-3, 5e-3, 625.0),  # 100 kN / 8 (10 + 20 + 20) mm, a worked clevis
        (240.0, 4e-3, 1.5e-3, 0.0, 0.21),  # 240/8 (4 + 3) = 210 N mm
        (800.0, 6e-3, 2e-3, 0.1e-3, 1.04),  # 100 (6 + 0.4 + 4)
    ],
)
def test_pin_moment_by_hand(force, root, cheek, clearance, expected):
    assert pin_moment(force, root, cheek, clearance) == pytest.approx(expected, rel=1e-12)
    assert pin_load(force, root, cheek, clearance, 0.0).moment == pytest.approx(expected, rel=1e-12)


def test_moment_and_shear_along_a_pin_are_one_curve():
    """The moment's slope is the shear, without a step, and both end at the outer face."""
    given, step = (700.0, 5e-3, 2e-3, 0.2e-3), 1e-7
    for away in (0.3e-3, 1.9e-3, 2.6e-3, 2.9e-3, 4.2e-3):
        low, high = pin_load(*given, away - step), pin_load(*given, away + step)
        assert (low.moment - high.moment) / (2.0 * step) == pytest.approx(
            pin_load(*given, away).shear, rel=1e-3
        )
    assert pin_load(*given, 2.6e-3).shear == pytest.approx(350.0)
    assert pin_load(*given, 2.6e-3).moment == pytest.approx(
        700.0 * (2.0 / 4.0 + 0.5 * 0.1) * 1e-3
    )  # F/4 a + F/2 x
    for corner in (2.5e-3, 2.7e-3):
        near = [pin_load(*given, corner + way) for way in (-1e-9, 1e-9)]
        assert near[0] == pytest.approx(near[1], rel=1e-5)
    assert pin_load(*given, 4.7e-3).moment == pytest.approx(0.0, abs=1e-12)


def test_a_plain_shank_in_the_joint_carries_whole(path_of, pull):
    """Shear: 0.5 x 0.6 x 1040 MPa on two planes of 3 mm; bending: 0.5 x 830 MPa x pi 27/32 mm^3."""
    found = path_of()
    shear, pin = found[SHEAR], found[PIN]
    assert shear.demand == pytest.approx(pull)
    assert shear.allowable == pytest.approx(0.5 * 0.6 * 1040e6 * 2.0 * area(3e-3))
    # 5 mm root, cheeks (9 - 5)/2 - 0.1 = 1.9 mm, clearance 0.1 mm each side: F/8 (5 + 0.4 + 3.8) mm
    assert pin.demand == pytest.approx(pull / 8.0 * 9.2e-3)
    assert pin.allowable == pytest.approx(0.5 * 830e6 * modulus(3e-3))
    assert "plain shank, 3.00 mm" in pin.section
    assert "middle of the blade root" in pin.section
    assert all(check.verdict == "holds" for check in found.values()), [
        check for check in found.values() if check.verdict != "holds"
    ]


def test_the_core_decides_where_the_thread_reaches_into_the_joint(path_of, pull):
    found = path_of(part={"bolt": {"shank_length": None}})
    assert found[SHEAR].allowable == pytest.approx(0.5 * 0.6 * 1040e6 * 2.0 * area(CORE))
    assert found[PIN].allowable == pytest.approx(0.5 * 830e6 * modulus(CORE))
    assert "thread M3, core d3 = 2.39 mm" in found[PIN].section
    # a thread that begins just below the middle of the root decides there, at nearly the whole moment
    half = path_of(part={"bolt": {"shank_length": "5 mm"}})[PIN]
    assert half.allowable == pytest.approx(found[PIN].allowable)
    away = 0.5e-3
    assert half.demand == pytest.approx(pull / 8.0 * 9.2e-3 - pull * away**2 / 10e-3)
    # the lower shear plane is threaded, the upper is not: the weaker counts for both
    assert path_of(part={"bolt": {"shank_length": "6.9 mm"}})[SHEAR].allowable == pytest.approx(
        found[SHEAR].allowable
    )


def test_stated_cheeks_roots_and_clearances_take_the_parts_place(path_of, pull):
    joint = {"root_thickness": "6 mm", "cheek_thickness": "1.5 mm", "clearance": "0.3 mm"}
    assert path_of(joint=joint)[PIN].demand == pytest.approx(pull / 8.0 * (6.0 + 1.2 + 3.0) * 1e-3)
    assert path_of(part={"root": None}, joint={"cheek_thickness": "2 mm"})[PIN].verdict == "unknown"


def test_weights_bend_the_bolt_at_the_worse_face(path_of):
    """A 1 g ring below, none above: its 36 mm x 1 g pulls 1 mm below the lower face, whose thread decides."""
    ring = {"group": "counterweight", "shape": "tube", "axis": "normal", "diameter": "5 mm", "bore": "3 mm",
            "length": "2 mm", "mass": "1 g", "material": "steel", "held_by": "clamped under nut",
            "at": {"radius": "36 mm", "normal": "-5.5 mm"}}  # fmt: skip
    long = {"size": "M3x20", "shank_length": None}
    nut = {"at": {"radius": "36 mm", "normal": "-7.7 mm"}}
    plain = path_of(part={"bolt": long, "nut": nut})[BENDING]
    found = path_of(part={"bolt": long, "nut": nut, "ring": ring})[BENDING]
    assert found.demand - plain.demand == pytest.approx(1e-3 * 36e-3 * 1e-3 * SPIN**2, rel=1e-6)
    assert found.allowable == pytest.approx(0.5 * 830e6 * modulus(CORE))
    assert "below" in found.section
    above = {**ring, "at": {"radius": "36 mm", "normal": "5.5 mm"}, "held_by": "clamped under head"}
    heavy = {
        "bolt": {**long, "under_head": "6.5 mm", "shank_length": "3 mm"},
        "nut": {},
        "ring": {**above, "mass": "3 g"},
    }
    assert "above" in path_of(part=heavy)[BENDING].section


def test_all_together_is_von_mises_with_the_preload(path_of, pull):
    """In the middle of the root: 0.3 x 830 MPa and M/W side by side, no shear; at its face both moments and F/2A."""
    check = path_of()[COMBINED]
    bending = pull / 8.0 * 9.2e-3 / modulus(3e-3)
    assert check.demand == pytest.approx(0.3 * 830e6 + bending)
    assert check.allowable == pytest.approx(0.8 * 830e6)


def test_shear_counts_three_times_its_square_in_all_together(path_of, pull):
    """Thin root and cheeks, and next to no bolt hanging out: at the root's face F/4 a bends and F/2 shears the core."""
    joint = {"root_thickness": "0.02 mm", "cheek_thickness": "0.02 mm", "clearance": "0 mm"}
    found = path_of(joint=joint, part={"bolt": {"shank_length": None, "mass": "0.001 g"}, "nut": None})
    face = combined_stress(0.3 * 830e6 + pull * 0.005e-3 / modulus(CORE), 0.5 * pull / area(CORE))
    by_hand = sqrt(
        (0.3 * 830e6 + pull * 0.005e-3 / modulus(CORE)) ** 2 + 3.0 * (0.5 * pull / area(CORE)) ** 2
    )
    assert face == pytest.approx(by_hand)
    assert by_hand > 1.05 * (0.3 * 830e6 + pull / 8.0 * 0.06e-3 / modulus(CORE))
    assert found[COMBINED].demand == pytest.approx(by_hand, rel=2e-3)


def test_twice_the_speed_is_four_times_the_demand(path_of):
    slow, fast = path_of(rotor={"speed": "6000 rpm"}), path_of(rotor={"speed": "12000 rpm"})
    for name in (SHEAR, PIN, BENDING, LASTS, "thrust bearing", "what holds the grip on its axis"):
        if name != LASTS:
            assert fast[name].demand == pytest.approx(4.0 * slow[name].demand), name
            assert fast[name].allowable == pytest.approx(slow[name].allowable), name
    assert fast[LASTS].demand == pytest.approx(4.0 * slow[LASTS].demand)


def test_over_speed_counts_squared(setup_of, sound):
    from featherbench.checks.load_path import load_path_checks

    def demands(over):
        found = load_path_checks(setup_of(**sound(limits={"over_speed": over})))
        return {check.name.rpartition(" at ")[0]: check.demand for check in found}

    one, two = demands(1.0), demands(1.5)
    for name in (SHEAR, PIN, BENDING, "thrust bearing", "what holds the grip on its axis"):
        assert two[name] == pytest.approx(2.25 * one[name]), name


def test_endurance_of_small_threads_is_that_of_m6():
    """VDI 2230: 0.85 (150/6 + 45) = 59.5 MPa; 0.85 (150/10 + 45) = 51 MPa."""
    assert thread_endurance(3e-3) == thread_endurance(6e-3) == pytest.approx(59.5e6)
    assert thread_endurance(10e-3) == pytest.approx(51.0e6)


def test_starts_and_turns_by_hand():
    """100 MPa: 10 of it once per turn; 50 each start, 10,000 of them do as much as 50 (1/200)^(1/3) = 8.55 for ever."""
    assert stress_amplitude(100e6) == pytest.approx(10e6 + 50e6 / 200.0 ** (1.0 / 3.0))


def test_the_worse_endurance_counts_with_its_mean():
    """Rolled 10.9: 0.5 x 1040 x 4.51 x 1040^-0.265 / 3.0 = 124.1 MPa, at no mean more than the 59.5 of VDI; at a mean
    of 780 MPa a quarter of it, 31 MPa, less. Cut: 3.8 for 3.0, and 0.79 of 59.5. Of each 0.7.
    """
    rolled = Strength(830e6, 1040e6, "", "steel", rolled=True)
    cut = Strength(830e6, 1040e6, "", "steel")
    bare = 0.5 * 1040e6 * 4.51 * 1040.0**-0.265
    assert endurance_at(rolled, "thread", 3e-3, 0.0) == pytest.approx(0.7 * 59.5e6)
    assert endurance_at(rolled, "thread", 3e-3, 780e6) == pytest.approx(0.7 * 0.25 * bare / 3.0)
    assert endurance_at(cut, "thread", 3e-3, 0.0) == pytest.approx(0.7 * 0.79 * 59.5e6)
    assert endurance_at(cut, "thread", 3e-3, 780e6) == pytest.approx(0.7 * 0.25 * bare / 3.8)
    assert endurance_at(rolled, "fillet", 3e-3, 0.0) == pytest.approx(0.7 * bare / 2.3)
    assert endurance_at(rolled, "shank", 3e-3, 0.0) == pytest.approx(0.7 * bare / 1.5)
    mild = Strength(235e6, 360e6, "", "steel")
    soft = 0.5 * 360e6 * 4.51 * 360.0**-0.265
    assert endurance_at(mild, "fillet", 3e-3, 0.0) == pytest.approx(0.7 * soft / 2.1)
    assert endurance_at(mild, "thread", 3e-3, 180e6) == pytest.approx(0.7 * 0.5 * soft / 2.8)
    for metal in ("aluminium", "brass", ""):
        assert endurance_at(Strength(400e6, 500e6, "", metal), "thread", 3e-3, 0.0) is None


def test_the_lasting_stress_by_hand(path_of, pull):
    """Plain shank in the middle of the root: M/W swings, against 0.7 of the rubbed shank's at its mean."""
    check = path_of()[LASTS]
    bending = pull / 8.0 * 9.2e-3 / modulus(3e-3)
    assert check.demand == pytest.approx(stress_amplitude(bending))
    bare = 0.5 * 1040e6 * 4.51 * 1040.0**-0.265 / 1.5
    mean = 0.3 * 830e6 + 0.5 * bending
    assert check.allowable == pytest.approx(0.7 * bare * (1.0 - mean / 1040e6))


def test_what_rounding_leaves_beside_the_root_is_no_cheek(path_of):
    """5 mm of root and 0.1 mm of air each side in a grip 5.2 mm high: 0 mm, or 1e-19, of metal."""
    for height in ("5.2 mm", "5.21 mm"):
        check = path_of(part={"grip": {"size": {"normal": height}}}, joint={"clearance": "0.1 mm"})[PIN]
        assert check.verdict == "unknown"
        assert "not higher than the blade root" in check.source
    thin = path_of(part={"grip": {"size": {"normal": "5.3 mm"}}}, joint={"clearance": "0.1 mm"})
    assert thin[PIN].allowable is not None
    assert thin["bolt pressure in the grip"].verdict == "fails"


@pytest.mark.parametrize("stated", [{}, {"root_thickness": "5 mm", "cheek_thickness": "2 mm"}])
def test_a_clearance_out_of_proportion_is_told_as_what_it_is(path_of, stated):
    check = path_of(joint={"clearance": "1 m", **stated})[PIN]
    assert check.verdict == "unknown"
    assert check.source.startswith(
        "joint.clearance = 1000 mm is out of proportion to a blade root 5.00 mm thick"
    )
    assert (
        path_of(joint={"clearance": "2.4 mm", **stated, "cheek_thickness": "2 mm"})[PIN].allowable is not None
    )
