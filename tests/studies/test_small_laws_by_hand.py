"""Small laws of the studies by hand, each without a bench run: intervals, samples, doubts, matches, sliders' masses."""

from math import radians, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.readings import BenchData, Reading
from featherbench.exploring.exploration import Exploration
from featherbench.fitting import match
from featherbench.fitting import model as fitting_model
from featherbench.fitting.intervals import CRITICAL, _end, profiled, told_apart
from featherbench.fitting.unknowns import OTHER, unknowns
from featherbench.guide.usual_unknowns import PRIORS
from featherbench.hovering import bias, wag
from featherbench.hovering.play_verdict import DrawnWag
from featherbench.sampling import sampled
from featherbench.sampling import samples as spread_samples
from featherbench.sampling.doubts import BEARING, doubted, with_doubt
from featherbench.sampling.inputs import Input
from featherbench.sampling.samples import CoarseSetup, sample_places, shortened_task, values_at
from featherbench.scenario import ScenarioError
from featherbench.studies.run import Run
from featherbench.studies.servo_notes import servo_notes

# -- fitting ---------------------------------------------------------------------------------------------


def search(data, reach=50.0, unknown=2):
    found = SimpleNamespace(
        data=data,
        low=np.full(unknown, -reach),
        high=np.full(unknown, reach),
        weight=np.eye(unknown),
        count=0,
        kept={},
    )
    found.alone = lambda: found
    found.many = lambda task, inputs: {number: task(one) for number, one in enumerate(inputs)}
    return found


def test_a_straight_model_has_straight_intervals():
    """Information 9 and 25, slopes that share 6, prior 1 each: the ends are 1.96 sqrt of the covariance away."""
    slopes = np.array([[3.0, 0.0], [2.0, 5.0]])
    covariance = np.linalg.inv(slopes.T @ slopes + np.eye(2))
    low, high, lower = profiled(search(lambda point: slopes @ point), np.zeros(2), slopes, covariance, 2)
    half = CRITICAL * np.sqrt(np.diag(covariance))
    assert high == pytest.approx(half, rel=1e-6)
    assert low == pytest.approx(-half, rel=1e-6)
    assert lower is None  # it was at its best
    near = profiled(search(lambda point: slopes @ point, 0.2), np.zeros(2), slopes, covariance, 2)
    assert near[1] == pytest.approx(np.minimum(half, 0.2))  # no further than the bound


def test_a_profile_that_comes_by_a_lower_point_hands_it_back():
    """The fit stopped at x = 0, 0.5 short of the least of 3 (x - 0.5): the way up passes what is better."""
    slopes, covariance = np.array([[3.0]]), np.array([[0.1]])
    missed = search(lambda point: 3.0 * (point - 0.5), unknown=1)
    *_, lower = profiled(missed, np.zeros(1), slopes, covariance, 1)
    assert lower is not None
    assert (3.0 * (lower[0] - 0.5)) ** 2 + lower[0] ** 2 < 3.0 * 0.5 * 3.0 * 0.5 - 0.5


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_other_unknowns_follow_along_a_profile(side):
    """Residuals 3 x and 5 (y - x^2), prior 1 each. The best y at an x is 25/26 x^2, so the sum rises by 10 x^2 +
    25/26 x^4: by 1.96^2 at x = 0.609. With y left where it was it would at 0.491.
    """
    slopes = np.array([[3.0, 0.0], [0.0, 5.0]])
    covariance = np.diag([1.0 / 10.0, 1.0 / 26.0])
    bent = search(lambda point: np.array([3.0 * point[0], 5.0 * (point[1] - point[0] ** 2)]))
    end = _end(bent, np.zeros(2), np.zeros(2), slopes, covariance, (0, side)).place
    assert end == pytest.approx(side * 0.609, rel=0.06)


def test_one_unknown_by_itself_goes_to_where_the_sum_has_risen():
    """3 x + x^2 and the prior: (3x + x^2)^2 + x^2 = 1.96^2 at 0.533 and, past where the model turns, at -0.812."""
    alone = search(lambda point: np.array([3.0 * point[0] + point[0] ** 2]), unknown=1)
    for side in (1.0, -1.0):
        end = _end(alone, np.zeros(1), np.zeros(1), np.array([[3.0]]), np.array([[0.1]]), (0, side)).place
        assert (3.0 * end + end**2) ** 2 + end**2 == pytest.approx(CRITICAL**2, rel=0.11)
        assert end * side > 0.0


