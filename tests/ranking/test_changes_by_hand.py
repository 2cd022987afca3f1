"""What each ordinary change does to which key, by hand; and what a build is told that cannot take it."""

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.ranking import force_by_part as by_part
from featherbench.ranking import ordinary, part_changes
from featherbench.ranking.change import altered, piece_mass, scaled, with_masses
from featherbench.scenario import read

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MM = 1e-3


@pytest.fixture(scope="module")
def plain():
    return read(SCENARIOS / "survey-3kg" / "plain.toml")


@pytest.fixture(scope="module")
def assembly(plain):
    return build_assembly(plain)


def by_words(changes):
    return {one.words: one for one in changes}


def same(one, key, kind, before, after):
    (own,) = [own for own in one.settings if own.key == key]
    assert (own.kind, own.before, own.after) == (kind, pytest.approx(before), pytest.approx(after)), key


def test_numbers_are_multiplied_and_told_before_and_after(plain):
    one = scaled(plain, "both", {"linkage.servo_arm": 1.5, "linkage.horn_arm": 0.5, "rotor.speed": 0.9}, "so")
    assert (one.words, one.remark, one.refused) == ("both", "so", "")
    assert one.scenario.linkage.servo_arm == pytest.approx(21 * MM)
    assert one.scenario.linkage.horn_arm == pytest.approx(6.5 * MM)
    assert one.scenario.rotor.speed == pytest.approx(0.9 * plain.rotor.speed)
    assert len(one.settings) == 3
    same(one, "linkage.servo_arm", "length", 14 * MM, 21 * MM)
    same(one, "linkage.horn_arm", "length", 13 * MM, 6.5 * MM)
    assert plain.linkage.servo_arm == pytest.approx(14 * MM)


def test_what_is_not_stated_or_nothing_is_not_multiplied(plain):
    def bent(**values):
        return plain.model_copy(update={"linkage": plain.linkage.model_copy(update=values)})

    words = {"linkage.lever_in": 2.0}
    assert scaled(bent(lever_in=None), "x", words).refused == "linkage.lever_in is not stated"
    nothing = scaled(bent(slider_friction=0.0), "x", {"linkage.slider_friction": 0.5})
    assert (nothing.scenario, nothing.refused) == (None, "linkage.slider_friction is 0 already")
    assert scaled(bent(slider_friction=1.0), "x", {"linkage.slider_friction": 0.5}).refused == ""


def test_a_change_is_judged_by_the_rules_of_a_file(plain):
    turned = plain.rotor.model_copy(update={"pitch_range": (0.4, -0.4)})
    one = altered(plain, "turned", {"rotor": turned})
    assert one.scenario is None
    assert one.refused.startswith('rotor.pitch_range: expected the low end first, for example ["-26 deg"')


def test_parts_that_others_take_the_place_of_are_still_there_for_the_rules():
    """A file whose weights stand in place of a plain bolt names it; it takes other changes all the same."""
    over = read(SCENARIOS / "tutorial-2kg" / "over.toml")
    assert over.replaced
    assert scaled(over, "arm", {"linkage.servo_arm": 1.1}).refused == ""


def test_a_piece_weighs_as_on_the_scale_or_by_its_size(plain, assembly):
    """A twin is not of the piece: 5.2 g on the scale are one grip's; of a mirrored part's moments half."""
    assert piece_mass(plain, assembly, "grip") == pytest.approx(5.2e-3)
    bolt = next(part for part in assembly.parts if part.name == "blade-bolt")
    assert piece_mass(plain, assembly, "blade-bolt") == pytest.approx(bolt.moments.mass)
    assert 0.5e-3 < bolt.moments.mass < 3e-3
    twin = plain.part["blade-bolt"].model_copy(update={"mirror": "normal"})
    doubled = plain.model_copy(update={"part": {**plain.part, "blade-bolt": twin}})
    assert piece_mass(doubled, assembly, "blade-bolt") == pytest.approx(0.5 * bolt.moments.mass)


