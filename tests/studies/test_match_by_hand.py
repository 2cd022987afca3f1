"""What a match says of one quantity by hand: doubt, verdicts, what is varied; what a calibration keeps aside."""

from dataclasses import replace
from math import sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import calibrate as calibrating
from featherbench.fitting import kept_aside
from featherbench.fitting.calibrate import _split_spots, calibrate, usual_free
from featherbench.fitting.data import Channel
from featherbench.fitting.fit import Fitted
from featherbench.fitting.kept_aside import predicted_aside
from featherbench.fitting.match import _judged, _matched, _verdict, match
from featherbench.fitting.match_samples import _inputs
from featherbench.fitting.model import BenchModel, bench_model
from featherbench.fitting.unknowns import Unknown


def spot(name, value, kind="force", uncertainty=None):
    return Reading(name, kind, value, uncertainty, 0.0, 1, None)


def data_of(*readings):
    return BenchData({one.name: one for one in readings}, (), {}, ())


@pytest.fixture(scope="module")
def rig(scenario_of):
    return scenario_of(gauge={"uncertainty": "0.2 N"}, part={"blade": {"mass": "5.6 +/- 0.1 g"}})


def test_doubt_of_tolerances_and_of_the_time_step_add_up_by_squares(rig):
    """Samples 4.9, 5.0, 5.1 scatter by 0.1 N; 5.3 at half the step is 0.3 / sqrt 3 = 0.173 off: 0.2 N together."""
    model = SimpleNamespace(data=data_of(spot("gauge_push", 5.5, uncertainty=0.3)), scenario=rig)
    written, finer = (SimpleNamespace(spots={"gauge_push": value}) for value in (5.0, 5.3))
    samples = [{"gauge_push": value} for value in (4.9, 5.0, 5.1)]
    found = _matched(model, "gauge_push", written, finer, samples, None)
    assert found.u_simulated == pytest.approx(0.2, rel=1e-3)
    assert found.u_measured == pytest.approx(0.15, rel=1e-3)
    assert found.u_validation == pytest.approx(0.25, rel=1e-3)
    assert found.e_n == pytest.approx(-0.5 / (2.0 * 0.25), rel=1e-3)  # at the edge of what both allow
    alone = _matched(model, "gauge_push", written, written, [], None)
    assert alone.u_simulated == 0.0
    assert alone.verdict == "simulated too small: 1.7 times what both allow"


def test_the_finer_run_is_made_at_half_the_step(rig, monkeypatch):
    asked = []
    own = BenchModel.at

    def spy(self, keys, values, *, step_share=1.0):
        asked.append(step_share)
        return own(self, keys, values)

    monkeypatch.setattr(BenchModel, "at", spy)
    match(rig, data_of(spot("gauge_push", 5.0)), runs=2)
    assert sorted(set(asked)) == [0.5, 1.0]


def test_larger_and_smaller_go_by_size_whichever_the_sign():
    assert "too large" in _judged("a", "force", 9.0, 5.0, 0.1, 0.1).verdict
    assert "too small" in _judged("a", "force", 3.0, 5.0, 0.1, 0.1).verdict
    assert "too large" in _judged("a", "force", -9.0, -5.0, 0.1, 0.1).verdict


def test_the_verdict_names_the_furthest_off():
    made = [
        _judged(name, "force", value, 5.0, 0.1, 0.1)
        for name, value in (("gauge_push", 5.1), ("gauge_pull", 6.0), ("rod_force_loop", 2.0))
    ]
    said = _verdict(made, [])
    assert said.startswith("1 of 3 quantities agree")
    assert f"E_n {made[2].e_n:+.1f}" in said
    assert made[2].e_n == pytest.approx(-3.0 / (2.0 * sqrt(0.02)), rel=1e-6)


def test_a_speed_that_was_read_varies_by_its_reading(rig):
    """90 rpm at 95 % is 45 rpm of standard uncertainty, a rectangle of half-width 45 sqrt 3; unstated: 0.5 %."""
    rpm = np.pi / 30.0
    for uncertainty, sigma in ((90.0 * rpm, 45.0), (None, 45.0)):
        data = data_of(spot("rotor_speed", 9000.0 * rpm, "rotation", uncertainty))
        (own,) = [one for one in _inputs(rig, data) if one.key == "rotor.speed"]
        assert own.half_width / rpm == pytest.approx(sigma * sqrt(3.0), rel=1e-6)
    assert not any(one.key == "rotor.speed" for one in _inputs(rig, data_of(spot("gauge_push", 5.0))))


# -- what is kept aside of a calibration -----------------------------------------------------------------


