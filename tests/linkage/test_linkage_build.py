"""A scenario's [linkage] made ready: stiffness in series, play at the rod, what is assumed and refused."""

from math import degrees, inf, pi, radians
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.linkage.build import USUAL_STIFFNESS, build_linkage
from featherbench.linkage.geometry import linkage_geometry, pitch_rod_travel, servo_rod_travel
from featherbench.linkage.play import play_at_rod
from featherbench.linkage.stiffness import in_series, rod_section, rod_stiffness
from featherbench.scenario import ScenarioError
from featherbench.scenario.schema import Linkage

TABLE = {
    "horn_arm": "14 mm",
    "lever_out": "14 mm",
    "lever_in": "20 mm",
    "rod_length": "420 mm",
    "rod_diameter": "2 mm",
    "rod_material": "steel",
    "servo_arm": "13 mm",
}


def scenario(*, pitch=(-26.0, 26.0), travel=60.0, without=(), **linkage):
    """The part of a scenario that the linkage needs; angles in deg, linkage keys as typed."""
    table = {key: value for key, value in (TABLE | linkage).items() if key not in without}
    return SimpleNamespace(
        rotor=SimpleNamespace(pitch_range=tuple(radians(end) for end in pitch)),
        servo=SimpleNamespace(travel=radians(travel)),
        linkage=Linkage.model_validate(table),
    )


def refused(of):
    """The one problem that refuses it."""
    with pytest.raises(ScenarioError) as caught:
        build_linkage(of)
    (problem,) = caught.value.problems
    return problem


def assumed_keys(setup):
    return {entry.key for entry in setup.assumed}


def test_rod_stiffness_and_mass_by_hand():
    """207 GPa, 2 mm, 420 mm; 7850 kg/m^3. Arm and lever stated stiff beyond notice."""
    setup = build_linkage(scenario(arm_stiffness="1e8 N/mm", lever_stiffness="1e8 N/mm"))
    assert setup.stiffness == pytest.approx(207e9 * pi * 1e-6 / 0.42, rel=1e-4)
    assert setup.rod_mass == pytest.approx(7850.0 * pi * 1e-6 * 0.42, rel=1e-12)
    assert assumed_keys(setup) == {"linkage.rod_mass", "linkage.pitch_link"}
    said = {entry.key: entry.value for entry in setup.assumed}
    assert said["linkage.rod_mass"] == "10.4 g"  # 10.36
    thin = build_linkage(scenario(without=("rod_diameter", "rod_material")))
    assert next(entry.value for entry in thin.assumed if entry.key == "linkage.rod_mass") == "2.11 g"


def test_a_known_rod_stays_in_series_with_what_is_assumed_of_the_rest():
    """Carbon 120 GPa, 2 mm, 316 mm: 1193 N/mm; with 40 N/mm of arms, lever and slider 1/(1/1193 + 1/40) = 38.70."""
    known = build_linkage(scenario(rod_material="carbon", rod_length="316 mm"))
    assert known.stiffness == pytest.approx(38.70e3, rel=2e-4)
    (said,) = [entry for entry in known.assumed if entry.key == "linkage.stiffness"]
    assert said.value == "38.7 N/mm"
    assert "1193 N/mm from what is stated" in said.why
    assert "40 N/mm for arm and lever and slider" in said.why
    thinner = build_linkage(scenario(rod_material="carbon", rod_length="316 mm", rod_diameter="0.5 mm"))
    assert thinner.stiffness == pytest.approx(1.0 / (1.0 / 74.56e3 + 1.0 / 40e3), rel=2e-4)


def test_a_known_arm_leaves_neither_rod_nor_lever_rigid():
    """200 N/mm of the arm; 2 mm of carbon 420 mm long is 897.6 N/mm; the lever counts in the assumed 40 N/mm."""
    bare = {"without": ("rod_diameter", "rod_material")}
    setup = build_linkage(scenario(arm_stiffness="200 N/mm", **bare))
    assert setup.stiffness == pytest.approx(1.0 / (1 / 200e3 + 1 / 897.6e3 + 1 / 40e3), rel=2e-4)
    both = build_linkage(scenario(arm_stiffness="200 N/mm", lever_stiffness="300 N/mm", **bare))
    assert both.stiffness == pytest.approx(1.0 / (1 / 200e3 + 1 / 300e3 + 1 / 897.6e3), rel=2e-4)
    assert "a rod of the usual size" in next(e.why for e in both.assumed if e.key == "linkage.stiffness")


