"""The samples of a prediction that bench data is held against: every study's, without the instruments' errors.

A reading is held against the shortened bench run of each sample; a log against the tests as they were logged, at the
same places, because it needs their whole length.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from math import sqrt
from typing import NamedTuple

from featherbench.bench.readings import BenchData
from featherbench.fitting.data import SPEED_UNSTATED
from featherbench.fitting.hand_readings import forces_of_run
from featherbench.fitting.model import BenchModel
from featherbench.fitting.simulated import Simulated
from featherbench.sampling.checkpoint import Values
from featherbench.sampling.inputs import INSTRUMENTS, Input, any_tolerance, values_at, varied_inputs
from featherbench.sampling.samples import SampleTask, run_sample, shortened_task
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.prediction import predict


class MatchTask(NamedTuple):
    """What a sample needs. inputs: what varies, () for nothing; spots: a shortened run, None where no reading asks."""

    inputs: tuple[Input, ...]
    spots: SampleTask | None
    model: BenchModel


class MatchSample(NamedTuple):
    """One sample: its findings, SI or a verdict; logged: its tests as they were logged, None without logs."""

    spots: Values
    logged: Simulated | None


def match_task(model: BenchModel) -> MatchTask:
    """The task of the samples of a scenario as the bench ran it."""
    inputs = _inputs(model.scenario, model.data)
    asked = inputs and any(name != "rotor_speed" for name in model.data.readings)
    spots = shortened_task(predict(model.scenario), inputs) if asked else None
    if spots is not None and any(reading.pitch is not None for reading in model.data.readings.values()):
        spots = replace(spots, also=partial(forces_of_run, data=model.data))
    return MatchTask(inputs, spots, model)


def written_spots(task: MatchTask) -> Values:
    """The findings of the build as written, from the same shortened run."""
    return run_sample(task.spots, None) if task.spots is not None else {}


def match_sample(task: MatchTask, place: tuple[float, ...]) -> MatchSample | None:
    """One sample at a place (inputs,) in [-1, 1]; None where no build can be."""
    spots = run_sample(task.spots, place, instruments=False) if task.spots is not None else {}
    if "refused" in spots:
        return None
    if not task.model.data.logs:
        return MatchSample(spots, None)
    varied = {
        own.key: value
        for own, value in zip(task.inputs, values_at(task.inputs, place), strict=True)
        if own.key not in INSTRUMENTS
    }
    try:
        return MatchSample(spots, task.model.at(tuple(varied), tuple(varied.values())))
    except ScenarioError:
        return None


def _inputs(scenario: Scenario, data: BenchData) -> tuple[Input, ...]:
    """What the samples vary: what the scenario states, and the rotor speed as it was read; none when neither is stated.

    The instruments are among them, as in every study, so that a sample is the same one in all of them; what they read
    is not put on it here: it is the measurement's own uncertainty.
    """
    found = varied_inputs(scenario)
    read = data.readings.get("rotor_speed")
    logged = any("rotor_speed" in log.columns for log in data.logs)
    if read is None and not logged:
        return found if any_tolerance(found) else ()
    speed = float(scenario.rotor.speed)
    stated = read.uncertainty if read is not None and read.uncertainty else 2.0 * SPEED_UNSTATED * speed
    half = stated / 2.0 * sqrt(3.0)
    own = Input("rotor.speed", speed - half, speed + half, "rotation")
    if any(one.key == own.key for one in found):
        return tuple(own if one.key == own.key else one for one in found)
    return (*found, own)
