"""What sliders are offered, how far and in which steps they go, by hand; when a weight stands in another part."""

from math import radians
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.assembled import Solid
from featherbench.exploring import exploration as explorations
from featherbench.exploring import overlap
from featherbench.exploring.exploration import Exploration, Typed
from featherbench.exploring.sliders import ADDED, Effect, Slider, _foot, offered
from featherbench.exploring.variant import _with_tolerance
from featherbench.scenario import ScenarioError

BAR = {"group": "counterweight", "shape": "cylinder", "axis": "normal", "diameter": "5 mm", "length": "6 mm"}
SHOT = {"group": "counterweight", "shape": "point", "mass": "2 g"}
ENVELOPE = {
    "height_above": "20 mm", "height_below": "19 mm", "diameter": "9 mm", "materials": ["steel", "brass", "tungsten"],
    "lathe_step": "0.25 mm", "target": {"compensation": 0.8},
}  # fmt: skip


def placed(height, shape, radius="30 mm", **changes):
    stuff = {} if shape is SHOT else {"material": "brass"}
    return {**shape, **stuff, "at": {"radius": radius, "normal": f"{height} mm"}, **changes}


def sliders(scenario, system="metric"):
    return {one.key: one for one in offered(scenario, build_assembly(scenario), system)[1]}


# -- one slider ------------------------------------------------------------------------------------------


def slider(start, low, high, step):
    return Slider("a", "a", "length", start, low, high, step, start, ())


@pytest.mark.parametrize(
    ("start", "low", "high", "expected"),
    [
        (2.0, 0.9, 3.1, (1.0, 2.0, 3.0)),
        (2.3, 1.0, 3.0, (1.0, 2.0, 2.3, 3.0)),  # as in the file, which is no multiple of the step
        (1.0 + 1e-9, 1.0, 2.0, (1.0 + 1e-9, 2.0)),  # once, not twice
        (0.5, 1.0 + 1e-8, 2.0 - 1e-8, (0.5, 1.0, 2.0)),  # ends that rounding moved belong to it
        (0.5, 1.01, 1.99, (0.5,)),
    ],
)
def test_places_are_multiples_of_the_step_and_where_it_starts(start, low, high, expected):
    assert slider(start, low, high, 1.0).places == expected
    tenth = slider(1e-4 * start, 1e-4 * low, 1e-4 * high, 1e-4).places
    assert tenth == pytest.approx([1e-4 * one for one in expected], rel=1e-6)


def test_a_start_beside_a_step_is_a_place_of_its_own():
    """Half a micrometre off a tenth of a millimetre is another place; a rounding is not."""
    assert slider(1.005e-4, 0.0, 2e-4, 1e-4).places == pytest.approx((0.0, 1e-4, 1.005e-4, 2e-4))
    assert slider(1e-4 + 1e-12, 0.0, 2e-4, 1e-4).places == pytest.approx((0.0, 1e-4, 2e-4))


def test_a_hand_sets_the_nearest_place():
    one = slider(2.3, 1.0, 3.0, 1.0)
    assert [one.nearest(value) for value in (-5.0, 1.4, 1.6, 2.2, 2.6, 2.7, 9.0)] == [1, 1, 2, 2.3, 2.3, 3, 3]


# -- what is offered -------------------------------------------------------------------------------------


def test_speed_arm_and_phase_by_hand(scenario_of):
    """9000 rpm: 5400 to 11250 in steps of 50. An arm of 12 mm: 6 to 19.2. Weights turn 30 deg either way."""
    build = scenario_of(part={"a": placed(11, BAR, turn="4 deg"), "b": placed(-11, BAR, turn="4 deg")})
    found = sliders(build)
    rpm = np.pi / 30.0
    speed, arm, phase = (found[key] for key in ("rotor.speed", "linkage.servo_arm", "phase"))
    assert (speed.low / rpm, speed.start / rpm, speed.high / rpm, speed.step / rpm) == pytest.approx(
        (5400.0, 9000.0, 11250.0, 50.0)
    )
    assert (1e3 * arm.low, 1e3 * arm.start, 1e3 * arm.high, 1e3 * arm.step) == pytest.approx(
        (6.0, 12.0, 19.2, 0.1)
    )
    assert (speed.kind, arm.kind, phase.kind) == ("rotation", "length", "angle")
    assert np.rad2deg([phase.low, phase.start, phase.high, phase.step]) == pytest.approx(
        [-30.0, 4.0, 30.0, 0.5]
    )
    assert speed.effects == (Effect("rotor.speed", 1.0),)
    assert arm.effects == (Effect("linkage.servo_arm", 1.0),)
    assert phase.effects == (Effect("part.a.turn", 1.0), Effect("part.b.turn", 1.0))
    assert all(one.zero == one.start for one in found.values())
    assert sliders(build, "trade")["linkage.servo_arm"].step == pytest.approx(0.005 * 25.4e-3)


