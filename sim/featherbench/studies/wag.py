"""Tail hunting in hover from play: flown with and without disturbance, with and without play, and judged.

"Wag" is the heading's peak to peak once the start has died away. What play does is told apart from what the servo's
dead band and friction leave anyway (the play-free flight) and from a loop that hunts without any play.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.flight import (
    Flight,
    FlightSetup,
    flight_setup,
    hover_flight,
    with_gain,
    without_play,
)
from featherbench.bench.setup import Setup, build_setup
from featherbench.notebook import HtmlDisplay, findings_frame, frame
from featherbench.plant.flight import F_HEADING, F_PITCH, F_RATE, F_ROD_FORCE, F_SUPPLY, F_TIME
from featherbench.scenario import Scenario
from featherbench.studies.describing import play_cycle
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import HOVER_BAND, FreePlay, free_play_curves

if TYPE_CHECKING:
    import pandas as pd

SECONDS = 10.0
"""s that are flown; the second half is read."""
KICK = np.deg2rad(4.0)
"""Heading error that each flight starts from, rad."""
VISIBLE_HEADING = np.deg2rad(0.1)
VISIBLE_TRAVEL = 1e-3
"""A wag smaller than either of these is not seen: rad, m at the tail tip."""
PLAY_SHOWS = 1.5
"""Play is held to show when the wag exceeds the play-free one by this factor."""
MOST_GAIN = 8.0
FLOWN = {
    "time": (F_TIME, "time"),
    "heading": (F_HEADING, "angle"),
    "yaw_rate": (F_RATE, "rotation"),
    "pitch": (F_PITCH, "angle"),
    "rod_force": (F_ROD_FORCE, "force"),
    "supply_current": (F_SUPPLY, "current"),
}
"""Columns of a flight and their kinds of quantity."""


class WagVerdict(StrEnum):
    """What a wag is from; the text is the word of documents."""

    HUNTS = "hunts without any play"
    PLAY = "sustained limit cycle from play"
    NOT_PLAY = "a cycle that play has no part in"
    DISTURBED = "only disturbed"
    QUIET = "quiet"

    @property
    def advice(self) -> str:
        """What to do about it."""
        return _ADVICE[self]


_ADVICE = {
    WagVerdict.HUNTS: "the loop itself is unstable: lower the gyro's gains",
    WagVerdict.PLAY: (
        "take play out of the linkage, or leave a slight bias so that the load keeps the play to one side"
    ),
    WagVerdict.NOT_PLAY: (
        "it stays with all play taken out: the servo's dead band and friction, or the gyro's gains, make it"
    ),
    WagVerdict.DISTURBED: "without gusts, buffet and noise it is quiet: there is no cycle to cure",
    WagVerdict.QUIET: "nothing to cure",
}


@dataclass(frozen=True)
class Limits:
    """When a wag counts: visible_heading rad, visible_travel m at the tail tip (the stricter one counts)."""

    visible_heading: float = VISIBLE_HEADING
    visible_travel: float = VISIBLE_TRAVEL

    def heading(self, tail_arm: float) -> float:
        """The heading (rad, peak to peak) from which a wag is seen on a tail of this arm (m)."""
        return min(self.visible_heading, self.visible_travel / tail_arm)


@dataclass(frozen=True)
class Wag(HtmlDisplay):
    """What the flights showed. flight: disturbed, with play, as flown; findings by name, SI; verdict in words;
    scenario: the build as written.
    """

    flight: Flight
    free_play: FreePlay
    findings: dict[str, Finding]
    verdict: WagVerdict
    advice: str
    limits: Limits
    scenario: Scenario

    def to_frame(self, what: str = "flight") -> pd.DataFrame:
        """A pandas frame, SI. what: "flight" (over time, as flown, units in the column names) or "findings".

        Raises KeyError for another name.
        """
        if what == "findings":
            return findings_frame(self.findings)
        record = {"flight": self.flight.record}[what]
        return frame(
            {name: record[:, column] for name, (column, _) in FLOWN.items()},
            {name: kind for name, (_, kind) in FLOWN.items()},
        )


def wag(scenario: Scenario, *, seed: int = 0, seconds: float = SECONDS, limits: Limits | None = None) -> Wag:
    """Fly a build in hover and judge its wag. Raises ValueError, in words, when it cannot hover under a gyro.

    >>> import featherbench as fb
    >>> fb.wag(fb.read(fb.example("survey-3kg/worn"))).verdict.value
    'sustained limit cycle from play'
    """
    return wag_of(build_setup(scenario), seed=seed, seconds=seconds, limits=limits or Limits())


def wag_of(setup: Setup, *, seed: int, seconds: float, limits: Limits) -> Wag:
    """The same for a build made ready."""
    ready = flight_setup(setup)
    as_flown = hover_flight(ready, seconds, seed=seed, heading=KICK)
    calm = hover_flight(ready, seconds, disturbed=False, heading=KICK)
    tight = hover_flight(without_play(ready), seconds, disturbed=False, heading=KICK)
    seen = limits.heading(float(ready.aircraft.tail_arm))
    amounts = [peak_to_peak(flight) for flight in (as_flown, calm, tight)]
    verdict = judge(amounts[0], amounts[1], amounts[2], seen)
    free_play = free_play_curves(setup)
    pitch = ready.trim.pitch
    heading = _read(as_flown)
    estimate = estimated(ready)
    values: dict[str, float | str | None] = {
        "hover_pitch": pitch,
        "rod_force_hover": ready.trim.rod_force,
        "seat_ratio_hover": free_play.least_seat_ratio(pitch - HOVER_BAND, pitch + HOVER_BAND),
        "lost_motion": float(free_play.lost_motion.max()),
        "wag_heading": amounts[0],
        "wag_heading_rms": float(np.std(heading)),
        "wag_travel": amounts[0] * float(ready.aircraft.tail_arm),
        "wag_frequency": dominant_frequency(as_flown) if amounts[0] > 0.0 else None,
        "wag_reversals": as_flown.reversals,
        "wag_undisturbed": amounts[1],
        "wag_without_play": amounts[2],
        "wag_estimate": estimate[0] if estimate else 0.0,
        "wag_estimate_frequency": estimate[1] if estimate else None,
        "gyro_margin": gyro_margin(ready, seconds),
        "wag_verdict": verdict.value,
    }
    window = free_play.window_near(pitch)
    values |= {"float_low": window[0] if window else None, "float_high": window[1] if window else None}
    findings = {name: finding(name, value) for name, value in values.items()}
    return Wag(as_flown, free_play, findings, verdict, verdict.advice, limits, setup.scenario)


def judge(flown: float, calm: float, tight: float, seen: float) -> WagVerdict:
    """From four wags, rad: flown, without disturbance, without play either, and the one from which it is seen."""
    if tight >= KICK:
        return WagVerdict.HUNTS
    if calm > seen:
        return WagVerdict.PLAY if calm > PLAY_SHOWS * tight else WagVerdict.NOT_PLAY
    return WagVerdict.DISTURBED if flown > seen else WagVerdict.QUIET


def peak_to_peak(flight: Flight) -> float:
    """Heading peak to peak over the second half of a flight, its drift taken off, rad."""
    return float(np.ptp(_read(flight)))


def _read(flight: Flight) -> NDArray[np.float64]:
    """Heading over the second half of a flight less its straight-line drift, rad."""
    half = len(flight.record) // 2
    time, heading = flight.record[half:, F_TIME], flight.record[half:, F_HEADING]
    return np.asarray(heading - np.polyval(np.polyfit(time - time[0], heading, 1), time - time[0]))


def dominant_frequency(flight: Flight) -> float:
    """Frequency of the largest line in the heading's spectrum over the second half of a flight, Hz."""
    heading = _read(flight)
    spectrum = np.abs(np.fft.rfft(heading * np.hanning(len(heading)), 8 * len(heading)))
    interval = float(flight.record[1, F_TIME] - flight.record[0, F_TIME])
    return float(np.argmax(spectrum) / (8 * len(heading) * interval))


