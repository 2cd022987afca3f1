"""Only those findings of a bench run that are asked for: a test that none of them needs is not run.

Each has the value that `predict` gives it, to the last digit, by the same functions; what is not run cannot refuse the
build either. A figure of the static curves costs a hundredth of a whole prediction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property

from featherbench.aircraft import HoverTrim, hover_trim
from featherbench.bench.gauge import GaugeRun, run_gauge
from featherbench.bench.release import Release, release_points, run_release
from featherbench.bench.servo_run import Leg, ServoRun, run_servo
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import free_play_curves
from featherbench.studies.run_findings import (
    OF_AIR,
    OF_ASSEMBLY,
    OF_FORCE,
    OF_HOLDING,
    OF_HOLDS,
    OF_HOVER_HOLD,
    OF_PLAY,
    OF_SERVO,
    air_findings,
    assembly_findings,
    force_findings,
    free_play_findings,
    hold_findings,
    legs_at_ends,
    servo_findings,
)


class BenchTests:
    """The tests of one build, each run when it is first looked at."""

    def __init__(self, setup: Setup) -> None:
        """setup: the build, ready to run."""
        self.setup = setup

    @cached_property
    def statics(self) -> StaticCurves:
        """Static curves, without each part group's own."""
        return static_curves(self.setup, groups=False)

    @cached_property
    def gauge(self) -> GaugeRun:
        """The gauge test."""
        return run_gauge(self.setup, self.statics)

    @cached_property
    def servo(self) -> ServoRun:
        """The servo test."""
        return run_servo(self.setup)

    @cached_property
    def at_ends(self) -> tuple[Leg | None, Leg | None]:
        """The servo's legs at both ends."""
        return legs_at_ends(self.servo)

    def released(self, high: bool) -> Release:
        """The release test on one side."""
        return run_release(self.setup, release_points(self.setup)[0 if high else 1])

    @cached_property
    def trim(self) -> HoverTrim | None:
        """Hover without the servo's hold there."""
        return hover_trim(self.setup, held=False)

    def energy_error(self) -> float:
        """The worse of the two audits."""
        return max(self.gauge.energy_error, self.servo.energy_error)


Read = Callable[[BenchTests], dict[str, Finding]]
GROUPS: tuple[tuple[tuple[str, ...], Read], ...] = (
    (
        OF_ASSEMBLY,
        lambda tests: assembly_findings(tests.setup),
    ),
    (
        OF_FORCE,
        lambda tests: force_findings(tests.gauge),
    ),
    (("release",), lambda tests: {"release": finding("release", tests.released(True).verdict.value)}),
    (
        ("release_low",),
        lambda tests: {"release_low": finding("release_low", tests.released(False).verdict.value)},
    ),
    (
        OF_SERVO,
        lambda tests: servo_findings(tests.setup, tests.statics, tests.servo, tests.at_ends),
    ),
    (
        OF_HOLDING,
        lambda tests: hold_findings(tests.setup, tests.at_ends, every_way=False),
    ),
    (OF_HOLDS, lambda tests: hold_findings(tests.setup, tests.at_ends)),
    (
        OF_AIR,
        lambda tests: air_findings(tests.setup, tests.statics, tests.trim),
    ),
    (OF_HOVER_HOLD, lambda tests: air_findings(tests.setup, tests.statics, hover_trim(tests.setup))),
    (
        OF_PLAY,
        lambda tests: free_play_findings(free_play_curves(tests.setup, tests.statics), tests.trim),
    ),
    (("energy_error",), lambda tests: {"energy_error": finding("energy_error", tests.energy_error())}),
)
"""Names of findings, and what reads them together."""
PREDICTED = tuple(name for names, _ in GROUPS for name in names)
"""All that a bench run finds."""


def findings_of(tests: BenchTests, names: Iterable[str]) -> dict[str, float | str | None]:
    """Values of the findings of these names (of `PREDICTED`), SI or text; None where the build has none."""
    wanted = set(names)
    found: dict[str, Finding] = {}
    for own, read in GROUPS:
        if wanted & set(own):
            found |= {name: one for name, one in read(tests).items() if name in own}
    return {name: found[name].value if name in found else None for name in names}
