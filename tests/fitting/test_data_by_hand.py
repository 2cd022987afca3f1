"""How sure bench data is, and what is left of it, by hand: readings, logs, the error that one gauge has for all."""

from math import hypot, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.logs import Log
from featherbench.bench.own_instruments import Instrument
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import data as own
from featherbench.fitting.data import (
    Channel,
    channel_residuals,
    channels,
    instrument,
    reading_uncertainty,
    reweighted,
    scatter_by_hand,
    spot_count,
    spot_residuals,
    spots_off,
    unstated,
)


def build(gauge=0.2, meter=None, force_noise=None, stiffness=30e3):
    """What states the instruments: a gauge to 0.2 N and steps of 0.05 N, a meter to nothing and steps of 0.01 A."""
    return SimpleNamespace(
        gauge=SimpleNamespace(uncertainty=gauge, resolution=0.05, stiffness=stiffness),
        meter=SimpleNamespace(uncertainty=meter, resolution=0.01),
        log=SimpleNamespace(force_noise=force_noise),
    )


def reading(value, kind="force", uncertainty=None, scatter=0.0, repeats=1, **more):
    return Reading("it", kind, value, uncertainty, scatter, repeats, 1, **more)


def test_what_makes_a_reading_unsure_adds_up_by_squares():
    """Half of what is stated in 95 of 100, the scatter, and the display's step over the root of twelve."""
    step = 0.05 / sqrt(12.0)
    assert reading_uncertainty(reading(5.0), build()) == pytest.approx(hypot(0.1, step))
    assert reading_uncertainty(reading(5.0, uncertainty=0.6, scatter=0.4), build()) == pytest.approx(
        sqrt(0.3**2 + 0.4**2 + step**2)
    )
    # nothing stated: three in a hundred of its size, whichever its sign
    assert reading_uncertainty(reading(-5.0), build(gauge=None)) == pytest.approx(hypot(0.15, step))
    assert reading_uncertainty(reading(2.0, "current"), build()) == pytest.approx(
        hypot(0.06, 0.01 / sqrt(12.0))
    )
    assert reading_uncertainty(reading(2.0, "time"), build()) == pytest.approx(0.06)
    assert reading_uncertainty(reading(2.0, "time", uncertainty=0.1), build()) == pytest.approx(0.05)
    bare = build()
    bare.gauge.resolution = None
    assert reading_uncertainty(reading(5.0), bare) == pytest.approx(0.1)


def test_what_a_file_says_of_its_instrument_goes_before_the_scenario():
    assert instrument("force", None, build()) == Instrument(0.2, 0.05)
    assert instrument("current", None, build(meter=0.02)) == Instrument(0.02, 0.01)
    assert instrument("force", Instrument(0.5, None), build()) == Instrument(0.5, 0.05)
    assert instrument("force", Instrument(None, 0.1), build()) == Instrument(0.2, 0.1)
    fine = reading(5.0, instrument=Instrument(0.02, 0.01))
    assert reading_uncertainty(fine, build()) == pytest.approx(hypot(0.01, 0.01 / sqrt(12.0)))


def test_readings_of_which_nothing_is_known_are_named():
    data = BenchData(
        {
            "push": reading(5.0), "draw": reading(1.0, "current"), "sure": reading(1.0, "current", 0.1),
            "time": reading(0.1, "time"), "timed": reading(0.1, "time", 0.01), "word": reading("stays", "text"),
            "speed": reading(900.0, "rotation"),
        },
        (), {}, (),
    )  # fmt: skip
    assert unstated(data, build()) == ["no uncertainty is stated for draw, time: 3 % is taken"]
    assert unstated(data, build(gauge=None, meter=0.1)) == [
        "no uncertainty is stated for push, time: 3 % is taken"
    ]
    assert unstated(BenchData({"push": reading(5.0)}, (), {}, ()), build()) == []


# -- logs ------------------------------------------------------------------------------------------------

TIME = np.arange(0.0, 4.0, 0.01)


def log(values, role="rod_force", test="servo", **more):
    return Log("own.csv", "", test, TIME, {role: np.asarray(values, dtype=float), **more}, (), ())


def model_of(*logs, scenario=None):
    scenario = scenario or build()
    model = SimpleNamespace(data=SimpleNamespace(logs=logs, readings={}), scenario=scenario)
    model.of_log = lambda number, simulated: (SimpleNamespace(scenario=scenario), simulated, number)
    model.scenario_of = lambda _: scenario
    return model


@pytest.fixture
def simulated_as(monkeypatch):
    """What the simulation has in every column."""

    def put(course):
        monkeypatch.setattr(own, "as_logged", lambda *_: np.asarray(course, dtype=float))

    return put