def test_what_the_data_tells_by_hand():
    """Three times what was known beforehand is told, less is not; a sum alone tells neither of two apart."""

    def told(slopes, names):
        prior = np.eye(len(names))
        found = tuple(SimpleNamespace(key=name) for name in names)
        return told_apart(np.linalg.inv(slopes.T @ slopes + prior), prior, found)

    assert told(1.001 * np.ones((3, 1)), "a") == ((), (True,))
    assert told(0.999 * np.ones((3, 1)), "a") == ((("a",),), (False,))
    groups, clear = told(np.array([[9.0, 9.0, 0.0], [0.0, 0.0, 4.0]]), "abc")
    assert groups == (("a", "b"),)
    assert clear == (False, False, True)
    # a share of a direction under a fifth is no part of it
    turn = np.array([[np.cos(0.4), np.sin(0.4)], [-np.sin(0.4), np.cos(0.4)]])
    assert told(np.diag([9.0, 0.1]) @ turn, "ab")[0] == (("b",),)


def test_unknowns_start_where_the_scenario_is(scenario_of):
    """Its tolerance over sqrt 3 where it has one, else a share of it; bounds as factors, or six tolerances."""
    scenario = scenario_of(
        linkage={"slider_friction": "0.4 N +/- 0.06 N", "horn_arm": "13 mm +/- 0.3 mm"},
        servo={"idle_current": "20 mA"},
    )  # fmt: skip
    keys = (
        "linkage.slider_friction",
        "linkage.horn_arm",
        "servo.idle_current",
        "linkage.servo_arm",
        "scale.inertia",
    )
    rows = [(one.start, one.deviation, one.low, one.high, one.why) for one in unknowns(scenario, keys)]
    assert rows[0] == (*(pytest.approx(v) for v in (0.4, 0.06 / sqrt(3.0), 0.008, 3.2)), "its tolerance")
    assert rows[1] == (
        *(pytest.approx(v) for v in (13e-3, 0.3e-3 / sqrt(3.0), 11.2e-3, 14.8e-3)),
        "its tolerance",
    )
    assert rows[2] == (*(pytest.approx(v) for v in (20e-3, 6e-3, 2e-3, 0.1)), "judgement")
    assert rows[3] == (*(pytest.approx(v) for v in (12e-3, 1.2e-3, 3.6e-3, 36e-3)), "judgement")
    assert rows[4][0] == 1.0
    wide = scenario_of(linkage={"horn_arm": "13 mm +/- 4 mm"})
    assert unknowns(wide, ("linkage.horn_arm",))[0].low == pytest.approx(0.05 * 13e-3)
    for wrong in ("linkage.horn_armm", "title", "linkage.rod_bore"):
        with pytest.raises(ScenarioError, match="no number of this scenario"):
            unknowns(scenario, (wrong,))
    for share, least, most, *_ in (*PRIORS.values(), OTHER):
        assert 0.0 < least < 1.0 - share < 1.0 + share <= most


# -- samples ---------------------------------------------------------------------------------------------


def test_sample_places_fill_the_tolerances_evenly():
    """Each half of each tolerance holds half of them, each quarter a quarter; more of them go on where fewer ended."""
    places = sample_places(3, 256, 5)
    assert places.shape == (256, 3)
    for column in places.T:
        assert np.histogram(column, bins=8, range=(-1.0, 1.0))[0].tolist() == [32] * 8
    assert np.array_equal(sample_places(3, 100, 5), places[:100])
    assert not np.array_equal(sample_places(3, 100, 6), places[:100])
    assert sample_places(1, 1, 0).shape == (1, 1)


def test_values_at_a_place_by_hand():
    inputs = (Input("a", 3.0, 7.0, "ratio"), Input("b", -1.5, -0.5, "ratio"))
    assert values_at(inputs, (0.5, -1.0)) == pytest.approx((6.0, -1.5))


