"""Data-sheet figures -> motor constants of a servo whose electronics limit the current of its winding.

Brushless servos do so, and brushed ones behind a drive that limits. At stall the drive goes back with its duty d until
the winding carries its limit I_lim and no more: the current in the lead is then what the winding's heat takes, less
than I_lim, and is not V / R. At the sheet's voltage V, with idle current already taken off:

    T_stall + tau = eta K I_lim          d V = R I_lim
    V I_stall = R I_lim^2 + V^2 G(d)     K omega_0 = V - R I_run          eta K I_run = tau + eta b omega_0

with tau, eta and b as in `servo.data_sheet`, G of `servo.chopping` and the stalled current that of the lead, as makers
measure it. A winding of three phases counts as the one of two ends that takes the same power at the same torque.
One more figure is needed than of a plain motor: the limit, or the gear train's efficiency.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from featherbench import quantities
from featherbench.scenario import Problem, ScenarioError
from featherbench.scenario.schema import Servo
from featherbench.servo.chopping import ripple

LOAD_FRICTION = 0.3
"""1/eta - 1 of an unstated gear train: three or four stages of 0.92 to 0.95 each give 0.17 to 0.40 (judgement)."""
TURNS = 100
"""Of the iteration for the torque constant; each makes its error some twenty times smaller."""


class LimitedSheet(NamedTuple):
    """constant N m/A and V s/rad; efficiency of the gear train; friction N m, Coulomb, at the output; running A,
    without load; resistance ohm; limit A, of the winding.
    """

    constant: float
    efficiency: float
    friction: float
    running: float
    resistance: float
    limit: float


def usual_load_friction(servo: Servo) -> float | None:
    """What is taken of the gear train's load friction where nothing says it; None where something does."""
    unsaid = servo.drive != "brushed" and servo.gear_load_friction is None and servo.current_limit is None
    return LOAD_FRICTION if unsaid else None


def limited_sheet(
    servo: Servo, unstated_friction: float, winding_time: float, period: float
) -> LimitedSheet | None:
    """The constants; None where the sheet's figures are those of a motor at full voltage, with no room for a limit.

    unstated_friction: N m, taken where neither friction nor running current is stated; winding_time: s, L / R where no
    inductance is stated; period: s, of the chopping.
    Raises ScenarioError for figures that contradict one another.
    """
    stall, speed = servo.stall_current - servo.idle_current, (pi / 3.0) / servo.transit_60
    _refuse_too_many(servo)
    constant, resistance = servo.voltage / speed, 0.0
    for _ in range(TURNS):
        found = _at(servo, constant, unstated_friction)
        if servo.inductance is not None:
            # of the resistance without ripple at first, then of the last one
            winding_time = servo.inductance / (resistance or servo.voltage * stall / found.limit**2)
        duty = _stalled_duty(min(1.0, stall / found.limit), period, winding_time)
        resistance = duty * servo.voltage / found.limit
        found = found._replace(resistance=resistance)
        before, constant = constant, (servo.voltage - resistance * found.running) / speed
        if constant <= 0.0 or abs(constant - before) <= 1e-14 * before:
            break
    if found.limit <= stall and servo.current_limit is None:
        return None
    _refuse_small_limit(servo, found, stall)
    return found._replace(constant=constant)


def _at(servo: Servo, constant: float, unstated_friction: float) -> LimitedSheet:
    """What the stated figures leave at a torque constant; resistance still 0."""
    torque, load = servo.stall_torque, servo.gear_load_friction
    running = None if servo.running_current is None else servo.running_current - servo.idle_current
    friction = None if servo.gear_friction is None else servo.gear_friction + servo.output_friction
    if friction is None and running is None:
        friction = unstated_friction
    limit = servo.current_limit
    if limit is None:
        efficiency = 1.0 / (1.0 + (LOAD_FRICTION if load is None else load))
        if friction is None:
            friction = efficiency * constant * float(running or 0.0)
        limit = (torque + friction) / (efficiency * constant)
    elif load is not None:
        efficiency = 1.0 / (1.0 + load)
        friction = efficiency * constant * limit - torque
    elif friction is not None:
        efficiency = (torque + friction) / (constant * limit)
    else:
        moving = float(running or 0.0)
        efficiency = torque / (constant * (limit - moving)) if limit > moving else float("inf")
        friction = efficiency * constant * moving
    if running is None:
        running = friction / (efficiency * constant)
    return LimitedSheet(constant, efficiency, friction, running, 0.0, limit)


def _stalled_duty(share: float, period: float, winding_time: float) -> float:
    """Duty at which the lead carries `share` (0..1) of what the stalled winding carries; without ripple it is that."""
    from scipy.optimize import brentq

    periods = period / winding_time
    return float(brentq(lambda duty: duty + ripple(duty, periods) / duty - share, 1e-9, 1.0, xtol=1e-13))


def _refuse_too_many(servo: Servo) -> None:
    """Limit, efficiency and friction say one thing twice."""
    load, limit = servo.gear_load_friction, servo.current_limit
    third = "gear_friction" if servo.gear_friction is not None else "running_current"
    if load is None or limit is None or getattr(servo, third) is None:
        return
    raise ScenarioError(
        [
            Problem(
                key="servo.current_limit",
                given=quantities.text(limit, "current"),
                expected=f"one of current_limit, gear_load_friction and {third} left out: with stall torque, speed "
                "and stall current, two of the three fix the servo",
            )
        ]
    )


def _refuse_small_limit(servo: Servo, found: LimitedSheet, stall: float) -> None:
    """A limit below what stall torque or stall current take."""
    if found.limit > stall and 0.0 < found.efficiency <= 1.0 and found.friction >= 0.0:
        return
    least = max(stall, (servo.stall_torque + max(found.friction, 0.0)) / found.constant)
    raise ScenarioError(
        [
            Problem(
                key="servo.current_limit",
                given=quantities.text(found.limit, "current"),
                expected=f"more than {quantities.text(least, 'current')}: the winding of a limited drive carries more "
                "than the lead does at stall, and no less than gives the stall torque through gears without loss at "
                "that no-load speed. The limit is that of the winding; the supply's own is supply.limit",
            )
        ]
    )
