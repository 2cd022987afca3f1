"""What a search decides, on requests set by hand: which choice, which target, which room, what is said of it."""

import itertools
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly, moments_at, usual_hardware
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import Piece
from featherbench.bench.setup import build_setup
from featherbench.linkage.force import JointFriction
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from featherbench.scenario import ScenarioError, read
from featherbench.scenario import parts as written
from featherbench.sizing import best, design_space, search, sizing_target, standard
from featherbench.sizing.best import Alternative, best_of, with_parts
from featherbench.sizing.choices import Choices, even, thinned
from featherbench.sizing.machined import Build, Column, MachinedPart
from featherbench.sizing.sizing_target import SizingTarget, sizing_target_of, stated_target

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


# -- the best of many ------------------------------------------------------------------------------------------


def asked(value=1.0, quantity="compensation", kept=3e-6):
    """A need whose measure is 1 - (3e-6 - I_n)/3e-6: I_n over 3e-6."""
    zero = np.zeros(1)
    return SizingTarget(
        quantity=quantity, value=value, plain=3e-6, kept=kept, pitch=zero, moment=zero, slopes=np.zeros((5, 1)),
        friction=np.zeros((2, 1)), travel=np.ones(1), blades=2.0, radial=0.0, rod_friction=0.0,
        joints=JointFriction(0.0, 0.0),
    )  # fmt: skip


def picked(achieved, mass, removed=()):
    """Choices that achieve so much and weigh so much."""
    achieved, mass = np.array(achieved), np.array(mass)
    zero = np.zeros(mass.size)
    return Choices(
        "bolt", "a bolt", 0.03, 0.0, removed, Column(mass, zero, achieved * 3e-6, zero),
        lambda index: Build((), {f"choice-{index}": {}}), lambda index: [f"limit-{index}"],
    )  # fmt: skip


def setup_by_hand():
    """At 1,000 rad/s; the bolt that may come off weighs 1 g and has 3e-5 kg m, the grip stays."""
    moments = SimpleNamespace(mass=1e-3, radial=3e-5)
    parts = [SimpleNamespace(name=name, moments=moments) for name in ("bolt", "nut", "grip")]
    return SimpleNamespace(
        scenario=SimpleNamespace(rotor=SimpleNamespace(speed=1000.0), part={}),
        assembly=SimpleNamespace(parts=parts),
        air=None,
    )


def found(achieved, mass, against=(), value=1.0, removed=(), **need_of):
    seen = []

    def judge(name):
        seen.append(int(name.split("-")[1]))
        return ("weak",) if seen[-1] in against else ()

    patch = pytest.MonkeyPatch()
    patch.setattr(best, "with_parts", lambda scenario, build, words: next(iter(build.parts)))  # noqa: ARG005
    patch.setattr(best, "build_setup", lambda variant, _: variant)
    try:
        one = best_of(setup_by_hand(), picked(achieved, mass, removed), asked(value, **need_of), judge)
    finally:
        patch.undo()
    return int(one.touching[0].split("-")[1]), one, seen


def test_the_narrowest_band_decides_before_the_mass():
    """0.4 % off is taken before what is lighter and 0.6 % off, either side of the target."""
    assert found([1.004, 1.006], [2e-3, 1e-3])[0] == 0
    assert found([0.996, 0.994], [2e-3, 1e-3])[0] == 0
    assert found([1.004, 0.996], [2e-3, 1e-3])[0] == 1
    assert found([1.006, 1.009], [2e-3, 1e-3])[0] == 1
    assert found([1.15, 1.19, 1.3], [3e-3, 2e-3, 1e-3])[0] == 1
    assert found([2.012, 2.019], [2e-3, 1e-3], value=2.0)[0] == 1
    assert found([2.004, 2.009], [2e-3, 1e-3], value=2.0)[0] == 1  # relative to the target: 0.2 and 0.45 %


@pytest.mark.parametrize("limit", [0.005, 0.01, 0.02, 0.05, 0.1, 0.2])
def test_bands_of_residue(limit):
    """What lies within is taken before what lies a hundredth of it outside, though that is lighter."""
    assert found([1.0 + 0.99 * limit, 1.0 + 1.01 * limit], [2e-3, 1e-3])[0] == 0
    assert found([1.0 + 0.99 * limit, 1.0 + 0.98 * limit], [2e-3, 1e-3])[0] == 1