def test_other_masses_take_the_place_of_a_density(plain, assembly):
    dense = plain.part["blade-bolt"].model_copy(update={"density": 7850.0})
    own = plain.model_copy(update={"part": {**plain.part, "blade-bolt": dense}})
    more = {"grip": {"material": "brass"}}
    one = with_masses(own, assembly, "two", {"grip": 0.5, "blade-bolt": 2.0}, "so", more)
    before = piece_mass(own, assembly, "blade-bolt")
    assert one.scenario.part["grip"].mass == pytest.approx(2.6e-3)
    assert one.scenario.part["grip"].material == "brass"
    assert one.scenario.part["blade-bolt"].mass == pytest.approx(2.0 * before)
    assert one.scenario.part["blade-bolt"].density is None
    assert one.remark == "so"
    same(one, "part.grip.mass", "mass", 5.2e-3, 2.6e-3)
    same(one, "part.blade-bolt.mass", "mass", before, 2.0 * before)


def test_arms_are_made_a_tenth_longer_and_shorter(plain):
    found = by_words(ordinary._arms(plain))
    assert list(found) == [
        f"{name} 10 % {how}"
        for name in ("servo arm", "pitch horn arm", "bellcrank rod arm")
        for how in ("shorter", "longer")
    ]
    for name, key, long in (
        ("servo arm", "servo_arm", 14.0), ("pitch horn arm", "horn_arm", 13.0), ("bellcrank rod arm", "lever_in", 18.0),
    ):  # fmt: skip
        for how, factor in (("shorter", 0.9), ("longer", 1.1)):
            one = found[f"{name} 10 % {how}"]
            same(one, f"linkage.{key}", "length", long * MM, factor * long * MM)
            assert getattr(one.scenario.linkage, key) == pytest.approx(factor * long * MM)


def linked(plain, **values):
    return plain.model_copy(update={"linkage": plain.linkage.model_copy(update=values)})


def test_a_linkage_is_made_stiffer_less_worn_and_freer(plain):
    found = by_words(ordinary._linkage(plain))
    same(found["linkage 50 % stiffer"], "linkage.stiffness", "stiffness", 35e3, 52.5e3)
    play = found["half the play in the linkage"]
    for name, wide in (("rod", 0.05), ("slider", 0.04), ("horn", 0.04)):
        same(play, f"linkage.play.{name}", "length", wide * MM, 0.5 * wide * MM)
        assert getattr(play.scenario.linkage.play, name) == pytest.approx(0.5 * wide * MM)
    friction = found["half the friction at slider and rod"]
    same(friction, "linkage.slider_friction", "force", 0.35, 0.175)
    same(friction, "linkage.rod_friction", "force", 0.15, 0.075)
    grease = found["half the grease drag in the bearings"]
    same(grease, "bearing.starting_moment", "moment", 0.3e-3, 0.15e-3)
    assert grease.scenario.bearing.starting_moment == pytest.approx(0.15e-3)
    assert grease.remark


def test_only_play_and_friction_that_are_there_are_halved(plain):
    tight = plain.linkage.play.model_copy(update={"rod": 0.0, "horn": 0.0})
    play = by_words(ordinary._linkage(linked(plain, play=tight)))["half the play in the linkage"]
    assert [own.key for own in play.settings] == ["linkage.play.slider"]
    none = tight.model_copy(update={"slider": 0.0})
    bare = by_words(ordinary._linkage(linked(plain, play=none, slider_friction=0.0, rod_friction=0.0)))
    assert bare["half the play in the linkage"].refused == "no play in the file (linkage.play)"
    free = bare["half the friction at slider and rod"]
    assert free.refused == "no friction of slider or rod in the file"
    one = by_words(ordinary._linkage(linked(plain, slider_friction=0.0)))
    own = one["half the friction at slider and rod"].settings
    assert [setting.key for setting in own] == ["linkage.rod_friction"]


