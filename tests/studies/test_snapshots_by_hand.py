"""What a window shows while a build is changed, and how sure it is, by made-up tests: names, sides and places."""

from collections import Counter
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench import quantities
from featherbench.exploring import snapshot, variant, whole_range
from featherbench.exploring.exploration import Typed
from featherbench.exploring.snapshot import SHOWN, exact_snapshot, quick_snapshot
from featherbench.exploring.whole_range import COUNT, LEAST, SEED, RangeWork
from featherbench.scenario import ScenarioError
from featherbench.scenario.parts import CylinderPart
from featherbench.studies.free_play import FreePlay

NAN = float("nan")


def free_play(*windows):
    return FreePlay(np.zeros(1), np.zeros(1), np.zeros(1), windows, 0.0)


# -- at a glance -----------------------------------------------------------------------------------------


@pytest.fixture
def bench(monkeypatch):
    """A build whose tests come to what is said here; asked: how they were asked for."""
    asked = {}
    two = {
        side: SimpleNamespace(peak=peak, hold=hold)
        for side, peak, hold in (("high", 0.5, 0.2), ("low", 0.4, NAN))
    }
    statics = SimpleNamespace(
        pitch=np.array([-0.2, 0.0, 0.4]),
        rod_friction=np.array([1.0, 2.0, 4.0]),
        rod_force=np.zeros(3),
        largest=(7.0, 3.0),
        loop=(np.array([-1.0, 2.0, 7.0]), np.array([-3.0, -2.0, 5.0])),
    )
    build = SimpleNamespace(
        statics=statics, ends=(two["high"], two["low"]), free_play=free_play((-0.2, -0.1), (0.1, 0.3)), asked=asked,
        hover=SimpleNamespace(found=True, pitch=0.12, rod_force=1.5),
    )  # fmt: skip
    programme = tuple(SimpleNamespace(go=go) for go in (0.5, 1.0, 0.0, -0.5, 1.0, -0.2))
    build.setup = SimpleNamespace(
        assembly="a", lead_lag=0.0, moments=SimpleNamespace(mass=0.011, radial=2e-3),
        scenario=SimpleNamespace(rotor=SimpleNamespace(speed=900.0), bench=SimpleNamespace(programme=programme)),
    )  # fmt: skip

    def put(name, value):
        monkeypatch.setattr(
            snapshot, name, lambda *given, **how: asked.__setitem__(name, (given, how)) or value()
        )

    put("static_curves", lambda: build.statics)
    put("free_play_curves", lambda: build.free_play)
    put("hover_trim", lambda: build.hover)
    put("compensation", lambda: 0.8)
    put("run_servo", lambda: "servo")
    put("legs_at_ends", lambda: build.ends)
    put("assembly_findings", lambda: {"mass": "of the assembly"})
    put("gauge_findings", lambda: {"release": "of the gauge"})
    put("servo_findings", lambda: {"meter_hold": "of the servo"})
    monkeypatch.setattr(snapshot, "release_points", lambda _: (0.4, -0.2))
    monkeypatch.setattr(snapshot, "run_release", lambda _, start: SimpleNamespace(verdict=f"from {start}"))
    return build


def test_a_quick_look_by_hand(bench):
    """The float window is that of the hover pitch; currents are of each end; what is not known is left out."""
    found = quick_snapshot(bench.setup)
    assert found.findings == {
        "compensation": 0.8, "mass": 0.011, "centrifugal_load": pytest.approx(2e-3 * 900.0**2),
        "rod_force_push": 7.0, "rod_force_pull": 3.0, "release": "from 0.4", "release_low": "from -0.2",
        "float_low": 0.1, "float_high": 0.3, "rod_force_hover": 1.5, "current_hold_hover": None,
        "current_peak_high": 0.5, "current_hold_high": 0.2, "current_peak_low": 0.4, "current_hold_low": None,
    }  # fmt: skip
    assert set(found.findings) == set(SHOWN)
    assert (found.high.start, found.low.start, found.hover_pitch, found.run) == (0.4, -0.2, 0.12, None)
    assert found.scenario is bench.setup.scenario
    # no groups, and no hold in hover, for which nobody waits; the programme is left off after both ends
    assert bench.asked["static_curves"][1] == {"groups": False}
    assert bench.asked["hover_trim"][1] == {"held": False}
    assert [move.go for move in bench.asked["run_servo"][0][1]] == [0.5, 1.0, 0.0, -0.5]


