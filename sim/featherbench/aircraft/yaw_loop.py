"""The yaw loop as a linear one about hover: what its own lags allow, and what a describing function is closed through.

    L(s) = l T_theta (k_r s + k_h) / s * G_servo(s) e^(-s T) / (1 + s T_f) / (I_z s + D)

G_servo: the position loop on a motor without load, 1 / (1 + s (K b / V + d) + s^2 t_m K b / V) with proportional band
b, damping d, supply V, motor constant K and mechanical time constant t_m = J R / K^2, all at the servo's output; T: the
gyro's delay and half a period each of gyro, command frame and drive, as a hold of so long comes later on the mean
(Franklin, Powell and Workman, Digital Control of Dynamic Systems, section 4.3). Dead band, friction, play, and what
limits travel and voltage, are not in it.
"""

from __future__ import annotations

from cmath import exp, phase
from math import pi
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from featherbench.aircraft.yaw_slopes import yaw_slopes

if TYPE_CHECKING:
    from featherbench.aircraft.flight import FlightSetup

LOWEST, HIGHEST = 0.5, 2000.0
"""rad/s between which the loop is looked at."""


class YawLoop(NamedTuple):
    """steering N m/rad, yaw moment by blade pitch; inertia kg m^2; damping N m s; servo_lag s and servo_square s^2, the
    servo's two coefficients; filter_lag s; late s; by_rate s and by_heading -, the gyro's gains.
    """

    steering: float
    inertia: float
    damping: float
    servo_lag: float
    servo_square: float
    filter_lag: float
    late: float
    by_rate: float
    by_heading: float

    def servo(self, s: complex) -> complex:
        """Blade pitch reached over blade pitch asked for."""
        return 1.0 / (1.0 + self.servo_lag * s + self.servo_square * s * s)

    def gyro(self, s: complex) -> complex:
        """Blade pitch asked for over heading, sign turned."""
        return (self.by_rate * s + self.by_heading) * exp(-s * self.late) / (1.0 + self.filter_lag * s)

    def yaw(self, s: complex) -> complex:
        """Heading over blade pitch."""
        return self.steering / (s * (self.inertia * s + self.damping))

    def open(self, s: complex) -> complex:
        """The open loop, negative feedback."""
        return self.gyro(s) * self.servo(s) * self.yaw(s)


def yaw_loop(ready: FlightSetup) -> YawLoop:
    """The linear loop of a build ready to hover, under the gains it has."""
    plant, table = ready.setup.plant, ready.table
    spin, arm = float(ready.setup.scenario.rotor.speed), ready.frame.tail_arm
    slopes, motor, loop = yaw_slopes(ready.trim.pitch, spin, ready.air), plant.motor, plant.loop
    slowness = loop.proportional_band * motor.torque_constant / plant.supply.voltage
    mechanical = motor.inertia * motor.resistance / motor.torque_constant**2
    periods = 1.0 / float(table.rate) + loop.frame_period + loop.drive_period
    return YawLoop(
        steering=arm * slopes.by_pitch,
        inertia=ready.frame.yaw_inertia,
        damping=arm * arm * slopes.by_flow,
        servo_lag=slowness + loop.damping,
        servo_square=mechanical * slowness,
        filter_lag=ready.gyro.lag,
        late=float(table.delay) + 0.5 * periods,
        by_rate=ready.gyro.rate_gain,
        by_heading=ready.gyro.hold_gain,
    )


def ultimate(loop: YawLoop) -> tuple[float, float]:
    """(rate gain in s, Hz) at which the loop would just swing if it were linear, the heading not held.

    Raises ValueError where blade pitch does not steer.
    """
    from scipy.optimize import brentq

    if loop.steering <= 0.0:
        raise ValueError("thrust does not grow with pitch at the hover pitch: the gyro cannot steer there")
    alone = loop._replace(by_rate=1.0, by_heading=0.0)

    def left(rate: float) -> float:
        """Phase (rad) to spare before the loop turns over, each lag counted whole."""
        s = 1j * rate
        lags = phase(loop.servo(s)) % (-2.0 * pi) + phase(1.0 / (loop.inertia * s + loop.damping))
        return pi + lags - rate * loop.late - phase(1.0 + loop.filter_lag * s)

    if left(HIGHEST) > 0.0:
        return 1.0 / abs(alone.open(1j * HIGHEST)), HIGHEST / (2.0 * pi)
    rate = float(brentq(left, LOWEST, HIGHEST))
    return 1.0 / abs(alone.open(1j * rate)), float(rate / (2.0 * pi))


def margins(loop: YawLoop) -> tuple[float, float, float]:
    """(gain margin as a factor, phase margin rad, crossover rad/s) of the loop with its heading hold.

    Read off the response at 4,000 frequencies; nan where the loop crosses nowhere.
    """
    rates = np.geomspace(LOWEST, HIGHEST, 4000)
    response = np.array([loop.open(1j * rate) for rate in rates.tolist()])
    size, turned = np.log(np.abs(response)), np.unwrap(np.angle(response))
    turned -= (
        2.0 * pi * np.ceil((turned[0] + 1e-9) / (2.0 * pi))
    )  # an integrator or two: between -pi/2 and -pi at first
    down = np.flatnonzero((size[:-1] > 0.0) & (size[1:] <= 0.0))
    over = np.flatnonzero((turned[:-1] > -pi) & (turned[1:] <= -pi))
    gain = float(np.exp(-size[over[-1]])) if over.size else float("nan")
    if not down.size:
        return gain, float("nan"), float("nan")
    return gain, float(pi + turned[down[-1]]), float(rates[down[-1]])
