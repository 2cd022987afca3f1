"""Describing-function estimate of the tail's limit cycle from play: an instant cross-check of the simulation.

Play with friction in the gap (the follower rests where it is) has, for an input of amplitude A and half gap h,

    N = (1/2)[1 + f(1 - 2h/A)] - (j/pi)[4h/A - (2h/A)^2],   f(x) = (2/pi)[asin x + x sqrt(1 - x^2)]

(F: python-control, control/descfcn.py, after Gelb & Vander Velde 1968, entry 48). A cycle stands where
1 + N(A) L(jw) = 0.

A servo whose friction stops it at once behaves so, too: its output rests while the error is within half the dead band
and what of the proportional band it takes to overcome friction, and follows that far behind. Plays in series add up
(the play operator's semigroup: Krasnosel'skii and Pokrovskii, Systems with Hysteresis, 1989), so the loop is closed
through one play, of the linkage and of the servo together.

It is rough. One harmonic is taken for the whole swing: in a slow cycle the others make it half as slow again. And every
hold of a sampled value is counted as half a period late, while play keeps the largest of what was held, which comes no
later: `validation/test_flown_limit_cycle.py` has both, with the gains at which the two make up for each other.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import NamedTuple

import numpy as np

from featherbench.aircraft.flight import FlightSetup
from featherbench.aircraft.yaw_loop import yaw_loop
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.shaking import shaking_amplitude

Response = Callable[[complex], complex]


def play_gain(ratio: float) -> complex:
    """N of friction-held play; ratio: half gap over input amplitude, 0 < ratio < 1."""
    share = 2.0 * ratio
    x = 1.0 - share
    f = (2.0 / pi) * (np.arcsin(x) + x * np.sqrt(max(0.0, 1.0 - x * x)))
    return complex(0.5 * (1.0 + f), -(2.0 * share - share * share) / pi)


def play_cycle(response: Response, low: float = 0.3, high: float = 300.0) -> tuple[float, float] | None:
    """(amplitude over half gap, rad/s) of the largest cycle of a loop closed through play; None when none stands.

    response: the open loop L(s) from the play's output back to its input, negative feedback; searched for cycles
    between low and high, rad/s. Of several the largest counts: a loop that is stable without play comes to it from
    outside.
    """
    from scipy.optimize import brentq

    grid = np.geomspace(low, high, 1200)
    off = [_mismatch(response, float(rate)) for rate in grid]
    largest: tuple[float, float] | None = None
    for i in range(len(grid) - 1):
        one, two = off[i], off[i + 1]
        if one is None or two is None or (one > 0.0) == (two > 0.0):
            continue
        rate = float(brentq(lambda value: _mismatch(response, value) or 0.0, grid[i], grid[i + 1]))
        amplitude = 1.0 / _ratio_turning(_turn_wanted(response(1j * rate)))
        if largest is None or amplitude > largest[0]:
            largest = amplitude, rate
    return largest


def _turn_wanted(loop: complex) -> float:
    """Angle (rad, in -pi to pi) that the play must turn a loop of this response by for it to come back to itself."""
    return float(np.angle(-1.0 / loop))


def _ratio_turning(angle: float) -> float:
    """Half gap over amplitude at which play turns by an angle between -pi/2 and 0, rad: it turns more as it grows."""
    from scipy.optimize import brentq

    return float(
        brentq(lambda ratio: float(np.angle(play_gain(ratio))) - angle, 1e-9, 1.0 - 1e-9, xtol=1e-12)
    )


def _mismatch(response: Response, rate: float) -> float | None:
    """log |N L| at the amplitude at which the phase of N L is -pi at `rate` (rad/s); None where it is at none."""
    loop = response(1j * rate)
    wanted = _turn_wanted(loop)
    if not -0.5 * pi + 1e-4 < wanted < -1e-7:
        return None
    return float(np.log(abs(play_gain(_ratio_turning(wanted)) * loop)))


class Cycle(NamedTuple):
    """A limit cycle as estimated: heading peak to peak, rad; frequency, Hz."""

    heading: float
    frequency: float


def half_gaps(ready: FlightSetup) -> tuple[float, float]:
    """Half gaps (rad of blade pitch) at the hover pitch of the linkage, and of the servo's dead band and friction.

    The linkage's: half its play, and by how much it gives before the blades' friction lets go. What shakes lets so much
    of the friction go.
    """
    plant, spin = ready.setup.plant, float(ready.setup.scenario.rotor.speed)
    pitch = ready.trim.pitch
    _, horn, _, slider = pitch_rod_travel(pitch, plant.linkage)
    output = float(np.interp(pitch, *_angles(ready)))
    arm = servo_rod_travel(output, plant.linkage)[1]
    left = pitch_friction_limit(spin, slider, plant.pitch) - shaking_amplitude(spin, plant.shaking)
    blades = max(left, 0.0) / abs(horn)
    along = plant.output.rod_friction + blades
    passed_on = plant.output.friction + along * abs(arm)
    held = plant.motor.coulomb + (1.0 + plant.motor.load_friction) * passed_on
    stall = plant.motor.torque_constant * min(
        plant.supply.voltage / plant.motor.resistance, plant.chopper.limit
    )
    error = 0.5 * plant.loop.dead_band + plant.loop.proportional_band * min(1.0, held / stall)
    return (plant.joint.half_play + blades / plant.joint.stiffness) / abs(horn), error * abs(arm / horn)


def _angles(ready: FlightSetup) -> tuple[np.ndarray, np.ndarray]:
    """Blade pitches and the servo angles that make them, rad."""
    gyro = ready.gyro
    return gyro.command_first + gyro.command_step * np.arange(gyro.commands.shape[0]), gyro.commands


def estimated_cycle(ready: FlightSetup) -> Cycle | None:
    """The cycle of a build in hover whose blades float in the play; None when none stands."""
    loop, gap = yaw_loop(ready), sum(half_gaps(ready))
    if gap <= 0.0 or loop.by_rate <= 0.0:
        return None
    found = play_cycle(loop.open)
    if found is None:
        return None
    amplitude, rate = found[0] * gap, found[1]
    asked = abs(loop.gyro(1j * rate) * loop.servo(1j * rate))
    return Cycle(float(2.0 * amplitude / asked), float(rate / (2.0 * pi)))