@pytest.mark.parametrize(
    ("turns", "expected"),
    [((40, 40), (-30, 40, 40)), ((-35, -35), (-35, -35, 30)), ((4, 9), (-30, 0, 30))],
)
def test_weights_turned_far_or_each_its_own_way(scenario_of, turns, expected):
    """A turn past 30 deg widens its side; of different turns, the slider counts from none."""
    part = {name: placed(11, BAR, turn=f"{turn} deg") for name, turn in zip("ab", turns, strict=True)}
    phase = sliders(scenario_of(part=part))["phase"]
    assert np.rad2deg([phase.low, phase.start, phase.high]) == pytest.approx(expected)


def test_steps_are_those_of_the_lathe_that_is_said(scenario_of):
    part = {"bar": placed(11, BAR)}
    for envelope, system, step in (
        ({}, "metric", 0.1e-3),
        ({"envelope": ENVELOPE}, "metric", 0.25e-3),
        ({"envelope": ENVELOPE}, "trade", 0.127e-3),
    ):
        found = sliders(scenario_of(part=part, **envelope), system)
        assert found["bar.length"].step == pytest.approx(step)
        # the servo's arm is drilled, not turned on that lathe
        assert found["linkage.servo_arm"].step == pytest.approx(0.127e-3 if system == "trade" else 0.1e-3)


def test_one_kind_of_weight_shows_all_its_sliders_two_kinds_two_each(scenario_of):
    alone = [*sliders(scenario_of(part={"bar": placed(11, BAR)})).values()]
    assert [one.key for one in alone[:-3]] == ["bar.length", "bar.diameter", "bar.foot_above_the_axis"]
    assert [one.label for one in alone] == [
        "weights' length", "weights' diameter", "weights' foot above the axis", "weights turned (as pitch)",
        "rotor speed", "servo arm",
    ]  # fmt: skip
    two = {
        "near": placed(9, BAR, length="3 mm"),
        "far": placed(14, BAR),
        "mid": placed(11, BAR, length="4 mm"),
    }
    both = [*sliders(scenario_of(part=two)).values()][:-3]
    assert [one.label for one in both] == ["far: length", "far: diameter", "mid: length", "mid: diameter"]
    assert [one.key for one in both] == ["far.length", "far.diameter", "mid.length", "mid.diameter"]
    shot = sliders(scenario_of(part={"shot": placed(11, SHOT)}))["shot.mass"]
    assert (shot.step, shot.kind, shot.low) == (0.05e-3, "mass", pytest.approx(0.1e-3))


def test_what_a_weight_does_is_counted_on_either_side_of_zero(scenario_of):
    """A flat weight far along the chord works against pitch: it matters more than a light one on the normal."""
    flat = placed(0, {**SHOT, "mass": "9 g"}, at={"radius": "30 mm", "chord": "20 mm", "normal": "1 mm"})
    part = {"light": placed(6, SHOT), "flat": flat}
    assert [one.split(".")[0] for one in sliders(scenario_of(part=part))][:4] == [
        "flat",
        "flat",
        "light",
        "light",
    ]


def test_what_a_heavy_weight_undoes_by_itself_does_not_count(scenario_of):
    """As far along the chord as along the normal it changes nothing, however heavy."""
    idle = placed(0, {**SHOT, "mass": "9 g"}, at={"radius": "30 mm", "chord": "12 mm", "normal": "12 mm"})
    found = list(sliders(scenario_of(part={"idle": idle, "light": placed(8, SHOT)})))
    assert [key.split(".")[0] for key in found[:4]] == ["light", "light", "idle", "idle"]


def test_weights_of_one_slider_each_are_moved_outward_together(scenario_of):
    washer = {"group": "counterweight", "shape": "washer", "standard": "ISO 7089", "size": "M3"}
    one, two = (placed(height, washer, material="steel") for height in (10, 10.5))
    assert next(iter(sliders(scenario_of(part={"a": one, "b": two})))) == "all.moved_outward"
    assert next(iter(sliders(scenario_of(part={"a": one})))) == "a.height_above_the_axis"


