"""Data that a fit did not see, predicted from it."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from featherbench.fitting.data import Channel, reading_uncertainty
from featherbench.fitting.fit import Fitted, values_of
from featherbench.fitting.match import normalised_error
from featherbench.fitting.model import BenchModel, as_logged
from featherbench.studies.engines import Sent
from featherbench.studies.ensemble import run_many

Vector = NDArray[np.float64]
STEP = 0.5
"""Of the derivatives, in standard deviations after the fit."""


@dataclass(frozen=True)
class Predicted:
    """Data that was kept aside, SI, standard uncertainties (of a log's column: of its mean error, with rms beside)."""

    name: str
    kind: str
    simulated: float
    measured: float
    u_simulated: float
    u_measured: float
    e_n: float


def predicted_aside(
    model: BenchModel,
    best: Fitted,
    later: tuple[str, ...],
    logged: tuple[Channel, ...],
    executor: Executor | None = None,
) -> tuple[Predicted, ...]:
    """Readings `later` and what of the logs was kept aside, predicted at the best values; u_simulated from the
    covariance of unknowns and nuisances."""
    channels = [channel for channel in logged if channel.aside.any()]
    if not later and not channels:
        return ()
    keys = tuple(parameter.key for parameter in best.parameters)
    spread = np.sqrt(np.diag(best.whole))
    places = [
        best.places,
        *(best.places + STEP * spread * (np.arange(len(keys)) == k) for k in range(len(keys))),
    ]
    read = partial(_read, model, keys, later, tuple(channels))
    values = [values_of(best.parameters, place) for place in places]
    done = run_many(read if executor is None else Sent.of(read), values, executor=executor)
    if done.interrupted:
        raise KeyboardInterrupt
    base = done.results[0]
    slopes = np.array(
        [(done.results[k + 1] - base) / STEP for k in range(len(keys))]
    )  # per standard deviation
    hang = best.whole / np.outer(spread, spread)
    u_simulated = np.sqrt(np.einsum("ki,kl,li->i", slopes, hang, slopes))
    found = []
    for name in later:
        reading = model.data.readings[name]
        found.append(
            (name, reading.kind, float(reading.value), reading_uncertainty(reading, model.scenario_of(name)))
        )
    for channel in channels:
        rows = model.data.logs[channel.log].columns[channel.role][channel.aside]
        effective = max(1.0, float(channel.aside.sum()) / channel.autocorrelation_time)
        doubt = sqrt(channel.offset**2 + channel.noise**2 / effective)
        found.append((f"mean of {channel.name}, kept aside", channel.kind, float(np.nanmean(rows)), doubt))
    return tuple(
        Predicted(name, kind, float(s), m, float(us), um, normalised_error(float(s), m, float(us), um))
        for (name, kind, m, um), s, us in zip(found, base, u_simulated, strict=True)
    )


def _read(
    model: BenchModel,
    keys: tuple[str, ...],
    later: tuple[str, ...],
    channels: tuple[Channel, ...],
    values: Vector,
) -> Vector:
    """Readings `later` and means of what was kept aside of the logs, at values of the parameters, SI."""
    one = model.at(keys, tuple(values.tolist()))
    spots = [float(one.spots[name] or 0.0) for name in later]
    means = [float(np.nanmean(as_logged(model, one, c.log, c.role)[c.aside])) for c in channels]
    return np.array([*spots, *means])
