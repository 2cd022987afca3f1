"""The torque that a servo can give at its output under its supply: one answer for statics, checks and sliders.

A servo that is kept off its mark by more than its proportional band drives at full duty, and one that lacks torque
stands still there, so what it can give is what it gives standing at full duty. Up to three things bound the winding
current:

    (V - R_lead I_idle) / (R + R_lead)     the voltage, less its drop in the lead
    I_limit - I_idle                       a source that limits current: at full duty the lead carries all of it
    the drive's own limit                  at a smaller duty, so that the lead carries less than the winding

and the gear train takes its friction off, as of a servo that has to start (motor equation of `servo.motor` at rest):

    K i = tau_mesh + r (tau_c + mu_g tau_mesh),    available = tau_mesh - output friction

with r the breakaway ratio. At a limited source a smaller duty would feed the winding more (the drive steps the voltage
down and the current up), but a stalled servo never gets there: the smaller torque counts. Nor does a drive that limits
its current once its source does not give what that takes: it asks for full duty. The same either way round.
"""

from __future__ import annotations

from math import inf

from featherbench.servo.chopping import SLOW, Chopper, mean_currents, standing_duty
from featherbench.servo.motor import Motor
from featherbench.servo.supply import Supply

UNLIMITED = Chopper(0.0, SLOW, inf)


def full_duty_current(motor: Motor, supply: Supply, chopper: Chopper = UNLIMITED) -> float:
    """Winding current (A, magnitude) of a servo standing still where full duty is asked for; zero when the supply has
    none to give.
    """
    by_voltage = (supply.voltage - supply.resistance * supply.idle) / (motor.resistance + supply.resistance)
    fed = max(0.0, min(by_voltage, supply.limit - supply.idle))
    if chopper.limit >= by_voltage:
        return fed
    lead = standing_supply(chopper.limit, motor, chopper, supply)
    return chopper.limit if lead <= supply.limit - supply.idle else fed


def standing_supply(current: float, motor: Motor, chopper: Chopper, supply: Supply) -> float:
    """Supply current (A, idle off) of a motor that stands with a winding `current` (A); the lead sags with it."""
    volts = supply.voltage - supply.resistance * supply.idle
    drawn = 0.0
    for _ in range(20):
        duty = standing_duty(current, volts, motor, chopper)
        drawn = max(0.0, mean_currents(duty, 0.0, volts, motor, chopper)[1])
        before, volts = volts, max(1e-3, supply.voltage - supply.resistance * (drawn + supply.idle))
        if volts == before:  # found to the last digit
            break
    return drawn


def available_torque(
    motor: Motor, supply: Supply, output_friction: float, chopper: Chopper = UNLIMITED
) -> float:
    """Greatest torque (N m, either way, never negative) that the output gives from rest, its friction taken off.

    output_friction: N m, of the output's own bearing.
    """
    ratio = motor.breakaway_ratio
    drive = motor.torque_constant * full_duty_current(motor, supply, chopper)
    return max(0.0, (drive - ratio * motor.coulomb) / (1.0 + ratio * motor.load_friction) - output_friction)


def current_needed(torque: float, motor: Motor, output_friction: float) -> float:
    """Winding current (A) that starts the output against `torque` (N m): `available_torque` read backwards."""
    ratio = motor.breakaway_ratio
    mesh = torque + output_friction
    return (mesh * (1.0 + ratio * motor.load_friction) + ratio * motor.coulomb) / motor.torque_constant
