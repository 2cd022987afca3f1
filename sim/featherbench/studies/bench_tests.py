"""The tests of a bench run, each run when it is first looked at, and what is read from them: all, or some findings.

A prediction reads everything. Who asks for some findings gets the same values, to the last digit, and a test that none
of them needs is not run, nor can it refuse the build. A figure of the static curves costs a hundredth of a prediction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from featherbench.aircraft import HoverTrim, hover_trim
from featherbench.bench.gauge import GaugeRun, run_gauge
from featherbench.bench.release import Release, release_points, run_release
from featherbench.bench.servo_run import Leg, ServoRun, run_servo
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import FreePlay, free_play_curves
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


@dataclass
class BenchTests:
    """The tests of one build.

    setup: the build, ready to run; step_share: of the time step; gauge_share: of that again, where the servo is off;
    groups: each part group's own static curves; every_way: of moving the stick to a hold; held: the servo's hold in
    hover.
    """

    setup: Setup
    step_share: float = 1.0
    gauge_share: float = 1.0
    groups: bool = True
    every_way: bool = True
    held: bool = True

    @cached_property
    def statics(self) -> StaticCurves:
        """Static curves."""
        return static_curves(self.setup, groups=self.groups)

    @cached_property
    def gauge(self) -> GaugeRun:
        """The gauge test."""
        return run_gauge(self.setup, self.statics, step_share=self.step_share * self.gauge_share)

    @cached_property
    def servo(self) -> ServoRun:
        """The servo test."""
        return run_servo(self.setup, step_share=self.step_share)

    @cached_property
    def at_ends(self) -> tuple[Leg | None, Leg | None]:
        """The servo's legs at both ends."""
        return legs_at_ends(self.servo)

    @cached_property
    def release_high(self) -> Release:
        """The release test on the high side."""
        return self._released(0)

    @cached_property
    def release_low(self) -> Release:
        """The release test on the low side."""
        return self._released(1)

    @cached_property
    def hover(self) -> HoverTrim | None:
        """Hover, None without an aircraft."""
        return hover_trim(self.setup, step_share=self.step_share, held=self.held)

    @cached_property
    def free_play(self) -> FreePlay:
        """Lost motion and seat ratio over pitch."""
        return free_play_curves(self.setup, self.statics)

    def take_over(self, other: BenchTests) -> None:
        """Take over gauge and release tests of another build where these see nothing of what differs between the two:
        the servo is off in them.
        """
        if _servo_off(self.setup) == _servo_off(other.setup) and _way(self) == _way(other):
            vars(self)["gauge"] = other.gauge
            for side in ("release_high", "release_low"):
                vars(self)[side] = getattr(other, side)

    def energy_error(self) -> float:
        """The worse of the two audits."""
        return max(self.gauge.energy_error, self.servo.energy_error)

    def findings(self, names: Iterable[str] | None = None) -> dict[str, Finding]:
        """What is read from the tests by name, of those of these names (of `PREDICTED`) or, None, all that there is."""
        wanted = set(PREDICTED if names is None else names)
        found: dict[str, Finding] = {}
        for own, read in READ_TOGETHER:
            if wanted & set(own):
                found |= read(self)
        return {name: one for name, one in found.items() if name in wanted}

    def _released(self, side: int) -> Release:
        share = self.step_share * self.gauge_share
        return run_release(self.setup, release_points(self.setup)[side], step_share=share)


def _servo_off(setup: Setup) -> tuple[object, ...]:
    """All of a build that gauge and release tests know of."""
    plant, scenario = setup.plant, setup.scenario
    rod = (plant.output.rod_mass, plant.output.rod_friction, plant.output.load_share)
    loads = (*plant.loads[:-1], plant.loads.values.tobytes())
    tables = (scenario.rotor, scenario.gauge, scenario.bench.release_from, setup.pitch_grid.tobytes())
    return rod, plant.joint, plant.pitch, loads, plant.linkage, plant.shaking, tables


def _way(tests: BenchTests) -> tuple[float, float]:
    return tests.step_share, tests.gauge_share


def _holds(tests: BenchTests) -> dict[str, Finding]:
    return hold_findings(tests.setup, tests.at_ends, tests.step_share, every_way=tests.every_way)


Read = Callable[[BenchTests], dict[str, Finding]]
READ_TOGETHER: tuple[tuple[tuple[str, ...], Read], ...] = (
    (OF_ASSEMBLY, lambda tests: assembly_findings(tests.setup)),
    (OF_FORCE, lambda tests: force_findings(tests.gauge)),
    (("release",), lambda tests: {"release": finding("release", tests.release_high.verdict.value)}),
    (
        ("release_low",),
        lambda tests: {"release_low": finding("release_low", tests.release_low.verdict.value)},
    ),
    (OF_SERVO, lambda tests: servo_findings(tests.setup, tests.statics, tests.servo, tests.at_ends)),
    ((*OF_HOLDING, *OF_HOLDS), _holds),
    ((*OF_AIR, *OF_HOVER_HOLD), lambda tests: air_findings(tests.setup, tests.statics, tests.hover)),
    (OF_PLAY, lambda tests: free_play_findings(tests.free_play, tests.hover)),
    (("energy_error",), lambda tests: {"energy_error": finding("energy_error", tests.energy_error())}),
)
"""Names of findings, and what reads them together, in the order of a prediction."""
PREDICTED = tuple(name for names, _ in READ_TOGETHER for name in names)
"""All that a bench run finds."""


def needed_for(setup: Setup, names: Iterable[str]) -> BenchTests:
    """Tests of a build that are run no further than findings of these names need."""
    wanted = set(names)
    return BenchTests(
        setup,
        groups=False,
        every_way=bool(wanted & set(OF_HOLDS)),
        held=bool(wanted & set(OF_HOVER_HOLD)),
    )