def test_what_does_not_hold_gives_way_in_the_wider_bands_up_to_what_counts_as_reached():
    """At most 5 % off; beyond, the first that was tried is named with what is against it."""
    assert found([1.004, 1.04], [1e-3, 1e-3], against=(0,))[0] == 1
    pick, one, seen = found([1.004, 1.09], [1e-3, 1e-3], against=(0,))
    assert (pick, one.against, set(seen)) == (0, ("weak",), {0})
    assert found([1.004, 1.003, 1.04], [1e-3, 2e-3, 1e-3], against=(0, 1, 2))[0] == 0


def test_where_nothing_is_near_the_nearest_is_taken_even_if_heavy():
    """Those within a thousandth of the nearest residue are as near, and of them the lightest."""
    assert found([1.5, 1.6], [2e-3, 1e-3])[0] == 0
    assert found([1.5, 1.5004], [2e-3, 1e-3])[0] == 1
    assert found([1.5, 1.5006], [2e-3, 1e-3])[0] == 0
    assert found([0.5, 1.6], [2e-3, 1e-3])[0] == 0
    assert found([0.5, 1.4], [1e-3, 2e-3])[0] == 1


def test_blades_that_no_longer_centre_themselves_are_no_answer_to_a_seat(monkeypatch):
    """I_n of 2.9e-6 leaves some of 3e-6 kept, 3.1e-6 none; where all would, all are looked at."""
    monkeypatch.setattr(SizingTarget, "measure", lambda self, weights, radius, chord: weights.second / 3e-6)  # noqa: ARG005
    assert found([0.97, 1.001], [2e-3, 1e-3], quantity="seat_ratio")[0] == 0
    assert found([1.04, 1.001], [1e-3, 2e-3], quantity="seat_ratio")[0] == 1
    assert found([0.97, 1.001], [2e-3, 1e-3])[0] == 1


def test_mass_and_load_are_what_comes_on_less_what_comes_off():
    """2 x 1 g come off for 5 g at 30 mm: 3 g; (15e-5 - 6e-5) kg m x 1e6: 90 N."""
    _, one, _ = found([1.04], [5e-3], removed=("bolt", "nut"))
    assert (one.mass, one.load) == pytest.approx((3e-3, 90.0))
    assert (one.achieved, one.residue) == pytest.approx((1.04, -0.04))
    assert one.reached
    assert (one.route, one.words) == ("bolt", "a bolt")
    assert not found([1.06], [5e-3])[1].reached
    assert not found([0.94], [5e-3])[1].reached
    assert found([2.09], [5e-3], value=2.0)[1].reached


def test_nine_of_a_band_are_tried_light_to_heavy_with_both_ends():
    mass = np.linspace(1e-3, 9e-3, 33)[::-1]
    _, one, seen = found([1.0] * 33, mass, against=range(33))
    assert seen[:9] == [32 - 4 * step for step in range(9)]
    assert one.mass == pytest.approx(1e-3)


def test_a_new_part_of_an_old_name_takes_its_place_and_keeps_the_others():
    """What stands instead of another puts that aside."""
    plain = read(PLAIN)
    table = {"group": "counterweight", "shape": "point", "mass": "1 g", "at": {"radius": "30 mm"}}
    instead = {**table, "group": "bolt", "instead_of": ["lock-nut"]}
    variant = with_parts(plain, Build((), {"grip": table, "new": instead}), "words")
    assert set(variant.part) == set(plain.part) - {"lock-nut"} | {"new"}
    assert variant.part["grip"].group == "counterweight"
    assert variant.part["blade-bolt"] is plain.part["blade-bolt"]
    assert dict(variant.replaced) == {"lock-nut": plain.part["lock-nut"]}
    assert variant.title == f"{plain.title}: words"
    assert variant.source is not plain.source


# -- what a target asks ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def setup():
    return build_setup(read(PLAIN))


def test_the_target_that_is_stated_is_the_one():
    for name, value in (("compensation", 0.65), ("seat_ratio", 0.0), ("rod_force", 3.0)):
        wanted = {"compensation": None, "seat_ratio": None, "rod_force": None} | {name: value}
        scenario = SimpleNamespace(envelope=SimpleNamespace(target=SimpleNamespace(**wanted)))
        assert stated_target(SimpleNamespace(scenario=scenario)) == (name, value)