def test_of_a_log_every_fourth_half_second_is_kept_aside(simulated_as):
    course = np.zeros(400)
    course[:7] = np.nan  # before the simulation begins
    force = np.ones(400)
    force[391:] = np.nan
    simulated_as(course)
    model = model_of(log(force, supply_current=np.full(400, 0.5)))
    whole = {one.role: one for one in channels(model, None)}["rod_force"]
    assert whole.kept.tolist() == [7 <= row < 391 for row in range(400)]
    assert not whole.aside.any()
    roles = {one.role: one for one in channels(model, None, keep_aside=True)}
    parted, current = roles["rod_force"], roles["supply_current"]
    blocks = np.array([150 <= row < 200 or 350 <= row < 400 for row in range(400)])
    assert parted.aside.tolist() == (blocks & whole.kept).tolist()
    assert parted.kept.tolist() == (~blocks & whole.kept).tolist()
    assert (parted.name, parted.kind, parted.autocorrelation_time) == ("rod_force (log 1)", "force", 1.0)
    assert (current.name, current.kind) == ("supply_current (log 1)", "current")


def test_noise_is_what_bends_from_sample_to_sample():
    """Second differences of independent noise have six times its variance; 1.4826 medians are a deviation."""
    noise = np.random.default_rng(3).normal(0.0, 0.08, 400)
    found = own._noise(log(5.0 * np.sin(TIME) + noise), "rod_force", build())
    assert found == pytest.approx(0.08, rel=0.12)
    bends = np.abs(np.diff(noise, n=2))
    assert own._noise(log(noise), "rod_force", build()) == pytest.approx(
        1.4826 * np.median(bends) / sqrt(6.0)
    )
    gaps = noise.copy()
    gaps[::50] = np.nan
    assert own._noise(log(gaps), "rod_force", build()) == pytest.approx(0.08, rel=0.15)


def test_noise_is_no_less_than_the_displays_step_nor_than_any_log_has():
    """Steps of 0.2 N that hardly change: 0.2 / sqrt 12; a still one: 5 mN, a milliampere, a milliradian."""
    coarse = np.where(TIME < 2.0, 1.0, np.where(TIME < 3.0, 1.2, 1.8))
    assert own._noise(log(coarse), "rod_force", build()) == pytest.approx(0.2 / sqrt(12.0))
    still = np.ones(400)
    for role, least in (("rod_force", 5e-3), ("supply_current", 1e-3), ("pitch", 1e-3)):
        assert own._noise(log(still, role), role, build()) == least
    assert own._noise(log(np.full(400, np.nan)), "rod_force", build()) == 5e-3
    stated = build(force_noise=0.3)
    assert own._noise(log(still), "rod_force", stated) == 0.3
    assert own._noise(log(still, "pitch"), "pitch", stated) == 1e-3


def test_a_zero_is_as_sure_as_the_instrument_or_three_in_a_hundred_of_the_largest():
    values = np.linspace(-8.0, 4.0, 400)
    values[5] = np.nan
    assert own._offset(log(values), "rod_force", build()) == pytest.approx(0.1)
    assert own._offset(log(values), "rod_force", build(gauge=None)) == pytest.approx(0.24)
    assert own._offset(log(values, "pitch"), "pitch", build()) == pytest.approx(0.24)


def channel(noise=0.1, offset=0.5, together=1.0, kept=None):
    rows = np.ones(400, dtype=bool) if kept is None else kept
    return Channel(0, "rod_force", "force", noise, offset, together, rows, ~rows)


def test_a_zero_and_a_drift_are_taken_out_as_far_as_the_instrument_allows(simulated_as):
    """0.5 N known to 0.5 N in four hundred rows of 0.1 N: all but a part in (0.5/0.1)^2 x 400 of it. What they had to
    be are the last two residuals, in their own uncertainty.
    """
    simulated_as(np.full(400, 3.0))
    found = channel_residuals(model_of(log(np.full(400, 2.5))), None, channel())
    assert found.shape == (402,)
    part = 1.0 / (1.0 + 400.0 * 25.0)
    assert found[:-2] == pytest.approx(5.0 * part, rel=0.02, abs=2e-6)
    assert found[-2:] == pytest.approx((1.0 - part, 0.0), abs=1e-3)
    found = channel_residuals(model_of(log(3.0 - 0.25 * (2.0 * TIME / TIME[-1] - 1.0))), None, channel())
    assert found[-2:] == pytest.approx((0.0, 0.5), abs=1e-3)
    assert np.abs(found[:-2]).max() < 2e-3