def test_blades_are_made_lighter_and_narrower(plain, assembly):
    lighter, narrower = ordinary._blades(plain, assembly)
    assert (lighter.words, narrower.words) == ("blades 10 % lighter", "blades 10 % less in chord")
    for one in (lighter, narrower):
        assert one.scenario.part["blade"].mass == pytest.approx(4.5e-3)
        assert one.scenario.part["blade-root"].mass == pytest.approx(0.9e-3)
        same(one, "part.blade.mass", "mass", 5.0e-3, 4.5e-3)
    assert lighter.scenario.blade == plain.blade
    same(narrower, "blade.chord", "length", 25 * MM, 22.5 * MM)
    assert [chord for _, chord in narrower.scenario.blade.chord] == pytest.approx(
        [0.9 * chord for _, chord in plain.blade.chord]
    )
    assert narrower.remark == "mass with the chord"
    boxes = plain.model_copy(update={"part": {"grip": plain.part["grip"]}})
    (none,) = ordinary._blades(boxes, assembly)
    assert none.refused == "no part of shape aerofoil in the file"


@pytest.mark.parametrize(
    ("low", "high", "taken"),
    [
        (-26.0, 28.0, True),
        (-1.5, 28.0, False),
        (-26.0, 1.5, False),
        (-2.0, 28.0, False),
        (-26.0, 2.0, False),
        (-2.5, 2.5, True),
    ],
)
def test_the_pitch_range_ends_two_degrees_sooner_unless_it_would_not_hold_zero(plain, low, high, taken):
    ends = tuple(math.radians(one) for one in (low, high))
    rotor = plain.rotor.model_copy(update={"pitch_range": ends})
    bench = plain.bench.model_copy(update={"release_from": math.radians(0.2)})
    narrower, slower = ordinary._rotor(plain.model_copy(update={"rotor": rotor, "bench": bench}))
    assert (narrower.refused == "") == taken
    if taken:
        assert narrower.scenario.rotor.pitch_range == pytest.approx(
            (math.radians(low + 2.0), math.radians(high - 2.0))
        )
        same(narrower, "rotor.pitch_range.0", "angle", ends[0], math.radians(low + 2.0))
        same(narrower, "rotor.pitch_range.1", "angle", ends[1], math.radians(high - 2.0))
    else:
        assert narrower.refused == "the range would end short of zero pitch"
    assert slower.scenario.rotor.speed == pytest.approx(0.95 * plain.rotor.speed)


def test_a_servo_is_stronger_or_geared_lower(plain):
    stronger, geared = ordinary._servo(plain)
    own = plain.servo
    for one, keys in (
        (stronger, ("stall_torque", "stall_current")),
        (geared, ("stall_torque", "transit_60", "gear_ratio")),
    ):
        assert {setting.key for setting in one.settings} == {f"servo.{key}" for key in keys}
        for key in keys:
            assert getattr(one.scenario.servo, key) == pytest.approx(1.3 * getattr(own, key))


def test_a_grip_is_lightened_and_shortened_at_its_inboard_end(plain, assembly):
    """28 mm long about 23 mm: from 9 to 37 mm; of 25.2 mm the outboard end stays at 37 mm, so it stands about 24.4."""
    found = by_words(part_changes.grip_changes(plain, assembly))
    assert list(found) == ["horn 30 % lighter", "grip 10 % lighter", "grip 10 % shorter"]
    same(found["horn 30 % lighter"], "part.horn.mass", "mass", 0.7e-3, 0.49e-3)
    same(found["grip 10 % lighter"], "part.grip.mass", "mass", 5.2e-3, 4.68e-3)
    short = found["grip 10 % shorter"]
    same(short, "part.grip.mass", "mass", 5.2e-3, 4.68e-3)
    grip = short.scenario.part["grip"]
    assert grip.size.radius == pytest.approx(25.2 * MM)
    assert grip.at.radius == pytest.approx(24.4 * MM)
    assert (grip.size.chord, grip.size.normal) == pytest.approx((12 * MM, 10 * MM))


def test_a_grip_in_one_piece_or_of_no_box_or_none(plain, assembly):
    one = replace(assembly, parts=tuple(part for part in assembly.parts if part.name != "horn"))
    found = by_words(part_changes.grip_changes(plain, one))
    assert found["pitch arm 30 % lighter"].refused == "the pitch arm is no part of its own in the file"
    assert "grip 10 % lighter" in found
    (none,) = part_changes.grip_changes(plain, replace(assembly, parts=()))
    assert none.refused == "no part of group grip in the file"
    refused = part_changes._shorter(plain, assembly, "blade-bolt")
    assert refused.refused == "blade-bolt is no box, so it is not known what changes"


