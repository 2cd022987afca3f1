"""What a window shows while a build is changed, and how sure it is, by made-up tests: names, sides and places."""

from collections import Counter
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.exploring import snapshot, whole_range
from featherbench.exploring.snapshot import SHOWN, exact_snapshot, quick_snapshot
from featherbench.exploring.whole_range import COUNT, LEAST, SEED, RangeWork
from featherbench.scenario import ScenarioError
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


def test_without_a_hover_pitch_the_window_nearest_neutral_counts(bench):
    bench.free_play = free_play((-0.2, -0.15), (0.1, 0.3))
    for hover in (None, SimpleNamespace(found=False, pitch=-0.2, rod_force=1.5)):
        bench.hover = hover
        found = quick_snapshot(bench.setup)
        assert found.hover_pitch is None
        assert found.findings["rod_force_hover"] is None
        assert (found.findings["float_low"], found.findings["float_high"]) == (0.1, 0.3)
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
        return np.array([2.0, 4.0, 8.0, -2.0, 0.0, 4.0, 8.0, 2.0]) + shift

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
    """32 samples a newton either way: the band reaches so far beyond both edges, push and pull never below none."""
    found, steps = worked(shown())
    assert steps == 1 + 32
    assert found.band.low == pytest.approx([-4.0, -2.0, 2.0])
    assert found.band.high == pytest.approx([4.0, 6.0, 10.0])
    assert found.push == pytest.approx((8.0, 10.0))
    assert found.pull == pytest.approx((0.0, 1.5))
    assert found.samples == 32
    assert found.released == (Counter({"returns": 32}), Counter({"stays": 16, "runs out": 16}))
    assert found.shares == ({"returns": 1.0}, {"stays": 0.5, "runs out": 0.5})
    assert worked(shown(push=-3.0))[0].push == (0.0, 0.0)
    assert sampler.asked[1] == (1, COUNT, SEED) == (1, 32, 0)


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