# -- a pair to add ---------------------------------------------------------------------------------------


def test_a_pair_to_add_stands_on_what_is_there(scenario_of):
    """The bolt's axis at 36 mm runs through a grip from 10 to 38 mm, 9 mm thick: feet at 4.5 mm."""
    build = scenario_of()
    assembly = build_assembly(build)
    with_pair, found = offered(build, assembly, "metric")
    for name, side in zip(ADDED, (1.0, -1.0), strict=True):
        part = with_pair.part[name]
        assert (part.at.radius, part.at.chord) == (assembly.bolt.radius, assembly.bolt.chord)
        assert side * part.at.normal == pytest.approx(4.5e-3 + 0.5e-3)
        assert (part.length, part.diameter, part.material) == (1e-3, 5e-3, "brass")
        assert (part.group, part.shape, part.axis) == ("counterweight", "cylinder", "normal")
    length, across, *_ = found
    assert (length.start, length.low, length.high, length.zero) == (0.0, 0.0, 8e-3, 1e-3)
    assert length.effects == (
        *(Effect(f"part.{name}.length", 1.0) for name in ADDED),
        Effect(f"part.{ADDED[0]}.at.normal", 0.5),
        Effect(f"part.{ADDED[1]}.at.normal", -0.5),
    )
    assert (across.start, across.low, across.high, across.zero) == (5e-3, 1e-3, 10e-3, 5e-3)
    assert across.effects == tuple(Effect(f"part.{name}.diameter", 1.0) for name in ADDED)
    assert offered(build, assembly, "trade")[1][1].start == pytest.approx(0.2 * 25.4e-3)


def test_a_pair_to_add_keeps_within_its_envelope(scenario_of):
    """19 mm of room below less 4.5 of the foot; 9 mm wide, and the last of its metals."""
    build = scenario_of(envelope=ENVELOPE)
    with_pair, (length, across, *_) = offered(build, build_assembly(build), "metric")
    assert 1e3 * length.high == pytest.approx(14.5)
    assert 1e3 * across.high == pytest.approx(9.0)
    assert with_pair.part[ADDED[0]].material == "tungsten"
    assert (length.step, across.step) == (0.25e-3, 0.25e-3)
    above = scenario_of(envelope={**ENVELOPE, "height_above": "9 mm"})
    assert 1e3 * offered(above, build_assembly(above), "metric")[1][0].high == pytest.approx(4.5)
    # less room than a millimetre is none to go by
    full = scenario_of(envelope={**ENVELOPE, "height_above": "5.4 mm", "diameter": "0.8 mm"})
    length, across, *_ = offered(full, build_assembly(full), "metric")[1]
    assert 1e3 * length.high == pytest.approx(8.0)
    assert [1e3 * one for one in (across.start, across.low, across.high)] == pytest.approx([0.8, 0.8, 0.8])


def test_the_foot_is_what_reaches_furthest_where_the_bolt_stands():
    """Boxes of 10 by 8 mm, 6 mm thick: what does not cover the place does not count, nor does the blade."""

    def box(radius, chord, normal, kind="box"):
        return Solid(kind, "normal", (radius, chord, normal), (10e-3, 8e-3, 6e-3))

    def foot(side, *solids):
        return _foot((SimpleNamespace(solids=solids),), 30e-3, 2e-3, side)

    near, high = box(30e-3, 2e-3, 1e-3), box(34e-3, 5e-3, 5e-3)
    assert (foot(1.0, near), foot(-1.0, near)) == pytest.approx((4e-3, 2e-3))
    assert (foot(1.0, near, high), foot(-1.0, near, high)) == pytest.approx((8e-3, 2e-3))
    # its very edge still carries a foot
    assert foot(1.0, box(25e-3, -2e-3, 5e-3)) == pytest.approx(8e-3)
    assert foot(1.0, box(24.9e-3, 2e-3, 5e-3)) == foot(1.0, box(30e-3, 6.1e-3, 5e-3)) == 0.0
    assert foot(1.0, box(35.1e-3, 2e-3, 5e-3)) == foot(1.0, box(30e-3, -2.1e-3, 5e-3)) == 0.0
    assert foot(1.0, box(30e-3, 2e-3, 1.2345678e-3)) == 4.235e-3  # to a micrometre
    assert foot(1.0, box(30e-3, 2e-3, 5e-3, "blade")) == 0.0
    assert foot(1.0, box(30e-3, 2e-3, -5e-3)) == 0.0  # all of it on the other side