def test_a_need_is_the_build_without_what_comes_off(setup):
    """I_c - I_n of the whole and of what stays; friction without load and per S_r; travel at each pitch."""
    gone = ("blade-bolt", "lock-nut")
    own = sizing_target_of(setup, gone)
    kept = replace(
        setup.assembly, parts=tuple(part for part in setup.assembly.parts if part.name not in gone)
    )
    assert len(kept.parts) == len(setup.assembly.parts) - 2
    whole, rest = moments_at(setup.assembly, setup.lead_lag), moments_at(kept, setup.lead_lag)
    assert own.plain == pytest.approx(whole.chordwise - whole.normal)
    assert own.kept == pytest.approx(rest.chordwise - rest.normal)
    assert own.radial == pytest.approx(rest.radial)
    assert own.kept != pytest.approx(own.plain, rel=1e-6)
    assert (own.blades, own.gain) == (2.0, 1.0)
    assert own.pitch.tolist() == setup.pitch_grid.tolist()
    spin = float(setup.scenario.rotor.speed)
    axis = setup.plant.pitch
    for place in (0, own.pitch.size - 1):
        _, horn, _, slider = pitch_rod_travel(float(own.pitch[place]), setup.plant.linkage)
        assert own.travel[place] == horn
        loaded = axis._replace(load_moment=axis.load_moment)
        total = own.friction[0][place] + own.friction[1][place] * whole.radial
        assert total == pytest.approx(pitch_friction_limit(spin, slider, loaded), rel=1e-6)
        assert own.friction[0][place] == pytest.approx(
            pitch_friction_limit(spin, slider, axis._replace(load_moment=0.0))
        )
    assert own.joints == JointFriction(axis.load_share, setup.plant.output.load_share)
    assert own.rod_friction == setup.plant.output.rod_friction


def test_moments_of_what_stays_and_of_each_new_sum_are_linear_in_the_speed_squared(setup):
    """M = -(I_c - I_n) w^2 sin th cos th about the feathering axis, the flat rotor's terms; the air's beside."""
    own = sizing_target_of(setup, ())
    spin = float(setup.scenario.rotor.speed)
    half = 0.5 * np.sin(2.0 * own.pitch) * spin**2
    assert np.abs(own.slopes[0]) == pytest.approx(np.abs(half), rel=1e-3, abs=1.0)
    assert own.slopes[1] == pytest.approx(-own.slopes[0], rel=1e-3, abs=1.0)
    assert np.sign(own.slopes[0][-1]) == -np.sign(own.pitch[-1])
    turned = np.cos(2.0 * own.pitch) * spin**2
    assert np.abs(own.slopes[2]) == pytest.approx(np.abs(turned), rel=1e-3, abs=1.0)
    from featherbench.bench.statics import static_curves

    curves = static_curves(setup, spin, groups=False)
    middle = int(np.argmax(np.abs(own.moment)))
    assert own.moment.size == curves.pitch.size
    assert np.abs(own.moment[middle]) > 0.0


def pitches(quantity="seat_ratio", pitch=None, found_one=True, aircraft=True, limits=(-0.4, 0.45)):
    """Hover at a pitch, which takes 12 N of 9 N m over 0.75 m; 1.1 kg/m^3."""
    patch, asked_of = pytest.MonkeyPatch(), []

    def trim(table, thrust, density, speed):
        asked_of.append((table, thrust, density, speed))
        return SimpleNamespace(found=found_one, pitch=pitch)

    patch.setattr(sizing_target, "main_torque", lambda craft, density: (9.0 * density / 1.1, craft))
    patch.setattr(sizing_target, "hover_pitch", trim)
    state = SimpleNamespace(density=1.1)
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(pitch_range=limits, speed=1000.0),
        aircraft=SimpleNamespace(tail_arm=0.75) if aircraft else None,
    )
    setup = SimpleNamespace(
        scenario=scenario, pitch_grid=np.arange(3.0), air=SimpleNamespace(state=state, table="air")
    )
    try:
        return sizing_target._pitches(setup, quantity), asked_of
    finally:
        patch.undo()


def test_a_seat_is_judged_about_the_hover_and_a_force_over_the_whole_range():
    band, asked_of = pitches(pitch=0.1)
    assert asked_of == [("air", pytest.approx(12.0), 1.1, 1000.0)]
    assert (band[0], band[-1], band.size) == pytest.approx(
        (0.1 - sizing_target.HOVER_BAND, 0.1 + sizing_target.HOVER_BAND, 25)
    )
    assert pitches("rod_force", pitch=0.1)[0].tolist() == [0.0, 1.0, 2.0]
    six = np.pi / 30.0
    for other in (
        {"aircraft": False},
        {"pitch": 0.1, "found_one": False},
        {"pitch": 0.5},
        {"pitch": -0.45},
    ):
        band, _ = pitches(**other)
        assert (band[0], band[-1], band.size) == pytest.approx((-six, six, 25))
    low, _ = pitches(aircraft=False, limits=(-0.02, 0.03))
    assert (low[0], low[-1]) == pytest.approx((-0.02, 0.03))
    edge, _ = pitches(pitch=0.45)
    assert edge[-1] == pytest.approx(0.45)
    assert edge[0] == pytest.approx(0.45 - sizing_target.HOVER_BAND)