def test_the_next_lengths_of_a_screw_are_those_it_is_sold_in():
    """ISO 4762 (MEM): ... 12, 16, 20, 25 mm; one shorter, two longer; none of its own, however it was rounded."""
    assert part_changes._beside("M3", 16 * MM) == pytest.approx([12 * MM, 20 * MM, 25 * MM])
    for off in (-0.9e-6, 0.9e-6):
        assert part_changes._beside("M3", 16 * MM + off) == pytest.approx([12 * MM, 20 * MM, 25 * MM])
    assert part_changes._beside("M3", 16 * MM + 2e-6)[0] == pytest.approx(16 * MM)
    assert part_changes._beside("M3", 16 * MM - 2e-6)[1] == pytest.approx(16 * MM)
    assert part_changes._beside("M3", 5 * MM) == pytest.approx([6 * MM, 8 * MM])
    assert part_changes._beside("M3", 60 * MM) == pytest.approx([55 * MM])


def test_threads_beside_are_the_next_of_the_same_standard():
    """ISO 4762 (MEM): M1.6, M2, M2.5, M3, M4, M5."""
    assert part_changes._threads_beside("ISO 4762", "M3") == ["M2.5", "M4"]
    assert part_changes._threads_beside("ISO 4762", "M1.6") == ["M2"]
    assert part_changes._threads_beside("a name of their own", "M3") == ["M2.5", "M4"]
    assert part_changes._threads_beside("a name of their own", "4-40") == part_changes._threads_beside(
        "ASME B18.3", "4-40"
    )
    last = list(part_changes.SCREWS["ISO 4017"])
    assert part_changes._threads_beside("ISO 4017", last[0]) == last[1:2]
    assert part_changes._threads_beside("ISO 4017", last[-1]) == last[-2:-1]


def test_a_longer_or_shorter_bolt_keeps_its_plain_length_as_far_as_leaves_some_thread(plain):
    """9.5 mm plain of 16; of 8 mm all but one millimetre, of a millimetre none."""
    found = by_words(part_changes.bolt_changes(plain))
    assert list(found)[:3] == ["blade-bolt M3x12", "blade-bolt M3x20", "blade-bolt M3x25"]
    assert [words.split()[1] for words in list(found)[3:]] == ["M2.5x16", "M4x16"]
    for size in ("M3x12", "M3x20", "M3x25"):
        bolt = found[f"blade-bolt {size}"].scenario.part["blade-bolt"]
        assert (bolt.size, bolt.shank_length) == (size, pytest.approx(9.5 * MM))
    screw = plain.part["blade-bolt"].model_copy(update={"shank_diameter": 3.2 * MM})
    for long, left in (
        (8 * MM, 7 * MM),
        (1 * MM, 0.0),
        (0.5 * MM, 0.0),
        (10.5 * MM, 9.5 * MM),
        (10 * MM, 9 * MM),
    ):
        assert part_changes._screw(screw, "M3", long, None).shank_length == pytest.approx(left)
    assert part_changes._screw(screw, "M3", 0.01, None).shank_diameter == 3.2 * MM
    assert part_changes._screw(screw, "M4", 0.01, "M4").shank_diameter is None


def test_the_bolt_that_is_tried_is_the_first_bought_screw_of_group_bolt(plain):
    odd = plain.part["blade-bolt"].model_copy(update={"group": "other"})
    parts = {"odd": odd, **plain.part}
    found = by_words(part_changes.bolt_changes(plain.model_copy(update={"part": parts})))
    assert all(words.startswith("blade-bolt ") for words in found)
    (none,) = part_changes.bolt_changes(plain.model_copy(update={"part": {"odd": odd}}))
    assert none.refused == "no bought screw of group bolt in the file"


