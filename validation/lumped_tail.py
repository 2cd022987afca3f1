"""A tail in hover with nothing in it but what makes its limit cycle: a program of its own to hold the flights against.

Yaw is I r' = l T_theta theta - D r. The gyro reads each period, late, filters, integrates, and asks for a pitch. The
servo hears of it each frame; its drive acts on what of the error lies beyond half its dead band, less its damping times
a speed smoothed over two periods; motor and gears have one inertia and sliding friction, which grows with what they
push. The rod is a spring across its play, and the blades, without mass, go no further than their friction lets them:
they rest within half the play and friction over stiffness of the servo's arm (the play operator: Krasnosel'skii and
Pokrovskii, Systems with Hysteresis, 1989). All in small angles about trim, by steps of 50 us; no gear play, chopping or
winding, no air moment on the blades, and no kernel of the program.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from kinematic_play import follow

STEP = 5e-5
EVERY = 10
"""Steps between two places that are read of a course: a thousand or more a cycle are left."""


class Tail(NamedTuple):
    """SI, about trim. steering N m/rad, inertia kg m^2, damping N m s; filter_lag, period s; late, readings; by_rate s,
    by_heading; frame s; stall N m, at full voltage; band, dead_band rad; braking s; motor_inertia kg m^2, emf N m
    s/rad; friction N m, with_load -, of the gears; rod_friction N; arm, horn m/rad; stiffness N/m; half_play m;
    blade_friction N, at the rod.
    """

    steering: float
    inertia: float
    damping: float
    filter_lag: float
    period: float
    late: int
    by_rate: float
    by_heading: float
    frame: float
    stall: float
    band: float
    dead_band: float
    braking: float
    motor_inertia: float
    emf: float
    friction: float
    with_load: float
    rod_friction: float
    arm: float
    horn: float
    stiffness: float
    half_play: float
    blade_friction: float


@njit
def _beyond(value, half):
    """What of a value lies outside +-half, signed."""
    return value - half if value > half else value + half if value < -half else 0.0


@njit
def flown(tail, heading, step, steps):
    """Heading (steps,), rad, from a heading error, rad."""
    course, readings = np.zeros(steps), np.zeros(tail.late + 1)
    rate, filtered, held, wanted, count = 0.0, 0.0, heading, 0.0, 0
    angle, speed, pitch, smoothed, last, asked = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    to_gyro, to_frame = 0.0, 0.0
    slack = tail.half_play + tail.blade_friction / tail.stiffness
    for tick in range(steps):
        if to_gyro <= 0.0:
            to_gyro += tail.period
            readings[count % (tail.late + 1)] = rate
            read = readings[(count + 1) % (tail.late + 1)] if count >= tail.late else 0.0
            filtered += (read - filtered) * tail.period / (tail.period + tail.filter_lag)
            held += tail.period * filtered
            wanted = -(tail.by_rate * filtered + tail.by_heading * held)
            count += 1
        if to_frame <= 0.0:
            to_frame += tail.frame
            smoothed = 0.5 * (smoothed + (angle - last) / tail.frame)
            last = angle
            error = wanted * tail.horn / tail.arm - angle
            asked = (_beyond(error, 0.5 * tail.dead_band) - tail.braking * smoothed) / tail.band
        to_gyro, to_frame = to_gyro - step, to_frame - step
        load = tail.arm * tail.stiffness * _beyond(tail.arm * angle - tail.horn * pitch, tail.half_play)
        torque = tail.stall * min(1.0, max(-1.0, asked)) - load
        free = (speed + step * torque / tail.motor_inertia) / (1.0 + step * tail.emf / tail.motor_inertia)
        held_by = tail.friction + (1.0 + tail.with_load) * tail.rod_friction * tail.arm
        stopped = step * (held_by + tail.with_load * abs(load)) / tail.motor_inertia
        speed = 0.0 if abs(free) <= stopped else free - stopped * np.sign(free)
        angle += step * speed
        pitch = follow(tail.arm * angle, tail.horn * pitch, slack) / tail.horn
        rate += step * (tail.steering * pitch - tail.damping * rate) / tail.inertia
        heading += step * rate
        course[tick] = heading
    return course


@njit
def linear_with_play(lags, by_rate, by_heading, steering, damping, half, heading, step, steps):
    """The same heading where all but a play of `half` (rad of pitch) after the servo is linear and nothing is sampled.

    lags: s, of servo, filter and delay; steering 1/s^2 and damping 1/s, over the inertia.
    """
    servo_lag, filter_lag, late = lags
    course, before = np.zeros(steps), np.zeros(max(1, round(late / step)))
    rate, filtered, held, angle, pitch = 0.0, 0.0, heading, 0.0, 0.0
    for tick in range(steps):
        place = tick % before.shape[0]
        angle += step * (before[place] - angle) / servo_lag
        filtered += step * (rate - filtered) / filter_lag
        held += step * filtered
        before[place] = -(by_rate * filtered + by_heading * held)
        pitch = follow(angle, pitch, half)
        rate += step * (steering * pitch - damping * rate)
        heading += step * rate
        course[tick] = heading
    return course


def read(course, step):
    """(peak to peak, Hz) of the last two thirds of a course, less its drift."""
    left, step = course[len(course) // 3 :: EVERY], EVERY * step
    time = step * np.arange(len(left))
    left = left - np.polyval(np.polyfit(time, left, 1), time)
    spectrum = np.abs(np.fft.rfft(left * np.hanning(len(left)), 4 * len(left)))
    return np.ptp(left), np.argmax(spectrum) / (4 * len(left) * step)
