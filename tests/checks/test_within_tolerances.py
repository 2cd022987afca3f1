"""What fails within the tolerances that a build states fails: the worse end counts, and says so."""

import pytest

from featherbench.checks.bearing import most_rating
from featherbench.checks.load_path import load_path_checks
from featherbench.checks.within import AT_THE_END
from featherbench.judging.judgement import judge
from featherbench.slips import remarks


def _bearing(path_of, **changes):
    return path_of(**changes)["thrust bearing"]


def test_the_top_of_the_speed_counts_where_the_build_as_written_holds(path_of, sound, setup_of):
    load = _bearing(path_of).demand
    rating = {"static_rating": f"{1.05 * load:.4f} N"}
    sure = _bearing(path_of, bearing=rating)
    assert sure.verdict == "holds"
    speed = float(setup_of(**sound()).scenario.rotor.speed) * 30.0 / 3.141592653589793
    doubted = _bearing(path_of, bearing=rating, rotor={"speed": f"{speed:.6f} +/- {0.04 * speed:.6f} rpm"})
    assert doubted.verdict == "fails"
    assert doubted.within
    assert AT_THE_END in doubted.section
    heavier = (
        0.02e-3 * 24e-3 * (1.2 * 1.04 * speed * 3.141592653589793 / 30.0) ** 2
    )  # the grip at the top of its own
    assert doubted.demand == pytest.approx(1.04**2 * load + heavier, rel=1e-4)
    narrow = _bearing(path_of, bearing=rating, rotor={"speed": f"{speed:.6f} +/- {0.005 * speed:.6f} rpm"})
    assert narrow.verdict == "holds"
    assert not narrow.within
    assert narrow.demand == pytest.approx(load)  # as written, where it holds either way


def test_a_heavier_blade_and_a_weaker_rating_count_together(path_of):
    load = _bearing(path_of).demand
    weak = _bearing(path_of, bearing={"static_rating": f"{1.1 * load:.3f} +/- {0.2 * load:.3f} N"})
    assert weak.within
    assert weak.allowable == pytest.approx(0.9 * load, rel=1e-3)


def test_either_end_of_a_thickness_is_tried(path_of):
    """Thin cheeks are pressed hard: the lower end counts, though the upper one bends the bolt more."""
    pressed, bent = "bolt pressure in the grip", "blade bolt, bending between the cheeks"
    sure = path_of(joint={"cheek_thickness": "2 mm"})
    assert sure[pressed].verdict == sure[bent].verdict == "holds"
    doubted = path_of(joint={"cheek_thickness": "2 +/- 1.9 mm"})
    assert doubted[pressed].within
    assert (
        doubted[pressed].demand > 15.0 * sure[pressed].demand
    )  # on the shank alone, which is wider than the thread


def test_a_sample_is_not_judged_by_the_tolerances_it_lies_within(setup_of, sound):
    setup = setup_of(**sound(bearing={"static_rating": "1400 +/- 1300 N"}))
    as_sample = {check.name: check for check in load_path_checks(setup, within=False)}
    counted = {check.name: check for check in load_path_checks(setup)}
    name = "thrust bearing at 1.2 x speed"
    assert as_sample[name].verdict == "holds"
    assert counted[name].verdict == "fails"


def test_the_first_line_says_where_it_fails_and_remarks_the_doubt(setup_of, sound):
    setup = setup_of(**sound(bearing={"static_rating": "1400 +/- 1300 N"}))
    (line,) = judge(load_path_checks(setup)).lines
    assert line.startswith("DO NOT RUN: 1 check fails at the worse end of your tolerances (thrust bearing 0.")
    doubted = setup_of(**sound(part={"grip": {"mass": "5.4 +/- 2 g"}}))
    (said,) = [text for text in remarks(doubted) if "+/-" in text]
    assert said.startswith("Is this meant: part.grip.mass = 5.4 g +/- 2 g?")
    poor = setup_of(**sound(part={"grip": {"mass": "5.4 +/- 0.9 g"}}))
    assert not any("+/-" in text for text in remarks(poor))


