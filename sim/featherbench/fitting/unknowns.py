"""What a fit may vary: any number of the scenario, with what is known of it beforehand and how far it may go."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from math import exp, log, sqrt

from featherbench.guide.usual_unknowns import PRIORS
from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.studies.key_paths import looked_up

FREE_FORCE = ("scale.inertia", "linkage.slider_friction")
FREE_CURRENT = ("servo.gear_friction", "servo.stall_current")
"""Freed when nobody says what: the first for force data, both for force and current data."""
OTHER = (0.1, 0.3, 3.0)


@dataclass(frozen=True)
class Unknown:
    """One number to find. start, low, high: SI; deviation: standard, beforehand, SI, or of its logarithm where `factor`
    says that it is known as a factor; why: where the deviation is from.
    """

    key: str
    kind: str
    start: float
    deviation: float
    low: float
    high: float
    why: str
    factor: bool = False

    def at(self, place: float) -> float:
        """Its value, SI, that many deviations from its start."""
        if self.factor:
            return self.start * exp(self.deviation * place)
        return self.start + self.deviation * place

    def place(self, value: float) -> float:
        """How many deviations from its start a value lies."""
        if self.factor:
            return log(value / self.start) / self.deviation
        return (value - self.start) / self.deviation

    def spread_at(self, value: float) -> float:
        """What one deviation comes to near a value, SI."""
        return self.deviation * value if self.factor else self.deviation


def unknowns(scenario: Scenario, keys: tuple[str, ...]) -> tuple[Unknown, ...]:
    """Every key as an unknown. Raises ScenarioError for a key that is none, or has no value to start from."""
    found, problems = [], []
    for key in dict.fromkeys(keys):
        try:
            found.append(_unknown(scenario, key))
        except (LookupError, StopIteration, TypeError, ValueError, AttributeError):
            near = difflib.get_close_matches(key, PRIORS, 1)
            hint = f"; did you mean {near[0]}?" if near else ""
            problems.append(
                Problem("--free", None, key, "no number of this scenario",
                        f"a key path with a number above zero, for example {', '.join(FREE_FORCE)}{hint}")
            )  # fmt: skip
    if problems:
        raise ScenarioError(problems)
    return tuple(found)


def listed_unknowns(scenario: Scenario) -> tuple[Unknown, ...]:
    """Those of the usual unknowns, and of the keys typed with a tolerance, that this scenario has a value for."""
    found = []
    for key in dict.fromkeys([*PRIORS, *scenario.source.tolerances]):
        try:
            found.append(_unknown(scenario, key))
        except (LookupError, StopIteration, TypeError, ValueError, AttributeError):
            continue
    return tuple(found)


def _unknown(scenario: Scenario, key: str) -> Unknown:
    value, field = looked_up(scenario, key)
    if not value:
        raise ValueError(key)
    share, least, most, _ = PRIORS.get(key, (*OTHER, ""))
    half = scenario.source.tolerances.get(key)
    deviation = half / sqrt(3.0) if half else share * abs(value)
    why = "its tolerance" if half else "judgement"
    if key not in PRIORS and half:
        low, high = value - 6.0 * half, value + 6.0 * half
        if field is not None and (field.above is not None or field.at_least is not None):
            low = max(low, 0.05 * value)
    else:
        low, high = sorted((least * value, most * value))
    return Unknown(key, field.kind if field else "ratio", value, deviation, low, high, why)
