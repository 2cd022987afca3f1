"""What is looked at while a build is changed: force, release, currents at both ends, and where the linkage floats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from featherbench.aircraft import hover_trim
from featherbench.assembly import compensation
from featherbench.bench.gauge import GaugeRun
from featherbench.bench.instruments import Display
from featherbench.bench.release import Release, release_points, run_release
from featherbench.bench.servo_run import ServoRun, run_servo
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.scenario import Scenario
from featherbench.studies.free_play import FreePlay, free_play_curves
from featherbench.studies.run import Run
from featherbench.studies.run_findings import assembly_findings, gauge_findings, legs_at_ends, servo_findings

SHOWN = (
    "compensation",
    "mass",
    "centrifugal_load",
    "rod_force_push",
    "rod_force_pull",
    "current_peak_low",
    "current_hold_low",
    "current_peak_high",
    "current_hold_high",
    "release",
    "release_low",
    "float_low",
    "float_high",
    "rod_force_hover",
    "current_hold_hover",
)
"""Findings that a snapshot has, under the names of `studies.findings`."""


class ReleaseCase(NamedTuple):
    """Blades released at `start` (rad), and how they went."""

    start: float
    release: Release


@dataclass(frozen=True)
class Snapshot:
    """A build as the window shows it, SI. findings: those of SHOWN, None where there is none.

    bench: what checks and first lines are judged by: the prediction, or of a quick snapshot what it has of one, with
    forces at rest for the gauge's. high, low: releases; hover_pitch: rad, None without; run: the whole prediction
    when this is exact, None when it is a quick one.
    """

    setup: Setup
    statics: StaticCurves
    free_play: FreePlay
    high: ReleaseCase
    low: ReleaseCase
    hover_pitch: float | None
    findings: dict[str, float | str | None]
    bench: Run
    run: Run | None

    @property
    def scenario(self) -> Scenario:
        """The build."""
        return self.setup.scenario


def exact_snapshot(run: Run) -> Snapshot:
    """What a bench prediction shows."""
    high, low = release_points(run.setup)
    return Snapshot(
        setup=run.setup,
        statics=run.statics,
        free_play=free_play_curves(run.setup, run.statics),
        high=ReleaseCase(high, run.release_high),
        low=ReleaseCase(low, run.release_low),
        hover_pitch=run.hover.pitch if run.hover is not None and run.hover.found else None,
        findings={name: run.findings[name].value if name in run.findings else None for name in SHOWN},
        bench=run,
        run=run,
    )


def quick_snapshot(setup: Setup) -> Snapshot:
    """The same with forces at rest for the gauge's, and only the moves that are needed.

    Friction is added as before a start: where it is more than while moving, the rod sticks and slips on its way, and
    its peaks come up to it.
    """
    statics = static_curves(setup, groups=False)
    free_play = free_play_curves(setup, statics)
    cases = [ReleaseCase(start, run_release(setup, start)) for start in release_points(setup)]
    hover = hover_trim(setup, held=False)
    pitch = hover.pitch if hover is not None and hover.found else None
    window = free_play.window_near(pitch or 0.0) or (None, None)
    push, pull = statics.largest
    findings: dict[str, float | str | None] = {
        "compensation": _known(compensation(setup.assembly, setup.lead_lag)),
        "mass": float(setup.moments.mass),
        "centrifugal_load": float(setup.moments.radial * setup.scenario.rotor.speed**2),
        "rod_force_push": push,
        "rod_force_pull": pull,
        "release": cases[0].release.verdict,
        "release_low": cases[1].release.verdict,
        "float_low": window[0],
        "float_high": window[1],
        "rod_force_hover": _known(hover.rod_force) if hover is not None and hover.found else None,
        "current_hold_hover": None,  # takes a servo run of its own, which a hand on a slider need not wait for
    }
    servo = _servo_run(setup)
    ends = legs_at_ends(servo)
    for side, leg in zip(("high", "low"), ends, strict=True):
        findings[f"current_peak_{side}"] = _known(leg.peak) if leg else None
        findings[f"current_hold_{side}"] = _known(leg.hold) if leg else None
    bench = _at_rest(setup, statics, servo, cases)
    return Snapshot(setup, statics, free_play, cases[0], cases[1], pitch, findings, bench, None)


def _at_rest(setup: Setup, statics: StaticCurves, servo: ServoRun, cases: Sequence[ReleaseCase]) -> Run:
    """What there is of a prediction, for the checks: the gauge reads the force at rest, friction added."""
    up, down = statics.loop
    push, pull = max(0.0, float(up.max())), max(0.0, float(-down.min()))
    none = np.zeros(0)
    gauge = GaugeRun(
        time=none,
        pitch_series=none,
        force=none,
        pitch=statics.pitch,
        up=up,
        down=down,
        push=push,
        pull=pull,
        breakout=float(np.interp(0.0, statics.pitch, statics.rod_friction)),
        shown=Display(none, none),
        shown_push=push,
        shown_pull=pull,
        energy_error=0.0,
    )
    high, low = (case.release for case in cases)
    found = assembly_findings(setup) | gauge_findings(gauge, high, low)
    found |= servo_findings(setup, statics, servo, legs_at_ends(servo))
    return Run(setup, statics, gauge, servo, high, low, None, found, {}, (), ())


def _servo_run(setup: Setup) -> ServoRun:
    """The programme, left off after both ends."""
    programme = setup.scenario.bench.programme
    go = [move.go for move in programme]
    last = max(go.index(max(go)), go.index(min(go)))
    return run_servo(setup, programme[: last + 1])


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
