"""One simulation of the bench tests that data are held against."""

from __future__ import annotations

from dataclasses import dataclass, field

from featherbench.bench.gauge import GaugeRun, run_gauge
from featherbench.bench.release import release_points, run_release
from featherbench.bench.servo_run import ServoRun, run_servo
from featherbench.bench.setup import GRID_SPACING, Setup, build_setup
from featherbench.bench.statics import static_curves
from featherbench.rotor.build import Air
from featherbench.sampling.inputs import Input, varied
from featherbench.scenario import Scenario
from featherbench.studies.run_findings import force_findings, gauge_findings, legs_at_ends, servo_findings

SPOTS_OF_GAUGE = ("gauge_push", "gauge_pull", "rod_force_breakout", "rod_force_loop")


SPOTS_OF_RELEASE = ("release", "release_low")


@dataclass(frozen=True)
class Simulated:
    """One evaluation: the set-up and those tests that were run; spots by name, SI or a verdict; sampling: standard
    uncertainty of those that hang on when an instrument took its samples, SI; builds: of each, where there are several.
    """

    setup: Setup
    gauge: GaugeRun | None
    servo: ServoRun | None
    spots: dict[str, float | str | None]
    sampling: dict[str, float] = field(default_factory=dict)
    builds: tuple[Simulated, ...] = ()


def with_values(scenario: Scenario, keys: tuple[str, ...], values: tuple[float, ...]) -> Scenario:
    """The scenario with each key path at its value, SI."""
    return varied(scenario, tuple(Input(key, 0.0, 0.0, "") for key in keys), values)


def simulate(
    scenario: Scenario,
    tests: frozenset[str],
    air: Air | None,
    step_share: float = 1.0,
    *,
    gauge: GaugeRun | None = None,
    spacing: float = GRID_SPACING,
    verdicts: bool = True,
) -> Simulated:
    """Run the tests that are asked for. gauge: that test's run where it is known already; spacing: of the load table
    over pitch, rad; verdicts: whether blades are released where that is asked for."""
    setup = build_setup(scenario, air, spacing=spacing)
    statics = static_curves(setup, groups=False)
    if gauge is None and "gauge" in tests:
        gauge = run_gauge(setup, statics, step_share=step_share)
    servo = run_servo(setup, step_share=step_share) if "servo" in tests else None
    spots: dict[str, float | str | None] = {}
    sampling: dict[str, float] = {}
    if gauge is not None:
        spots |= _gauge_spots(gauge)
        if "release" in tests:
            spots |= {name: item.value for name, item in force_findings(gauge).items()}
        if "release" in tests and verdicts:
            high, low = (run_release(setup, pitch, step_share=step_share) for pitch in release_points(setup))
            spots |= {name: item.value for name, item in gauge_findings(gauge, high, low).items()}
    if servo is not None:
        ends = legs_at_ends(servo)
        found = servo_findings(setup, statics, servo, ends)
        spots |= {name: item.value for name, item in found.items()}
        sampling = {
            f"meter_peak_{side}": leg.shown_doubt
            for side, leg in zip(("high", "low"), ends, strict=True)
            if leg is not None
        }
    return Simulated(setup, gauge, servo, spots, sampling)


def _gauge_spots(gauge: GaugeRun) -> dict[str, float | str | None]:
    return {
        "gauge_push": gauge.shown_push,
        "gauge_pull": gauge.shown_pull,
        "rod_force_breakout": abs(gauge.breakout),
        "rod_force_loop": gauge.width,
    }