# -- the search ------------------------------------------------------------------------------------------------


def one(words="a", achieved=0.5, load=5.0, residue=0.0, reached=True, **more):
    return Alternative("bolt", words, Build(()), achieved, residue, 1e-3, load, (), reached, **more)


def settled(monkeypatch, forces, quantity="rod_force", gains=1.0, value=4.0):
    """Two routes, of which b is light; runs that show these forces, push and pull, one after the other."""
    seen, asked_with = iter(forces), []

    def best_by(setup, choices, own, judge):  # noqa: ARG001
        asked_with.append((choices.words, own.gain))
        return one(choices.words, 2.0 * own.gain, 5.0 if choices.words == "a" else 4.0)

    def predicted(variant):
        push, pull = next(seen)
        return SimpleNamespace(variant=variant, value=lambda name: push if name == "rod_force_push" else pull)

    monkeypatch.setattr(search, "best_of", best_by)
    monkeypatch.setattr(search, "with_parts", lambda scenario, build, words: f"{scenario} with {words}")  # noqa: ARG005
    monkeypatch.setattr(search, "predict", predicted)
    choices = [SimpleNamespace(words=words, removed=(words,)) for words in ("a", "b")]
    needs = {(words,): replace(asked(value, quantity), gain=gains) for words in ("a", "b")}
    return (
        search._settled(SimpleNamespace(scenario="plain"), choices, needs, None),
        asked_with,
        list(seen),
    )


def test_a_compensation_is_settled_at_once(monkeypatch):
    (alternatives, variant, run), asked_with, left = settled(
        monkeypatch, [(9.0, 9.0), (8.0, 8.0)], "compensation"
    )
    assert [alternative.words for alternative in alternatives] == ["b", "a"]
    assert (variant, run.variant) == ("plain with b", "plain with b")
    assert len(asked_with) == 2
    assert left == [(8.0, 8.0)]
    assert alternatives[0].achieved == 2.0


def test_a_force_is_corrected_by_what_the_gauge_shows(monkeypatch):
    """Static 2 N, seen 3: all gains half as large again. Then 3 N are as seen, to 0.2 % of the target of 4 N."""
    (alternatives, _, _), asked_with, left = settled(
        monkeypatch, [(3.0, 1.0), (1.0, 3.0 + 0.0079), (9.0, 9.0)]
    )
    assert asked_with == [("a", 1.0), ("b", 1.0), ("a", 1.5), ("b", 1.5)]
    assert left == [(9.0, 9.0)]
    assert alternatives[0].achieved == pytest.approx(3.0079)
    assert alternatives[0].residue == pytest.approx(4.0 - 3.0079)
    assert [alternative.words for alternative in alternatives] == ["b", "a"]
    assert alternatives[1].achieved == pytest.approx(3.0)


def test_a_force_that_does_not_settle_is_taken_as_seen_after_four_runs(monkeypatch):
    (alternatives, _, _), asked_with, left = settled(
        monkeypatch, [(3.0, 0.0), (3.0 + 0.0081, 0.0), (5.0, 0.0), (6.5, 0.0), (9.0, 9.0)]
    )
    assert len(asked_with) == 8
    assert left == [(9.0, 9.0)]
    assert alternatives[0].achieved == 6.5
    assert alternatives[0].residue == pytest.approx(-2.5)


def test_a_gain_grows_on_what_it_was(monkeypatch):
    """Static 2 N at a gain of 2 is 4 N; seen 6, so 3."""
    _, asked_with, _ = settled(monkeypatch, [(6.0, 0.0), (6.0, 0.0)], gains=2.0)
    assert [gain for _, gain in asked_with] == [2.0, 2.0, 3.0, 3.0]


def test_a_force_that_is_seen_at_once_needs_one_run(monkeypatch):
    _, asked_with, left = settled(monkeypatch, [(2.0, 1.0), (9.0, 9.0)])
    assert (len(asked_with), len(left)) == (2, 1)


def test_ways_are_tried_as_they_are_asked_for(monkeypatch):
    """Those that have choices, and why the others have none."""
    some, none = SimpleNamespace(count=3, words="some"), SimpleNamespace(count=0, words="none")
    monkeypatch.setattr(
        search,
        "ROUTES",
        {
            "bolt": lambda _: ([none, some], ["a reason"]),
            "arms": lambda _: ([], ["no grip"]),
            "standard": lambda _: ([some], []),
        },
    )
    free = SimpleNamespace(own=(), carried=())
    assert search._all_choices(free, "auto") == ([some, some], ["a reason", "no grip"])
    assert search._all_choices(free, "bolt") == ([some], ["a reason"])
    assert search._all_choices(free, "standard") == ([some], [])
    found, why = search._all_choices(SimpleNamespace(own=(), carried=("collar",)), "auto")
    assert (found, [reason.split(":")[0] for reason in why]) == ([], ["bolt", "no grip", "standard"])


