"""Does the servo have the torque, now and for long, does it get there, and has the supply the current."""

from __future__ import annotations

from dataclasses import replace
from math import degrees

import numpy as np

from featherbench.bench.legs import Ending, Leg
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.checks.bolt_joint import fastest
from featherbench.checks.check import Check, not_checked
from featherbench.checks.within import worse_of
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import servo_rod_travel
from featherbench.studies.run import Run

TORQUE = "servo torque over the stroke"
ARRIVAL = "servo travel under load"
CONTINUOUS = "servo torque held against continuous"
SUPPLY = ", supply too small"
"""Ends the name of what the servo could do with the voltage of its data sheet and enough current."""
WELL = 0.8
"""Of that torque, below which a servo that stalls is short of supply (engineering judgement)."""
REGULATOR = "supply current against the regulator"


def servo_checks(run: Run, *, within: bool = True) -> tuple[Check, ...]:
    """Torque over the stroke; travel made, where a move stalls; torque held for long; the supply's current.

    within: the torque at the top of the rotor speed's tolerance counts, where it fails there.
    """
    stalled = [leg for leg in run.servo.legs if leg.ending is Ending.STALLED]
    return (
        _torque(run, within),
        *([_travel(run, stalled)] if stalled else []),
        _continuous(run),
        _regulator(run),
    )


def _torque(run: Run, within: bool) -> Check:
    """As written; where that holds, at the top of the speed's tolerance."""
    top = fastest(run.scenario)
    check = _torque_at(run, top)
    half = run.scenario.source.tolerances.get("rotor.speed", 0.0)
    if not (within and half):
        return check
    faster = _torque_at(run, top + half)
    # what fails there alone may fail for want of supply, under a longer name: it is the same check
    found = worse_of(check, [replace(faster, name=check.name)])
    return replace(found, name=faster.name) if found.within else found


def _torque_at(run: Run, speed: float) -> Check:
    """By the statics at that speed, or a larger peak of the run itself."""
    same = speed == float(run.scenario.rotor.speed)
    statics = run.statics if same else static_curves(run.setup, speed, groups=False)
    return stroke_torque(run.setup, statics, run.servo.torque_peak)


def stroke_torque(setup: Setup, statics: StaticCurves, peak: float = 0.0) -> Check:
    """What the job needs of the servo, from standing still, friction included, against what it can give.

    statics: the load at every pitch of the range, taken the harder way; peak: of a run, N m, which counts if larger.
    """
    worst = int(np.argmax(statics.servo_torque))
    needed, section = (
        float(statics.servo_torque[worst]),
        f"from rest at {degrees(statics.pitch[worst]):.1f} deg of pitch",
    )
    if peak > needed:
        needed, section = peak, "peak of the moves"
    given = setup.drive.available_torque(setup.plant.supply)
    name = TORQUE + (SUPPLY if given < needed <= _well_supplied(setup) else "")
    return Check(name, "moment", needed, given, _given_by(setup), section)


def _well_supplied(setup: Setup) -> float:
    """Torque of the servo at its data sheet's voltage, nothing lost in the lead and no limit, N m."""
    supply, sheet = setup.plant.supply, float(setup.scenario.servo.voltage)
    best = supply._replace(limit=float("inf"), resistance=0.0, voltage=max(sheet, supply.voltage))
    return setup.drive.available_torque(best)


def _given_by(setup: Setup) -> str:
    supply = setup.plant.supply
    unlimited = supply._replace(limit=float("inf"))
    drive = setup.drive
    if drive.available_torque(supply) < drive.available_torque(unlimited):
        return "servo data sheet, held down by supply.limit"
    return "servo data sheet, at supply voltage less the drop in the lead"


def _travel(run: Run, stalled: list[Leg]) -> Check:
    """Of the moves that stalled, the one that made the least of its way: pitch it had to travel, and travelled."""
    starts = _starts(run)
    travel_required = [
        max(abs(leg.target - starts[leg.start]), abs(leg.target - leg.final_pitch)) for leg in stalled
    ]
    travel_given = [
        max(0.0, way - abs(leg.target - leg.final_pitch))
        for leg, way in zip(stalled, travel_required, strict=True)
    ]
    least = min(
        range(len(stalled)), key=lambda index: travel_given[index] / max(travel_required[index], 1e-12)
    )
    leg = stalled[least]
    section = f"the move to {degrees(leg.target):.1f} deg, stopped at {degrees(leg.final_pitch):.1f} deg"
    short = run.setup.drive.available_torque(run.setup.plant.supply) < WELL * _well_supplied(run.setup)
    return Check(
        ARRIVAL + (SUPPLY if short else ""),
        "angle",
        travel_required[least],
        travel_given[least],
        "where the servo stalls in the run",
        section,
    )


def _starts(run: Run) -> dict[float, float]:
    """Pitch (rad) at which each leg began, by its start (s)."""
    low, high = run.scenario.rotor.pitch_range
    pitch, starts = min(max(0.0, low), high), {}
    for leg in run.servo.legs:
        starts[leg.start] = pitch
        pitch = leg.final_pitch
    return starts


def _continuous(run: Run) -> Check:
    continuous = run.scenario.limits.servo_continuous_torque
    if continuous is None:
        return not_checked(CONTINUOUS, "moment", "state limits.servo_continuous_torque", _held(run))
    return Check(CONTINUOUS, "moment", _held(run), continuous, "limits.servo_continuous_torque")


def _held(run: Run) -> float:
    """Largest torque held at the end of a move, N m; of one that stalled, what holding its mark would take."""
    linkage, statics = run.setup.plant.linkage, run.statics
    low, high = run.scenario.rotor.pitch_range
    torques = []
    for leg in run.servo.legs:
        # blades that overpower the servo may end where no servo angle belongs to: judge at the range's end
        end = min(max(leg.final_pitch, low), high)
        torques.append(abs(leg.rod_hold * servo_rod_travel(servo_angle_for(end, linkage), linkage)[1]))
        if leg.ending is Ending.STALLED:
            arm = servo_rod_travel(servo_angle_for(leg.target, linkage), linkage)[1]
            torques.append(abs(float(np.interp(leg.target, statics.pitch, statics.rod_force)) * arm))
    return max(torques)


def _regulator(run: Run) -> Check:
    """The highest instant counts, starts and reversals too: a regulator that limits then takes the servo's voltage."""
    drawn = run.servo.raw_peak + run.setup.plant.supply.idle
    regulator = run.scenario.limits.regulator_current
    section = "highest instant of the moves, starting and reversing included"
    if regulator is None:
        return not_checked(REGULATOR, "current", "state limits.regulator_current", drawn)
    return Check(REGULATOR, "current", drawn, regulator, "limits.regulator_current", section)