@pytest.fixture(scope="module")
def nutted(plain):
    """A nut below and another above."""
    nut = plain.part["lock-nut"]
    above = nut.model_copy(update={"at": nut.at.model_copy(update={"normal": 9 * MM})})
    return plain.model_copy(update={"part": {**plain.part, "jam-nut": above}})


def test_nuts_of_another_thread_bear_where_they_did(nutted):
    high = {size: part_changes._height("DIN 985", size) / MM for size in ("M3", "M4")}
    assert high["M4"] > high["M3"] + 0.5
    found = by_words(part_changes.bolt_changes(nutted))
    one = found["blade-bolt M4x16 with its nut"]
    parts = one.scenario.part
    assert (parts["blade-bolt"].size, parts["blade-bolt"].shank_diameter) == ("M4x16", None)
    assert parts["lock-nut"].size == parts["jam-nut"].size == "M4"
    off = 0.5 * (high["M4"] - high["M3"])
    assert parts["lock-nut"].at.normal == pytest.approx((-7.0 - off) * MM)
    assert parts["jam-nut"].at.normal == pytest.approx((9.0 + off) * MM)
    assert one.remark == "the hole in grip and root drilled to suit"
    axis = nutted.part["lock-nut"].at.model_copy(update={"normal": 0.0})
    level = nutted.part["lock-nut"].model_copy(update={"at": axis})
    on_axis = nutted.model_copy(update={"part": {**nutted.part, "lock-nut": level}})
    one = part_changes._of_size(on_axis, "blade-bolt", "M4", 16 * MM)
    assert one.scenario.part["lock-nut"].at.normal == pytest.approx(off * MM)


def test_a_nut_that_is_not_made_in_that_thread_leaves_the_change_out(nutted):
    nut = nutted.part["lock-nut"].model_copy(update={"standard": "ISO 0000"})
    one = part_changes._of_size(
        nutted.model_copy(update={"part": {**nutted.part, "lock-nut": nut}}), "blade-bolt", "M4", 16 * MM
    )
    assert one.refused == "lock-nut: no M4 nut of ISO 0000 (a nut of the tables)"
    assert one.words == "blade-bolt M4x16"


def test_a_nuts_height_is_from_its_lowest_piece_to_its_highest(monkeypatch):
    pieces = [SimpleNamespace(start=-2.0, length=3.0), SimpleNamespace(start=1.0, length=0.5)]
    monkeypatch.setattr(part_changes, "nut_pieces", lambda *_: pieces)
    assert part_changes._height("ISO 4032", "M3") == 3.5


def test_washers_go_with_the_thread(plain):
    part = part_changes.written.WasherPart.model_construct(
        **{**dict(plain.part["lock-nut"]), "shape": "washer", "standard": "ISO 7089", "size": "M3"}
    )
    own = plain.model_copy(update={"part": {"blade-bolt": plain.part["blade-bolt"], "washer": part}})
    one = part_changes._of_size(own, "blade-bolt", "M4", 16 * MM)
    assert one.refused == ""
    assert one.scenario.part["washer"].size == "M4"
    assert one.scenario.part["washer"].at == part.at
    assert one.words == "blade-bolt M4x16"


def base(scenario, assembly):
    return SimpleNamespace(scenario=scenario, assembly=assembly)


def test_weights_that_are_there_become_lighter_and_heavier():
    over = read(SCENARIOS / "survey-3kg" / "weighted.toml")
    own = build_assembly(over)
    names = [name for name, part in over.part.items() if part.group == "counterweight"]
    found = by_words(part_changes.weight_changes(base(over, own)))
    assert list(found) == [
        "weights 50 % lighter, as they stand",
        "weights 25 % lighter, as they stand",
        "weights 25 % heavier, as they stand",
    ]
    for one, factor in zip(found.values(), (0.5, 0.75, 1.25), strict=True):
        assert {setting.key for setting in one.settings} == {f"part.{name}.mass" for name in names}
        for setting in one.settings:
            assert setting.after == pytest.approx(factor * setting.before)
            assert setting.before > 0.0


