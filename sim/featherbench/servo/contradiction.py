"""Refusal of a servo data sheet whose figures contradict each other, with the figures that do."""

from __future__ import annotations

from math import pi

from featherbench.scenario import Problem, ScenarioError
from featherbench.scenario.schema import Servo

ROUNDING = 1e-12
"""Of currents (A) and friction (N m): less than nothing by this much is nothing."""


def refuse_contradiction(
    servo: Servo, efficiency: float, friction: float, running: float, surplus: float
) -> None:
    """Raise ScenarioError when motor constants that follow from a sheet cannot be; the limits are in `_too_much_power`.

    efficiency of the gear train; friction N m, Coulomb, of gear train and output at the output; running A, current
    without load; surplus N m, of motor torque over friction while moving without load.
    """
    short = surplus * servo.transit_60 / (pi / 3.0) < -1e-9
    gear = friction - servo.output_friction
    reason = ""
    too_much = not (0.0 < efficiency <= 1.0) or running < -ROUNDING or friction < -ROUNDING
    if too_much or (short and servo.running_current is None):
        told = servo.gear_friction is not None
        counted = told or (servo.running_current is None and servo.gear_load_friction is None)
        reason = _too_much_power(servo, friction if counted else None)
    elif gear < -ROUNDING:
        reason = (
            f"output_friction, {servo.output_friction:.3g} N*m, no more than the {friction:.3g} N*m of friction that "
            "the other figures leave"
        )
    elif short:
        needs = friction / efficiency
        reason = (
            f"moving without load takes {needs:.3g} N*m at the motor by its friction, the unloaded current "
            f"brings only {needs + surplus:.3g} N*m: state less friction or more running_current"
        )
    if reason:
        raise ScenarioError([_problem(servo, efficiency, gear, running, reason)])


def _too_much_power(servo: Servo, friction: float | None) -> str:
    """What is wrong with a sheet that gives more power than it takes; friction N m at the output, as stated or assumed.

    Each way of `_solve` bounds stall torque x no-load speed by volts x stall amperes, less what its friction takes.
    """
    stall = servo.stall_current - servo.idle_current
    mechanical = servo.stall_torque * (pi / 3.0) / servo.transit_60
    less = 1.0
    named = []
    if servo.gear_load_friction is not None:
        less /= 1.0 + servo.gear_load_friction
        named.append(f"a gear efficiency of {less:.3g}")
    left = 1.0 if friction is None else servo.stall_torque / (servo.stall_torque + friction)
    if servo.running_current is not None:
        moving = 1.0 - (servo.running_current - servo.idle_current) / stall
        less *= moving * (moving if servo.gear_load_friction is None and friction is None else left)
        named.append("the unloaded current")
    else:
        less *= left * left
    if friction is not None:
        named.append(f"{friction:.3g} N*m of {'' if servo.gear_friction is not None else 'assumed '}friction")
    electrical = servo.voltage * stall
    given, allowed = _apart(mechanical, electrical * less)
    takers = f"{' and '.join(named)} take{'s' if len(named) == 1 else ''}"
    return (
        f"stall torque x no-load speed is {given} W, and {allowed} W is the most these figures allow (volts x stall "
        f"amperes, {electrical:.3g} W, less what {takers}); check that all of them were read in the same column of "
        f"the sheet{', or state gear_friction' if 'assumed' in takers else ''}. Of a brushless servo, and of one whose "
        'electronics limit its current, the sheet may well say so: write servo.drive = "brushless" or '
        '"current-limited"'
    )


def _apart(above: float, below: float) -> tuple[str, str]:
    """Two numbers, the first the larger, with as many digits as tell them apart (three at least)."""
    for digits in range(3, 12):
        texts = f"{above:.{digits}g}", f"{below:.{digits}g}"
        if texts[0] != texts[1]:
            break
    return texts


def _problem(servo: Servo, efficiency: float, gear: float, running: float, reason: str) -> Problem:
    return Problem(
        key="servo",
        given=f"stall {servo.stall_torque:.4g} N*m at {servo.stall_current:.4g} A and {servo.voltage:.4g} V, "
        f"60 deg in {servo.transit_60:.4g} s: gear efficiency {efficiency:.3g}, gear friction {gear:.3g} N*m, "
        f"unloaded current {running:.3g} A",
        expected="figures of one servo at one voltage, with efficiency between 0 and 1 and no negative "
        f"friction: {reason}",
    )