# -- what a slider's value is typed as -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("system", "value", "kind", "text"),
    [
        ("metric", 4.10049e-3, "length", "4.1 mm"),
        ("metric", 4.1006e-3, "length", "4.101 mm"),
        ("metric", 10e-3, "length", "10 mm"),
        ("metric", -1e-8, "length", "0 mm"),
        ("trade", 0.20004 * 25.4e-3, "length", "0.2 in"),
        ("trade", 0.12346 * 25.4e-3, "length", "0.1235 in"),
        ("metric", radians(12.346), "angle", "12.35 deg"),
        ("metric", 9000.04 * np.pi / 30.0, "rotation", "9000 rpm"),
        ("metric", 9000.06 * np.pi / 30.0, "rotation", "9000.1 rpm"),
        ("metric", 1.23456e-3, "mass", "1.2346 g"),
        ("metric", 1.23456, "ratio", "1.2346"),
    ],
)
def test_a_quantity_is_typed_no_finer_than_anybody_makes_it(system, value, kind, text):
    typed = Exploration._typed(SimpleNamespace(system=system), value, kind)
    assert (typed.text, typed.kind) == (text, kind)
    assert typed.value == pytest.approx(value, rel=1e-3, abs=1e-7)


def test_a_tolerance_of_the_file_goes_along_in_the_unit_that_is_typed(scenario_of):
    scenario = scenario_of(linkage={"horn_arm": "13 mm +/- 0.3 mm"})
    key = next(iter(scenario.source.tolerances))
    for text, expected in (("4.1 mm", "4.1 +/- 0.3 mm"), ("0.5 in", "0.5 +/- 0.011811 in")):
        assert _with_tolerance(scenario, key, Typed(text, 0.0, "length")) == expected
    assert _with_tolerance(scenario, "linkage.servo_arm", Typed("4.1 mm", 0.0, "length")) == "4.1 mm"


def test_air_is_kept_by_rotor_speed_and_the_oldest_goes(scenario_of, monkeypatch):
    made = []
    monkeypatch.setattr(explorations, "build_air", lambda scenario: made.append(scenario) or len(made))
    monkeypatch.setattr(explorations, "MOST_AIRS", 2)
    found = Exploration(scenario_of())
    base = found.scenario

    def at(speed):
        return found._air(base.model_copy(update={"rotor": base.rotor.model_copy(update={"speed": speed})}))

    assert [at(speed) for speed in (900.0, 950.0, 900.0, 950.0)] == [1, 2, 1, 2]
    assert at(1000.0) == 3
    assert [at(speed) for speed in (950.0, 1000.0, 900.0)] == [2, 3, 4]
    assert [at(speed) for speed in (1000.0, 950.0)] == [3, 5]
    families = found._families = {speed: None for speed in range(explorations.MOST_FAMILIES - 1)}
    monkeypatch.setattr(explorations, "RangeWork", lambda snapshot, kept: (snapshot, len(kept)))
    assert found.range_of("one") == ("one", 7)
    families[99.0] = None
    assert found.range_of("one") == ("one", 0)


def test_what_no_file_may_say_no_slider_says(scenario_of, monkeypatch):
    """Parts that others stand in for are looked at, too; the text of the rule, or that a slider says so."""
    assert pytest.approx(radians(1.0)) == explorations.TABLE
    found = Exploration(scenario_of())
    asked = []

    def broken(tables, files):
        asked.append((sorted(tables["part"]), files))
        return [
            SimpleNamespace(path=("rotor", "speed"), given=given, expected="less") for given in ("much", "")
        ]

    monkeypatch.setattr(explorations, "broken_rules", broken)
    with pytest.raises(ScenarioError) as refused:
        found.build({})
    assert [(one.key, one.given, one.expected) for one in refused.value.problems] == [
        ("rotor.speed", "much", "less"), ("rotor.speed", "what the slider says", "less"),
    ]  # fmt: skip
    gone = found.scenario.model_copy(update={"replaced": {"old": found.scenario.part["grip"]}})
    with pytest.raises(ScenarioError):
        explorations._check(gone)
    assert asked == [(["blade", "grip"], {}), (["blade", "grip", "old"], {})]

    def impossible(_):
        raise ScenarioError([])

    monkeypatch.setattr(explorations, "build_assembly", impossible)
    with pytest.raises(ScenarioError):
        Exploration(scenario_of())


