"""Data-sheet figures -> motor constants, exact at the stated points.

At the sheet's voltage V, with idle current already taken off and friction counted once, in the gear train:

    R = V / I_stall                        K omega_0 = V - R I_run
    T_stall + tau = eta K I_stall          eta K I_run = tau + eta b omega_0

tau is the Coulomb friction of gear train and output together, at the output; mu_g = 1/eta - 1; b is a
speed-proportional loss that is needed only when more is stated than Coulomb friction can meet.
Standard brushed-motor algebra; nothing in it is fitted. A servo whose electronics set its stall current is read in
`servo.limited_sheet`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

from featherbench import quantities
from featherbench.scenario import Assumed, Problem, ScenarioError
from featherbench.scenario.schema import Servo
from featherbench.servo.available_torque import available_torque
from featherbench.servo.chopping import Chopper
from featherbench.servo.contradiction import refuse_contradiction
from featherbench.servo.limited_sheet import LimitedSheet, limited_sheet, usual_load_friction
from featherbench.servo.motor import Motor
from featherbench.servo.supply import Supply
from featherbench.servo.usual_chopping import chopper_of

FRICTION_SHARE = 0.04
"""Coulomb friction of an unstated gear train as a share of stall torque (common practice, no source)."""
ROTOR_TIME_CONSTANT = 0.005
"""Mechanical time constant R J / K^2 of an unstated motor, s (small brushed motors: 2 to 10 ms)."""
WINDING_TIME_CONSTANT = 60e-6
"""L / R of an unstated winding, s (small brushed motors: 20 to 100 us)."""
TRAIN_WINDUP = 2.0 * pi / 180.0
"""Angle by which stall torque winds up an unstated gear train, rad (common practice, no source)."""


@dataclass(frozen=True)
class ServoDrive:
    """A servo as the plant needs it: SI, at the output shaft.

    efficiency is eta at the mesh, excluding Coulomb friction; output_friction N m, of the output's own bearing;
    running_current A without load, idle taken off; gear_stiffness N m/rad and gear_play rad peak to peak at the
    output.
    """

    motor: Motor
    efficiency: float
    output_friction: float
    running_current: float
    stall_current: float
    gear_stiffness: float
    gear_play: float
    chopper: Chopper
    assumed: tuple[Assumed, ...]

    @property
    def holds_unpowered(self) -> bool:
        """True when load friction alone stops the load from turning the train (eta <= 0.5)."""
        return self.motor.load_friction >= 1.0

    def stall_torque(self, voltage: float) -> float:
        """Torque (N m) at which the moving output is brought to a stop at `voltage` (V), all friction taken off.

        Exactly the sheet's at the sheet's voltage; of a source without resistance or limit.
        """
        sliding = self.motor._replace(breakaway_ratio=1.0)
        return available_torque(sliding, Supply(voltage, 0.0, inf, 0.0), self.output_friction, self.chopper)

    def available_torque(self, supply: Supply) -> float:
        """Greatest torque (N m) that the output gives from rest under `supply`: see `servo.available_torque`."""
        return available_torque(self.motor, supply, self.output_friction, self.chopper)


def servo_drive(servo: Servo) -> ServoDrive:
    """Motor constants from data-sheet figures.

    Raises ScenarioError when the figures contradict each other, with the numbers that do.
    """
    assumed: list[Assumed] = []
    stall = servo.stall_current - servo.idle_current
    chopper = chopper_of(servo, assumed)
    found = _limited(servo, chopper, assumed)
    resistance, limit = servo.voltage / stall, inf
    if found is None:
        speed = (pi / 3.0) / servo.transit_60
        constant, efficiency, total, running = _solve(servo, stall, resistance, speed, assumed)
    else:
        constant, efficiency, total, running, resistance, limit = found
    gear = total - servo.output_friction
    surplus = constant * running - (total / efficiency if efficiency > 0.0 else 0.0)
    refuse_contradiction(servo, efficiency, total, running, surplus)
    viscous = surplus * servo.transit_60 / (pi / 3.0)
    if servo.idle_current > 0.0:
        assumed.append(
            Assumed(
                "servo.idle_current",
                f"{servo.idle_current * 1e3:.3g} mA",
                "taken off stall_current and running_current before the motor constants are formed",
            )
        )
    inertia = _rotor_inertia(servo, constant, resistance, assumed)
    motor = Motor(
        resistance=float(resistance),
        inductance=_inductance(servo, resistance, assumed),
        torque_constant=float(constant),
        inertia=float(inertia),
        coulomb=float(max(gear, 0.0) / efficiency),
        load_friction=float(1.0 / efficiency - 1.0),
        viscous=float(max(viscous, 0.0)),
        breakaway_ratio=float(servo.breakaway_ratio),
    )
    return ServoDrive(
        motor=motor,
        efficiency=efficiency,
        output_friction=servo.output_friction,
        running_current=running,
        stall_current=stall,
        gear_stiffness=_gear_stiffness(servo, assumed),
        gear_play=servo.gear_play,
        chopper=chopper._replace(limit=float(limit)),
        assumed=tuple(assumed),
    )


def _limited(servo: Servo, chopper: Chopper, assumed: list[Assumed]) -> LimitedSheet | None:
    """The constants of a drive that limits its current; None of one that does not."""
    if servo.drive == "brushed":
        if servo.current_limit is not None:
            raise ScenarioError([_needs_drive(servo)])
        return None
    if servo.decay != "slow":
        why = f'"slow": what is {servo.drive} is taken to short its winding between pulses (servo.drive)'
        raise ScenarioError([Problem(key="servo.decay", given=servo.decay, expected=why)])
    if servo.inductance == 0.0:
        why = "more than 0 of a drive that limits its current by chopping (servo.drive), or left out"
        raise ScenarioError([Problem(key="servo.inductance", given="0 uH", expected=why)])
    unstated = FRICTION_SHARE * servo.stall_torque + servo.output_friction
    found = limited_sheet(servo, unstated, WINDING_TIME_CONSTANT, chopper.period)
    if found is None:
        words = "as of a motor at full voltage: torque and speed leave no room for a limit above the stall current"
        assumed.append(Assumed("servo.drive", "brushed", words))
        return None
    load = usual_load_friction(servo)
    if load is not None:
        words = (
            "a gear train of three or four stages (judgement): with stall torque and speed it says the limit"
        )
        assumed.append(Assumed("servo.gear_load_friction", f"{load:g}", words))
    if servo.current_limit is None:
        words = "that gives the stall torque through this gear train; the winding carries it, the lead less"
        assumed.append(Assumed("servo.current_limit", quantities.text(found.limit, "current"), words))
    if servo.gear_friction is None and servo.running_current is None:
        _assume_gear_friction(servo, assumed)
    return found


def _needs_drive(servo: Servo) -> Problem:
    return Problem(
        key="servo.current_limit",
        given=quantities.text(float(servo.current_limit or 0.0), "current"),
        expected='servo.drive = "brushless" or "current-limited" beside it; the limit of the supply is supply.limit',
    )


def _assume_gear_friction(servo: Servo, assumed: list[Assumed]) -> None:
    words = f"{100.0 * FRICTION_SHARE:g} % of stall torque, since neither running_current nor gear_friction is given"
    assumed.append(Assumed("servo.gear_friction", f"{FRICTION_SHARE * servo.stall_torque:.3g} N*m", words))


def _solve(
    servo: Servo, stall: float, resistance: float, speed: float, assumed: list[Assumed]
) -> tuple[float, float, float, float]:
    """(torque constant, efficiency, Coulomb friction at the output, running current) from what is stated."""
    torque = servo.stall_torque
    friction = None if servo.gear_friction is None else servo.gear_friction + servo.output_friction
    load = servo.gear_load_friction
    if servo.running_current is not None:
        return _solve_with_running(servo, stall, resistance, speed, friction)
    if load is None:
        if friction is None:
            friction = FRICTION_SHARE * torque + servo.output_friction
            _assume_gear_friction(servo, assumed)
        running = friction * stall / (torque + friction)
        constant = (servo.voltage - resistance * running) / speed
        return constant, (torque + friction) / (constant * stall), friction, running
    efficiency = 1.0 / (1.0 + load)
    if friction is None:
        constant = sqrt(torque * resistance / (efficiency * speed))
        running = stall - constant * speed / resistance
        return constant, efficiency, efficiency * constant * running, running
    constant = (torque + friction) / (efficiency * stall)
    running = (servo.voltage - constant * speed) / resistance
    assumed.append(
        Assumed(
            "servo.running_current",
            f"{running:.3g} A",
            "what stall torque, speed, stall current and both gear frictions leave for moving without load; "
            "what Coulomb friction does not explain is taken as a loss proportional to speed",
        )
    )
    return constant, efficiency, friction, running


def _solve_with_running(
    servo: Servo, stall: float, resistance: float, speed: float, friction: float | None
) -> tuple[float, float, float, float]:
    """The same when the sheet also states the current of the unloaded, moving servo."""
    if servo.running_current is None:  # pragma: no cover - the caller has checked
        raise ValueError("running_current is not given")
    running = servo.running_current - servo.idle_current
    constant = (servo.voltage - resistance * running) / speed
    if servo.gear_load_friction is not None and friction is not None:
        raise ScenarioError(
            [
                Problem(
                    key="servo.gear_load_friction",
                    given=f"{servo.gear_load_friction:g}",
                    expected="one of running_current, gear_friction and gear_load_friction left out: with stall "
                    "torque, speed and stall current, two of the three fix the servo",
                )
            ]
        )
    if servo.gear_load_friction is not None:
        efficiency = 1.0 / (1.0 + servo.gear_load_friction)
        return constant, efficiency, efficiency * constant * stall - servo.stall_torque, running
    if friction is not None:
        return constant, (servo.stall_torque + friction) / (constant * stall), friction, running
    efficiency = servo.stall_torque / (constant * (stall - running)) if stall > running else float("inf")
    return constant, efficiency, efficiency * constant * running, running


def _rotor_inertia(servo: Servo, constant: float, resistance: float, assumed: list[Assumed]) -> float:
    """Motor inertia reflected to the output, kg m^2."""
    if servo.rotor_inertia is not None:
        return servo.rotor_inertia * servo.gear_ratio**2
    reflected = ROTOR_TIME_CONSTANT * constant**2 / resistance
    assumed.append(
        Assumed(
            "servo.rotor_inertia",
            f"{reflected / servo.gear_ratio**2 * 1e9:.3g} g*mm^2",
            f"a motor time constant of {ROTOR_TIME_CONSTANT * 1e3:g} ms; matters for starting and braking only",
        )
    )
    return reflected


def _inductance(servo: Servo, resistance: float, assumed: list[Assumed]) -> float:
    if servo.inductance is not None:
        return float(servo.inductance)
    inductance = WINDING_TIME_CONSTANT * resistance
    assumed.append(
        Assumed(
            "servo.inductance",
            f"{inductance * 1e6:.3g} uH",
            f"a winding time constant of {WINDING_TIME_CONSTANT * 1e6:g} us; with the chopping rate it sets how "
            "far the supply current of a hold lies above duty x winding current",
        )
    )
    return float(inductance)


def _gear_stiffness(servo: Servo, assumed: list[Assumed]) -> float:
    if servo.gear_stiffness is not None:
        return float(servo.gear_stiffness)
    stiffness = servo.stall_torque / TRAIN_WINDUP
    assumed.append(
        Assumed(
            "servo.gear_stiffness",
            f"{stiffness:.3g} N*m/rad",
            "stall torque winds the gear train up by 2 deg (common practice, no source)",
        )
    )
    return float(stiffness)