def test_every_fourth_reading_is_kept_aside_when_enough_are_left():
    names = [f"reading_{number}" for number in range(9)]
    data = data_of(
        *(spot(name, 1.0) for name in names), spot("release", "returns", "text"), spot("rotor_speed", 900.0)
    )
    fitted, later = _split_spots(data, 2, True)
    assert later == ("reading_3", "reading_7")
    assert fitted == (
        "reading_0",
        "reading_1",
        "reading_2",
        "reading_4",
        "reading_5",
        "reading_6",
        "reading_8",
    )
    assert _split_spots(data, 2, False) == (tuple(names), ())
    assert _split_spots(data, 8, True) == (tuple(names), ())


def test_what_is_freed_goes_by_what_was_read():
    force, current = (
        ("scale.inertia", "linkage.slider_friction"),
        ("servo.gear_friction", "servo.stall_current"),
    )
    assert usual_free(data_of(spot("gauge_push", 5.0))) == force
    assert usual_free(data_of(spot("meter_hold", 0.3, "current"))) == current
    assert usual_free(data_of(spot("gauge_push", 5.0), spot("meter_hold", 0.3, "current"))) == force + current


def fitted_to(values, covariance):
    unknowns = tuple(Unknown(f"u{n}", "ratio", 1.0, 1.0, -9.0, 9.0, "") for n in range(len(values)))
    none = np.zeros((0, len(values)))
    return Fitted(
        unknowns, np.array(values), none, none, np.array(covariance), none, none, (True,), (), 1, False
    )


def test_doubt_of_a_prediction_by_hand(rig):
    """2 x - 3 y with variances 0.04 and 0.09 and covariance 0.05: 4 x 0.04 + 9 x 0.09 - 12 x 0.05 = 0.37."""
    law = lambda x, y: SimpleNamespace(spots={"gauge_push": 2.0 * x - 3.0 * y})  # noqa: E731
    model = SimpleNamespace(
        at=lambda _keys, values: law(*values),
        data=data_of(spot("gauge_push", 5.0, uncertainty=0.4)),
        scenario_of=lambda _: rig,
    )
    best = fitted_to((4.0, 1.0), [[0.04, 0.05], [0.05, 0.09]])
    (found,) = predicted_aside(model, best, ("gauge_push",), ())
    assert found.simulated == pytest.approx(5.0)
    assert found.u_simulated == pytest.approx(sqrt(0.37), rel=1e-9)
    assert found.u_measured == pytest.approx(0.2, rel=1e-9)
    assert found.e_n == 0.0


def test_a_mean_of_a_log_is_as_sure_as_its_effective_samples(rig, monkeypatch):
    """400 samples of 0.1 N that count for 16 each: 0.1 / sqrt(25) = 0.02 N, beside 0.05 N of the gauge's zero."""
    aside = np.ones(400, dtype=bool)
    channel = Channel(0, "rod_force", "force", 0.1, 0.05, 16.0, ~aside, aside)
    monkeypatch.setattr(kept_aside, "as_logged", lambda _model, one, _log, _role: np.full(400, one.force))
    log = SimpleNamespace(columns={"rod_force": np.full(400, 3.5)})
    model = SimpleNamespace(
        at=lambda _keys, values: SimpleNamespace(force=3.0 * values[0]),
        data=SimpleNamespace(logs=(log,)),
        scenario=rig,
    )
    (found,) = predicted_aside(model, fitted_to((1.0,), [[0.01]]), (), (channel,))
    assert found.u_measured == pytest.approx(sqrt(0.02**2 + 0.05**2), rel=1e-9)
    assert found.u_simulated == pytest.approx(0.3, rel=1e-9)
    assert (found.simulated, found.measured) == (3.0, 3.5)


def test_goodness_of_fit_is_per_reading(rig, monkeypatch):
    """Two readings, each two of its own standard uncertainties off: sum of squares over their number is 4."""
    names = ("rod_force_breakout", "rod_force_loop")
    model, _ = bench_model(rig, data_of(*(spot(name, 1.0) for name in names)), smooth=True)
    there = model.at((), ()).spots
    off = [spot(name, float(there[name]) + 0.2, uncertainty=0.2) for name in names]
    stay = replace(fitted_to((1.0,), [[1.0]]), values=np.array([1.0]))
    monkeypatch.setattr(calibrating, "fit", lambda _residuals, found, **_more: replace(stay, unknowns=found))
    done = calibrate(rig, data_of(*off), ("scale.inertia",), keep_aside=False)
    assert done.before == pytest.approx(4.0, rel=1e-6)
    assert done.after == pytest.approx(4.0, rel=1e-6)