def test_coarse_curves_go_from_end_to_end(setup_of):
    """50 deg in steps of 1.5 deg at most: 34 of 1.47 deg."""
    grid = np.rad2deg(CoarseSetup(**vars(setup_of())).pitch_grid)
    assert (grid[0], grid[-1], len(grid)) == (pytest.approx(-24.0), pytest.approx(26.0), 35)
    assert np.diff(grid) == pytest.approx(50.0 / 34.0)


@pytest.fixture
def nominal(scenario_of):
    """A run as far as a sample is made shorter by it: arrivals of 0.3 s at most, one move that never arrived."""

    def run(**changes):
        programme = [{"go": 1.0, "hold": "3 s"}, {"go": -1.0, "hold": "1.1 s"}, {"go": 0.0, "hold": "1.7 s"}]
        meter = {"rate": "2.5 Hz", "window": "0.4 s"}
        gauge = {"sweep": "10 s", "rate": "40 Hz"}
        scenario = scenario_of(
            **{"bench": {"programme": programme}, "meter": meter, "gauge": gauge, **changes}
        )
        legs = [SimpleNamespace(arrival=value) for value in (0.3, float("nan"), 0.1)]
        return SimpleNamespace(
            scenario=scenario, servo=SimpleNamespace(legs=legs), setup=SimpleNamespace(air="kept")
        )

    return run


def test_a_sample_is_made_shorter_by_whole_refreshes(nominal):
    """Least hold 2 x 0.3 + 0.4 = 1 s: 3 s lose five refreshes of 0.4 s, 1.1 s none, 1.7 s one. The gauge's 400 samples
    come in 4 s.
    """
    task = shortened_task(nominal(), ())
    assert [move.hold for move in task.scenario.bench.programme] == pytest.approx([1.0, 1.1, 1.3])
    assert (task.scenario.gauge.sweep, task.scenario.gauge.rate) == pytest.approx((4.0, 100.0))
    assert task.air == "kept"
    short = shortened_task(nominal(gauge={"sweep": "3 s", "rate": "40 Hz"}), ())
    assert (short.scenario.gauge.sweep, short.scenario.gauge.rate) == pytest.approx((3.0, 40.0))
    quick = nominal()
    quick.servo.legs[0].arrival = 0.05  # then 0.9 s is the least
    assert shortened_task(quick, ()).scenario.bench.programme[0].hold == pytest.approx(3.0 - 5 * 0.4)
    assert shortened_task(quick, ()).scenario.bench.programme[2].hold == pytest.approx(1.7 - 2 * 0.4)
    slow = nominal()
    slow.servo.legs = []  # nothing arrived: half a second is taken
    assert shortened_task(slow, ()).scenario.bench.programme[0].hold == pytest.approx(3.0 - 4 * 0.4)
    tied = nominal()  # a course of rotor speed goes by the same clock: the programme stays
    bench = tied.scenario.bench.model_copy(update={"spin": (object(),)})
    tied.scenario = tied.scenario.model_copy(update={"bench": bench})
    assert [move.hold for move in shortened_task(tied, ()).scenario.bench.programme] == [3.0, 1.1, 1.7]


def test_air_is_kept_solved_anew_or_read_off_a_family(nominal, monkeypatch):
    families = []
    monkeypatch.setattr(spread_samples, "air_family", lambda _, reach: families.append(reach) or "family")

    def air(*keys):
        return shortened_task(nominal(), tuple(Input(key, 0.75, 1.25, "ratio") for key in keys)).air

    assert air("linkage.horn_arm", "rotor.speed", "blade.bolt_radius", "blade.drag_moment") == "kept"
    for key in ("air.density", "blade.chord", "rotor.pitch_range", "blade.tip"):
        assert air("linkage.horn_arm", key) is None
        assert air("blade.axis_at", key) is None
    assert air("linkage.horn_arm", "blade.axis_at") == "family"
    assert air("doubt.air_stall", "doubt.profile_drag") == "family"
    assert families == [0.0, 0.25]


# -- doubts ----------------------------------------------------------------------------------------------

DOUBT = {
    "air_stall": "1.5 deg", "air_moment": 0.2, "profile_drag": 0.3, "bearing_coefficient": 2, "axis_at": 0.01,
    "blade_stuck": 0.1,
}  # fmt: skip