def test_a_build_without_weights_is_tried_with_pairs_of_points(plain, assembly, monkeypatch):
    """A stand-in of 0.5 g each, so many times as heavy as cancels that much; none where there is nothing to cancel."""
    times = {0.25: 0.0, 0.5: 0.8, 0.75: 3.0}
    monkeypatch.setattr(part_changes, "amount", lambda _base, kappa: (None, times[kappa]))
    found = by_words(part_changes.weight_changes(base(plain, assembly)))
    assert list(found) == ["weights that cancel 25 %", "weights that cancel 50 %", "weights that cancel 75 %"]
    assert found["weights that cancel 25 %"].refused == "these blades have no pull to cancel"
    for words, mass in (("weights that cancel 50 %", 0.4e-3), ("weights that cancel 75 %", 1.5e-3)):
        one = found[words]
        part = one.scenario.part["weights-tried"]
        assert (part.group, part.shape, part.mirror) == ("counterweight", "point", "normal")
        assert (part.at.radius, part.at.chord, part.at.normal) == pytest.approx((34 * MM, 0.0, 12 * MM))
        assert part.mass == pytest.approx(mass)
        same(one, "part.weights-tried.mass", "mass", 0.0, mass)
        assert "12 mm above and below" in one.remark


def test_a_bolt_that_is_the_weight_is_not_doubled(plain, assembly):
    parts = [replace(part, stands_in=part.name == "blade-bolt") for part in assembly.parts]
    own = replace(assembly, parts=tuple(parts))
    (one,) = part_changes.weight_changes(base(plain, own))
    assert one.refused == "the bolt of this build is its weight (instead_of)"


def statics(force, friction, air=(0.0, 0.0, 0.0)):
    return SimpleNamespace(
        pitch=np.array([-0.4, 0.0, 0.4]),
        rod_force=np.array(force),
        rod_friction=np.array(friction),
        air=np.array(air),
    )


@pytest.fixture
def parted(monkeypatch):
    """Of a build of two parts that ask for 2 and -0.5 N m at the blade's axis, by a slope of 0.01 m a radian."""
    own = {"blade": -2.0, "bolt": 0.5}
    monkeypatch.setattr(by_part, "moments_by_part", lambda *_: own)
    monkeypatch.setattr(by_part, "pitch_moments", lambda moments, _: moments)
    monkeypatch.setattr(by_part, "propeller_moment", lambda *given: given[-1])
    monkeypatch.setattr(by_part, "pitch_rod_travel", lambda *_: (0.0, 0.01))
    rotor = SimpleNamespace(speed=1000.0, coning=0.0)
    parts = [SimpleNamespace(name="blade", group="blade"), SimpleNamespace(name="bolt", group="bolt")]
    return SimpleNamespace(
        plant=SimpleNamespace(pitch=SimpleNamespace(blades=2.0), linkage=None),
        scenario=SimpleNamespace(rotor=rotor),
        assembly=SimpleNamespace(parts=parts),
        lead_lag_at=lambda _: 0.0,
    )


def test_causes_are_taken_where_force_and_friction_together_are_largest(parted):
    """Push is 5 + 1, pull 4 + 3 N: the pull is larger, and what pulls adds."""
    found = by_part.force_by_part(parted, statics([-4.0, 0.0, 5.0], [3.0, 0.0, 1.0], [0.01, 0.0, 0.0]))
    assert (found.pitch, found.total, found.push) == (-0.4, 7.0, False)
    causes = {one.name: (one.group, pytest.approx(one.force)) for one in found.causes}
    assert causes == {
        "blade": ("blade", -400.0),
        "bolt": ("bolt", 100.0),
        "friction": ("", 3.0),
        "air": ("", 2.0),
    }
    assert [one.name for one in found.causes] == ["blade", "bolt", "friction", "air"]
    push = by_part.force_by_part(parted, statics([-4.0, 0.0, 5.0], [1.0, 0.0, 1.0]))
    assert (push.pitch, push.total, push.push) == (0.4, 6.0, True)
    assert push.causes[0][2] == pytest.approx(400.0)
    half = by_part.force_by_part(parted, statics([0.0, 0.5, 0.0], [0.0, 0.0, 0.0]))
    assert half.push


