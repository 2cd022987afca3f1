"""The torque that a servo can give at its output under its supply: one answer for statics, checks and sliders.

A servo that is kept off its mark by more than its proportional band drives at full duty, and one that lacks torque
stands still there, so what it can give is what it gives standing at full duty. Two things bound the winding current:

    (V - R_lead I_idle) / (R + R_lead)     the voltage, less its drop in the lead
    I_limit - I_idle                       a source that limits current: at full duty the lead carries all of it

and the gear train takes its friction off, as of a servo that has to start (motor equation of `servo.motor` at rest):

    K i = tau_mesh + r (tau_c + mu_g tau_mesh),    available = tau_mesh - output friction

with r the breakaway ratio. At a limited source a smaller duty would feed the winding more (the drive steps the voltage
down and the current up), but a stalled servo never gets there: the smaller torque counts. The same either way round.
"""

from __future__ import annotations

from featherbench.servo.motor import Motor
from featherbench.servo.supply import Supply


def full_duty_current(motor: Motor, supply: Supply) -> float:
    """Winding current (A, magnitude) of a servo standing still at full duty; zero when the supply has none to give."""
    by_voltage = (supply.voltage - supply.resistance * supply.idle) / (motor.resistance + supply.resistance)
    return max(0.0, min(by_voltage, supply.limit - supply.idle))


def available_torque(motor: Motor, supply: Supply, output_friction: float) -> float:
    """Greatest torque (N m, either way, never negative) that the output gives from rest, its friction taken off.

    output_friction: N m, of the output's own bearing.
    """
    ratio = motor.breakaway_ratio
    drive = motor.torque_constant * full_duty_current(motor, supply)
    return max(0.0, (drive - ratio * motor.coulomb) / (1.0 + ratio * motor.load_friction) - output_friction)


def current_needed(torque: float, motor: Motor, output_friction: float) -> float:
    """Winding current (A) that starts the output against `torque` (N m): `available_torque` read backwards."""
    ratio = motor.breakaway_ratio
    mesh = torque + output_friction
    return (mesh * (1.0 + ratio * motor.load_friction) + ratio * motor.coulomb) / motor.torque_constant