@given(arm=st.floats(1.0, 1e6), rod=st.floats(0.2, 20.0))
def test_stating_one_member_never_makes_the_linkage_stiffer_than_the_assumed_rest(arm, rod):
    assert build_linkage(scenario(rod_diameter=f"{rod} mm")).stiffness < USUAL_STIFFNESS
    assert build_linkage(scenario(arm_stiffness=f"{arm} N/mm")).stiffness < USUAL_STIFFNESS


def test_members_in_series():
    setup = build_linkage(
        scenario(arm_stiffness="60 N/mm", lever_stiffness="120 N/mm", rod_modulus="100 GPa")
    )
    give = 0.42 / (100e9 * pi * 1e-6) + 1 / 60e3 + 1 / 120e3
    assert setup.stiffness == pytest.approx(1.0 / give, rel=1e-12)
    assert not {"linkage.arm_stiffness", "linkage.lever_stiffness"} & assumed_keys(setup)


def test_stated_stiffness_stands_alone():
    assert build_linkage(scenario(stiffness="40 N/mm", arm_stiffness="10 N/mm")).stiffness == pytest.approx(
        40e3
    )


def test_what_is_not_known_is_assumed_and_said():
    setup = build_linkage(scenario(without=("rod_diameter", "rod_material")))
    assert setup.stiffness == USUAL_STIFFNESS
    assert setup.rod_mass == pytest.approx(1600.0 * pi * 1e-6 * 0.42, rel=1e-12)
    assert {"linkage.stiffness", "linkage.rod_mass"} <= assumed_keys(setup)
    assert "carbon/epoxy" in next(entry.why for entry in setup.assumed if entry.key == "linkage.rod_mass")
    weighed = build_linkage(scenario(rod_mass="5 g", without=("rod_diameter",), stiffness="40 N/mm"))
    assert weighed.rod_mass == pytest.approx(5e-3)
    assert assumed_keys(weighed) == {"linkage.pitch_link"}


def test_stated_stiffness_needs_no_modulus():
    setup = build_linkage(scenario(rod_material="nylon", stiffness="40 N/mm"))
    assert setup.stiffness == pytest.approx(40e3)
    assert setup.rod_mass == pytest.approx(1140.0 * pi * 1e-6 * 0.42, rel=1e-12)


def test_rod_without_a_material_is_taken_as_carbon_and_says_so():
    setup = build_linkage(scenario(without=("rod_material",)))
    assert setup.stiffness == pytest.approx(in_series(120e9 * pi * 1e-6 / 0.42, USUAL_STIFFNESS), rel=1e-12)
    assert "linkage.rod_material" in assumed_keys(setup)


def test_the_material_of_a_rod_is_assumed_only_where_something_hangs_on_it():
    """A stated modulus leaves the mass to the material; modulus and mass stated leave it nothing."""
    half = build_linkage(scenario(without=["rod_material"], rod_modulus="70 GPa"))
    whole = build_linkage(scenario(without=["rod_material"], rod_modulus="70 GPa", rod_mass="3 g"))
    assert {"linkage.rod_material", "linkage.rod_mass"} <= assumed_keys(half)
    assert not {"linkage.rod_material", "linkage.rod_mass"} & assumed_keys(whole)
    assert whole.rod_mass == pytest.approx(3e-3)


def test_no_lever_asks_for_no_lever_stiffness():
    setup = build_linkage(scenario(without=("lever_out", "lever_in"), servo_arm="15 mm"))
    said = next(entry.why for entry in setup.assumed if entry.key == "linkage.stiffness")
    assert "for arm and slider" in said
    assert setup.geometry.has_lever == 0.0


@given(stiffness=st.lists(st.floats(1e3, 1e7), min_size=1, max_size=5))
def test_series_is_softer_than_its_softest(stiffness):
    total = in_series(*stiffness)
    assert total <= min(stiffness) * (1.0 + 1e-12)
    assert total >= min(stiffness) / len(stiffness) * (1.0 - 1e-12)
    assert in_series(*stiffness, inf) == total
    assert in_series(*reversed(stiffness)) == pytest.approx(total, rel=1e-12)


def test_rigid_members_only_are_rigid():
    assert in_series(inf, inf) == in_series() == inf