def test_what_a_gauge_has_over_the_load_is_friction(parted):
    for force, push in (([-5.0, 0.0, 0.0], False), ([5.0, 0.0, 0.0], True)):
        found = by_part.force_by_part(parted, statics(force, [1.0, 0.0, 0.0]), 5.6)
        friction = next(one.force for one in found.causes if one.name == "friction")
        assert (friction, found.total, found.push) == (pytest.approx(0.6), pytest.approx(5.6), push)


@pytest.fixture
def nudged(monkeypatch):
    """The largest force of a scenario that is numbers by key: their sum, as a file states them."""
    told = []

    def largest(scenario, air):
        told.append((dict(scenario.numbers), air))
        if scenario.numbers.get("linkage.stuck", 1.0) > 1.05:
            raise by_part.ScenarioError([])
        return (
            scenario.numbers["part.a.mass"]
            - 3.0 * scenario.numbers["rotor.speed"]
            + 0.2 * scenario.numbers["air.density"]
        )

    def with_value(scenario, key, value):
        return SimpleNamespace(numbers={**scenario.numbers, key: value})

    monkeypatch.setattr(by_part, "build_air", lambda _: "air")
    monkeypatch.setattr(by_part, "_largest", largest)
    monkeypatch.setattr(by_part, "with_value", with_value)
    numbers = {"air.density": 1.0, "part.a.mass": 1.0, "linkage.stuck": 1.0, "rotor.speed": 2.0}
    monkeypatch.setattr(
        by_part,
        "_stated",
        lambda _: [(key, value, f"kind of {key}") for key, value in numbers.items()],
    )
    found = by_part.influences(SimpleNamespace(scenario=SimpleNamespace(numbers=numbers)))
    return found, told


def test_a_tenth_more_of_each_figure_most_first(nudged):
    found, told = nudged
    assert [one.key for one in found] == ["rotor.speed", "part.a.mass", "air.density"]
    assert [one.force for one in found] == pytest.approx([-0.6, 0.1, 0.02])
    assert [one.value for one in found] == [2.0, 1.0, 1.0]
    assert found[0].kind == "kind of rotor.speed"
    airs = {next(k for k, v in now.items() if told[0][0][k] != v): air for now, air in told[1:]}
    assert airs == {"air.density": None, "part.a.mass": "air", "linkage.stuck": "air", "rotor.speed": None}


@pytest.mark.parametrize(
    ("key", "needs"),
    [("rotor.speed", True), ("blade.axis_at", True), ("air.density", True), ("blade.chord", True),
     ("part.grip.mass", False), ("linkage.servo_arm", False)],
)  # fmt: skip
def test_what_moves_the_air_needs_it_anew(key, needs):
    assert by_part._needs_air(key) is needs


def test_figures_are_those_that_the_file_states_and_the_force_depends_on(plain):
    found = {key: (value, kind) for key, value, kind in by_part._stated(plain)}
    assert found["linkage.servo_arm"] == (pytest.approx(14 * MM), "length")
    assert found["part.grip.mass"] == (pytest.approx(5.2e-3), "mass")
    assert not {key for key in found if key.startswith(("servo.", "supply.", "gauge."))}
    assert "part.grip.material" not in found  # a word
    free = linked(plain, slider_friction=0.0)
    assert "linkage.slider_friction" in found
    assert "linkage.slider_friction" not in {key for key, _, _ in by_part._stated(free)}


@pytest.mark.parametrize("air", [None, "handed in"])
def test_the_largest_force_is_of_either_sense_with_its_friction(monkeypatch, air):
    told = []
    monkeypatch.setattr(by_part, "build_air", lambda _: "built")
    monkeypatch.setattr(by_part, "build_setup", lambda _, own, **__: told.append(own) or SimpleNamespace())
    monkeypatch.setattr(by_part, "CoarseSetup", SimpleNamespace)
    monkeypatch.setattr(by_part, "static_curves", lambda *_, **__: statics([-6.0, 1.0, 5.0], [0.5, 0.0, 1.0]))
    assert by_part._largest(None, air) == 6.5
    assert told == [air or "built"]