def gyro_margin(ready: FlightSetup, seconds: float) -> float:
    """Factor on both gyro gains at which the play-free loop no longer loses the kick it starts with; 8: or more."""
    tight = without_play(ready)

    def hunts(factor: float) -> bool:
        return (
            peak_to_peak(hover_flight(with_gain(tight, factor), seconds, disturbed=False, heading=KICK))
            >= KICK
        )

    low, high = 1.0, MOST_GAIN
    if hunts(low):
        return float("nan")
    if not hunts(high):
        return MOST_GAIN
    for _ in range(5):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if hunts(middle) else (middle, high)
    return low


def estimated(ready: FlightSetup) -> tuple[float, float] | None:
    """(heading peak to peak rad, Hz) of the cycle by describing function; None when none stands.

    The loop: servo as a first-order lag (no-load speed over its proportional band), play of the linkage at the blade,
    thrust slope and yaw damping at trim, gyro with its delay and half a sample.
    """
    setup, plant = ready.setup, ready.setup.plant
    table, spin = ready.setup.air.table, float(ready.setup.scenario.rotor.speed)
    pitch, axial = ready.trim.pitch, float(table.axial[1] - table.axial[0])
    middle = table.axial.size // 2
    arm, gyro = ready.frame.tail_arm, ready.gyro
    slope = np.interp(pitch, table.pitch, np.gradient(ready.air.thrust[:, middle], table.pitch)) * spin**2
    across = (ready.air.thrust[:, middle + 1] - ready.air.thrust[:, middle - 1]) / (2.0 * axial)
    damping = -arm * arm * np.interp(pitch, table.pitch, across) * spin**2 / (spin * ready.air.tip)
    lag = plant.loop.proportional_band * plant.motor.torque_constant / plant.supply.voltage
    late = float(ready.table.delay) + 0.5 / float(ready.table.rate)
    half_gap = setup.linkage.play / 2.0 / abs(_travel_slope(ready))
    if half_gap <= 0.0:
        return None

    def response(s: complex) -> complex:
        control = (gyro.rate_gain * s + gyro.hold_gain) * np.exp(-s * late)
        return complex(
            arm * slope * control / ((1.0 + lag * s) * s * (ready.frame.yaw_inertia * s + damping))
        )

    found = play_cycle(response)
    if found is None:
        return None
    amplitude, rate = found[0] * half_gap, found[1]
    command = abs((gyro.rate_gain * 1j * rate + gyro.hold_gain) / (1.0 + lag * 1j * rate))
    return float(2.0 * amplitude / command), float(rate / (2.0 * np.pi))


def _travel_slope(ready: FlightSetup) -> float:
    from featherbench.linkage.geometry import pitch_rod_travel

    return float(pitch_rod_travel(ready.trim.pitch, ready.setup.plant.linkage)[1])
