"""A drive that chops its supply: mean winding and supply current over one period, current that dies out included.

For a share d of each period T the bridge puts the supply V on the winding; for the rest it

    slow    shorts the winding (two switches on): the current may turn; the mean voltage is d V, whatever the ripple
    diode   shorts it through a diode: the current dies and stays at zero until the next period
    fast    opens all switches: the current runs back into the supply through diodes, dies and stays at zero

With L di/dt = v - R i - E in both parts, the periodic current is two exponentials. Means over a period, v_mean that of
the winding and I_s that of the supply, tied by power:

    v_mean = E + R <i>,        V I_s = R <i^2> + E <i> = v_mean <i> + V^2 G

G is the conductance by which the ripple alone heats the winding. Where the current never stays at zero (continuous
conduction) it depends on d alone, with a = T R / L, and four times as large for fast decay, which swings by 2 V:

    R G = d (1 - d) - (1 - exp(-a d)) (1 - exp(-a (1 - d))) / (a (1 - exp(-a)))

Where it does (discontinuous), the current rises from zero to i_1 = (V - E)/R (1 - exp(-a d)) and is back at zero after
a further x T, x = ln(1 + R i_1 / (E - v_off)) / a, with v_off = 0 or -V; then R <i> = (V - E) d + (v_off - E) x.
A drive that limits its current goes back with its duty so far that the mean current of the winding stays within the
limit, standing or turning. Two exponentials and Kirchhoff's rule; the limit R = 0 is the text-book buck converter
(checked in validation). Left out: voltage across diodes and switches, and the torque's own ripple.
"""

from __future__ import annotations

from math import exp, inf, log1p
from typing import NamedTuple

from featherbench.kernel import kernel
from featherbench.servo.motor import Motor, Winding

SLOW, DIODE, FAST = 0.0, 1.0, 2.0
"""How the current decays while the supply is off: see above."""
DECAYS = {"slow": SLOW, "diode": DIODE, "fast": FAST}


class Chopper(NamedTuple):
    """Kernel parameters; plain floats. period s, 0 for a drive without ripple; decay: SLOW, DIODE or FAST; limit A, the
    most that the drive lets through the winding, inf where nothing but the voltage limits it.
    """

    period: float
    decay: float
    limit: float = inf


@kernel
def _periods(motor: Motor, chopper: Chopper) -> float:
    """Chopping period over the winding's time constant, a = T R / L."""
    if motor.inductance <= 0.0:
        return inf if chopper.period > 0.0 else 0.0
    return chopper.period * motor.resistance / motor.inductance


@kernel
def ripple(share: float, periods: float) -> float:
    """R G of a square wave of height 1, on for `share` (0..1) of each period of `periods` time constants."""
    if periods <= 1e-6 or share <= 0.0 or share >= 1.0:
        return 0.0
    on, off = exp(-periods * share), exp(-periods * (1.0 - share))
    return max(0.0, share * (1.0 - share) - (1.0 - on) * (1.0 - off) / (periods * (1.0 - on * off)))


@kernel
def ripple_conductance(duty: float, motor: Motor, chopper: Chopper) -> float:
    """G (A/V) of slow decay at a duty of -1..1: what the ripple adds to the supply current, per volt of the supply."""
    return ripple(abs(duty), _periods(motor, chopper)) / motor.resistance


@kernel
def chopped(duty: float, emf: float, voltage: float, motor: Motor, chopper: Chopper) -> tuple[float, float]:
    """(v_mean / V, G): mean voltage of the winding as a share of the supply's, signed, and ripple conductance, A/V.

    duty -1..1; emf V, of the motor, in the sense of positive duty; voltage V > 0, of the supply. Of slow decay the
    first is the duty itself. A motor driven faster than the supply allows feeds it through the bridge's diodes.
    """
    share, side = abs(duty), (1.0 if duty >= 0.0 else -1.0)
    periods = _periods(motor, chopper)
    if chopper.decay == SLOW:
        return duty, ripple(share, periods) / motor.resistance
    back = side * emf / voltage
    off = -1.0 if chopper.decay == FAST else 0.0
    if share >= 1.0 or back >= 1.0:
        return side, 0.0
    if share <= 0.0:
        return (0.0 if chopper.decay == DIODE else max(back, -1.0)), 0.0
    even = share + (1.0 - share) * off
    if periods <= 1e-6:
        return side * max(even, back), 0.0
    grown, kept = 1.0 - exp(-periods * share), exp(-periods * (1.0 - share))
    least = (off - back) * (1.0 - kept) + kept * (1.0 - back) * grown
    if least >= 0.0:
        return side * even, (1.0 - off) ** 2 * ripple(share, periods) / motor.resistance
    top = (1.0 - back) * grown
    fall = log1p(top / (back - off)) / periods
    mean = (1.0 - back) * share + (off - back) * fall
    drawn = (1.0 - back) * share - top / periods + off * ((off - back) * fall + top / periods)
    held = back + mean
    return side * held, max(0.0, drawn - held * mean) / motor.resistance


@kernel
def limited_duty(
    duty: float, emf: float, voltage: float, current: float, motor: Motor, winding: Winding, limit: float
) -> float:
    """Duty (-1..1) that is left of the one asked for, so that the winding passes `limit` (A) at the end of no step.

    emf V, of the motor, in the sense of positive duty; voltage V > 0, of the supply; current A, of the winding as the
    step begins. Slow decay, and as good a regulator as can be: it gives full voltage until the limit is there.
    """
    kept, gained = current * winding.decay, 1.0 - winding.decay
    most = (emf + motor.resistance * (limit - kept) / gained) / voltage
    least = (emf - motor.resistance * (limit + kept) / gained) / voltage
    return min(1.0, max(-1.0, min(max(duty, least), most)))


@kernel
def mean_currents(
    duty: float, speed: float, voltage: float, motor: Motor, chopper: Chopper
) -> tuple[float, float]:
    """(winding, supply) mean current (A) at steady speed (rad/s at the output) under `voltage` (V) at the bridge.

    Winding positive with positive duty; supply negative where more is fed back than drawn; idle not counted.
    """
    emf = motor.torque_constant * speed
    share, conductance = chopped(duty, emf, voltage, motor, chopper)
    winding = (share * voltage - emf) / motor.resistance
    return winding, share * winding + conductance * voltage


def standing_duty(current: float, voltage: float, motor: Motor, chopper: Chopper) -> float:
    """Duty (-1..1) at which the winding of a motor that stands still carries a mean `current` (A) under `voltage` (V).

    At most full duty; of decays through diodes by bisection, the mean rising with the duty.
    """
    asked = min(1.0, abs(current) * motor.resistance / voltage)
    if chopper.decay != SLOW and asked > 0.0:
        low, high = 0.0, 1.0
        for _ in range(50):
            middle = 0.5 * (low + high)
            if chopped(middle, 0.0, voltage, motor, chopper)[0] < asked:
                low = middle
            else:
                high = middle
        asked = 0.5 * (low + high)
    return asked if current >= 0.0 else -asked
