"""What the solver of a fit of logs is given where the model cannot be built."""

from types import SimpleNamespace

import numpy as np

from featherbench.fitting import calibrate as study
from featherbench.fitting.data import Channel
from featherbench.scenario import Problem, ScenarioError

ROWS = np.ones(40, dtype=bool)
CHANNEL = Channel(0, "rod_force", "force", 0.1, 0.1, 1.0, ROWS, ~ROWS)


def test_a_build_that_cannot_be_has_as_many_residuals_as_one_that_can(monkeypatch):
    """The solver asks for values at which the model is refused, too: each residual is far off, none is missing."""
    refused = [False]

    def at(*_, verdicts):
        assert not verdicts  # no fit of numbers asks for them
        if refused[0]:
            raise ScenarioError([Problem("a", None, "b", "c", "d")])
        return ()

    monkeypatch.setattr(
        study, "channel_residuals", lambda _m, _s, channel: np.zeros(int(channel.kept.sum()) + 2)
    )
    monkeypatch.setattr(study, "spot_residuals", lambda _m, _s, names: np.zeros(len(names)))
    monkeypatch.setattr(study, "spot_count", lambda _, names: len(names))
    residuals = study.Residuals.of(
        SimpleNamespace(at=at), (SimpleNamespace(key="k"),), ("one", "two", "three"), (CHANNEL, CHANNEL)
    )
    fine = residuals(np.ones(1))
    refused[0] = True
    far = residuals(np.ones(1))
    assert fine.shape == far.shape == (87,)
    assert np.all(far == study.FAR)
