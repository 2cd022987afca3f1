"""Set-valued friction against closed solutions: Coulomb-damped oscillator, stick-slip of a pulled mass.

Sources: the Coulomb-damped oscillator's constant loss per half cycle, 2 F / k, is textbook matter (F:
site.fetraining.com COULOMB_files/Page5.html; novasolver.jp/en/tools/coulomb-damping.html); the peaks below follow by
arithmetic (D). Stick-slip: unit mass pulled through k = 2 N/m at 0.1 m/s with F_S = 1.5 N, F_C = 1 N, the case of
Canudas de Wit, Olsson, Astrom, Lischinsky, IEEE Trans. Automatic Control 40(3), 1995 (F2); closed solution for static
plus Coulomb friction by arithmetic (D).
"""

import numpy as np
import pytest
from numba import njit

from featherbench.plant.friction import after_friction
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="Coulomb friction and stick-slip, closed solutions",
    left_out="The curves of the cited paper were not seen; its bristle law is not ours",
)


@njit
def _oscillator(step, steps, place, stiffness, limit):
    """Unit mass on a spring with Coulomb friction; turning points, and where and when it stays."""
    speed = 0.0
    peaks = np.zeros(20)
    times = np.zeros(20)
    found = 0
    for count in range(steps):
        before = speed
        free = speed - step * stiffness * place
        speed = after_friction(free, before, limit * step, 1.0)
        place += step * speed
        if before != 0.0 and (speed == 0.0 or speed * before < 0.0) and found < 20:
            peaks[found] = place
            times[found] = count * step
            found += 1
    return peaks[:found], times[:found], place, speed


@njit
def _stick_slip(step, steps, viscous):
    """Unit mass pulled through 2 N/m at 0.1 m/s; slip starts, slip ends, greatest speed, place, at each event."""
    pulled = 0.1
    place, speed = 0.0, 0.0
    starts = np.zeros(10)
    ends = np.zeros(10)
    spring_at_end = np.zeros(10)
    place_at_end = np.zeros(10)
    fastest = 0.0
    begun, ended = 0, 0
    for count in range(steps):
        before = speed
        spring = 2.0 * (pulled * count * step - place)
        heft = 1.0 + step * viscous
        free = (speed + step * spring) / heft
        speed = after_friction(free, before, step / heft, 1.5)
        place += step * speed
        fastest = max(fastest, speed)
        if before == 0.0 and speed > 0.0 and begun < 10:
            starts[begun] = count * step
            begun += 1
        if before > 0.0 and speed == 0.0 and ended < 10:
            ends[ended] = count * step
            spring_at_end[ended] = spring
            place_at_end[ended] = place
            ended += 1
    return starts[:begun], ends[:ended], fastest, spring_at_end[:ended], place_at_end[:ended]


def test_coulomb_damped_oscillator_stops_where_it_must():
    peaks, times, place, speed = _oscillator(1e-5, 400_000, 0.105, 100.0, 1.0)
    source = "Coulomb-damped oscillator, m 1, k 100, F 1, x0 0.105"
    for got, expected in zip(peaks, [-0.085, 0.065, -0.045, 0.025, -0.005], strict=False):
        check(
            source,
            "D",
            f"turning point {expected:+.3f} m",
            expected,
            got,
            1e-5,
            "first-order step of 10 us",
            relative=False,
        )
    check(
        source, "D", "time of the last stop, s", 5 * np.pi / 10, times[4], 1e-4, "first-order step of 10 us"
    )
    assert speed == 0.0
    assert place == pytest.approx(-0.005, abs=1e-5)


def test_stick_slip_without_viscous_friction():
    starts, ends, fastest, spring, _ = _stick_slip(1e-5, 2_500_000, 0.0)
    source = "stick-slip, static and Coulomb friction"
    why = "first-order step of 10 us"
    check(source, "D", "first slip, s", 7.5, starts[0], 1e-4, why)
    check(source, "D", "duration of a slip, s", 2.61126, ends[0] - starts[0], 1e-4, why)
    check(source, "D", "greatest speed, m/s", 0.467423, fastest, 1e-4, why)
    check(source, "D", "period, s", 7.61126, starts[1] - starts[0], 1e-4, why)
    check(source, "D", "spring force at re-stick, N", 0.5, spring[0], 1e-3, why)


def test_stick_slip_with_viscous_friction():
    starts, ends, fastest, _, place = _stick_slip(1e-5, 2_500_000, 0.4)
    source = "stick-slip, static, Coulomb and viscous friction 0.4 N s/m"
    why = "first-order step of 10 us"
    check(source, "D", "duration of a slip, s", 2.81374, ends[0] - starts[0], 1e-4, why)
    check(source, "D", "greatest speed, m/s", 0.376819, fastest, 1e-4, why)
    check(source, "D", "period, s", 6.45393, starts[1] - starts[0], 1e-4, why)
    check(source, "D", "travel a cycle, m", 0.645393, place[1] - place[0], 1e-3, why)


def test_a_stuck_joint_does_not_creep_under_vibration():
    """Not a published value: the property that makes a holding force mean something."""
    speed = 0.0
    step = 1e-5
    for count in range(100_000):
        push = 0.9 * np.sin(2 * np.pi * 370.0 * count * step) + 0.05
        speed = after_friction(speed + step * push, speed, 1.0 * step, 1.0)
        assert speed == 0.0