def test_tube_is_solid_less_bore():
    assert rod_section(2e-3, 1e-3) == pytest.approx(rod_section(2e-3) - rod_section(1e-3), rel=1e-15)
    assert rod_stiffness(2e9, 3e-6, 0.5) == pytest.approx(12e3)


@given(
    rod=st.floats(0.0, 1e-4),
    slider=st.floats(0.0, 1e-4),
    horn=st.floats(0.0, 1e-4),
    ratio=st.floats(0.5, 2.0),
)
def test_play_is_referred_by_the_lever_ratio(rod, slider, horn, ratio):
    linkage = linkage_geometry(servo_arm=0.013, rod_length=0.4, horn_arm=0.014, lever=(0.014, 0.014 * ratio))
    total = play_at_rod(linkage, rod=rod, slider=slider, horn=horn)
    assert total == pytest.approx(rod + ratio * (slider + horn), rel=1e-12, abs=1e-18)
    assert play_at_rod(linkage._replace(sign=-1.0), rod=rod, slider=slider, horn=horn) == total


def test_play_at_the_horn_is_what_the_blade_can_turn():
    """0.05 mm at a 14 mm horn is 0.05/14 rad of pitch; the rod must move that pitch's travel."""
    setup = build_linkage(scenario(play={"horn": "0.05 mm"}, horn_neutral="8 deg", lever_neutral="5 deg"))
    per_pitch, slider_per_pitch = pitch_rod_travel(0.0, setup.geometry)[1::2]
    assert setup.play == pytest.approx(0.05e-3 / slider_per_pitch * per_pitch, rel=1e-12)


def test_servo_angles_make_the_ends_of_the_range():
    setup = build_linkage(scenario(pitch=(-24.0, 28.0), pitch_link="18 mm", arm_neutral="4 deg"))
    for angle, pitch in zip(setup.servo_angles, (-24.0, 28.0), strict=True):
        made = servo_rod_travel(angle, setup.geometry)[0]
        assert made == pytest.approx(pitch_rod_travel(radians(pitch), setup.geometry)[0], abs=1e-15)


def test_reversed_turns_the_servo_the_other_way():
    low, high = build_linkage(scenario(reversed=True)).servo_angles
    assert low > 0.0 > high


def test_too_little_servo_travel_is_refused_with_the_angle_it_takes():
    needed = max(abs(angle) for angle in build_linkage(scenario()).servo_angles)
    problem = refused(scenario(travel=40.0))
    assert problem.key == "servo.travel"
    assert problem.given == "40 deg"
    said = float(problem.expected.removeprefix("at least ").split(" deg")[0])
    assert 0.0 <= said - degrees(needed) <= 0.1
    assert build_linkage(scenario(travel=said)).geometry is not None
    assert "26.0 deg" in problem.expected
    assert "13 mm" in problem.expected


def test_travel_is_checked_at_the_low_end_too():
    problem = refused(scenario(pitch=(-28.0, 15.0), travel=35.0))
    assert problem.key == "servo.travel"
    assert "-28.0 deg" in problem.expected


def test_a_range_out_of_reach_is_refused_with_numbers():
    problem = refused(scenario(lever_out="6 mm", lever_in="9 mm", servo_arm="15 mm"))
    assert problem.key == "rotor.pitch_range"
    assert problem.given == "-26 deg to 26 deg"
    assert "a lever of 6.00 mm" in problem.expected
    assert "6.14 mm" in problem.expected


@pytest.mark.parametrize(
    ("changed", "key"),
    [
        ({"rod_material": "nylon"}, "linkage.rod_modulus"),
        ({"rod_material": "unobtainium"}, "linkage.rod_material"),
    ],
)
def test_a_rod_of_unknown_stuff_is_refused(changed, key):
    problem = refused(scenario(**changed))
    assert problem.key == key
    assert problem.given
    assert problem.expected


def test_play_that_takes_up_the_whole_stroke_is_refused(scenario_of):
    """12 mm of rod play on a stroke of about 14: the blades still move; 20 mm: nothing would."""
    build_linkage(scenario_of(linkage={"play": {"rod": "12 mm"}}))
    with pytest.raises(ScenarioError, match="whole stroke") as refused:
        build_linkage(scenario_of(linkage={"play": {"rod": "20 mm"}}))
    assert refused.value.problems[0].key == "linkage.play"
    assert "20.1 mm" in refused.value.problems[0].given
