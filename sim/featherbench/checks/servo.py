"""Does the servo have the torque, now and for long, and the supply the current."""

from __future__ import annotations

from featherbench.checks.check import Check
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import servo_rod_travel
from featherbench.studies.run import Run


def _held(run: Run) -> float:
    """Largest torque held at the end of a move, N m."""
    linkage = run.setup.plant.linkage
    low, high = run.scenario.rotor.pitch_range
    # blades that run away from an over-balanced servo may end where no servo angle belongs to: judge at the range's end
    ends = [min(max(leg.final_pitch, low), high) for leg in run.servo.legs]
    arms = [servo_rod_travel(servo_angle_for(end, linkage), linkage)[1] for end in ends]
    return max(abs(leg.rod_hold * arm) for leg, arm in zip(run.servo.legs, arms, strict=True))


def servo_checks(run: Run) -> tuple[Check, Check, Check]:
    """Torque against stall, torque held against continuous, supply current against the regulator."""
    limits, setup = run.scenario.limits, run.setup
    continuous, regulator = limits.servo_continuous_torque, limits.regulator_current
    return (
        Check(
            "servo torque against stall",
            "moment",
            run.servo.torque_peak,
            setup.drive.stall_torque(setup.plant.supply.voltage),
            "servo data sheet, at supply voltage",
        ),
        Check(
            "servo torque held against continuous",
            "moment",
            _held(run),
            continuous,
            "limits.servo_continuous_torque"
            if continuous is not None
            else "state limits.servo_continuous_torque",
        ),
        Check(
            "supply current against the regulator",
            "current",
            max(leg.peak for leg in run.servo.legs) + setup.plant.supply.idle,
            regulator,
            "limits.regulator_current" if regulator is not None else "state limits.regulator_current",
        ),
    )
