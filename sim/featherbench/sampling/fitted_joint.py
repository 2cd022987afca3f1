"""What a fit found, as things to vary together: values, standard deviations, and how each goes with those before it.

A key that its file or a variant states otherwise since, or whose part is gone, is no longer in it: the others keep what
is known of them without it (a normal distribution's margin). Keys are mixed by the lower triangle of their correlation
matrix, so that the first ones stay the same samples when later ones leave.
"""

from __future__ import annotations

from math import isclose
from typing import NamedTuple

import numpy as np

from featherbench import quantities
from featherbench.sampling.doubts import FACTORS, OWN_FACTORS
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.scenario.fitted import DOUBT, correlation_matrix, doubt_kind
from featherbench.studies.key_paths import looked_up

NORMAL_95 = 1.959964
LEAST = 0.02
"""What is above zero by its nature is not sampled below this share of what was found."""


class Found(NamedTuple):
    """One key of a fit. value SI; deviation: standard, SI (of what is known as a factor: of its logarithm); row: the
    weights of independent normal numbers, of its own and of those of the keys before it, that make it in deviations.
    """

    key: str
    kind: str
    value: float
    deviation: float
    row: tuple[float, ...]

    @property
    def factor(self) -> bool:
        """Whether it is known as a factor: its logarithm is normal."""
        return self.key in OWN_FACTORS or self.key in FACTORS

    def at(self, score: float) -> float:
        """Its value at a number of deviations."""
        if self.factor:
            return float(self.value * np.exp(self.deviation * score))
        value = self.value + self.deviation * score
        if self.key.startswith(DOUBT) or self.value <= 0.0:
            return value
        return max(value, LEAST * self.value)


def found_of(scenario: Scenario) -> tuple[Found, ...]:
    """What of a fit still holds for this build; () without one. Raises ScenarioError for a value that is none."""
    fitted = scenario.fitted
    if fitted is None:
        return ()
    kept, left = [], []
    for number, (key, text) in enumerate(zip(fitted.keys, fitted.values, strict=True)):
        one = _read(scenario, number, key, text)
        if one is None:
            left.append(key)
        else:
            kept.append((number, one))
    if not kept:
        return ()
    places = [number for number, _ in kept]
    mixing = np.linalg.cholesky(correlation_matrix(fitted)[np.ix_(places, places)])
    return tuple(
        one._replace(row=tuple(float(f"{weight:.9g}") for weight in mixing[k, : k + 1]))
        for k, (_, one) in enumerate(kept)
    )


def superseded(scenario: Scenario) -> tuple[str, ...]:
    """Keys of the fit that the build states otherwise by now, or has no more."""
    live = {one.key for one in found_of(scenario)}
    return tuple(key for key in (scenario.fitted.keys if scenario.fitted else ()) if key not in live)


def _read(scenario: Scenario, number: int, key: str, text: str) -> Found | None:
    """One key as recorded; None where the build says otherwise."""
    if key.startswith(DOUBT):
        kind, present = doubt_kind(key), getattr(scenario.departure, key.removeprefix(DOUBT))
        table, names = FACTORS.get(key, ("blade", ()))
        stated = any(f"{table}.{name}" in scenario.source.tolerances for name in names)
        stated = stated or (not names and scenario.blade.polar is not None)
    else:
        try:
            present, field = looked_up(scenario, key)
        except (LookupError, StopIteration, TypeError, ValueError, AttributeError):
            return None
        kind, stated = field.kind if field else "ratio", key in scenario.source.tolerances
    try:
        measured = quantities.parse(text, kind)
    except quantities.QuantityError as error:
        problem = Problem(key=f"fitted.values.{number}", given=text, expected=str(error))
        raise located(ScenarioError([problem]), scenario) from None
    if stated or not isclose(measured.value, present, rel_tol=1e-4, abs_tol=1e-12):
        return None
    found = Found(key, kind, measured.value, measured.tolerance / NORMAL_95, ())
    if found.factor:
        found = found._replace(deviation=found.deviation / measured.value)
    return found if found.deviation > 0.0 else None
