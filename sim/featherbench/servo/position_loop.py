"""The servo's digital position loop: error -> dead band -> proportional band -> duty, at the drive's own rate."""

from __future__ import annotations

from typing import NamedTuple

from featherbench.kernel import kernel


class PositionLoop(NamedTuple):
    """Kernel parameters; plain floats.

    dead_band rad, whole width, centred on the command; proportional_band rad of error, beyond the dead band, that
    asks for full duty; damping s, on filtered speed; drive_period s; frame_period s, at which a new command arrives.
    """

    dead_band: float
    proportional_band: float
    damping: float
    drive_period: float
    frame_period: float


@kernel
def dead_zone(value: float, half_width: float) -> float:
    """What of `value` lies outside +-half_width, signed; zero inside."""
    if value > half_width:
        return value - half_width
    if value < -half_width:
        return value + half_width
    return 0.0


@kernel
def duty(error: float, filtered_speed: float, loop: PositionLoop) -> float:
    """Drive duty in -1..1 from position error (rad) and filtered output speed (rad/s).

    Inside the dead band the error counts as zero and the bridge shorts the motor; damping still acts.
    """
    asked = dead_zone(error, 0.5 * loop.dead_band) - loop.damping * filtered_speed
    return min(1.0, max(-1.0, asked / loop.proportional_band))


@kernel
def filter_speed(filtered: float, angle: float, last_angle: float, period: float) -> float:
    """Output speed (rad/s) from successive positions, smoothed over two drive periods."""
    return 0.5 * (filtered + (angle - last_angle) / period)
