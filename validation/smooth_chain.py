"""The servo chain's equations with friction smoothed, for general solvers: from the program's laws, and in plain numpy.

State: current, motor speed, motor angle, output speed, output angle, pitch rate, pitch; SI, as in `plant.state`.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.contact import contact_force
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.servo.chopping import ripple_conductance
from featherbench.servo.motor import gear_friction_limit
from featherbench.servo.position_loop import duty
from featherbench.servo.supply import supply_voltage

FREQUENCY = 3.0
"""Hz, of the sine."""


@njit(cache=True)
def smooth_rates(y, share, spin, plant, slip):
    """d/dt of (current, motor speed and angle, output speed and angle, pitch rate, pitch) at duty `share`; SI."""
    motor, output, axis = plant.motor, plant.output, plant.pitch
    current, motor_speed, motor_angle, output_speed, output_angle, rate, pitch = y
    mesh = contact_force(motor_angle - output_angle, motor_speed - output_speed, plant.mesh)[0]
    made, arm = servo_rod_travel(output_angle, plant.linkage)
    asked, horn, _, slider = pitch_rod_travel(pitch, plant.linkage)
    rod = contact_force(made - asked, arm * output_speed - horn * rate, plant.joint)[0]
    conductance = ripple_conductance(share, motor, plant.chopper)
    volts = share * supply_voltage(share, current, plant.supply, conductance)
    out = np.empty(7)
    out[0] = (volts - motor.torque_constant * motor_speed - motor.resistance * current) / motor.inductance
    rub = gear_friction_limit(mesh, motor) * np.tanh(motor_speed / slip)
    out[1] = (motor.torque_constant * current - motor.viscous * motor_speed - mesh - rub) / motor.inertia
    out[2] = motor_speed
    along = output.rod_friction + output.load_share * abs(rod)
    rub = (output.friction + along * abs(arm)) * np.tanh(output_speed / slip)
    out[3] = (mesh - rod * arm - rub) / output.inertia
    out[4] = output_speed
    rub = pitch_friction_limit(spin, slider, axis, rod * horn) * np.tanh(rate / slip)
    moment = axis.blades * (blade_moment(pitch, spin, 0.0, plant.loads) - axis.damping * spin * rate)
    out[5] = (moment + rod * horn - rub) / axis.inertia
    out[6] = rate
    return out


def plain_rates(y, share, spin, plant, slip):
    """The same equations in plain numpy, as one would first write them."""
    motor, output, axis, loads, link = plant.motor, plant.output, plant.pitch, plant.loads, plant.linkage
    current, motor_speed, motor_angle, output_speed, output_angle, rate, pitch = y

    def contact(offset, closing, law):
        depth = np.abs(offset) - law.half_play
        side = np.sign(offset)
        grip = np.minimum(depth / law.fade, 1.0)
        return np.where(
            depth > 0.0,
            side * np.maximum(0.0, law.stiffness * depth + law.damping * grip * closing * side),
            0.0,
        )

    def tilt(offset, slope, length):
        if np.isinf(length):
            return 0.0, 0.0
        span = np.sqrt(length**2 - offset**2)
        return length - span, offset * slope / span

    sine, cosine = np.sin(output_angle + link.arm_neutral), np.cos(output_angle + link.arm_neutral)
    short, steep = tilt(link.servo_arm * (link.arm_cosine - cosine), link.servo_arm * sine, link.rod_length)
    made, arm = link.servo_arm * (sine - link.arm_sine) - short, link.servo_arm * cosine - steep
    sine, cosine = np.sin(pitch + link.horn_neutral), np.cos(pitch + link.horn_neutral)
    short, steep = tilt(link.horn_arm * (link.horn_cosine - cosine), link.horn_arm * sine, link.pitch_link)
    travel, slider = link.horn_arm * (sine - link.horn_sine) + short, link.horn_arm * cosine + steep
    asked, horn = travel, slider
    if link.has_lever:
        ratio = link.lever_in / link.lever_out
        lever_sine = link.lever_sine + travel / link.lever_out
        lever_cosine = np.sqrt(1.0 - lever_sine**2)
        short, steep = tilt(
            link.lever_in * (link.lever_cosine - lever_cosine),
            ratio * slider * lever_sine / lever_cosine,
            link.rod_length,
        )
        asked, horn = ratio * travel + short, ratio * slider + steep
    asked, horn = link.sign * asked, link.sign * horn
    mesh = contact(motor_angle - output_angle, motor_speed - output_speed, plant.mesh)
    rod = contact(made - asked, arm * output_speed - horn * rate, plant.joint)
    supply = plant.supply
    conductance = ripple_conductance(share, motor, plant.chopper)
    sagged = (supply.voltage - supply.resistance * (share * current + supply.idle)) / (
        1.0 + supply.resistance * conductance
    )
    rested = supply.voltage - supply.resistance * supply.idle
    volts = share * np.where(share * current + conductance * sagged < 0.0, rested, sagged)
    grid = loads.first + np.arange(len(loads.values)) / loads.per_radian
    chord, normal, product, _, _, air = (
        np.interp(pitch, grid, loads.values[:, column]) for column in range(6)
    )
    moment = air * spin**2 - spin**2 * (
        (chord - normal) * np.sin(pitch) * np.cos(pitch) + product * np.cos(2 * pitch)
    )
    gear = (motor.coulomb + motor.load_friction * np.abs(mesh)) * np.tanh(motor_speed / slip)
    along = output.rod_friction + output.load_share * np.abs(rod)
    shaft = (output.friction + along * np.abs(arm)) * np.tanh(output_speed / slip)
    bearing = axis.blades * (
        axis.starting_moment + axis.load_moment * spin**2
    ) + axis.slider_friction * np.abs(slider)
    bearing += axis.load_share * np.abs(rod * horn)
    return np.array(
        [
            (volts - motor.torque_constant * motor_speed - motor.resistance * current) / motor.inductance,
            (motor.torque_constant * current - motor.viscous * motor_speed - mesh - gear) / motor.inertia,
            motor_speed,
            (mesh - rod * arm - shaft) / output.inertia,
            output_speed,
            (
                axis.blades * (moment - axis.damping * spin * rate)
                + rod * horn
                - bearing * np.tanh(rate / slip)
            )
            / axis.inertia,
            rate,
        ]
    )


@njit(cache=True)
def sine_duty(y, t, reach, loop):
    """Duty of a continuous loop that follows a sine of amplitude `reach` (rad at the servo)."""
    return duty(reach * np.sin(2.0 * np.pi * FREQUENCY * t) - y[4], 0.0, loop)