def test_a_weighed_part_keeps_its_mass_where_no_volume_is_known(scenario_of, monkeypatch):
    """3 g of twice the volume are 6 g; of a size that no part has, or of a shape without a volume, nothing is said."""
    volumes = {"before": 1.0, "after": 2.0}
    bare = {key: value for key, value in placed(11, BAR).items() if key != "material"}
    found = Exploration(scenario_of(part={"bar": {**bare, "mass": "3 g"}}))
    bar_as_read = found.scenario.part["bar"]
    monkeypatch.setattr(
        explorations, "volume", lambda part: volumes["before" if part is bar_as_read else "after"]
    )
    longer = {"bar.length": found.slider("bar.length").start + 1e-3}
    assert found.changes(longer)["part.bar.mass"].text == "6 g"
    for before, after in ((1.0, None), (None, 2.0), (0.0, 2.0), (1.0, 1.0), (None, None)):
        volumes.update(before=before, after=after)
        assert "part.bar.mass" not in found.changes(longer)


def test_a_pair_without_length_is_not_fitted(scenario_of):
    found = Exploration(scenario_of())
    wide = {"added.diameter": 6e-3, "phase": 0.1, "rotor.speed": 950.0}
    assert found.moved(wide) == {"rotor.speed": 950.0}
    assert not found.fits_added(wide)
    assert found.moved({**wide, "added.length": 2e-3}) == {**wide, "added.length": 2e-3}
    assert found.fits_added({"added.length": 2e-3})
    # 2 mm long from its foot of 4.5 mm; a slider left alone leaves its width
    changes = {key: one.text for key, one in found.changes({"added.length": 2e-3}).items()}
    assert changes == {
        f"part.{ADDED[0]}.length": "2 mm", f"part.{ADDED[1]}.length": "2 mm",
        f"part.{ADDED[0]}.at.normal": "5.5 mm", f"part.{ADDED[1]}.at.normal": "-5.5 mm",
    }  # fmt: skip
    weighted = Exploration(scenario_of(part={"bar": placed(11, BAR)}))
    assert weighted.added == ()
    assert not weighted.fits_added({})
    assert weighted.moved({"phase": 0.1, "bar.length": weighted.slider("bar.length").start}) == {"phase": 0.1}


# -- metal in metal --------------------------------------------------------------------------------------


def bar(at=(0.0, 0.0, 0.0), wide=6.0, long=4.0, **more):
    """An upright round bar, mm."""
    size = (wide * 1e-3, wide * 1e-3, long * 1e-3)
    return Solid(
        more.pop("kind", "round"), more.pop("axis", "normal"), tuple(1e-3 * one for one in at), size, **more
    )


def common(one, other):
    found = overlap._common(one, other)
    assert overlap._common(other, one) == pytest.approx(found, abs=1e-15)
    return pytest.approx(1e3 * found, abs=1e-9)


def test_two_bars_share_what_of_their_lengths_is_at_one_height():
    assert common(bar(), bar()) == 4.0
    assert common(bar(), bar((0, 0, 3))) == 1.0
    assert common(bar(), bar((0, 0, -3), long=6)) == 2.0
    assert common(bar(), bar(long=2)) == 2.0
    assert common(bar(), bar((0, 0, 5))) == 0.0


def test_bars_beside_each_other_meet_where_their_axes_are_closer_than_both_radii():
    """6 and 4 mm: 5 mm apart they touch, and 0.05 mm is what nobody sets closer than."""
    assert common(bar(), bar((4.9, 0, 0), wide=4)) == 4.0
    assert common(bar(), bar((3, 3.9, 0), wide=4)) == 4.0  # 4.92 mm apart
    assert common(bar(), bar((4.97, 0, 0), wide=4)) == 0.0
    assert common(bar(), bar((3, 4, 0), wide=4)) == 0.0
    assert common(bar(), bar((4, 4, 0), wide=4)) == 0.0


def test_a_pin_that_goes_through_a_bore_does_not_meet_its_ring():
    """A bore of 3 mm takes a pin of 3 mm, and of 3.09, which nobody tells from it, but not of 3.11, nor one beside."""
    ring = bar(bore=3e-3)
    assert common(ring, bar(wide=3.0)) == 0.0
    assert common(ring, bar(wide=3.09)) == 0.0
    assert common(ring, bar(wide=3.11)) == 4.0
    assert common(ring, bar((0.5, 0, 0), wide=2.0)) == 0.0
    assert common(ring, bar((0.7, 0, 0), wide=2.0)) == 4.0