def test_what_is_owned_is_tried_where_something_is(monkeypatch):
    some = SimpleNamespace(count=3, words="some")
    monkeypatch.setattr(search, "ROUTES", {"own": lambda _: ([some], [])})
    assert search._all_choices(SimpleNamespace(own=(), carried=()), "auto") == ([], [])
    assert search._all_choices(SimpleNamespace(own=(), carried=()), "own") == ([some], [])
    assert search._all_choices(SimpleNamespace(own=("a",), carried=()), "auto") == ([some], [])


@pytest.fixture
def answered(monkeypatch):
    """A search in which every sum is handed over and nothing is run."""
    called = SimpleNamespace(settled=[], tolerances=[], needs=[])
    room_by_hand = SimpleNamespace(radius=0.03, chord=2e-3, reseated=())
    ways = [
        SimpleNamespace(words="heavy", removed=()),
        SimpleNamespace(words="light", removed=("bolt",)),
    ]

    class By:
        """A need of its own for what comes off."""

        def __init__(self, removed):
            self.removed, self.quantity, self.value = removed, "seat_ratio", 0.8

        def measure(self, weights, radius, chord):
            assert (weights.mass, radius, chord) == (0.0, 0.03, 2e-3)
            return np.array([0.7])

    def own(setup, removed):  # noqa: ARG001
        called.needs.append(removed)
        return By(removed)

    def tolerated(*words):
        called.tolerances.append(words)
        return "tolerances"

    light = one("light", 0.81, 5.0, -0.01)
    run = SimpleNamespace(findings={"compensation": "own finding"}, value=None)
    monkeypatch.setattr(search, "reference", lambda scenario, _: (f"{scenario} bare", ("old",)))
    monkeypatch.setattr(
        search, "build_setup", lambda plain: SimpleNamespace(assembly="assembly", plain=plain)
    )
    monkeypatch.setattr(
        search, "find_design_space", lambda plain, assembly: room_by_hand if assembly else plain
    )
    monkeypatch.setattr(
        search, "_all_choices", lambda space, route: (ways, [f"why not {route}"] if space else [])
    )
    monkeypatch.setattr(search, "sizing_target_of", own)
    monkeypatch.setattr(search, "_settled", lambda *_: ([light, one("heavy")], "variant", run))
    monkeypatch.setattr(search, "tolerances", tolerated)
    return search.size("given", "bolt"), called, room_by_hand, light


def test_an_answer_is_put_together_from_its_own_need(answered):
    """What comes off for the part that is chosen, not for the first that was tried."""
    found_one, called, room_by_hand, light = answered
    assert (found_one.plain, found_one.given, found_one.scenario) == ("given bare", "given", "variant")
    assert found_one.best is light
    assert len(found_one.alternatives) == 2
    assert (found_one.quantity, found_one.target, found_one.taken_off) == ("seat_ratio", 0.8, ("old",))
    assert set(called.needs) == {(), ("bolt",)}
    ((build, own, where, plain, run),) = called.tolerances
    assert (build, own.removed, where, plain) == (light.build, ("bolt",), room_by_hand, "given bare")
    assert run is found_one.run
    assert found_one.notes[0].startswith("without weights the load over friction is 0.7;")
    assert found_one.notes[-1] == "why not bolt"
    assert found_one.findings["size_compensation"] == "own finding"
    assert found_one.findings["size_residue"].value == -0.01
    assert found_one.findings["size_mass"].value == 1e-3
    assert found_one.findings["size_load"].value == 5.0


def test_nothing_that_fits_is_refused_with_every_reason(monkeypatch):
    source = SimpleNamespace(place=lambda key: ("file.toml", 7) if key == "envelope" else None)
    monkeypatch.setattr(search, "reference", lambda scenario, _: (scenario, ()))
    monkeypatch.setattr(search, "build_setup", lambda _: SimpleNamespace(assembly=None))
    monkeypatch.setattr(search, "find_design_space", lambda *_: None)
    monkeypatch.setattr(search, "_all_choices", lambda *_: ([], ["no bar", "no grip"]))
    with pytest.raises(ScenarioError) as refused:
        search.size(SimpleNamespace(source=source))
    (problem,) = refused.value.problems
    assert "no bar; no grip" in str(refused.value)
    assert (problem.file, problem.line) == ("file.toml", 7)


