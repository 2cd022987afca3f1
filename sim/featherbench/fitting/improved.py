"""Which parameters bench data improved, and by how much; which not; and the build as the fit has it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from featherbench.fitting.simulated import with_values
from featherbench.sampling.doubts import PASSING
from featherbench.sampling.fitted_joint import NORMAL_95

if TYPE_CHECKING:
    from featherbench.fitting.calibrate import Calibration
    from featherbench.scenario import Scenario

BETTER = 0.9
"""A parameter whose uncertainty the data brought below this share counts as improved."""
AS_READ = "as it was read"


class Improved(NamedTuple):
    """One parameter: half-widths (95 %) before and after, SI, or factors either way where `factor`; value after, SI."""

    key: str
    kind: str
    value: float
    before: float
    after: float
    share: float
    factor: bool


def improved(done: Calibration) -> tuple[Improved, ...]:
    """What the data improved: the unknowns, and what was fitted along, most first."""
    fitted = done.fitted
    if fitted.interrupted:
        return ()
    shares = np.sqrt(np.diag(fitted.whole))
    found = []
    for parameter, value, share in zip(fitted.parameters, fitted.best.tolist(), shares.tolist(), strict=True):
        if share > BETTER or parameter.why == AS_READ:
            continue
        before, after = (NORMAL_95 * parameter.deviation * part for part in (1.0, share))
        if parameter.factor:
            before, after = float(np.exp(before)), float(np.exp(after))
        found.append(Improved(parameter.key, parameter.kind, value, before, after, share, parameter.factor))
    return tuple(sorted(found, key=lambda one: one.share))


def not_improved(done: Calibration) -> tuple[str, ...]:
    """Keys that were fitted along and are as uncertain as before."""
    better = {one.key for one in improved(done)}
    every = (*done.fitted.parameters, *done.fitted.unfelt)
    return tuple(one.key for one in every if one.key not in better and one.why != AS_READ)


def as_fitted(done: Calibration) -> Scenario:
    """The scenario at the best values, at its own rotor speed, without what passes with each run.

    Raises ScenarioError.
    """
    pairs = [
        (parameter.key, value)
        for parameter, value in zip(done.fitted.parameters, done.fitted.best.tolist(), strict=True)
        if parameter.key not in PASSING and parameter.why != AS_READ
    ]
    return with_values(done.scenario, tuple(key for key, _ in pairs), tuple(value for _, value in pairs))