def test_a_rating_that_no_bearing_of_that_size_has_does_not_count(path_of):
    """ISO 76 by hand: 61.6 N/mm^2 x pi x 8 mm x 0.3 x 8 mm = 3716 N."""
    assert most_rating(8e-3) == pytest.approx(61.6 * 3.14159265 * 0.3 * 64.0, rel=1e-6)
    check = _bearing(path_of, bearing={"static_rating": "90 kN", "mean_diameter": "8 mm"})
    assert check.allowable == pytest.approx(3715.8, rel=1e-3)
    assert "ISO 76" in check.source
    honest = _bearing(path_of, bearing={"static_rating": "1400 N", "mean_diameter": "8 mm"})
    assert honest.allowable == pytest.approx(1400.0)


@pytest.mark.parametrize("into", ["steel", "aluminium 6061"])
def test_a_strength_beyond_any_of_its_material_counts_as_the_handbooks(path_of, into):
    plain = {"into": into, "into_yield": None}
    name = "thread of what holds the grip"
    handbook = path_of(retention=plain)[name].allowable
    assert path_of(retention={"into": into, "into_yield": "5 GPa"})[name].allowable == pytest.approx(handbook)
    pressed = "bolt pressure in the grip"
    own = path_of()[pressed].allowable
    assert path_of(part={"grip": {"yield_strength": "2 GPa"}})[pressed].allowable == pytest.approx(own)
    assert "not counted" in path_of(part={"grip": {"yield_strength": "2 GPa"}})[pressed].source
    better = path_of(part={"grip": {"yield_strength": "300 MPa"}})[pressed]
    assert better.allowable == pytest.approx(own * 300.0 / 276.0)
    nylon = path_of(part={"grip": {"material": "nylon", "yield_strength": "900 MPa"}})[pressed]
    assert nylon.verdict == "unknown"


def test_a_whole_nut_of_the_bolts_class_is_no_close_call(path_of):
    """ISO 898-2: made so that the bolt breaks first; one of a weaker class is left to the stripping check."""
    from featherbench.checks import verdict_text

    name = "thread of the blade bolt in its nut"
    weak = path_of(part={"nut": {"property_class": "5"}})
    assert verdict_text(weak[name]) == "OK, a whole nut"
    assert "its class is below the bolt's" in weak[name].source
    assert "nut of class 5" in weak["thread of the blade bolt, stripping"].source
    whole = path_of(part={"nut": {"property_class": "12"}, "bolt": {"property_class": "10.9"}})
    assert "the bolt breaks first (ISO 898-2, from memory)" in whole[name].source
    short = path_of(part={"bolt": {"size": "M3x10"}})
    assert verdict_text(short[name]).startswith("FAILS")


SIZE = {"radius": "3 mm", "chord": "3 mm", "normal": "3 mm"}
TAB = {"group": "grip", "shape": "box", "size": SIZE, "mass": "0.2 g"}


@pytest.mark.parametrize(
    ("height", "asked"), [("6 mm", False), ("6.04 mm", False), ("6.1 mm", True), ("9 mm", True)]
)
def test_a_piece_of_the_grip_that_touches_nothing_is_asked_what_holds_it(path_of, height, asked):
    found = path_of(part={"tab": {**TAB, "at": {"radius": "24 mm", "normal": height}}})
    name = 'what holds the weight "tab"'
    assert (name in found) == asked
    if asked:
        assert found[name].verdict == "unknown"
        assert "part.tab.held_by" in found[name].source


def test_a_piece_that_stands_on_another_that_stands_on_the_grip_is_held_with_it(path_of):
    first = {**TAB, "at": {"radius": "24 mm", "normal": "6 mm"}}
    second = {**TAB, "at": {"radius": "24 mm", "normal": "9 mm"}}
    found = path_of(part={"tab": first, "upper": second})
    assert not any("what holds the weight" in name for name in found)
    dot = {"group": "grip", "shape": "point", "mass": "0.2 g", "at": {"radius": "24 mm", "normal": "9 mm"}}
    assert 'what holds the weight "dot"' in path_of(part={"dot": dot})