def test_the_programme_is_left_off_after_both_ends_whichever_comes_first(bench):
    for goes, kept in (
        ((-1.0, 1.0, 0.0), 2),
        ((1.0, -1.0, 0.0), 2),
        ((0.0, 0.2, 0.1), 2),
        ((0.2, 0.1, -0.3, 0.0), 3),
    ):
        bench.setup.scenario.bench.programme = tuple(SimpleNamespace(go=go) for go in goes)
        quick_snapshot(bench.setup)
        assert len(bench.asked["run_servo"][0][1]) == kept


def test_without_a_hover_pitch_the_window_nearest_neutral_counts(bench):
    bench.free_play = free_play((-0.05, -0.02), (0.1, 0.3))
    for hover in (None, SimpleNamespace(found=False, pitch=-0.2, rod_force=1.5)):
        bench.hover = hover
        found = quick_snapshot(bench.setup)
        assert found.hover_pitch is None
        assert found.findings["rod_force_hover"] is None
        assert (found.findings["float_low"], found.findings["float_high"]) == (-0.05, -0.02)
    bench.free_play = free_play()
    assert quick_snapshot(bench.setup).findings["float_low"] is None


def test_an_end_that_is_never_gone_to_has_no_currents(bench):
    bench.ends = (None, bench.ends[0])
    found = quick_snapshot(bench.setup).findings
    assert (found["current_peak_high"], found["current_hold_high"]) == (None, None)
    assert (found["current_peak_low"], found["current_hold_low"]) == (0.5, 0.2)


def test_checks_are_given_the_gauge_at_rest(bench):
    """Push is the most of the upper edge, pull of the lower one, neither less than none; breakout the friction at 0."""
    run = quick_snapshot(bench.setup).bench
    gauge = run.gauge
    assert (gauge.push, gauge.pull, gauge.shown_push, gauge.shown_pull) == (7.0, 3.0, 7.0, 3.0)
    assert (gauge.breakout, gauge.energy_error) == (2.0, 0.0)
    assert gauge.up is bench.statics.loop[0]
    assert gauge.down is bench.statics.loop[1]
    assert run.findings == {
        "mass": "of the assembly",
        "release": "of the gauge",
        "meter_hold": "of the servo",
    }
    assert (run.release_high.verdict, run.release_low.verdict, run.hover) == ("from 0.4", "from -0.2", None)
    assert bench.asked["servo_findings"][0][2:] == ("servo", bench.ends)
    bench.statics.loop = (np.array([-3.0, -1.0]), np.array([1.0, 2.0]))
    one_sided = quick_snapshot(bench.setup).bench.gauge
    assert (one_sided.push, one_sided.pull) == (0.0, 0.0)


@pytest.mark.parametrize(("found", "pitch"), [(True, 0.12), (False, None), (None, None)])
def test_an_exact_look_is_that_of_the_prediction(bench, found, pitch):
    hover = None if found is None else SimpleNamespace(found=found, pitch=0.12)
    run = SimpleNamespace(
        setup=bench.setup, statics=bench.statics, release_high="high", release_low="low", hover=hover,
        findings={"mass": SimpleNamespace(value=0.011), "energy_error": SimpleNamespace(value=0.0)},
    )  # fmt: skip
    shown = exact_snapshot(run)
    assert shown.findings == dict.fromkeys(SHOWN) | {"mass": 0.011}
    assert (shown.high, shown.low) == ((0.4, "high"), (-0.2, "low"))
    assert (shown.hover_pitch, shown.run, shown.bench) == (pitch, run, run)