def test_residuals_are_of_the_rows_that_are_kept_in_their_effective_noise(simulated_as):
    """Noise of 0.1 N, sixteen samples of which make one: 0.4 N. With no zero to take out, difference over that."""
    rows = np.arange(400) % 2 == 0
    course = np.where(rows, 1.0 + 0.2 * np.sin(9.0 * TIME), 77.0)
    simulated_as(course)
    found = channel_residuals(model_of(log(np.ones(400))), None, channel(0.1, 1e-9, 16.0, rows))
    assert found.shape == (202,)
    assert found[:-2] == pytest.approx(0.2 * np.sin(9.0 * TIME)[rows] / 0.4, abs=1e-6)


def autoregressive(share, seed=1, size=40_000):
    noise = np.random.default_rng(seed).normal(0.0, 1.0, size)
    found = np.zeros(size)
    for row in range(1, size):
        found[row] = share * found[row - 1] + noise[row]
    return found * sqrt(1.0 - share**2)


@pytest.mark.parametrize(("share", "together"), [(0.0, 1.0), (0.5, 3.0), (0.8, 9.0)])
def test_samples_that_hang_together_count_for_fewer(monkeypatch, share, together):
    """Of x_k = r x_(k-1) + noise the autocorrelation is r^k: 1 + 2 (r + r^2 + ...) = (1 + r) / (1 - r), less what is
    cut off below a twentieth.
    """
    left = autoregressive(share)
    monkeypatch.setattr(own, "channel_residuals", lambda *_: np.append(left, [9.0, 9.0]))
    found = reweighted(None, None, channel(0.1, 0.0, 4.0))
    cut = 2.0 * 0.05 / (1.0 - share) if share else 0.0
    assert found.autocorrelation_time == pytest.approx(together - 0.5 * cut, abs=0.5 * cut + 0.12)
    assert found.noise == pytest.approx(0.2, rel=0.03)  # 0.1 N times the root of four


def test_what_is_left_raises_the_noise_and_never_lowers_it(monkeypatch):
    for size, noise in ((0.5, 0.1), (3.0, 0.3)):
        left = size * np.tile([1.0, -1.0], 100)
        monkeypatch.setattr(own, "channel_residuals", lambda *_, left=left: np.append(left, [9.0, 9.0]))
        found = reweighted(None, None, channel(0.1, 0.0, 1.0))
        assert found.noise == pytest.approx(noise)
        assert found.autocorrelation_time == 1.0  # one against the next
    monkeypatch.setattr(own, "channel_residuals", lambda *_: np.full(42, 2.0))
    assert (
        reweighted(None, None, channel(0.1, 0.0, 1.0)).autocorrelation_time == 1.0
    )  # all alike: nothing to tell


def test_the_hanging_together_of_a_short_log_is_looked_for_over_a_quarter_of_it(monkeypatch):
    """A ramp of 20 samples hangs together at each of the lags 1 to 4; the fifth is not looked at."""
    left = np.arange(20.0)
    monkeypatch.setattr(own, "channel_residuals", lambda *_: np.append(left, [0.0, 0.0]))
    centred = left - 9.5
    shares = [float(centred[:-lag] @ centred[lag:]) / float(centred @ centred) for lag in range(1, 5)]
    assert min(shares) > 0.05
    assert reweighted(None, None, channel()).autocorrelation_time == pytest.approx(1.0 + 2.0 * sum(shares))


# -- readings of one gauge -------------------------------------------------------------------------------


def spots(scenario=None, scatter=1.0, **readings):
    model = model_of(scenario=scenario)
    model.data.readings, model.scatter = readings, scatter
    return model


def found(values, sampling=None):
    return SimpleNamespace(spots=values, sampling=sampling or {})


def test_each_reading_by_itself_is_its_difference_in_its_own_uncertainty():
    """0.3 N in hypot(0.1, 0.05 / sqrt 12, and 0.2 N of sampling over the root of four repeats); what the run does not
    give counts as 10.
    """
    model = spots(push=reading(5.0, repeats=4), lost=reading(5.0), worded=reading(5.0))
    doubt = sqrt(0.1**2 + 0.05**2 / 12.0 + 0.1**2)
    there = found({"push": 5.3, "worded": "stays"}, {"push": 0.2})
    names = ("push", "lost", "worded")
    assert spot_residuals(model, there, names) == pytest.approx([0.3 / doubt, 10.0, 10.0])
    assert spots_off(model, there, names) == pytest.approx([0.3 / doubt, 10.0, 10.0])
    assert spot_count(model, names) == 3
    assert spot_residuals(model, found({"push": 4.7}), ("push",))[0] < 0.0
    assert spots_off(model, found({"push": 4.7}), ("push",))[0] < 0.0


