"""How fast the stepper is against general stiff solvers on the same equations, as ratios taken in one run.

`python validation/benchmark_stepper.py [SCENARIO]` prints, at equal accuracy (0.5 % on peak force, holding force and
holding current, against a run at a fiftieth of the step), the time of scipy's LSODA and Radau with a compiled
right-hand side that calls the program's own laws, and with a plain numpy one, each as a multiple of the stepper's.

What differs, and why: general solvers need a smooth right-hand side, so for them friction is a steep tanh (the stepper
projects) and the position loop acts continuously; for this comparison the stepper, too, updates its loop every step.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from numba import njit
from scipy.integrate import solve_ivp

from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import Setup, build_setup
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import march as rec
from featherbench.plant.contact import contact_force
from featherbench.plant.loads import blade_moment, pitch_friction_limit
from featherbench.plant.march import Pace, Programme, march
from featherbench.plant.sizing import LARGEST_STEP
from featherbench.scenario import read
from featherbench.servo.motor import gear_friction_limit, winding_for
from featherbench.servo.position_loop import duty
from featherbench.servo.supply import supply_voltage

DEFAULT = Path(__file__).parents[1] / "scenarios" / "survey-3kg" / "plain.toml"
SETTLE, GO, END = 0.2, 1.2, 2.2
SLIP = 0.02
"""rad/s at which the smoothed friction is at 76 % of its limit; smaller is stiffer still."""


@njit(cache=True)
def smooth_rates(y, command, spin, plant):
    """d/dt of (current, motor speed, motor angle, output speed, output angle, pitch rate, pitch); SI."""
    motor, output, axis = plant.motor, plant.output, plant.pitch
    current, motor_speed, motor_angle, output_speed, output_angle, rate, pitch = y
    mesh = contact_force(motor_angle - output_angle, motor_speed - output_speed, plant.mesh)[0]
    made, arm = servo_rod_travel(output_angle, plant.linkage)
    asked, horn, _, slider = pitch_rod_travel(pitch, plant.linkage)
    rod = contact_force(made - asked, arm * output_speed - horn * rate, plant.joint)[0]
    turned = duty(command - output_angle, 0.0, plant.loop)
    volts = turned * supply_voltage(turned, current, plant.supply)
    out = np.empty(7)
    out[0] = (volts - motor.torque_constant * motor_speed - motor.resistance * current) / motor.inductance
    rub = gear_friction_limit(mesh, motor) * np.tanh(motor_speed / SLIP)
    out[1] = (motor.torque_constant * current - motor.viscous * motor_speed - mesh - rub) / motor.inertia
    out[2] = motor_speed
    rub = (output.friction + output.rod_friction * abs(arm)) * np.tanh(output_speed / SLIP)
    out[3] = (mesh - rod * arm - rub) / output.inertia
    out[4] = output_speed
    rub = pitch_friction_limit(spin, slider, axis) * np.tanh(rate / SLIP)
    moment = axis.blades * (blade_moment(pitch, spin, 0.0, plant.loads) - axis.damping * spin * rate)
    out[5] = (moment + rod * horn - rub) / axis.inertia
    out[6] = rate
    return out


def plain_rates(y, command, spin, plant):
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
    error = command - output_angle
    asks = np.sign(error) * np.maximum(np.abs(error) - 0.5 * plant.loop.dead_band, 0.0)
    turned = np.clip(asks / plant.loop.proportional_band, -1.0, 1.0)
    supply = plant.supply
    drawn = np.maximum(turned * current, 0.0) + supply.idle
    volts = turned * np.maximum(supply.voltage - supply.resistance * drawn, 0.0)
    grid = loads.first + np.arange(len(loads.values)) / loads.per_radian
    chord, normal, product, _, _, air = (
        np.interp(pitch, grid, loads.values[:, column]) for column in range(6)
    )
    moment = air * spin**2 - spin**2 * (
        (chord - normal) * np.sin(pitch) * np.cos(pitch) + product * np.cos(2 * pitch)
    )
    gear = (motor.coulomb + motor.load_friction * np.abs(mesh)) * np.tanh(motor_speed / SLIP)
    shaft = (output.friction + output.rod_friction * np.abs(arm)) * np.tanh(output_speed / SLIP)
    bearing = axis.blades * (
        axis.starting_moment + axis.load_moment * spin**2
    ) + axis.slider_friction * np.abs(slider)
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
                - bearing * np.tanh(rate / SLIP)
            )
            / axis.inertia,
            rate,
        ]
    )


def stepped(setup: Setup, target: float, step: float) -> tuple[float, np.ndarray]:
    """(seconds, findings) of the stepper: peak rod force, holding rod force, holding current."""
    plant = setup.plant
    count = max(1, round(1e-3 / step))
    step = 1e-3 / count
    record = np.zeros((round(END / 1e-3), rec.COLUMNS))
    programme = Programme(
        np.array([0.0, SETTLE, SETTLE]),
        np.array([0.0, 0.0, target]),
        np.zeros(1),
        np.array([float(setup.scenario.rotor.speed)]),
    )
    state = start_state(setup)
    winding = winding_for(plant.motor, step)
    begin = time.perf_counter()
    march(0.0, state, programme, plant, winding, Pace(step, 1, 1, count), record)
    spent = time.perf_counter() - begin
    tail = record[:, rec.TIME] > END - 0.3
    force = record[:, rec.ROD_FORCE]
    return spent, np.array([np.abs(force).max(), force[tail].mean(), record[tail, rec.MOTOR_CURRENT].mean()])


def solved(setup: Setup, target: float, method: str, tolerance: float, rates) -> tuple[float, np.ndarray]:
    """The same by scipy's `method`."""
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    y = np.zeros(7)
    scale = np.array([0.1, 10.0, 0.1, 10.0, 0.1, 10.0, 0.1])
    begin = time.perf_counter()
    pieces = []
    for start, stop, command in ((0.0, SETTLE, 0.0), (SETTLE, END, target)):
        result = solve_ivp(
            lambda _, value, command=command: rates(value, command, spin, plant),
            (start, stop),
            y,
            method=method,
            rtol=tolerance,
            atol=tolerance * scale * 1e-2,
            t_eval=np.arange(start, stop, 1e-3),
        )
        y = result.y[:, -1]
        pieces.append(result.y)
    spent = time.perf_counter() - begin
    course = np.hstack(pieces)
    force = np.array([_rod_force(column, plant) for column in course.T])
    return spent, np.array([np.abs(force).max(), force[-300:].mean(), course[0, -300:].mean()])


