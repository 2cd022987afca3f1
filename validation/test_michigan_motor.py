"""The motor's winding and speed equations against two university worked examples.

Source: Control Tutorials (University of Michigan, Carnegie Mellon), DC motor speed and DC motor position pages (F2,
read in copies); step figures by python-control (RAN), on our own time grid. Viscous
friction b is the tutorials' only loss.
"""

import control
import numpy as np
import pytest
from numba import njit

from featherbench.servo.motor import Motor, advance_current, winding_for
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="university motor tutorials",
    uncertainty="Three printed figures",
)


@njit
def _speed_step(motor, winding, step, steps, volts):
    current, speed = 0.0, 0.0
    course = np.zeros(steps)
    for count in range(steps):
        current, mean, _ = advance_current(current, volts, speed, motor, winding)
        speed = (motor.inertia * speed + step * motor.torque_constant * mean) / (
            motor.inertia + step * motor.viscous
        )
        course[count] = speed
    return course


@njit
def _position_step(motor, winding, step, steps):
    """Unit step of the loop closed with unit gain: volts = 1 - angle."""
    current, speed, angle = 0.0, 0.0, 0.0
    course = np.zeros(steps)
    for count in range(steps):
        current, mean, _ = advance_current(current, 1.0 - angle, speed, motor, winding)
        speed = (motor.inertia * speed + step * motor.torque_constant * mean) / (
            motor.inertia + step * motor.viscous
        )
        angle += step * speed
        course[count] = angle
    return course


def _settling(course, step, band=0.02):
    final = course[-1]
    outside = np.flatnonzero(np.abs(course - final) > band * abs(final))
    return (outside[-1] + 1) * step


def test_motor_speed_example():
    motor = Motor(1.0, 0.5, 0.01, 0.01, 0.0, 0.0, 0.1, 1.0)
    step = 1e-4
    course = _speed_step(motor, winding_for(motor, step), step, 60_000, 1.0)
    source = "Control Tutorials, DC motor speed (J .01, b .1, K .01, R 1, L .5)"
    check(source, "D", "steady speed at 1 V, rad/s", 0.0999001, course[-1], 1e-4, "closed form")
    check(source, "F2", "2 % settling time, s", 2.07, _settling(course, step), 0.005, "three printed figures")
    system = control.tf([0.01], [0.01 * 0.5, 0.01 * 1.0 + 0.1 * 0.5, 0.1 * 1.0 + 0.01**2])
    time = step * (np.arange(60_000) + 1)
    reference = control.step_response(system, time).outputs
    check(
        source,
        "RAN",
        "largest departure from python-control's step, rad/s",
        0.0,
        np.abs(course - reference).max(),
        1e-4,
        "first-order step of 0.1 ms",
        relative=False,
    )


def test_motor_position_example():
    motor = Motor(4.0, 2.75e-6, 0.0274, 3.2284e-6, 0.0, 0.0, 3.5077e-6, 1.0)
    step = 1e-5
    course = _position_step(motor, winding_for(motor, step), step, 40_000)
    source = "Control Tutorials, DC motor position (unit feedback)"
    why = "the electrical pole, 1.5e6 rad/s, is far beyond the step of 10 us"
    check(source, "F2", "overshoot", 0.0716, course.max() - 1.0, 0.005, why)
    turning = np.polymul([3.2284e-6, 3.5077e-6, 0.0], [2.75e-6, 4.0]) + np.array([0.0, 0.0, 0.0274**2, 0.0])
    loop = control.feedback(control.tf([0.0274], turning))
    reference = control.step_response(loop, step * (np.arange(40_000) + 1)).outputs
    for name, of in (
        ("time of the peak, s", lambda one: (np.argmax(one) + 1) * step),
        ("2 % settling, s", lambda one: _settling(one, step)),
        ("10-90 % rise, s", lambda one: (np.argmax(one > 0.9) - np.argmax(one > 0.1)) * step),
    ):
        check(source, "RAN", name, of(reference), of(course), 0.005, why)


@pytest.mark.parametrize(("current", "volts"), [(0.0, 6.0), (0.4, -2.0), (1.1, 0.0)])
def test_winding_energy_closes_exactly(current, volts):
    """Electrical work over a step equals copper loss, back-EMF work and the change of magnetic energy, to rounding."""
    motor = Motor(3.0, 2e-4, 0.25, 1e-5, 0.0, 0.0, 0.0, 1.0)
    step, speed = 7e-5, 11.0
    after, mean, square = advance_current(current, volts, speed, motor, winding_for(motor, step))
    lost = motor.resistance * square * step
    stored = 0.5 * motor.inductance * (after**2 - current**2)
    assert volts * mean * step == pytest.approx(
        lost + stored + motor.torque_constant * speed * mean * step, rel=1e-9
    )
