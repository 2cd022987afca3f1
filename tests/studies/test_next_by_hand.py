"""What to measure next, by hand: information of the data, of what is known beforehand and of the candidate add up."""

from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest

from featherbench.assembly import moments_by_group
from featherbench.bench.readings import read_bench_data
from featherbench.bench.setup import build_setup
from featherbench.fitting import next_measurement as study
from featherbench.fitting.calibrate import Calibration
from featherbench.fitting.fit import Fitted
from featherbench.fitting.model import bench_model
from featherbench.fitting.unknowns import unknowns
from featherbench.scenario import read

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"


@pytest.fixture(scope="module")
def fitted():
    """As if data with slopes 3 and 0.5 in prior deviations had been fitted, each unknown for itself."""
    plain = read(ROOT / "plain.toml")
    data = read_bench_data([ROOT / "bench" / "plain-readings.toml"], plain)
    found = unknowns(plain, ("scale.inertia", "servo.gear_play"))
    start, size, jacobian = np.array([one.start for one in found]), np.ones(2), np.diag([3.0, 0.5])
    best = Fitted(found, start, start, start, np.linalg.inv(jacobian.T @ jacobian + np.eye(2)), jacobian, 0.0 * size,
                  (True, False), (), 1, False)  # fmt: skip
    return Calibration(plain, data, bench_model(plain, data, smooth=True)[0], best, (), (), 1.0, 1.0, (), ())


@pytest.fixture
def only(monkeypatch):
    """Leaves some candidates, so that the others need not be run."""
    every = study._candidates

    def leave(*names):
        monkeypatch.setattr(
            study, "_candidates", lambda *given: [one for one in every(*given) if one.name in names]
        )

    return leave


def test_a_swing_of_the_blade_adds_its_own_information(fitted, only):
    """I_c read to 1 % is scale.inertia to 1 % over the share of blade and grip in it: 1/u^2 more
    on top of 1/s^2. Before: 5 % of prior and nine times that.
    """
    only("blade swing")
    advice = study.next_measurement(fitted, "scale.inertia")
    (one,) = advice.ranked
    value, before = fitted.fitted.values[0], fitted.fitted.deviations[0]
    assert advice.value == pytest.approx(value)
    assert advice.before == pytest.approx(before, rel=1e-6)
    setup = build_setup(fitted.model.scenario)
    groups = moments_by_group(setup.assembly, setup.lead_lag)
    whole = sum(one.chordwise for one in groups.values())
    swing = 0.01 * value * whole / (groups["blade"].chordwise + groups["grip"].chordwise)
    assert before == pytest.approx(0.05 / sqrt(10.0))
    assert one.after == pytest.approx(1.0 / sqrt(1.0 / before**2 + 1.0 / swing**2), rel=1e-4)
    assert one.share == pytest.approx(one.after / advice.before)


def test_a_play_read_with_an_indicator_is_known_as_well_as_that(fitted, only):
    only("gear play", "blade swing")
    advice = study.next_measurement(fitted, "servo.gear_play")
    assert [one.name for one in advice.ranked] == ["gear play", "blade swing"]
    before, play = fitted.fitted.deviations[1], np.deg2rad(0.03)
    assert advice.ranked[0].after == pytest.approx(1.0 / sqrt(1.0 / before**2 + 1.0 / play**2), rel=1e-4)
    assert advice.ranked[1].share == pytest.approx(1.0, abs=1e-9)


def test_candidates_are_read_as_well_as_the_instruments_state(fitted):
    """Gauge 0.15 N and meter 0.02 A, both at 95 %: 0.075 N and 0.010 A; five repeats of the gauge 0.075 / sqrt 5."""
    found = {one.name: one.uncertainty for one in study._candidates(fitted.model.scenario, fitted)}
    assert found["gauge repeats"] == pytest.approx(0.075 / sqrt(5.0))
    for name in ("gauge loop", "gauge at another speed", "gauge with the rotor slow"):
        assert found[name] == pytest.approx(0.075), name
    for name in ("servo test", "servo test with another arm"):
        assert found[name] == pytest.approx(0.010), name


def test_a_verdict_tells_most_where_it_could_go_either_way(monkeypatch):
    """At the threshold a yes or no with scatter s has the information phi(0)^2 / (1/4) / s^2 = (2/pi) / s^2."""
    for margin, doubt in ((0.0, sqrt(pi / 2.0)), (1.0, 1.5108), (3.0, 8.28)):
        monkeypatch.setattr(study, "_margin", lambda _base, margin=margin: margin * 0.1)
        assert study._release_doubt(None, 1.0) == pytest.approx(0.1 * doubt, rel=0.01)
