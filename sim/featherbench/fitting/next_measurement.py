"""What to measure next: how much each candidate would shrink the interval of a chosen finding.

By Fisher information on the model at the fitted values: the information that the data and the priors hold now, plus
what a candidate's readings would add, gives the covariance afterwards; the finding's standard uncertainty follows from
its slope over the unknowns. Linear, and only about the unknowns that were freed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.release import release_points
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.fitting.calibrate import Calibration
from featherbench.fitting.data import UNSTATED
from featherbench.fitting.fit import values_of
from featherbench.fitting.simulated import Simulated, simulate, with_values
from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.rotor.build import Air
from featherbench.sampling.samples import TABLE
from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.studies.ensemble import run_many
from featherbench.studies.key_paths import looked_up
from featherbench.studies.prediction import bench_run

Vector = NDArray[np.float64]
Read = Callable[[Scenario], Vector]

STEP = 0.5
"""Step of the derivatives, in standard deviations after the fit."""
SWING_DOUBT = 0.01
"""Relative standard uncertainty of a swing measurement of I_c (judgement)."""
PLAY_DOUBT = np.deg2rad(0.03)
"""Standard uncertainty of a gear play read with an indicator at the arm, rad (judgement)."""
REPEATS = 5
SLOWER, LONGER = 0.8, 1.2


@dataclass(frozen=True)
class Candidate:
    """One measurement to consider: what it is in words, what it would read, and with which standard uncertainty."""

    name: str
    words: str
    read: Read
    uncertainty: Vector


@dataclass(frozen=True)
class Ranked:
    """One candidate: standard uncertainty of the finding after it, SI, and its share of that before, 0..1 or so."""

    name: str
    words: str
    after: float
    share: float


@dataclass(frozen=True)
class Advice:
    """finding: a finding's name or an unknown; value and before (standard uncertainty), SI; ranked: the most useful
    first."""

    finding: str
    kind: str
    value: float
    before: float
    ranked: tuple[Ranked, ...]


def next_measurement(done: Calibration, finding: str) -> Advice:
    """Rank candidate measurements for a finding or one of the unknowns. Raises ScenarioError for an unknown name."""
    best = done.fitted
    keys = tuple(parameter.key for parameter in best.parameters)
    fitted = with_values(done.model.scenario, keys, tuple(best.best.tolist()))
    target, kind = _target(finding, keys, done)
    information = np.linalg.inv(best.whole)
    steps = STEP * np.sqrt(np.diag(best.whole))
    candidates = _candidates(fitted, done)
    reads = [target, *(candidate.read for candidate in candidates)]

    def everything(scenario: Scenario) -> list[Vector]:
        return [read(scenario) for read in reads]

    places = [fitted]
    for index in range(len(keys)):
        shift = steps[index] * (np.arange(len(keys)) == index)
        places += [
            with_values(
                done.model.scenario,
                keys,
                tuple(values_of(best.parameters, best.places + side * shift).tolist()),
            )
            for side in (-1.0, 1.0)
        ]
    found = run_many(everything, places)
    if found.interrupted:
        raise KeyboardInterrupt
    rows = found.results
    slopes = [
        np.column_stack(
            [(rows[2 * k + 2][n] - rows[2 * k + 1][n]) / (2.0 * steps[k]) for k in range(len(keys))]
        )
        for n in range(len(reads))
    ]
    aim = slopes[0][0]
    before = sqrt(float(aim @ np.linalg.solve(information, aim)))
    ranked = []
    for candidate, slope in zip(candidates, slopes[1:], strict=True):
        weighted = slope / candidate.uncertainty[:, None]
        after = sqrt(float(aim @ np.linalg.solve(information + weighted.T @ weighted, aim)))
        ranked.append(Ranked(candidate.name, candidate.words, after, after / before if before > 0.0 else 1.0))
    ranked.sort(key=lambda one: (one.share, one.name))
    return Advice(finding, kind, float(rows[0][0][0]), before, tuple(ranked))


def check_finding(finding: str, keys: tuple[str, ...]) -> None:
    """Refuse a name that is neither a finding of a number nor one of the unknowns; raises ScenarioError."""
    if finding in keys or (finding in FINDINGS_TABLE and FINDINGS_TABLE[finding].kind != "text"):
        return
    expected = f"a finding such as rod_force_push, or one of the unknowns such as {keys[0]}"
    raise ScenarioError([Problem("--next", None, finding, "no finding of a number", expected)])


def _target(finding: str, keys: tuple[str, ...], done: Calibration) -> tuple[Read, str]:
    if finding in keys:
        place = keys.index(finding)
        return (lambda scenario: np.array([_value(scenario, finding)])), done.fitted.unknowns[place].kind
    check_finding(finding, keys)

    def read(scenario: Scenario) -> Vector:
        setup = build_setup(scenario, done.model.air_of(scenario, keys), spacing=TABLE)
        value = bench_run(setup, groups=False).findings[finding].value
        return np.array([float(value) if isinstance(value, float) else 0.0])

    return read, FINDINGS_TABLE[finding].kind


def _candidates(fitted: Scenario, done: Calibration) -> list[Candidate]:
    """What could be measured next on this bench, in the units of its own instruments."""
    keys = tuple(parameter.key for parameter in done.fitted.parameters)

    def air(scenario: Scenario) -> Air | None:
        return done.model.air_of(scenario, keys)

    gauge_doubt = (fitted.gauge.uncertainty or 2.0 * UNSTATED * 5.0) / 2.0
    meter_doubt = (fitted.meter.uncertainty or 2.0 * UNSTATED * 0.5) / 2.0
    base = simulate(fitted, frozenset({"gauge"}), air(fitted))
    friction = float(np.mean(static_curves(base.setup, groups=False).friction))

    def gauge(names: tuple[str, ...], **changes: float) -> Read:
        tests = frozenset({"gauge"})
        return lambda scenario: _spots(simulate(_changed(scenario, changes), tests, air(scenario)), names)

    def servo(names: tuple[str, ...], **changes: float) -> Read:
        tests = frozenset({"servo"})
        return lambda scenario: _spots(simulate(_changed(scenario, changes), tests, air(scenario)), names)

    swing = np.abs(_inertia(fitted, air(fitted)))
    ends, loop = ("gauge_push", "gauge_pull"), ("rod_force_breakout", "rod_force_loop")
    draws = ("meter_peak", "meter_hold")
    found = [
        Candidate("gauge repeats", f"{REPEATS} more gauge tests as they are, zeroed afresh each time",
                  gauge(ends), np.full(2, gauge_doubt / sqrt(REPEATS))),
        Candidate("gauge loop", "the width of the gauge's loop and the breakout force, once",
                  gauge(loop), np.full(2, gauge_doubt)),
        Candidate("gauge at another speed", f"a gauge test at {100.0 * SLOWER:g} % of the rotor speed",
                  gauge(ends, speed=SLOWER), np.full(2, gauge_doubt)),
        Candidate("gauge with the rotor slow", "a gauge test at a tenth of the speed: slider and rod friction alone",
                  gauge(("rod_force_loop",), speed=0.1), np.array([gauge_doubt])),
        Candidate("servo test", "the servo test as it is, peak and hold on the meter",
                  servo(draws), np.full(2, meter_doubt)),
        Candidate("servo test with another arm", f"the servo test with a servo arm of {100.0 * LONGER:g} %",
                  servo(draws, arm=LONGER), np.full(2, meter_doubt)),
        Candidate("release", "let the rod go: which side of the friction band the blades fall",
                  lambda scenario: _release(scenario, air(scenario)), np.array([_release_doubt(base, friction)])),
        Candidate("blade swing", "swing the blade assembly as a pendulum for its I_c",
                  lambda scenario: _inertia(scenario, air(scenario)), SWING_DOUBT * swing),
    ]  # fmt: skip
    if fitted.servo.gear_play > 0.0:
        found.append(Candidate("gear play", "the servo's gear play with an indicator at the arm",
                               lambda scenario: np.array([scenario.servo.gear_play]),
                               np.array([PLAY_DOUBT])))  # fmt: skip
    return found


def _changed(scenario: Scenario, changes: dict[str, float]) -> Scenario:
    keys = {"speed": "rotor.speed", "arm": "linkage.servo_arm"}
    return with_values(
        scenario,
        tuple(keys[name] for name in changes),
        tuple(factor * _value(scenario, keys[name]) for name, factor in changes.items()),
    )


def _value(scenario: Scenario, key: str) -> float:
    return float(looked_up(scenario, key)[0])


def _spots(simulated: Simulated, names: tuple[str, ...]) -> Vector:
    return np.array([float(simulated.spots[name] or 0.0) for name in names])


def _margin(simulated: Simulated) -> float:
    """Load less friction at the release pitch, N m per blade: its sign decides the verdict."""
    curves = static_curves(simulated.setup, groups=False)
    pitch = release_points(simulated.setup)[0]
    load = abs(float(np.interp(pitch, curves.pitch, curves.moment)))
    return load - float(np.interp(pitch, curves.pitch, curves.friction))


def _release(scenario: Scenario, air: Air | None) -> Vector:
    return np.array([_margin(simulate(scenario, frozenset(), air))])


def _release_doubt(base: Simulated, friction: float) -> float:
    """Standard uncertainty to which a yes or no pins the margin: large where the verdict is a foregone conclusion.

    The information of a binary outcome with threshold scatter s is phi(m/s)^2 / (Phi (1 - Phi)) / s^2.
    """
    from scipy.stats import norm

    scatter = 0.1 * friction + 1e-9
    place = float(np.clip(_margin(base) / scatter, -8.0, 8.0))
    information = float(norm.pdf(place) ** 2 / (norm.cdf(place) * norm.sf(place)))
    return scatter / sqrt(max(information, 1e-12))


def _inertia(scenario: Scenario, air: Air | None) -> Vector:
    return np.array([simulate(scenario, frozenset(), air).setup.moments.chordwise])