def keys_of(scenario):
    return {one.key.removeprefix("doubt.") for one in doubted(scenario)}


def test_what_is_stated_better_is_not_doubted(scenario_of):
    every = {"air_stall", "air_moment", "profile_drag", BEARING.removeprefix("doubt."), "axis_at"}
    assert keys_of(scenario_of(doubt=DOUBT)) == every
    for change, gone in (
        ({"blade": {"axis_at": "0.39 +/- 0.005"}}, "axis_at"),
        ({"bearing": {"coefficient": "0.0015 +/- 0.0002"}}, BEARING.removeprefix("doubt.")),
        ({"doubt": {**DOUBT, "air_moment": 0}}, "air_moment"),
        ({"doubt": {**DOUBT, "bearing_coefficient": 1}}, BEARING.removeprefix("doubt.")),
    ):
        assert keys_of(scenario_of(**{"doubt": DOUBT, **change})) == every - {gone}


def test_a_doubt_is_laid_on_by_hand(scenario_of):
    scenario = scenario_of(doubt=DOUBT, scale={"air_moment": 1.2})
    assert with_doubt(scenario, BEARING, 1.5).bearing.coefficient == pytest.approx(0.00225)
    assert with_doubt(scenario, "doubt.air_moment", 0.1).scale.air_moment == pytest.approx(1.32)
    assert with_doubt(scenario, "doubt.axis_at", -0.01).blade.axis_at == pytest.approx(0.38)
    assert with_doubt(scenario, "doubt.air_stall", 0.02).departure.air_stall == 0.02
    assert with_doubt(scenario, "doubt.profile_drag", 0.1).departure.profile_drag == 0.1


# -- findings, matches, notes ----------------------------------------------------------------------------


def test_a_value_is_a_number_or_refused():
    run = SimpleNamespace(
        findings={name: SimpleNamespace(value=v) for name, v in (("a", 2.5), ("b", "text"), ("c", None))}
    )
    assert Run.value(run, "a") == 2.5
    for name in ("b", "c"):
        with pytest.raises(ValueError, match="not a number"):
            Run.value(run, name)
    with pytest.raises(KeyError):
        Run.value(run, "d")


@pytest.mark.parametrize(
    ("samples", "spread"), [((), 0.0), ((9.0,), 0.0), ((9.0, 11.0), sqrt(2.0)), ((9.0, "x", None), 0.0)]
)
def test_what_a_simulated_reading_may_be_off_by(scenario_of, samples, spread):
    """Scatter of the samples and a third of the square of what a finer run changes, beside the reading's own 0.2 N."""
    scenario = scenario_of(gauge={"resolution": "0 N"})
    reading = Reading("gauge_push", "force", 10.0, 0.4, 0.0, 1, None)
    model = SimpleNamespace(data=SimpleNamespace(readings={"gauge_push": reading}), scenario=scenario)
    run, finer = (SimpleNamespace(spots={"gauge_push": value}) for value in (10.5, 10.2))
    found = match._matched(
        model, "gauge_push", run, finer, [{"gauge_push": value} for value in samples], None
    )
    assert found.u_simulated == pytest.approx(sqrt(spread**2 + 0.03))
    assert found.u_measured == pytest.approx(0.2)
    assert found.verdict == "agrees"
    lost = match._matched(model, "gauge_push", SimpleNamespace(spots={}), finer, [], None)
    assert lost.verdict == "not given by the run"


@pytest.mark.parametrize(
    ("simulated", "measured", "words"),
    [
        (10.0, 9.0, "simulated too large: 2.0"),
        (-9.0, -10.0, "simulated too small: 2.0"),
        (10.0, 9.51, "agrees"),
    ],
)
def test_a_miss_says_which_way_and_by_how_much(simulated, measured, words):
    """E_n = difference over twice the root of 0.15^2 + 0.2^2: 1 over 0.5 is 2."""
    assert match._judged("a", "force", simulated, measured, 0.15, 0.2).verdict.startswith(words)