def test_frames_list_the_pieces_or_the_alternatives(answered):
    found_one, *_ = answered
    piece = MachinedPart(
        "nut", "brass", 8500.0, (Piece(0.0, 2 * MM, diameter=4 * MM),), 0.03, count=2, thread="M3"
    )
    listed = replace(
        found_one, alternatives=(replace(found_one.best, build=Build((piece,))), found_one.alternatives[1])
    )
    frame = listed.to_frame()
    assert list(frame.columns[:4]) == ["name", "count", "material", "standard"]
    assert (frame["name"].tolist(), frame["count"].tolist()) == (["nut"], [2])
    others = listed.to_frame("alternatives")
    assert others["words"].tolist() == ["light", "heavy"]
    assert others["reached"].tolist() == [True, True]
    with pytest.raises(KeyError):
        listed.to_frame("nothing")


# -- the room --------------------------------------------------------------------------------------------------


def solid(height, thick, radius=34.0, chord=0.0, wide=6.0, thread=""):
    return SimpleNamespace(
        centre=(radius * MM, chord * MM, height * MM), size=(wide * MM, wide * MM, thick * MM), thread=thread
    )


def part(name, *solids, group="bolt", swings=True):
    return SimpleNamespace(name=name, solids=solids, group=group, swings=swings)


def test_a_part_stands_on_the_bolt_within_half_a_millimetre():
    for radius, chord, on in (
        (34.4, 2.4, True),
        (33.6, 1.6, True),
        (34.6, 2.0, False),
        (33.4, 2.0, False),
        (34.0, 2.6, False),
        (34.0, 1.4, False),
    ):
        assert design_space._coaxial(part("a", solid(0, 1, radius, chord)), 34 * MM, 2 * MM) == on
    assert not design_space._coaxial(part("a", solid(0, 1, 34, 2), solid(0, 1, 36, 2)), 34 * MM, 2 * MM)
    assert not design_space._coaxial(part("a"), 34 * MM, 2 * MM)


def test_seats_are_the_nearest_faces_of_heads_and_nuts():
    """A screw's shank is none, nor what carries a thread or reaches over the axis."""
    scenario = SimpleNamespace(
        part={"screw": written.ScrewPart.model_construct(), "nut": object(), "washer": object()}
    )
    hardware = [
        part("screw", solid(3.0, 1.0), solid(6.0, 3.0)),  # its shank would be nearer, at 2.5
        part("nut", solid(-6.2, 2.4), solid(-4.0, 1.0, thread="M3")),
        part("washer", solid(-4.75, 0.5), solid(0.0, 1.0)),
    ]
    assert design_space._inner_face(hardware, scenario, 1.0) == pytest.approx(4.5 * MM)
    assert design_space._inner_face(hardware, scenario, -1.0) == pytest.approx(4.5 * MM)
    assert design_space._inner_face(hardware[:2], scenario, -1.0) == pytest.approx(5.0 * MM)
    assert design_space._inner_face(hardware[:1], scenario, -1.0) is None


def test_an_arm_stands_on_the_highest_of_the_grip_at_its_radius():
    grips = [
        part("grip", solid(0.0, 9.0, 30.0, wide=10.0), solid(3.0, 8.0, 38.0, wide=6.0)),
        part("ear", solid(4.0, 9.0, 30.0, chord=5.0, wide=9.0)),
    ]
    assert design_space._outer_face(grips, 30 * MM) == pytest.approx(4.5 * MM)
    assert design_space._outer_face(grips, 34.9 * MM) == pytest.approx(4.5 * MM)  # to the end of the one
    assert design_space._outer_face(grips, 36 * MM) == pytest.approx(7.0 * MM)
    assert design_space._outer_face(grips, 41.5 * MM) is None
    assert design_space._outer_face([part("ear", solid(4.0, 9.0, 30.0, chord=4.0, wide=9.0))], 30 * MM) == (
        pytest.approx(8.5 * MM)
    )


def test_the_thread_is_that_of_the_screw_or_of_what_carries_one():
    screw = written.ScrewPart.model_construct(size="M4x20")
    scenario = SimpleNamespace(part={"screw": screw, "stack": object(), "pin": object()})
    stack = part("stack", solid(0, 1), solid(-3, 1, thread="M5"))
    assert (
        design_space._thread(scenario, [part("pin", solid(0, 1)), part("screw", solid(0, 1)), stack]) == "M4"
    )
    assert design_space._thread(scenario, [part("pin", solid(0, 1)), stack]) == "M5"
    with pytest.raises(PartRefused):
        design_space._thread(scenario, [part("pin", solid(0, 1))])


