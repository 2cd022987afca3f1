"""What a bench test must be before it begins, and come to when it ends, for its figures to be shown at all.

Before: its size. A test that would fill the memory or take hours is refused with the figure that makes it so. After:
the figures are finite and the energies add up. Else the stepper did not follow the build, and no finding is made of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from featherbench import quantities
from featherbench.plant.step_size import step_within
from featherbench.scenario import Scenario, ScenarioError
from featherbench.scenario.problems import Problem

MOST_ROWS = 1_000_000
"""Rows of a record: half an hour of a gauge test, a quarter of one of a servo test, about 0.5 GB in all."""
MOST_STEPS = 1_000_000_000
"""Steps of a test, about two minutes."""
COARSEST = 2.0
"""Of the program's own step: one that is coarser is asked for to see what it does, and is not judged."""
MOST_AUDIT = 0.01
"""Share of the energy turned over that may be unaccounted for."""


class BenchTestRefused(ScenarioError):
    """No figure of a bench test can be shown; `scenario` is the build, of which strength can still be told."""

    def __init__(self, problems: Iterable[Problem], scenario: Scenario) -> None:
        """Keep both, as arguments too: a worker process hands the refusal over by them."""
        super().__init__(problems)
        self.scenario = scenario
        self.args = (self.problems, scenario)


@dataclass(frozen=True)
class BenchTest:
    """A test by name, what of the scenario makes it long, and who is told of it."""

    name: str
    key: str
    scenario: Scenario

    def refused(self, given: str, expected: str, key: str = "") -> BenchTestRefused:
        """A refusal that names this scenario's file, and the line of the key where there is one."""
        files = self.scenario.source.files
        file, line = (files[0] if files else ""), None
        if key:
            file, line = self.scenario.source.place(key)
        problem = Problem(file=file, line=line, key=key, given=given, expected=expected)
        return BenchTestRefused([problem], self.scenario)

    def steps(self, seconds: float, interval: float, mode: float, share: float = 1.0) -> tuple[float, int]:
        """(step in s, steps per row) for so many seconds, a row every `interval` (s); mode rad/s, the stiffest.

        Raises ScenarioError for more than can be kept or waited for.
        """
        rows = seconds / interval
        if not rows <= MOST_ROWS:
            raise self.refused(
                f"a {self.name} of {seconds:,.3g} s: {rows:,.3g} rows to keep, {MOST_ROWS:,} is the most",
                f"at most {MOST_ROWS * interval:,.0f} s in all",
                self.key,
            )
        if not (isfinite(mode) and mode > 0.0):
            raise self.refused(
                f"a {self.name} whose stiffest part swings at {mode} rad/s",
                "masses, inertias and stiffnesses that a model has",
            )
        step, per_row = step_within(interval, mode, share)
        if per_row * rows > MOST_STEPS:
            stiffest = quantities.text(mode / (2.0 * np.pi), "frequency", digits=3)
            raise self.refused(
                f"a {self.name} of {per_row * rows:.3g} steps, {MOST_STEPS:.0e} is the most: the stiffest part swings "
                f"at {stiffest}, which asks for steps of {step:.2g} s over {seconds:,.3g} s",
                "stiffnesses, masses and arms that a model has (what swings fast is too stiff or too light), "
                "or a shorter test",
            )
        return step, per_row

    def within_laws(self, pitch: NDArray[np.float64], margin: float) -> None:
        """Raise ScenarioError when the blades go further past the pitch range than `margin`, both rad."""
        low, high = self.scenario.rotor.pitch_range
        worst = max(low - float(pitch.min()), float(pitch.max()) - high)
        if worst > margin:
            furthest = float(pitch[int(np.argmax(np.abs(pitch)))])
            raise self.refused(
                f"a {self.name} in which the blades run to {np.rad2deg(furthest):.0f} deg, {np.rad2deg(worst):.0f} deg "
                "past the pitch range, where nothing is known of them: none of its figures is shown",
                "a linkage, a servo and a gauge that hold these blades: they lack stiffness or force, or the weights "
                "over-balance the blades by too much, or what shakes them is too strong",
            )

    def believed(self, audit: float, record: NDArray[np.float64]) -> None:
        """Raise ScenarioError unless a record (rows, columns), time (s) first, is finite and the audit at most
        MOST_AUDIT.
        """
        finite = np.isfinite(record)
        if not finite.all():
            seen = record[: int(np.argmin(finite.all(axis=1))), 0]
            after = f"{seen[-1] - seen[0]:.2g} s" if len(seen) else "some steps"
            raise self.refused(
                f"a {self.name} that runs beyond all numbers within {after}: none of its figures is shown",
                _FAR,
            )
        if not audit <= MOST_AUDIT:
            raise self.refused(
                f"a {self.name} whose energies do not add up: {100.0 * audit:.2f} % of what was turned over is "
                f"unaccounted for, {100.0 * MOST_AUDIT:g} % is the most; none of its figures is shown",
                _FAR,
            )


_FAR = (
    "a build that the time steps can follow: look for a figure that is far from what a model has (masses, speed, "
    "stiffness, play, friction, the servo's data)"
)
