"""What a servo's own two-minute test would read: a known weight on the arm, held up, held down, stalled; and its speed.

The arm stands level with a weight m g at radius r. Lifted to the mark and stopped, the gear train's friction still
works against the motor: the upper edge of the holding band. Let down to the mark, it works with it: the lower edge,
where many servos draw nothing. Stalled, full duty stands on the winding. Timed without load through 60 degrees, all
torque goes into friction:

    K i = (tau_c + b omega) + (1 + mu_g) tau_out,     V - R_lead (i + i_idle) = R i + K omega

The same laws as statics and stepper; what a meter in the lead reads, idle current in it.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from featherbench.servo.available_torque import full_duty_current, standing_supply
from featherbench.servo.data_sheet import ServoDrive
from featherbench.servo.motor import holding_band
from featherbench.servo.supply import Supply


class ServoTest(NamedTuple):
    """Readings: held_up, held_down, stalled A, of the supply, idle in it; transit s, through 60 deg without load, speed
    reached from the start. down_falls: whether a servo without current lets this weight down.
    """

    held_up: float
    held_down: float
    stalled: float
    transit: float
    down_falls: bool


def servo_test(drive: ServoDrive, supply: Supply, torque: float) -> ServoTest:
    """Predicted readings with a weight that makes `torque` (N m) at the output.

    Raises ValueError for a torque below zero, or one that the servo cannot lift under this supply.
    """
    most = drive.available_torque(supply)
    if not 0.0 <= torque <= most:
        raise ValueError(
            f"a torque of {torque:g} N m, and this servo lifts 0 to {most:.3g} N m under this supply"
        )
    up = holding_band(torque + drive.output_friction, drive.motor)[1]
    down = holding_band(max(0.0, torque - drive.output_friction), drive.motor)[0]
    return ServoTest(
        held_up=held_supply(drive, supply, up) + supply.idle,
        held_down=held_supply(drive, supply, max(0.0, down)) + supply.idle,
        stalled=held_supply(drive, supply, full_duty_current(drive.motor, supply, drive.chopper))
        + supply.idle,
        transit=(pi / 3.0) / no_load_speed(drive, supply),
        down_falls=down > 0.0,
    )


def held_supply(drive: ServoDrive, supply: Supply, current: float) -> float:
    """Supply current (A, idle off) of a servo that stands with a winding `current` (A); the lead sags with it."""
    return standing_supply(current, drive.motor, drive.chopper, supply)


def no_load_speed(drive: ServoDrive, supply: Supply) -> float:
    """Speed (rad/s) of the unloaded output at full duty; raises ValueError when friction alone stops it."""
    motor = drive.motor
    friction = motor.coulomb + (1.0 + motor.load_friction) * drive.output_friction
    ohms = motor.resistance + supply.resistance
    volts = supply.voltage - supply.resistance * supply.idle
    speed = (volts - ohms * friction / motor.torque_constant) / (
        motor.torque_constant + ohms * motor.viscous / motor.torque_constant
    )
    if speed <= 0.0:
        raise ValueError("friction alone stops this servo under this supply")
    return float(speed)
