"""A gyro's gains as pilots set them: raised until the tail just hunts, then backed off.

The way of Ziegler and Nichols (Optimum settings for automatic controllers, Trans. ASME 64, 1942): the rate gain alone
is raised until the loop keeps swinging, in the build without any play and without its weights, so that the linkage is
loaded to one side; a stated share of it is then taken back. The heading is held with an integral time of 2.2 times the
period of that swing (Tyreus and Luyben, Tuning PI controllers for integrator/dead time processes, Ind. Eng. Chem. Res.
31, 1992: their rule leaves a third of the gain, and is for processes that integrate, as yaw rate nearly does). A pilot
does not set the gyro anew for each bolt: one setting serves a whole sweep.

Friction lets the gain go past where a loop without it would swing, and the swing then sets in large at once. The gain
is bracketed to two per cent; trials four times as long find it up to five per cent higher. Just there swings die out
late, and their frequency is anything from 3 to 14 Hz; a tenth above it they have grown, and keep to a few per cent.

How much is taken back: sources differ, and so do pilots. An open autopilot's manual for tuning by hand lowers the gain
by tenths until the swing is gone, then by a further quarter (ArduPilot, "Tuning process instructions", FOUND): a third
in all. Ziegler and Nichols leave a half. Flight-control specifications ask for 6 dB to spare (SAE AS94900, MEM): flown
without play, both gains of the shipped tails can rise by 4.0 to 6.2 dB where three tenths were taken back, 5.6 to 7.3
where four, 6.8 to 9.0 where a half, until they lose a kick. So four tenths unless the scenario says, and three to five
over draws. In the linear loop 6 dB and 45 degrees are not kept at gains so high: `validation/test_yaw_loop_margins`.

It decides what a tail shows even without play. The servo's dead band and the friction in its gears act as play does:
the held heading swings slowly, by 0.2 deg where a half is taken back, by 0.1 where three tenths are, without any gust;
and a wag from play shrinks with it. `wag` names the servo or the gain where a tail without play is seen to move.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from featherbench.aircraft.flight import (
    Flight,
    FlightSetup,
    flight_setup,
    hover_flight,
    with_gains,
    without_play,
)
from featherbench.aircraft.yaw_loop import ultimate, yaw_loop
from featherbench.bench.setup import Setup, build_setup
from featherbench.plant.flight import F_HEADING, F_RATE, F_TIME

LEAST, MOST = 0.1, 8.0
"""Rate gains between which hunting is looked for, over that at which a loop without friction would swing."""
LADDER = 1.4
"""Each gain tried over the one before it."""
HALVINGS = 4
SECONDS = 3.0
READ = 1.5
"""s that are flown at each gain, and of them those at the end that are read."""
NUDGE = 1.0
"""rad/s: the pirouette that is stopped as each gain is tried."""
HUNTING = float(np.deg2rad(0.2))
"""Heading, peak to peak, from which a swing that lasts is seen."""
GROWN = 1.1
"""Gain at which the swing's frequency is read, over that at which it sets in."""
WANDER = 0.3
"""A swing slower than this share of the loop's own frequency is a wander from dead band and friction, not hunting."""
INTEGRAL_TIME = 2.2
"""Periods of the swing in which the heading is worked off."""


class SettingKind(StrEnum):
    """How the gains came about, in words."""

    STATED = "as stated"
    FOUND = "raised until the tail just hunts, then backed off"
    NEVER = "it hunts at no gain tried: backed off from what the lags of the loop allow"
    ALWAYS = "the lowest tried: it hunts at every gain"


@dataclass(frozen=True)
class GyroSetting:
    """rate_gain s; hold_gain -; hunts_at s, rate gain at which it just hunts; frequency Hz, of that swing once grown
    (nan where not looked for; of a linear loop where not found); back_off: share taken back.
    """

    kind: SettingKind
    rate_gain: float
    hold_gain: float
    hunts_at: float
    frequency: float
    back_off: float

    @property
    def gains(self) -> tuple[float, float]:
        """(rate gain, hold gain)."""
        return self.rate_gain, self.hold_gain


def gyro_setting(setup: Setup, *, weights: bool = False) -> GyroSetting:
    """The setting for a build: as stated, else found by flying it without play and, but with `weights`, without its
    weights.

    Raises ValueError, in words, where the build cannot hover.
    """
    aircraft = setup.scenario.aircraft
    if aircraft is not None and aircraft.gyro.rate_gain is not None:
        stated = float(aircraft.gyro.rate_gain), float(aircraft.gyro.hold_gain or 0.0)
        return GyroSetting(SettingKind.STATED, *stated, float("nan"), float("nan"), 0.0)
    ready = without_play(flight_setup(setup if weights else without_weights(setup)))
    back_off = float(ready.table.back_off)
    kind, found, frequency = just_hunts(ready)
    gain = found if kind is SettingKind.ALWAYS else (1.0 - back_off) * found
    hold = ready.table.hold_gain
    if hold is None:
        hold = gain * frequency / INTEGRAL_TIME
    hunts_at = found if kind is SettingKind.FOUND else float("nan")
    return GyroSetting(kind, gain, float(hold), hunts_at, frequency, back_off)


def without_weights(setup: Setup) -> Setup:
    """The build with its counterweights taken off."""
    parts = tuple(part for part in setup.assembly.parts if part.group != "counterweight")
    if len(parts) == len(setup.assembly.parts):
        return setup
    return build_setup(setup.scenario, setup.air, assembly=replace(setup.assembly, parts=parts))


def just_hunts(ready: FlightSetup) -> tuple[SettingKind, float, float]:
    """(kind, rate gain in s from which it hunts, Hz of the swing once grown), the heading not held meanwhile."""
    linear, own = ultimate(yaw_loop(ready))

    def swings(gain: float) -> bool:
        return hunting(_tried(ready, gain), WANDER * own)

    gain, last = LEAST * linear, 0.0
    while gain <= MOST * linear and not swings(gain):
        gain, last = LADDER * gain, gain
    if last == 0.0:
        return SettingKind.ALWAYS, gain, own
    if gain > MOST * linear:
        return SettingKind.NEVER, linear, own
    low, high = last, gain
    for _ in range(HALVINGS):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if swings(middle) else (middle, high)
    return SettingKind.FOUND, high, swing_frequency(_tried(ready, GROWN * high))


def _tried(ready: FlightSetup, gain: float) -> Flight:
    return hover_flight(with_gains(ready, gain, 0.0), SECONDS, disturbed=False, rate=NUDGE)


def hunting(flight: Flight, slowest: float) -> bool:
    """Whether the heading still swings at the end of a flight, visibly and faster than a wander (`slowest`, Hz)."""
    record = flight.record[flight.record[:, F_TIME] > flight.record[-1, F_TIME] - READ]
    time = record[:, F_TIME] - record[0, F_TIME]
    heading = record[:, F_HEADING] - np.polyval(np.polyfit(time, record[:, F_HEADING], 2), time)
    return bool(np.ptp(heading) >= HUNTING) and swing_frequency(flight) >= slowest


def swing_frequency(flight: Flight) -> float:
    """Frequency (Hz) of the largest line in the yaw rate at the end of a flight; wander counts little in it."""
    record = flight.record[flight.record[:, F_TIME] > flight.record[-1, F_TIME] - READ]
    rate = record[:, F_RATE] - np.mean(record[:, F_RATE])
    spectrum = np.abs(np.fft.rfft(rate * np.hanning(len(rate)), 8 * len(rate)))
    return float(np.argmax(spectrum) / (8 * len(rate) * (record[1, F_TIME] - record[0, F_TIME])))