# -- how sure it is --------------------------------------------------------------------------------------


@pytest.fixture
def sampler(monkeypatch):
    """Samples as told: a setup is its place; its curves go with it: three pitches of each edge, push, pull."""
    kept = SimpleNamespace(refused=set(), asked=[], inputs=("x",), air=None)

    def curves(place, _):
        if place in kept.refused:
            raise ScenarioError(())
        shift = 0.0 if place is None else place[0]
        return np.array([2.0, 4.0, 8.0, -2.0, 0.0, 4.0, 8.0, 2.0]) + shift * np.repeat(
            [1, 2, 3, 0.75], [3, 3, 1, 1]
        )

    monkeypatch.setattr(whole_range, "varied_inputs", lambda _: kept.inputs)
    monkeypatch.setattr(whole_range, "any_tolerance", bool)
    monkeypatch.setattr(
        whole_range,
        "shortened_task",
        lambda *given: kept.asked.append(given) or SimpleNamespace(air=kept.air),
    )
    places = np.linspace(-1.0, 1.0, COUNT)[:, None]
    monkeypatch.setattr(whole_range, "sample_places", lambda *given: kept.asked.append(given) or places)
    monkeypatch.setattr(whole_range, "sample_setup", lambda _, place: place)
    monkeypatch.setattr(whole_range, "_curves", curves)
    monkeypatch.setattr(
        whole_range,
        "_released",
        lambda place: ("returns", "stays" if place and place[0] > 0.0 else "runs out"),
    )
    monkeypatch.setattr(
        whole_range, "interval", lambda _, values, __: (values.min(axis=0), values.max(axis=0))
    )
    return kept


def shown(push=9.0, pull=0.5):
    run = SimpleNamespace(value={"rod_force_push": push, "rod_force_pull": pull}.__getitem__)
    statics = SimpleNamespace(
        pitch=np.array([-0.1, 0.0, 0.1]), loop=(np.array([3.0, 5.0, 9.0]), np.array([-3.0, -1.0, 3.0]))
    )
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=900.0))
    return SimpleNamespace(run=run, statics=statics, scenario=scenario)


def worked(snapshot_, families=None):
    work = RangeWork(snapshot_, {} if families is None else families)
    steps = 0
    while not work.done:
        work.step()
        steps += 1
    return work.result(), steps


def test_a_whole_range_is_the_figure_and_how_far_samples_depart(sampler):
    """32 samples: 1 N either way at the upper edge, 2 at the lower one, 3 of the push, 0.75 of the pull, which never is
    less than none.
    """
    found, steps = worked(shown())
    assert steps == 1 + 32
    assert found.band.low == pytest.approx([-5.0, -3.0, 1.0])
    assert found.band.high == pytest.approx([4.0, 6.0, 10.0])
    assert found.push == pytest.approx((6.0, 12.0))
    assert found.pull == pytest.approx((0.0, 1.25))
    assert found.samples == 32
    assert found.released == (Counter({"returns": 32}), Counter({"stays": 16, "runs out": 16}))
    assert found.shares == ({"returns": 1.0}, {"stays": 0.5, "runs out": 0.5})
    assert worked(shown(push=-3.0))[0].push == (0.0, 0.0)
    assert sampler.asked[1] == (1, COUNT, SEED) == (1, 32, 0)
    assert sampler.asked[0][1:] == (("x",), None)


def test_what_could_not_be_built_is_left_out_and_too_little_tells_nothing(sampler):
    places = [(float(place),) for place in np.linspace(-1.0, 1.0, COUNT)]
    sampler.refused = set(places[: COUNT - LEAST])
    found, _ = worked(shown())
    assert found.samples == LEAST == 16
    assert found.released[1] == Counter({"stays": 16})
    assert found.push[0] > 9.0
    sampler.refused = set(places[: COUNT - LEAST + 1])
    assert worked(shown())[0] is None
    sampler.refused = {None}
    assert worked(shown())[0] is None