def test_weights_and_stand_ins_come_off_and_what_they_replaced_comes_back():
    """But no weight comes back."""
    table = {"shape": "point", "mass": "1 g", "at": {"radius": "30 mm"}}
    plain = read(PLAIN)
    weight, stand_in = (
        {**table, "group": "counterweight"},
        {**table, "group": "bolt", "instead_of": ["lock-nut"]},
    )
    fitted = with_parts(plain, Build((), {"weight": weight, "other": stand_in}), "x")
    old = fitted.part["weight"]
    fitted = fitted.model_copy(update={"replaced": {**fitted.replaced, "old-weight": old}})
    bare, off = design_space.reference(fitted)
    assert set(off) == {"weight", "other"}
    assert set(bare.part) == set(plain.part)
    assert bare.replaced == {}


@pytest.fixture(scope="module")
def shipped():
    scenario = read(PLAIN)
    return scenario, build_assembly(scenario)


def test_no_envelope_is_refused_with_the_files_name(shipped):
    scenario, assembly = shipped
    bare = scenario.model_copy(update={"envelope": None})
    with pytest.raises(ScenarioError) as refused:
        design_space.find_design_space(bare, assembly)
    (problem,) = refused.value.problems
    assert problem.file == scenario.source.files[0]
    nameless = replace(scenario.source, files=())
    with pytest.raises(ScenarioError) as refused:
        design_space.find_design_space(bare.model_copy(update={"source": nameless}), assembly)
    assert refused.value.problems[0].file == ""


def test_arms_stand_at_the_middle_of_the_heaviest_grip_that_does_not_swing(shipped):
    scenario, assembly = shipped

    def grip(name, mass, radius, swings=False):
        moments = SimpleNamespace(mass=mass, centre=(radius * MM, 0.0, 0.0))
        return SimpleNamespace(name=name, group="grip", swings=swings, moments=moments, solids=(), volume=0.0)

    bolt = SimpleNamespace(radius=34 * MM, chord=0.0)
    others = tuple(one for one in assembly.parts if one.group == "bolt")
    ears = (grip("a", 1e-3, 20.0), grip("b", 3e-3, 25.0), grip("c", 9e-3, 40.0, swings=True))
    stated = scenario.envelope.model_copy(update={"arm_radius": None, "arm_foot": None})
    scenario = scenario.model_copy(update={"envelope": stated})
    found_room = design_space.find_design_space(scenario, SimpleNamespace(parts=(*others, *ears), bolt=bolt))
    assert found_room.arm_radius == pytest.approx(25 * MM)
    assert found_room.arm_face is None
    assert found_room.replaced == ("blade-bolt", "lock-nut")
    bare = design_space.find_design_space(scenario, SimpleNamespace(parts=others, bolt=bolt))
    assert bare.arm_radius == pytest.approx(34 * MM)


# -- what is thinned, and what a dimension is worth -----------------------------------------------------------


def test_thinning_keeps_the_first_the_last_and_even_steps():
    for size in (5, 17, 60, 61, 119, 1000):
        kept = thinned(np.arange(size), 60)
        assert (kept[0], kept[-1]) == (0, size - 1)
        assert kept.size <= 61
        assert len(set(np.diff(kept)[:-1])) <= 1


def shares(*left):
    """Pairs of which so much of both first moments is left over."""
    rest = np.array(left)
    ones, zero = np.ones(rest.size), np.zeros(rest.size)
    return Column(zero, ones, zero, zero), Column(zero, -(1.0 - rest) / (1.0 + rest), zero, zero)


@pytest.mark.parametrize("limit", [0.01, 0.03, 0.06, 0.12])
def test_classes_of_evenness_of_turned_pieces(limit):
    """1, 3, 6 and 12 % of what both have; past that all are as good."""
    assert even(*shares(0.99 * limit, 1.01 * limit)).tolist() == [True, False]
    assert even(*shares(0.5, 0.9)).tolist() == [True, True]


# -- bought hardware -------------------------------------------------------------------------------------------


SERIES = (5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60)
"""mm: preferred lengths of ISO 4762 (MEM)."""


@pytest.fixture(scope="module")
def m3(shipped):
    """Seats at 5 mm, 20 mm of height above and 26 below; a nut is 2.4, a washer 0.5, a head 3 mm high."""
    own = design_space.find_design_space(*shipped)
    room = {"above": 20 * MM, "below": 26 * MM, "over_all": 46 * MM}
    return replace(own, seat_above=5 * MM, seat_below=5 * MM, **room)


