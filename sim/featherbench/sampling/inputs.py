"""What a spread varies: every quantity typed with +/-, what instruments state, and what the model itself does not know.

A tolerance is taken as a bound: all values within it are equally likely and none lies beyond it (JCGM 100:2008, 4.3.7:
a rectangular distribution, standard uncertainty half-width / sqrt 3). An instrument's expanded uncertainty (95 %,
coverage factor 2) is taken as the rectangular distribution of the same standard uncertainty. The model's doubts: see
`doubts`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

import numpy as np

from featherbench.rotor.bearing import bearing_friction
from featherbench.sampling.doubts import BEARING as DOUBTED_BEARING
from featherbench.sampling.doubts import FACTORS, OWN_KEYS, PREFIX, doubted, log_normal, with_doubt
from featherbench.sampling.fitted_joint import Found, found_of
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.scenario.fields import Quantity
from featherbench.studies.key_paths import looked_up, with_value

INSTRUMENTS = {
    "gauge.uncertainty": ("gauge_push", "gauge_pull"),
    "meter.uncertainty": ("meter_peak", "meter_peak_high", "meter_peak_low", "meter_hold"),
}
"""Findings that an instrument's own uncertainty is added to, by the key that states it."""
BEARING = "bearing.coefficient"
HALF = sqrt(3.0)
"""Half-width of the rectangle of a standard deviation of 1."""
BEARING_DOUBT = 3.0
"""A handbook coefficient may be this many times as large in an oscillating, loaded pitch bearing (judgement)."""


class Input(NamedTuple):
    """One thing that varies between low and high, SI; kind: of quantity, "ratio" when not known.

    Evenly; doubts that are factors by their logarithm, beyond these bounds in 5 of 100 samples. found: what a fit
    found, which varies normally and together with what else it found: see `values_at`.
    """

    key: str
    low: float
    high: float
    kind: str
    found: Found | None = None

    @property
    def half_width(self) -> float:
        """Half of high - low."""
        return 0.5 * (self.high - self.low)

    @property
    def of_model(self) -> bool:
        """Whether it is a doubt of the model's own, not what was measured."""
        return self.key.startswith(PREFIX)

    @property
    def log_normal(self) -> bool:
        """Whether its logarithm is normally distributed, not itself evenly."""
        return self.key in FACTORS

    @property
    def reach(self) -> float:
        """How far from its middle a sample is likely to lie, SI."""
        return 3.0 * self.found.deviation if self.found else self.half_width

    def value(self, place: float) -> float:
        """Its value, SI, at an even place in [-1, 1], what else a fit found being in the middle."""
        if self.found is not None:
            return self.found.at(self.found.row[-1] * normal_score(place))
        if self.log_normal:
            return log_normal(self.high, place)
        return 0.5 * (self.low + self.high) + self.half_width * place


def normal_score(place: float) -> float:
    """The normal number that lies as far up its distribution as an even place in [-1, 1], at most 3.5 either way."""
    from scipy.special import ndtri

    return float(np.clip(ndtri(0.5 * (1.0 + place)), -3.5, 3.5))


def values_at(inputs: tuple[Input, ...], place: tuple[float, ...]) -> tuple[float, ...]:
    """Values (inputs,), SI, at a place in [-1, 1]."""
    scores: list[float] = []
    values = []
    for own, where in zip(inputs, place, strict=True):
        if own.found is None:
            values.append(own.value(where))
            continue
        scores.append(normal_score(where))
        values.append(own.found.at(float(np.dot(own.found.row, scores))))
    return tuple(values)


def spread_inputs(scenario: Scenario, *, bearing_doubt: bool = False) -> tuple[Input, ...]:
    """Everything that varies, by key, as `varied_inputs` has it; raises ScenarioError also when nothing varies."""
    found = varied_inputs(scenario, bearing_doubt=bearing_doubt)
    if not any_tolerance(found):
        expected = 'tolerances, for example part.blade.mass = "6.4 +/- 0.05 g", a doubt, or --bearing'
        problem = Problem(
            key="spread", given="no quantity with +/-, and every doubt taken out", expected=expected
        )
        raise located(ScenarioError([problem]), scenario)
    return found


def any_tolerance(inputs: Sequence[Input]) -> bool:
    """Whether anything of the build itself varies, not the instruments alone."""
    return any(own.key not in INSTRUMENTS for own in inputs)


def varied_inputs(scenario: Scenario, *, bearing_doubt: bool = False) -> tuple[Input, ...]:
    """Everything that varies, by key: tolerances, instruments, then what the model itself does not know.

    bearing_doubt: the bearing coefficient is one to three times what it is, in place of its doubt. Raises ScenarioError
    when a tolerance reaches where no value can be.
    """
    together = found_of(scenario)
    found = [
        Input(one.key, one.value - HALF * one.deviation, one.value + HALF * one.deviation, one.kind, one)
        for one in together
    ]
    known = {one.key for one in together}
    problems: list[Problem] = []
    for key, half in scenario.source.tolerances.items():
        if _is_of_a_part_taken_off(scenario, key):
            continue
        nominal, field = looked_up(scenario, key)
        own = Input(key, nominal - half, nominal + half, field.kind if field else "ratio")
        if field and _outside(own.low, field):
            problems.append(
                Problem(key=key, given="a tolerance as large as the value", expected="a smaller one")
            )
        found.append(own)
    for key in INSTRUMENTS:
        table, name = key.split(".")
        stated = getattr(getattr(scenario, table), name)
        if stated:
            half = float(stated) / 2.0 * sqrt(3.0)
            found.append(Input(key, -half, half, "force" if table == "gauge" else "current"))
    found += [
        Input(*one)
        for one in doubted(scenario)
        if one.key not in known
        and OWN_KEYS.get(one.key) not in known
        and not (bearing_doubt and one.key == DOUBTED_BEARING)
    ]
    if bearing_doubt:
        usual = bearing_friction(scenario.bearing, 0.0).coefficient
        found = [own for own in found if own.key != BEARING]
        found.append(Input(BEARING, usual, BEARING_DOUBT * usual, "ratio"))
    if problems:
        raise located(ScenarioError(problems), scenario)
    return tuple(found)


def varied(scenario: Scenario, inputs: tuple[Input, ...], values: tuple[float, ...]) -> Scenario:
    """The scenario with each input at its value, SI; instruments' inputs leave it as it is."""
    for own, value in zip(inputs, values, strict=True):
        if own.of_model:
            scenario = with_doubt(scenario, own.key, value)
        elif own.key not in INSTRUMENTS:
            scenario = with_value(scenario, own.key, value)
    return scenario


def _is_of_a_part_taken_off(scenario: Scenario, key: str) -> bool:
    """Whether a key is of a part that is not there any more, as where a study puts another bolt in its place."""
    return key.startswith("part.") and not any(key.startswith(f"part.{name}.") for name in scenario.part)


def _outside(low: float, field: Quantity) -> bool:
    return (field.above is not None and low <= field.above) or (
        field.at_least is not None and low < field.at_least
    )