def test_where_nothing_varies_there_is_nothing_to_do(sampler):
    sampler.inputs = ()
    found, steps = worked(shown())
    assert (found, steps, sampler.asked) == (None, 0, [])


def test_air_is_kept_by_rotor_speed_where_there_is_any(sampler):
    families = {}
    worked(shown(), families)
    assert families == {}
    sampler.air = "family"
    worked(shown(), families)
    assert families == {900.0: "family"}
    worked(shown(), families)
    assert [given[2] for given in sampler.asked if len(given) == 3 and given[0] != 1] == [
        None,
        None,
        "family",
    ]


def test_curves_of_a_sample_are_at_the_pitches_of_the_build(monkeypatch):
    statics = SimpleNamespace(
        pitch=np.array([0.0, 1.0]), loop=(np.array([0.0, 2.0]), np.array([-4.0, -2.0])), largest=(7.0, 3.0)
    )
    monkeypatch.setattr(whole_range, "static_curves", lambda _, groups: statics if groups is False else None)
    found = whole_range._curves(None, np.array([-0.5, 0.5, 1.5]))
    assert found == pytest.approx([NAN, 1.0, NAN, NAN, -3.0, NAN, 7.0, 3.0], nan_ok=True)
    monkeypatch.setattr(whole_range, "release_points", lambda _: ("high", "low"))
    monkeypatch.setattr(whole_range, "run_release", lambda _, start: SimpleNamespace(verdict=start))
    assert whole_range._released(None) == ("high", "low")


# -- written down ----------------------------------------------------------------------------------------


@pytest.fixture
def moved():
    """Two sliders of a build with a pair of weights to add, of which one is moved, and what changes by it."""
    changes = {
        "part.new.length": Typed("2 mm", 2e-3, "length"), "part.new.at.normal": Typed("5 mm", 5e-3, "length"),
        "linkage.horn_arm": Typed("0.5 in", 12.7e-3, "length"), "part.old one.mass": Typed("2 g", 2e-3, "mass"),
    }  # fmt: skip
    sliders = {
        "arm": SimpleNamespace(label="servo arm", kind="length"),
        "turn": SimpleNamespace(label="turned", kind="angle"),
    }
    source = SimpleNamespace(tolerances={"linkage.horn_arm": 0.254e-3, "part.new.length": 9.0})
    new = CylinderPart.model_construct(
        group="counterweight", shape="cylinder", axis="normal", diameter=5e-3, length=1e-3, material="brass",
        at=SimpleNamespace(radius=0.036, chord=0.0, normal=1e-3),
    )  # fmt: skip
    found = SimpleNamespace(
        scenario=SimpleNamespace(title="rig", source=source, part={"old one": 0}), system="metric", added=("new",),
        fitted=True, sliders=sliders, changes=lambda _: dict(changes), fits_added=lambda _: found.fitted,
        moved=lambda state: state, slider=sliders.__getitem__,
        build=lambda _: SimpleNamespace(part={"new": new}),
    )  # fmt: skip
    return found


def test_settings_say_an_added_weight_whole_and_the_rest_as_typed(moved):
    """Its own table; tolerances of the file with what was moved; what was set before stands where no slider has it."""
    given = {"title": "mine", "rotor.speed": "9 rpm", "linkage.horn_arm": "1 mm"}
    found = variant.all_settings(moved, {"arm": 12e-3}, given)
    assert found == {
        "rotor.speed": "9 rpm",
        "linkage.horn_arm": "0.5 +/- 0.01 in",
        'part."old one".mass': "2 g",
        "part.new": {
            "group": "counterweight", "shape": "cylinder", "axis": "normal", "diameter": "5 mm", "length": "2 mm",
            "at": {"radius": "36 mm", "normal": "5 mm"}, "material": "brass",
        },
        "title": f"rig; servo arm {quantities.text(12e-3, 'length', 'metric')}",
    }  # fmt: skip
    two = variant.all_settings(moved, {"arm": 12e-3, "turn": 0.1}, {})["title"]
    assert two.split(", ")[1] == f"turned {quantities.text(0.1, 'angle', 'metric')}"
    assert variant.all_settings(moved, {}, given)["title"] == "mine"