def test_a_box_is_told_by_its_sides():
    """8 by 6 mm (radius, chord): a bar of 6 mm beside it at 7 mm along the radius, or 6 along the chord, touches."""
    box = Solid("box", "normal", (0.0, 0.0, 0.0), (8e-3, 6e-3, 4e-3))
    assert common(box, bar((6.9, 5.9, 0))) == 4.0
    assert common(box, bar((6.97, 0, 0))) == 0.0
    assert common(box, bar((0, 5.97, 0))) == 0.0
    assert common(bar(axis="radius"), bar((5.9, 5.9, 0))) == 4.0  # lying, it is a box as well
    assert common(bar(), bar((5.9, 5.9, 0))) == 0.0


def test_only_upright_outlines_turned_alike_are_compared():
    def depth(*solids):
        one, two = (SimpleNamespace(solids=(solid,)) for solid in solids)
        return 1e3 * overlap._depth(one, two)

    assert depth(bar(), bar((0, 0, 1))) == pytest.approx(3.0)
    assert depth(bar(kind="hex"), bar((0, 0, 1), kind="box")) == pytest.approx(3.0)
    assert depth(bar(turn=0.1), bar(turn=0.1)) == pytest.approx(4.0)
    assert depth(bar(turn=0.1), bar()) == 0.0
    for kind in ("surface", "blade", "point"):
        assert depth(bar(kind=kind), bar()) == depth(bar(), bar(kind=kind)) == 0.0
    several = SimpleNamespace(solids=(bar((0, 0, 3)), bar((0, 0, 1)), bar((0, 0, 2))))
    assert 1e3 * overlap._depth(several, SimpleNamespace(solids=(bar(),))) == pytest.approx(3.0)


def assembly_of(**parts):
    """Weights are named w..., all others hold still."""
    return SimpleNamespace(
        parts=tuple(
            SimpleNamespace(
                name=name, group="counterweight" if name[0] == "w" else "grip", solids=(solid,), moments=None
            )
            for name, solid in parts.items()
        )
    )


def test_what_overlaps_already_in_the_file_is_left_alone_and_the_deepest_comes_first():
    file = {"w1": bar((0, 0, 10)), "w2": bar((0, 0, -10)), "grip": bar(long=10), "w3": bar((0, 0, 15))}
    assert overlap.overlaps(assembly_of(**file), assembly_of(**file)) == []
    moved = {**file, "w1": bar((0, 0, 6)), "w2": bar((0, 0, -5))}
    found = overlap.overlaps(assembly_of(**moved), assembly_of(**file))
    assert [(one.weight, one.part, pytest.approx(1e3 * one.depth)) for one in found] == [
        ("w2", "grip", 2.0), ("w1", "grip", 1.0),
    ]  # fmt: skip
    # two weights in each other are told of once
    pair = {**file, "w1": bar((0, 0, 12))}
    assert [(one.weight, one.part) for one in overlap.overlaps(assembly_of(**pair), assembly_of(**file))] == [
        ("w1", "w3")
    ]
    # two grips in each other are a matter of the drawing
    grips = {"grip": bar(), "bolt": bar()}
    assert overlap.overlaps(assembly_of(**grips), assembly_of(grip=bar(), bolt=bar((0, 0, 9)))) == []


def test_a_weight_that_the_file_has_not_is_told_of_like_others():
    file = {"grip": bar(long=10)}
    found = overlap.overlaps(assembly_of(**file, w=bar((0, 0, 6))), assembly_of(**file))
    assert [(one.weight, one.part) for one in found] == [("w", "grip")]


@pytest.mark.parametrize(("depth", "told"), [(0.04, False), (0.06, True)])
def test_closer_than_anybody_sets_a_weight_is_no_overlap(depth, told):
    file, grip = bar((0, 0, 10)), bar(long=10)
    now = replace_height(file, 7.0 - depth)
    assert bool(overlap.overlaps(assembly_of(w=now, grip=grip), assembly_of(w=file, grip=grip))) is told
    # and what reached in by more than that in the file was known
    there = replace_height(file, 7.0 - depth)
    deeper = replace_height(file, 6.0)
    assert (
        bool(overlap.overlaps(assembly_of(w=deeper, grip=grip), assembly_of(w=there, grip=grip))) is not told
    )


def replace_height(solid, height):
    return solid._replace(centre=(*solid.centre[:2], 1e-3 * height))