def _rod_force(y, plant) -> float:
    made, arm = servo_rod_travel(y[4], plant.linkage)
    asked, horn, _, _ = pitch_rod_travel(y[6], plant.linkage)
    return contact_force(made - asked, arm * y[3] - horn * y[5], plant.joint)[0]


def main() -> None:
    """Print the table."""
    setup = build_setup(read(sys.argv[1] if len(sys.argv) > 1 else DEFAULT, {"servo.damping": "0 ms"}))
    target = servo_angle_for(setup.scenario.rotor.pitch_range[1] * 0.8, setup.plant.linkage)
    stepped(setup, target, LARGEST_STEP)
    reference = stepped(setup, target, LARGEST_STEP / 50)[1]
    spent, found = min((stepped(setup, target, LARGEST_STEP) for _ in range(5)), key=lambda pair: pair[0])
    ours = np.abs(found / reference - 1.0).max()
    print(f"stepper: {END / spent:6.0f} x real time, energy audit included; largest error {ours:.2%}\n")
    print("solver   right-hand side   tolerance   x real time   error    stepper is faster by")
    smooth_rates(np.zeros(7), 0.0, 100.0, setup.plant)
    for method, label, rates in (
        ("LSODA", "compiled", smooth_rates),
        ("Radau", "compiled", smooth_rates),
        ("LSODA", "plain numpy", plain_rates),
    ):
        best = None
        for tolerance in (1e-2, 1e-3, 1e-4, 1e-5):
            cost, other = solved(setup, target, method, tolerance, rates)
            error = np.abs(other / reference - 1.0).max()
            print(
                f"{method:8s} {label:17s} {tolerance:9.0e} {END / cost:13.2f} {error:8.2%} {cost / spent:17.0f}"
            )
            if error <= 5e-3:
                best = cost / spent
                break
        verdict = f"{best:.0f} times" if best else "never within 0.5 % at these tolerances"
        print(f"{'':8s} -> at equal accuracy (0.5 %): {verdict}\n")


if __name__ == "__main__":
    main()
