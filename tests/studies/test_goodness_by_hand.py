"""How well a fit of logs is said to fit: per sample that stands for itself, not per row."""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.readings import BenchData
from featherbench.scenario import Problem, ScenarioError, read
from featherbench.studies import calibrate as study
from featherbench.studies.fitting import Fitted
from featherbench.studies.fitting_data import Channel

PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
LOG = SimpleNamespace(columns={"rod_force": np.zeros(40)}, time=np.arange(40.0), said=())
ROWS = np.ones(40, dtype=bool)
CHANNEL = Channel(0, "rod_force", "force", 0.1, 0.1, 1.0, ROWS, ~ROWS)


@pytest.mark.parametrize("apart", [1.0, 4.0, 8.0])
def test_samples_that_hang_together_count_for_fewer(monkeypatch, apart):
    """Forty rows and two of the zero, each off by 2: 168 in all, over 40 samples, 10 or 5 of their own."""
    model = SimpleNamespace(at=lambda *_: SimpleNamespace(spots={}), scenario=None, data=None)
    told = []

    def fit(residuals, found, **_):
        told.append(len(residuals(np.ones(1))))
        start, one = np.array([own.start for own in found]), np.eye(1)
        return Fitted(found, start, start, start, one, one, one, (True,), (), 1, False)

    fakes = {
        "bench_model": lambda *_, **__: (model, []),
        "channels": lambda *_, **__: (CHANNEL,),
        "channel_residuals": lambda *_: np.full(42, 2.0),
        "aligned": lambda own, _: own,
        "reweighted": lambda *_: Channel(0, "rod_force", "force", 0.1, 0.1, apart, ROWS, ~ROWS),
        "unstated": lambda *_: [],
        "fit": fit,
    }
    for name, fake in fakes.items():
        monkeypatch.setattr(study, name, fake)
    done = study.calibrate(read(PLAIN), BenchData({}, (LOG,), {}, ()), ("linkage.slider_friction",))
    assert done.after == pytest.approx(168.0 / (40.0 / apart))
    assert done.before == done.after
    assert told == [42, 42]


def test_a_build_that_cannot_be_has_as_many_residuals_as_one_that_can(monkeypatch):
    """The solver asks for values at which the model is refused, too: each residual is far off, none is missing."""
    refused = [False]

    def at(*_):
        if refused[0]:
            raise ScenarioError([Problem("a", None, "b", "c", "d")])
        return ()

    monkeypatch.setattr(
        study, "channel_residuals", lambda _m, _s, channel: np.zeros(int(channel.kept.sum()) + 2)
    )
    monkeypatch.setattr(study, "spot_residuals", lambda _m, _s, names: np.zeros(len(names)))
    residuals = study._residuals(SimpleNamespace(at=at), ("k",), ("one", "two", "three"), (CHANNEL, CHANNEL))
    fine = residuals(np.ones(1))
    refused[0] = True
    far = residuals(np.ones(1))
    assert fine.shape == far.shape == (87,)
    assert np.all(far == study.FAR)