def test_without_an_added_weight_no_table_is_written(moved):
    moved.fitted = False
    moved.changes = lambda _: {"linkage.horn_arm": Typed("13 mm", 13e-3, "length")}
    assert variant.all_settings(moved, {}, {}) == {"linkage.horn_arm": "13 +/- 0.254 mm"}


def test_an_added_weight_that_is_turned_says_so():
    place = SimpleNamespace(radius=0.0, chord=-2e-3, normal=1.23456789e-3)
    part = CylinderPart.model_construct(
        group="g", shape="s", axis="a", diameter=5e-3, length=1e-3, material="brass", at=place
    )
    table = variant._added_part(part, {"k.turn": Typed("3 deg", 0.05, "angle")}, "k.")
    assert table["turn"] == "3 deg"
    assert table["at"] == {"chord": "-2 mm", "normal": "1.23456789 mm"}
    assert (table["length"], table["diameter"]) == ("1 mm", "5 mm")
    assert "turn" not in variant._added_part(part, {}, "k.")


def test_a_variant_remarks_on_weights_that_nothing_holds(moved, monkeypatch, tmp_path):
    asked = {}
    tables = {"title": "new title", "rotor": {"speed": "9 rpm"}}
    monkeypatch.setattr(variant, "_file", lambda _, settings: asked.update(file=settings) or "own.toml")
    monkeypatch.setattr(variant, "all_settings", lambda _, state, settings: (state, settings))
    monkeypatch.setattr(
        variant,
        "differing_tables",
        lambda file, settings: asked.update(said=(file, settings)) or dict(tables),
    )
    monkeypatch.setattr(
        variant, "variant_file", lambda _, folder, **how: asked.update(how, folder=folder) or "text"
    )
    assert variant.explored_variant(moved, {"arm": 1.0}, tmp_path, {"a": "b"}, ["# c"]) == "text"
    assert asked == {
        "file": {"a": "b"}, "said": ("own.toml", ({"arm": 1.0}, {"a": "b"})), "folder": tmp_path,
        "heading": variant.HEADING, "title": "new title", "tables": {"rotor": {"speed": "9 rpm"}}, "comments": ["# c"],
        "remarks": {"part.new.material": "state held_by: nothing is said to hold it yet"},
    }  # fmt: skip
    moved.fitted = False
    tables.pop("title")
    variant.explored_variant(moved, {}, tmp_path)
    assert (asked["file"], asked["title"], asked["remarks"], asked["comments"]) == ({}, "rig", {}, ())
    monkeypatch.setattr(variant, "read", lambda file, settings: (file, settings))
    assert variant.explored_scenario(moved, {"arm": 1.0}, {"a": "b"}) == (
        "own.toml",
        ({"arm": 1.0}, {"a": "b"}),
    )
    assert asked["file"] == {"a": "b"}
    assert variant.explored_scenario(moved, {"arm": 1.0}) == ("own.toml", ({"arm": 1.0}, {}))
    assert asked["file"] == {}


@pytest.mark.parametrize(("digest", "fits"), [("one", True), ("other", False)])
def test_a_file_that_says_otherwise_by_now_is_refused(monkeypatch, digest, fits):
    scenario = SimpleNamespace(source=SimpleNamespace(digest="one"))
    monkeypatch.setattr(variant, "own_file", lambda _: "own.toml")
    read = SimpleNamespace(source=SimpleNamespace(digest=digest))
    monkeypatch.setattr(
        variant, "read", lambda file, settings: read if (file, settings) == ("own.toml", {"a": 1}) else None
    )
    if fits:
        assert variant._file(scenario, {"a": 1}) == "own.toml"
    else:
        with pytest.raises(ScenarioError, match="settings as they were when it was read"):
            variant._file(scenario, {"a": 1})
