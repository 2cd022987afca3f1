"""A rod and a blade on set-valued friction, shaken and pulled by a spring: stepped finely, stick and slip apart.

Written from Newton's law and Coulomb's alone, with a state machine (held or sliding, and which way) and a Runge-Kutta
step of 2 us; the program projects its friction in a semi-implicit step of some 50 us. Nothing is shared.

    m x'' = k_g (p(t) - x) + c_g (p' - x') - k (x - h q) - c (x' - h q')
    J q'' = h [k (x - h q) + c (x' - h q')] + A sin(w t) - friction,   |friction| <= M
"""

from __future__ import annotations

from math import sin
from typing import NamedTuple

import numpy as np
from numba import njit

STEP = 2e-6


class Rig(NamedTuple):
    """SI. mass, gauge, gauge_damping: rod and gauge; stiffness, damping: between rod and blade; horn m; inertia and
    limit (N m): the blade; shake N m and rate rad/s: what shakes it.
    """

    mass: float
    gauge: float
    gauge_damping: float
    stiffness: float
    damping: float
    horn: float
    inertia: float
    limit: float
    shake: float
    rate: float


@njit
def _pulls(x, v, q, w, place, speed, rig):
    """(force on the rod N, moment on the blade without shaking and friction N m)."""
    link = rig.stiffness * (x - rig.horn * q) + rig.damping * (v - rig.horn * w)
    return rig.gauge * (place - x) + rig.gauge_damping * (speed - v) - link, rig.horn * link


@njit
def _slopes(t, x, v, q, w, way, place, speed, rig):
    """Rates of the four states while the blade slides `way` (0: held)."""
    force, moment = _pulls(x, v, q, w, place, speed, rig)
    turning = 0.0
    if way != 0:
        turning = (moment + rig.shake * sin(rig.rate * t) - way * rig.limit) / rig.inertia
    return v, force / rig.mass, (w if way != 0 else 0.0), turning


@njit
def pulled(strain, speed, span, rig, rows):
    """(times, gauge force N, blade angle rad), `rows` each, evenly spaced, forces as means between them.

    The gauge's far end moves at `speed` m/s until it has gone `strain` m, and stays there. All starts at zero, at rest.
    """
    x, v, q, w, way = 0.0, 0.0, 0.0, 0.0, 0
    count = int(span / STEP)
    each = count // rows
    times, forces, angles = np.empty(rows), np.empty(rows), np.empty(rows)
    row, total = 0, 0.0
    for number in range(each * rows):
        t = number * STEP
        moving = speed if speed * t < strain else 0.0
        place = min(speed * t, strain)
        if way == 0:
            net = _pulls(x, v, q, 0.0, place, moving, rig)[1] + rig.shake * sin(rig.rate * t)
            if net > rig.limit:
                way = 1
            elif net < -rig.limit:
                way = -1
        a1 = _slopes(t, x, v, q, w, way, place, moving, rig)
        h = 0.5 * STEP
        a2 = _slopes(
            t + h,
            x + h * a1[0],
            v + h * a1[1],
            q + h * a1[2],
            w + h * a1[3],
            way,
            place + h * moving,
            moving,
            rig,
        )
        a3 = _slopes(
            t + h,
            x + h * a2[0],
            v + h * a2[1],
            q + h * a2[2],
            w + h * a2[3],
            way,
            place + h * moving,
            moving,
            rig,
        )
        h = STEP
        a4 = _slopes(
            t + h,
            x + h * a3[0],
            v + h * a3[1],
            q + h * a3[2],
            w + h * a3[3],
            way,
            place + h * moving,
            moving,
            rig,
        )
        s = STEP / 6.0
        x += s * (a1[0] + 2.0 * a2[0] + 2.0 * a3[0] + a4[0])
        v += s * (a1[1] + 2.0 * a2[1] + 2.0 * a3[1] + a4[1])
        q += s * (a1[2] + 2.0 * a2[2] + 2.0 * a3[2] + a4[2])
        w += s * (a1[3] + 2.0 * a2[3] + 2.0 * a3[3] + a4[3])
        if way != 0 and w * way <= 0.0 and number > 0:
            net = _pulls(x, v, q, 0.0, place, moving, rig)[1] + rig.shake * sin(rig.rate * (t + STEP))
            if abs(net) <= rig.limit:
                w, way = 0.0, 0
            elif w * way < 0.0:
                way = -way
        total += rig.gauge * (place - x) + rig.gauge_damping * (moving - v)
        if (number + 1) % each == 0:
            times[row], forces[row], angles[row] = (number + 1) * STEP, total / each, q
            row, total = row + 1, 0.0
    return times, forces, angles
