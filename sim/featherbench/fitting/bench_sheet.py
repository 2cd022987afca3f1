"""What to read on the bench, in a safe order: what is expected there, where to stop, and what each reading would tell.

A build is measured standing first, then at rising speed, then with the servo, and last let go, because each step can
show what would make the next one dangerous. Within that order, what each reading would tell of the largest force on the
rod is worked out as for the next measurement after a fit (`next_measurement`), from what is known before any.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.readings import BenchData
from featherbench.bench.release import release_points
from featherbench.bench.statics import static_curves
from featherbench.fitting.calibrate import Calibration, usual_free
from featherbench.fitting.fit import Fitted
from featherbench.fitting.model import bench_model
from featherbench.fitting.next_measurement import Advice, next_measurement
from featherbench.fitting.nuisances import nuisances
from featherbench.fitting.unknowns import unknowns

if TYPE_CHECKING:
    from featherbench.sampling.sampled import Sampled
    from featherbench.scenario import Scenario
    from featherbench.studies.run import Run

NOTHING_READ = BenchData({}, (), {}, ())
SPEEDS = (0.5, 0.8, 1.0)
"""Shares of the rotor speed at which the force is read on the way up (judgement: a quarter and two thirds of it)."""
SPACING = np.deg2rad(5.0)
"""Between the pitches at which force is read by hand."""
ROOM = 0.15
"""Over what is expected, where no range says how far the force may go (judgement)."""
AIM = "rod_force_push"


@dataclass(frozen=True)
class AtPitch:
    """Force on the gauge, N, push positive: pitch rad; rising, falling as expected."""

    pitch: float
    rising: float
    falling: float


@dataclass(frozen=True)
class AtSpeed:
    """On the way up: share of the rotor speed, speed rad/s, largest push and pull expected, and where to stop, N."""

    share: float
    speed: float
    push: float
    pull: float
    stop_push: float
    stop_pull: float


@dataclass(frozen=True)
class BenchSheet:
    """Everything that the page is made from, SI.

    expected: of the named readings, SI or a verdict, None where the run gives none; stops: largest value of each up to
    which all is as it should be; release: pitch (high, low) where the blades are let go; advice: what each measurement
    would tell of `AIM`, None where it was not asked for or cannot be said.
    """

    scenario: Scenario
    forces: tuple[AtPitch, ...]
    speeds: tuple[AtSpeed, ...]
    expected: dict[str, float | str | None]
    stops: dict[str, float]
    release: tuple[float, float]
    advice: Advice | None


CURRENTS = ("meter_peak_high", "current_hold_high", "meter_peak_low", "current_hold_low")
VERDICTS = ("release", "release_low")


def bench_sheet(run: Run, sampled: Sampled | None = None, advice: Advice | None = None) -> BenchSheet:
    """The sheet of a build that was run. sampled: how far its figures may go within tolerances and doubts."""
    names = ("gauge_push", "gauge_pull", "rod_force_breakout", *CURRENTS, *VERDICTS)
    expected = {name: run.findings[name].value for name in names}
    intervals = sampled.builds[0].intervals if sampled else {}
    stops = {}
    for name, value in expected.items():
        if not isinstance(value, float):
            continue
        within = intervals.get(name)
        own = run.scenario.meter if name in CURRENTS else run.scenario.gauge
        furthest = (
            abs(value) * (1.0 + ROOM) if within is None else max(abs(within[0]), abs(within[1]), abs(value))
        )
        stops[name] = furthest + (own.uncertainty or 0.0) + own.resolution
    expected["rod_force_breakout"] = abs(float(expected["rod_force_breakout"] or 0.0))
    return BenchSheet(
        run.scenario, _forces(run), _speeds(run, stops), expected, stops, release_points(run.setup), advice
    )


def pitches_to_read(low: float, high: float) -> list[float]:
    """Both ends of the range (rad), and between them every so many degrees, zero among them."""
    inner = [step * float(SPACING) for step in range(ceil(low / SPACING), int(high // SPACING) + 1)]
    clear = 0.5 * SPACING
    return [low, *(one for one in inner if low + clear <= one <= high - clear), high]


def what_would_tell(scenario: Scenario, progress: Callable[[str], None] | None = None) -> Advice | None:
    """What each measurement would tell of the largest push before any is made; None where nothing is in doubt.

    Over the unknowns that are usually fitted, and the model's doubts.
    """
    found = unknowns(scenario, usual_free(NOTHING_READ, scenario))
    everything = (
        *found,
        *(nuisance for nuisance in nuisances(scenario, found) if nuisance.why == "the model's doubt"),
    )
    if progress is not None:
        progress(f"what would tell most, over {len(everything)} unknowns")
    count = len(everything)
    start = np.array([one.start for one in everything])
    known = Fitted(everything, start, start, start, np.eye(count), np.zeros((0, count)), np.zeros(0),
                   (False,) * count, (), 0, False)  # fmt: skip
    model, _ = bench_model(scenario, NOTHING_READ, smooth=True)
    done = Calibration(scenario, NOTHING_READ, model, known, (), (), 1.0, 1.0, (), ())
    advice = next_measurement(done, AIM)
    return advice if advice.before > 0.0 else None


def _forces(run: Run) -> tuple[AtPitch, ...]:
    gauge = run.gauge
    return tuple(
        AtPitch(pitch, *(float(np.interp(pitch, gauge.pitch, way)) for way in (gauge.up, gauge.down)))
        for pitch in pitches_to_read(*run.scenario.rotor.pitch_range)
    )


def _speeds(run: Run, stops: dict[str, float]) -> tuple[AtSpeed, ...]:
    """By the static curves at each speed; the room up to the stop is that of full speed, in proportion."""
    full = float(run.scenario.rotor.speed)
    rooms = [
        stops[name] / value if (value := float(run.value(name))) > 0.0 else 0.0
        for name in ("gauge_push", "gauge_pull")
    ]
    found = []
    for share in SPEEDS:
        curves = static_curves(run.setup, share * full, groups=False)
        push = max(0.0, float((curves.rod_force + curves.rod_friction).max()))
        pull = max(0.0, float((curves.rod_friction - curves.rod_force).max()))
        if share == 1.0:
            push, pull = run.value("gauge_push"), run.value("gauge_pull")
        found.append(AtSpeed(share, share * full, push, pull, rooms[0] * push, rooms[1] * pull))
    return tuple(found)