@pytest.mark.parametrize(
    ("names", "tests"),
    [
        (("gauge_push", "rotor_speed"), {"gauge"}), (("meter_hold",), {"servo"}), (("release",), {"release", "gauge"}),
        (("arrival_low", "rod_force_loop"), {"servo", "gauge"}), (("rotor_speed",), set()),
    ],
)  # fmt: skip
def test_a_reading_asks_for_the_test_that_it_was_read_in(scenario_of, monkeypatch, names, tests):
    monkeypatch.setattr(fitting_model, "build_air", lambda _: None)
    monkeypatch.setattr(fitting_model.BenchModel, "at", lambda *_: None)
    monkeypatch.setattr(fitting_model, "aligned", lambda model, _: model)
    monkeypatch.setattr(fitting_model, "_out_of_step", lambda *_: [])
    monkeypatch.setattr(fitting_model, "as_run", lambda scenario, _: (scenario, []))
    data = BenchData(dict.fromkeys(names, SimpleNamespace(pitch=None, speed=None)), (), {}, ())
    scenario = scenario_of(gauge={"resolution": "0.1 N"}, meter={"resolution": "0.1 A"})
    for smooth, step in ((True, 0.0), (False, 0.1)):
        model, _ = fitting_model.bench_model(scenario, data, smooth=smooth)
        assert model.tests == tests
        assert (model.scenario.gauge.resolution, model.scenario.meter.resolution) == (step, step)


def test_a_side_never_gone_to_is_said(setup_of):
    setup = setup_of()
    weak = SimpleNamespace(servo_torque=np.array([0.0, 9.0, 0.0]), pitch=np.radians([0.0, -7.3, 12.0]))
    strong = SimpleNamespace(servo_torque=np.zeros(3), pitch=weak.pitch)
    still = SimpleNamespace(legs=[])
    assert servo_notes(setup, strong, still, (object(), object())) == ()
    (note,) = servo_notes(setup, strong, still, (object(), None))
    assert note.startswith("the bench programme never goes to the low end")
    (note,) = servo_notes(setup, strong, still, (None, object()))
    assert note.startswith("the bench programme never goes to the high end")
    (note,) = servo_notes(setup, weak, still, (object(), object()))
    assert note.startswith("starting from rest beyond 7.3 deg of pitch")


def test_a_weighed_weight_keeps_its_metal_when_its_size_changes(scenario_of):
    """2 g of 6 mm: 3 g of 9 mm; what was not weighed, or has not changed, is left alone."""
    turned = {
        "group": "counterweight",
        "shape": "cylinder",
        "axis": "normal",
        "diameter": "5 mm",
        "length": "6 mm",
    }
    place = {"radius": "30 mm", "normal": "11 mm"}
    explored = Exploration.__new__(Exploration)
    explored.system = "metric"
    explored._varied = scenario_of(part={
        "one": {**turned, "mass": "2 g", "at": place},
        "two": {**turned, "material": "brass", "at": {**place, "normal": "-11 mm"}},
    })  # fmt: skip
    longer = {f"part.{name}.length": explored._typed(9e-3, "length") for name in ("one", "two")}
    (found,) = explored._masses(longer).items()
    assert found[0] == "part.one.mass"
    assert found[1].value == pytest.approx(3e-3)
    assert explored._masses({}) == {}


def test_the_limits_asked_for_are_the_ones_judged_by(monkeypatch):
    monkeypatch.setattr(wag, "build_setup", lambda scenario: scenario)
    monkeypatch.setattr(
        wag, "wag_of", lambda _, **how: tuple(how[key] for key in ("seed", "seconds", "limits", "draws"))
    )
    own = wag.Limits(0.1, 0.2)
    assert wag.wag(None, seed=3, seconds=4.0, limits=own, draws=5) == (3, 4.0, own, 5)
    assert wag.wag(None) == (0, wag.SECONDS, wag.Limits(), 12)


