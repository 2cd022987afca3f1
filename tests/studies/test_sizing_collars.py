"""Collars on the bolt that a build has: on its thread or under its head and nut, no farther than it reaches."""

from math import pi

import pytest

from featherbench.assembly import build_assembly
from featherbench.judging.sizing import size
from featherbench.scenario import ScenarioError, read
from featherbench.sizing.collars import NUT, collar_choices
from featherbench.sizing.design_space import find_design_space, reference
from featherbench.studies import predict

PLAIN = "scenarios/survey-3kg/plain.toml"
LONG = {"part.blade-bolt.size": "M3x20", "part.blade-bolt.shank_length": "12 mm"}
BUILDS = [
    ("scenarios/survey-3kg/weighted.toml", {}),
    (PLAIN, LONG),
    ("scenarios/lifter-6kg/plain.toml", {}),
    ("scenarios/tutorial-2kg/plain.toml", {}),
]


def number(text):
    return float(text.split()[0]) * 1e-3


@pytest.fixture(scope="module", params=BUILDS, ids=["readme", "longer", "lifter", "tutorial"])
def found(request):
    name, changes = request.param
    return size(read(name, changes), "collars")


def test_a_build_with_collars_reaches_its_target_and_holds(found):
    """The readme's own example among them; what is chosen by is what its own run finds."""
    assert found.best.route == "collars"
    assert found.best.reached
    assert found.best.holds, found.best.against
    assert found.findings["size_compensation"].value == pytest.approx(found.best.achieved, abs=1e-9)
    run = predict(found.scenario)
    assert run.findings["compensation"].value == pytest.approx(found.best.achieved, abs=1e-9)


def test_no_collar_is_said_to_be_a_head_and_each_is_held_as_it_is_made(found):
    collars = {name: one for name, one in found.best.build.parts.items() if "collar" in name}
    assert collars
    for one in collars.values():
        assert (
            one["held_by"] in ("thread", "nut") if "tapped" in one else one["held_by"].startswith("clamped")
        )


def test_collars_stay_within_the_bolts_length_and_the_envelope(found):
    space = found.space
    parts = {part.name: part for part in found.run.setup.assembly.parts}
    bolt = next(
        part for name, part in parts.items() if part.group == "bolt" and any(s.thread for s in part.solids)
    )

    def ends(part):
        low = min(one.centre[2] - one.size[2] / 2.0 for one in part.solids)
        return low, max(one.centre[2] + one.size[2] / 2.0 for one in part.solids)

    low, high = ends(bolt)
    assert (-low, high) <= (space.below + 1e-9, space.above + 1e-9)
    for name in found.best.build.parts:
        own = ends(parts[name])
        assert own[0] >= low - 1e-9
        assert own[1] <= high + 1e-9
    for name in (name for name in parts if "collar" in name):
        for other in parts.values():  # nothing lies in a collar but the bolt
            if other.name not in (name, bolt.name) and not other.swings and other.group != "grip":
                one, two = ends(parts[name]), ends(other)
                assert min(one[1], two[1]) - max(one[0], two[0]) < 1e-9, (name, other.name)


def test_the_blade_stays_on_the_plain_shank_and_the_nut_on_the_thread():
    plain = reference(read(PLAIN, LONG))[0]
    space = find_design_space(plain, build_assembly(plain))
    for choices in collar_choices(space)[0]:
        for index in range(0, choices.count, max(1, choices.count // 60)):
            parts = choices.make(index).parts
            screw = parts.get("blade-bolt", {"under_head": "5 mm"})
            thread_from = 12e-3 - number(screw["under_head"])
            assert thread_from >= 3e-3 - 1e-9  # the root is 6 mm thick
            lower = parts.get("lower-collar")
            if lower is not None and lower["held_by"] == NUT:
                foot = -number(lower["at"]["normal"]) - number(lower["length"]) / 2.0
                assert thread_from <= foot + 1e-9
                assert foot == pytest.approx(5.075e-3)  # where the nut had its face
                assert lower["material"].startswith("steel")


def test_a_ring_is_as_wide_as_a_head_and_as_thick_as_can_be_held():
    plain = reference(read(PLAIN, LONG))[0]
    space = find_design_space(plain, build_assembly(plain))
    rings = 0
    for choices in collar_choices(space)[0]:
        for index in range(0, choices.count, max(1, choices.count // 60)):
            for one in choices.make(index).made:
                if not one.thread:
                    rings += 1
                    assert one.diameter >= 5.5e-3 - 1e-9
                    assert one.length >= 1e-3 - 1e-9
    assert rings


def test_a_bolt_too_long_or_too_short_is_said_so():
    with pytest.raises(ScenarioError) as refused:
        size(read(PLAIN, {"envelope.bolt_length": "18 mm"}), "collars")
    assert "19 mm over all, envelope.bolt_length allows 18 mm" in refused.value.problems[0].given
    short = size(
        read(PLAIN, {"envelope.target.compensation": "0.97", "envelope.diameter": "6 mm"}), "collars"
    )
    assert not short.best.reached
    assert "part.blade-bolt.size" in short.best.touching
    assert any("part.blade-bolt.size" in note and "envelope.part" not in note for note in short.notes)


def test_a_bolt_that_is_no_screw_with_a_nut_takes_none():
    with pytest.raises(ScenarioError) as refused:
        size(read(PLAIN, {"part.blade-bolt.head": "-", "part.blade-bolt.under_head": "5 mm"}), "collars")
    assert "collars: " in refused.value.problems[0].given


def test_what_of_a_stud_is_in_the_grip_counts_less_what_is_drilled_out():
    """By hand: steel in place of the grip's own density, from the foot to the face, on its pitch diameter."""
    found = size(read("scenarios/lifter-6kg/plain.toml"), "arms")
    stud = next(one for one in found.best.build.made if one.screwed_in)
    grip = next(part for part in found.run.setup.assembly.parts if part.name == "grip")
    density = 7850.0 - grip.moments.mass / grip.volume
    mass = density * pi / 4.0 * stud.diameter**2 * stud.screwed_in
    foot = next(part for part in found.run.setup.assembly.parts if part.name == "weight-arm-foot")
    assert foot.moments.mass == pytest.approx(2.0 * mass, rel=1e-6)
    high, low = stud.pieces[0].start, stud.pieces[0].start - stud.screwed_in
    assert foot.moments.second[2, 2] == pytest.approx(
        2.0 * mass * (high**2 + high * low + low**2) / 3.0, rel=1e-6
    )
    assert found.best.holds