def test_every_rack_that_fits_is_tried_and_no_other(m3):
    """In tenths of a millimetre, counted again: up to four nuts and 24 washers above, two to five nuts below."""
    expected, edge = set(), set()
    for nuts, washers, low, below, long in itertools.product(
        range(5), range(25), range(25), range(2, 6), SERIES
    ):
        over = 24 * nuts + 5 * washers
        spare = 10 * long - over - 100 - 5 * low - 24 * below
        if 50 + over + 30 <= 200 and 5 <= spare <= 72 and 10 * long - over - 50 <= 260:
            (edge if spare == 72 else expected).add((nuts, washers, low, below, long))
    racks = [
        (one.nuts_above, one.washers_above, one.washers_below, one.nuts_below, round(one.length / MM))
        for one in standard._racks(m3)
    ]
    assert len(racks) == len(set(racks)) > 100
    assert set(racks) - edge == expected  # three nuts of free end to a nanometre: either way
    assert usual_hardware.SCREW_LENGTHS == SERIES
    assert [max(row[place] for row in racks) for place in range(4)] == [4, 24, 24, 5]


def test_limits_of_a_rack_by_hand(m3):
    """Nut and two washers above the seat at 5 mm: the head stands at 8.4 and ends at 11.4; the screw at 11.6."""
    rack = standard._Rack(1, 2, 0, 2, 20 * MM)
    assert standard._head_face(m3, rack) == pytest.approx(8.4 * MM)
    for above, below, said in (
        (11.4, 20.0, ["height_above"]),
        (20.0, 11.6, ["height_below"]),
        (20.0, 20.0, []),
    ):
        tight = replace(m3, above=above * MM, below=below * MM, over_all=(above + below) * MM, step=0.1 * MM)
        assert standard._rack_touched(tight, rack) == said


@pytest.mark.parametrize(("chord", "limit"), [(2.0, 0.25), (-2.0, 0.25), (0.0, 0.7)])
def test_bought_pieces_may_be_less_even_on_the_feathering_axis_own_normal(monkeypatch, m3, chord, limit):
    """A quarter of the first moments may be left over, seven tenths where that makes no product."""
    racks = list(standard._racks(m3))
    racks = racks[:: len(racks) // 60]
    monkeypatch.setattr(standard, "_racks", lambda _: racks)
    pairs = [standard._rack_columns(m3, rack) for rack in racks]
    rest = [abs(a.first + b.first) / (abs(a.first) + abs(b.first)) for a, b in pairs]
    assert 0 < sum(value <= 0.25 for value in rest) < sum(value <= 0.7 for value in rest)
    (choices,) = standard.standard_choices(replace(m3, chord=chord * MM))[0]
    assert choices.count == sum(value <= limit for value in rest)


def test_a_seat_counts_what_the_weights_have_across_their_chord():
    """3e-6 kept, 2 g at 2 mm 8e-9, across 1e-8: weights of less than 3.018e-6 leave some."""
    weights = Column(np.full(2, 2e-3), np.zeros(2), np.array([3.0179e-6, 3.0181e-6]), np.full(2, 1e-8))
    assert asked(quantity="seat_ratio").usable(weights, 2e-3).tolist() == [True, False]
    none = asked(quantity="seat_ratio", kept=0.0).usable(Column(0.0, 0.0, 0.0, 0.0), 0.0)
    assert none.tolist() == [False]


def test_what_stays_is_loaded_by_its_moments_and_by_the_air(monkeypatch):
    """Per unit of each mass moment the blade's own law; the air's moment times the speed squared."""
    spin, coning = 1000.0, 0.02
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=spin, coning=coning))
    own = PitchMoments(3e-6, 1e-6, 2e-7, 4e-7, 5e-7, coning)
    monkeypatch.setattr(sizing_target, "load_table", lambda *words: words)
    monkeypatch.setattr(
        sizing_target,
        "tabulated",
        lambda angle, loads: (own, 1e-8 * (2.0 + angle)) if loads[1] == "kept" else None,
    )
    pitch = np.array([-0.3, 0.1, 0.4])
    moment, slopes = sizing_target._loads(SimpleNamespace(scenario=scenario, air="air"), "kept", pitch)
    for place, angle in enumerate(pitch.tolist()):
        law = propeller_moment(angle, spin, 0.0, own)
        assert moment[place] == pytest.approx(law + 1e-8 * (2.0 + angle) * spin**2)
        assert np.dot(slopes[:, place], own[:5]) == pytest.approx(law)
        assert slopes[0, place] == pytest.approx(-slopes[1, place])
        for row in range(5):
            unit = PitchMoments(*(1.0 if row == other else 0.0 for other in range(5)), coning)
            assert slopes[row, place] == propeller_moment(angle, spin, 0.0, unit)