def test_readings_at_pitches_share_the_error_of_their_gauge():
    """Two forces 0.3 N too low each, of a gauge known to 0.1 N: taken out as far as 0.1 N goes with what is left of
    each reading, its display of 0.05 / sqrt 12; what it had to be is one residual more.
    """
    at = {name: reading(5.0, pitch=pitch, rising=True) for name, pitch in (("one", 0.1), ("two", 0.2))}
    model = spots(**at, third=reading(5.0))
    names = ("one", "two", "third")
    there = found({"one": 5.3, "two": 5.3, "third": 5.0})
    step = 0.05 / sqrt(12.0)
    shared = 0.1 / step
    taken = 2.0 * shared * (0.3 / step) / (1.0 + 2.0 * shared**2)
    expected = [0.3 / step - taken * shared] * 2 + [0.0, taken]
    assert spot_residuals(model, there, names) == pytest.approx(expected)
    assert spot_count(model, names) == 4
    # the same sum of squares as a common error that is fitted, and as the whole covariance gives
    covariance = step**2 * np.eye(2) + 0.1**2
    whole = np.full(2, 0.3) @ np.linalg.solve(covariance, np.full(2, 0.3))
    assert float(np.sum(spot_residuals(model, there, names) ** 2)) == pytest.approx(whole)
    assert spots_off(model, there, names)[:2] == pytest.approx([0.3 / hypot(0.1, step)] * 2)


def test_another_gauge_has_an_error_of_its_own():
    other = Instrument(0.6, 0.05)
    model = spots(
        one=reading(5.0, pitch=0.1, rising=True),
        two=reading(5.0, pitch=0.2, rising=True, instrument=other),
        three=reading(5.0, pitch=0.3, rising=True),
    )
    names = ("one", "two", "three")
    residuals = spot_residuals(model, found({"one": 5.3, "two": 5.0, "three": 5.3}), names)
    assert len(residuals) == spot_count(model, names) == 5
    assert residuals[1] == residuals[4] == 0.0
    assert residuals[3] > 2.0
    bare = spots(build(gauge=None), one=reading(5.0, pitch=0.1, rising=True))
    assert spot_count(bare, ("one",)) == 1  # nothing stated: nothing shared
    assert spot_residuals(bare, found({"one": 5.15}), ("one",)) == pytest.approx(
        [0.15 / hypot(0.15, 0.05 / sqrt(12))]
    )


def test_scatter_that_was_found_makes_forces_by_hand_less_sure_and_nothing_else():
    at = reading(5.0, pitch=0.1, rising=True, instrument=Instrument(0.0, 0.05))
    model = spots(scatter=2.0, one=at, push=reading(5.0))
    there = found({"one": 5.3, "push": 5.3})
    once = spots(one=at, push=reading(5.0))
    assert spot_residuals(model, there, ("one", "push"))[:2] == pytest.approx(
        spot_residuals(once, there, ("one", "push"))[:2] * [0.5, 1.0]
    )


def test_a_force_by_hand_is_never_surer_than_the_quietest_log():
    """All of its uncertainty is the gauge's own: 5 mN are left."""
    fine = build()
    fine.gauge.resolution = 0.0
    model = spots(fine, one=reading(5.0, pitch=0.1, rising=True))
    shared = 0.1 / 5e-3
    taken = shared * (0.3 / 5e-3) / (1.0 + shared**2)
    assert spot_residuals(model, found({"one": 5.3}), ("one",)) == pytest.approx(
        [60.0 - taken * shared, taken]
    )


def test_forces_by_hand_scatter_by_what_is_left_over_their_free_number():
    """Six of 2 uncertainties each: 24 over the six less what the fit took up of them, at least a third of six."""
    names = tuple("abcdefx")
    readings = {name: reading(5.0, pitch=0.1 * k, rising=True) for k, name in enumerate("abcdef")}
    model = spots(**readings, x=reading(5.0))
    left = np.array([2.0] * 6 + [50.0])
    slope = np.zeros((7, 1))
    assert scatter_by_hand(model, names, left, slope, np.eye(1)) == pytest.approx(2.0)
    slope[:6] = 0.5  # takes up 6 x 0.25 = 1.5 of them
    assert scatter_by_hand(model, names, left, slope, np.eye(1)) == pytest.approx(sqrt(24.0 / 4.5))
    slope[:6] = 5.0
    assert scatter_by_hand(model, names, left, slope, np.eye(1)) == pytest.approx(sqrt(24.0 / 2.0))
    assert scatter_by_hand(model, names, 0.1 * left, np.zeros((7, 1)), np.eye(1)) == 1.0
    assert (
        scatter_by_hand(model, names[1:], left[1:], np.zeros((6, 1)), np.eye(1)) == 1.0
    )  # five tell nothing
