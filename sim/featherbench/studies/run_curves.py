"""A bench run's curves over pitch and over time, as frames, JSON and tables show them."""

from __future__ import annotations

import numpy as np

from featherbench.bench.release import Release
from featherbench.studies.bench_tests import BenchTests
from featherbench.studies.findings import Curves
from featherbench.studies.free_play import FreePlay


def run_curves(tests: BenchTests) -> dict[str, Curves]:
    """Curve sets by name, SI: force_loop, moments and lost_motion over pitch; run and the two releases over time."""
    statics, gauge, servo = tests.statics, tests.gauge, tests.servo
    shares = {f"group_{group}": column for group, column in statics.by_group.items()}
    moment_columns = {
        "pitch": statics.pitch,
        "moment": statics.moment,
        **shares,
        "air": statics.air,
        "friction": statics.friction,
    }
    loop = {
        "pitch": gauge.pitch,
        "rod_force_up": gauge.up,
        "rod_force_down": gauge.down,
        "rod_force_static": statics.rod_force,
        "servo_force": statics.servo_force,
    }
    held = np.clip(np.searchsorted(servo.meter.time, servo.time, side="right") - 1, 0, None)
    course = {
        "time": servo.time,
        "command": servo.command_pitch,
        "servo_angle": servo.servo_angle,
        "pitch": servo.pitch,
        "rod_force": servo.rod_force,
        "motor_current": servo.motor_current,
        "supply_current": servo.supply_current,
        "meter": servo.meter.value[held],
        "spin": servo.spin,
    }
    angles = {"pitch": "angle", "command": "angle", "servo_angle": "angle"}
    return {
        "lost_motion": _free_play_curve(tests.free_play),
        "release_high": _release_curve(tests.release_high),
        "release_low": _release_curve(tests.release_low),
        "force_loop": Curves(loop, {name: angles.get(name, "force") for name in loop}),
        "moments": Curves(moment_columns, {name: angles.get(name, "moment") for name in moment_columns}),
        "run": Curves(
            course,
            {
                **{name: "current" for name in ("motor_current", "supply_current", "meter")},
                **angles,
                "time": "time",
                "rod_force": "force",
                "spin": "rotation",
            },
        ),
    }


def _free_play_curve(free_play: FreePlay) -> Curves:
    columns = {
        "pitch": free_play.pitch,
        "lost_motion": free_play.lost_motion,
        "seat_ratio": free_play.seat_ratio,
    }
    return Curves(columns, {"pitch": "angle", "lost_motion": "angle", "seat_ratio": "ratio"})


def _release_curve(release: Release) -> Curves:
    return Curves({"time": release.time, "pitch": release.pitch}, {"time": "time", "pitch": "angle"})