def test_a_point_of_a_sweep_by_hand(setup_of, monkeypatch):
    """Force with its friction at its largest, the worse of both peaks, holds and releases, and the wag."""
    setup = setup_of()
    ready = SimpleNamespace(trim=SimpleNamespace(pitch=radians(-12.0), rod_force=1.5))
    curves = SimpleNamespace(rod_force=np.array([-6.0, 1.0, 5.0]), rod_friction=np.array([0.5, 0.5, 2.0]))
    asked = []
    legs = [SimpleNamespace(peak=p, drawn=h) for p, h in ((0.3, 0.02), (0.2, 0.05), (0.9, 0.04))]
    verdicts = iter([bias.FROM_GOOD_TO_BAD[1], bias.FROM_GOOD_TO_BAD[0]])
    free_play = SimpleNamespace(
        window_near=lambda _: (-0.1, 0.2), least_seat_ratio=lambda low, high: high - low
    )
    fakes = {
        "flight_setup": lambda _: ready,
        "static_curves": lambda *_, **__: curves,
        "free_play_curves": lambda *_: free_play,
        "run_legs": lambda _, moves: asked.extend(moves) or legs,
        "run_release": lambda *_: SimpleNamespace(verdict=next(verdicts)),
        "floating_turn": lambda _, seats, way: {1: 0.7, -1: 0.4}[way] if seats is free_play else 0.0,
    }
    for name, fake in fakes.items():
        monkeypatch.setattr(bias, name, fake)
    ready.setup = setup
    flown = tuple(
        DrawnWag(wag, tight, 2.0, 0.02, 0.05) for wag, tight in ((0.03, 0.01), (0.01, 0.001), (0.04, 0.03))
    )
    point = bias.read_point(setup, 0.9, 0.1, flown, 0.02)
    assert [move.go for move in asked] == pytest.approx([1.0, -1.0, -0.5])
    assert {(move.hold, move.over) for move in asked} == {(bias.HOLD, 0.0)}
    assert (point.compensation, point.phase, point.rod_force) == (0.9, 0.1, 7.0)
    assert (point.rod_force_low, point.rod_force_high, point.rod_force_hover) == (-6.0, 5.0, 1.5)
    assert (point.current_peak, point.current_hold, point.current_hover) == (0.3, 0.05, 0.04)
    assert (point.release, point.float_low, point.float_high) == ("stays", -0.1, 0.2)
    assert point.seat_ratio == pytest.approx(radians(6.0))
    assert (point.turn_with, point.turn_against) == (0.7, 0.4)
    assert point.wag_heading == 0.03  # the middle one
    assert point.shows == (
        True,
        False,
        False,
    )  # seen and three times; not seen; seen, and so it is without play
    assert (point.shown.hits, point.shown.of, str(point.shown)) == (1, 3, "1 of 3")
    assert point.charge_flown == pytest.approx(0.02 * 300.0)
    # 0.05 W on 50 K/W: 2.5 K, and a hundredth of that more, as the winding grows warmer
    assert point.winding_flown == pytest.approx(293.15 + 2.5 / (1.0 - 0.00393 * 2.5))


@pytest.mark.parametrize(
    ("low", "high", "tied"), [(-0.1, 0.3, True), (0.0, 0.3, True), (0.1, 0.3, False), (-0.3, -0.1, False)]
)
def test_two_builds_are_tied_where_their_difference_may_be_nothing(monkeypatch, low, high, tied):
    """The larger force of each: 6 N and 7 N as written, so 1 N apart; a sample in which they are 5.5 and 7 N is 0.5 N
    further apart than the shorter runs' 5 and 6 N.
    """
    one, two = sampled.FORCES[:2]
    laid = []
    monkeypatch.setattr(
        sampled,
        "shifted_intervals",
        lambda *given: laid.append(given) or {"force": SimpleNamespace(low=low, high=high)},
    )
    runs = tuple(SimpleNamespace(value=forces.get) for forces in ({one: 6.0, two: 2.0}, {one: 3.0, two: 7.0}))
    away = (
        SimpleNamespace(base={one: 5.0, two: 1.0}, findings={3: {one: 0.5, two: 0.0}, 4: {}}),
        SimpleNamespace(base={one: 2.0, two: 6.0}, findings={3: {one: 0.0, two: 1.0}}),
    )
    assert sampled._tied(runs, away, ("points", "inputs")) is tied
    assert laid == [({"force": 1.0}, {"force": 1.0}, {3: {"force": pytest.approx(0.5)}}, "points", "inputs")]
    assert (
        sampled._tied(runs, (away[0], SimpleNamespace(base={}, findings={})), ("points", "inputs")) is False
    )
