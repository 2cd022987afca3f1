"""What a fit holds beside its unknowns, but not as exact: tolerances, the model's doubts, figures of a data sheet.

Each is a parameter of the fit with what is known of it beforehand, so that intervals are marginal over them. A
tolerance counts by the standard uncertainty of its rectangle; a doubt by its 95 %; a figure that was typed without a
tolerance by what such figures are usually wrong by (`PRIORS`).
"""

from __future__ import annotations

from dataclasses import replace
from math import log

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.readings import BenchData
from featherbench.fitting.data import SPEED_UNSTATED
from featherbench.fitting.improved import AS_READ
from featherbench.fitting.unknowns import Unknown, listed_unknowns
from featherbench.guide.usual_unknowns import PRIORS
from featherbench.sampling.doubts import OWN_KEYS, STICK
from featherbench.sampling.fitted_joint import NORMAL_95
from featherbench.sampling.inputs import HALF, INSTRUMENTS, Input, varied_inputs
from featherbench.scenario import Scenario

Matrix = NDArray[np.float64]

FURTHEST = 4.0
"""Deviations beyond which a nuisance is not sought."""
SPEED = "rotor.speed"


def nuisances(scenario: Scenario, free: tuple[Unknown, ...]) -> tuple[Unknown, ...]:
    """Everything beside the free keys that is not known exactly."""
    taken = {one.key for one in free} | {STICK}  # the programme says how it was moved
    taken |= {doubt for doubt, own in OWN_KEYS.items() if own in taken}
    found = [
        _of_input(varied)
        for varied in varied_inputs(scenario)
        if varied.key not in INSTRUMENTS and varied.key not in taken
    ]
    taken |= {one.key for one in found}
    found += [
        replace(unknown, why="typed without a tolerance")
        for unknown in listed_unknowns(scenario)
        if unknown.key in PRIORS and unknown.key not in taken and not unknown.key.startswith("scale.")
    ]
    return tuple(found)


def at_bench_speed(unknowns: tuple[Unknown, ...], scenario: Scenario, data: BenchData) -> tuple[Unknown, ...]:
    """The same where the rotor speed was read: known as well as the reading, about what the bench ran at."""
    read = data.readings.get("rotor_speed")
    if read is None and not any("rotor_speed" in log.columns for log in data.logs):
        return unknowns
    speed = float(scenario.rotor.speed)
    half = read.uncertainty if read is not None and read.uncertainty else 2.0 * SPEED_UNSTATED * speed
    own = Unknown(SPEED, "rotation", speed, half / 2.0, 0.9 * speed, 1.1 * speed, AS_READ)
    if scenario.bench.spin:  # the course of the log says it
        return tuple(one for one in unknowns if one.key != SPEED)
    if any(one.key == SPEED for one in unknowns):
        return tuple(own if one.key == SPEED else one for one in unknowns)
    return (*unknowns, own)


def correlation_before(scenario: Scenario, unknowns: tuple[Unknown, ...]) -> Matrix:
    """How the parameters go together beforehand (n, n): as an earlier fit left them, else not at all."""
    whole = np.eye(len(unknowns))
    rows = {varied.key: varied.found.row for varied in varied_inputs(scenario) if varied.found is not None}
    if not rows:
        return whole
    mixing = np.zeros((len(rows), len(rows)))
    for number, row in enumerate(rows.values()):
        mixing[number, : len(row)] = row
    known = mixing @ mixing.T
    keys = list(rows)
    for i, one in enumerate(unknowns):
        for j, other in enumerate(unknowns):
            if i != j and one.key in rows and other.key in rows:
                whole[i, j] = known[keys.index(one.key), keys.index(other.key)]
    return whole


def _of_input(varied: Input) -> Unknown:
    if varied.found is not None:
        one = varied.found
        low, high = sorted((one.at(-FURTHEST), one.at(FURTHEST)))
        return Unknown(
            varied.key, varied.kind, one.value, one.deviation, low, high, "an earlier fit", one.factor
        )
    if varied.log_normal:
        deviation = log(varied.high) / NORMAL_95
        return Unknown(
            varied.key,
            varied.kind,
            1.0,
            deviation,
            varied.high**-2.0,
            varied.high**2.0,
            "the model's doubt",
            True,
        )
    middle, deviation = 0.5 * (varied.low + varied.high), varied.half_width / HALF
    low, high = middle - FURTHEST * deviation, middle + FURTHEST * deviation
    if not varied.of_model and middle > 0.0:
        low = max(low, 0.05 * middle)
    return Unknown(
        varied.key,
        varied.kind,
        middle,
        deviation,
        low,
        high,
        "the model's doubt" if varied.of_model else "its tolerance",
    )
