"""Tail hunting in hover from play: flown over the plausible, with and without play in the same gusts, and judged.

"Wag" is what is seen at any moment: `wag_readings`. The verdict is taken over draws of servo loop, shaking, friction
and play (`hover_draws`); what the wag is from is found by taking one cause away at a time (`play_verdict`). The flight
that is drawn, and the figures beside it, are of the build as written.
"""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from featherbench.aircraft.flight import (
    Flight,
    FlightSetup,
    flight_setup,
    hover_flight,
    with_gain,
    without_play,
)
from featherbench.aircraft.gyro_setting import GyroSetting, gyro_setting
from featherbench.bench.setup import Setup, build_setup
from featherbench.hovering.describing import estimated_cycle
from featherbench.hovering.draw_doubt import Range, likely_share, range_over
from featherbench.hovering.hover_draws import DRAWS, HoverDraw, drawn_flight, hover_draws
from featherbench.hovering.known_digits import to_known_digits
from featherbench.hovering.play_verdict import (
    KICK,
    PLAY_SHOWS,
    Cause,
    Count,
    DrawnWag,
    causes_of,
    fly_draw,
    shown_in,
)
from featherbench.hovering.wag_readings import (
    FIVE_MINUTES,
    ROOM,
    cycle_frequency,
    mean_heat,
    mean_supply,
    peak_to_peak,
    read_heading,
    settling_time,
    winding_range,
)
from featherbench.hovering.wag_verdict import Limits, WagVerdict, judge
from featherbench.notebook import HtmlDisplay, findings_frame, frame
from featherbench.plant.flight import F_HEADING, F_HEAT, F_PITCH, F_RATE, F_ROD_FORCE, F_SUPPLY, F_TIME
from featherbench.scenario import Scenario
from featherbench.servo.winding_heat import winding_rise
from featherbench.studies.ensemble import run_many
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import HOVER_BAND, FreePlay, free_play_curves

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "KICK",
    "PLAY_SHOWS",
    "Limits",
    "Wag",
    "gyro_margin",
    "judge",
    "peak_to_peak",
    "wag",
]

SECONDS = 10.0
"""s that the build as written is flown."""
MOST_GAIN = 8.0
FLOWN = {
    "time": (F_TIME, "time"),
    "heading": (F_HEADING, "angle"),
    "yaw_rate": (F_RATE, "rotation"),
    "pitch": (F_PITCH, "angle"),
    "rod_force": (F_ROD_FORCE, "force"),
    "supply_current": (F_SUPPLY, "current"),
    "winding_heat": (F_HEAT, "power"),
}
"""Columns of a flight and their kinds of quantity."""


@dataclass(frozen=True)
class Wag(HtmlDisplay):
    """What the flights showed. flight: of the build as written, in gusts, with play; draws: each draw as flown; shown:
    in how many of them play shows; healthy: in how many the tail would wag visibly without any play; causes: what a
    visible wag is from, the strongest first; tight_causes: the same of tails that wag without any play, where they are
    more than 1 of 12; setting: the gyro's; seen: rad from which a wag counts; findings by name, SI, of the build as
    written, and ranges of them over the draws; verdict in words; scenario: the build as written.
    """

    flight: Flight
    free_play: FreePlay
    draws: tuple[DrawnWag, ...]
    shown: Count
    healthy: Count
    causes: tuple[Cause, ...]
    tight_causes: tuple[Cause, ...]
    setting: GyroSetting
    seen: float
    findings: dict[str, Finding]
    ranges: dict[str, Range]
    verdict: WagVerdict
    advice: str
    limits: Limits
    scenario: Scenario

    def to_frame(self, what: str = "flight") -> pd.DataFrame:
        """A pandas frame, SI. what: "flight" (over time, as flown, units in the column names), "draws" or "findings".

        Raises KeyError for another name.
        """
        if what == "findings":
            return findings_frame(self.findings)
        if what == "draws":
            kinds = {
                "wag": "angle",
                "tight": "angle",
                "frequency": "frequency",
                "supply": "current",
                "heat": "power",
                "rests": "time",
            }
            return frame({name: [getattr(one, name) for one in self.draws] for name in kinds}, kinds)
        record = {"flight": self.flight.record}[what]
        return frame(
            {name: record[:, column] for name, (column, _) in FLOWN.items()},
            {name: kind for name, (_, kind) in FLOWN.items()},
        )


def wag(
    scenario: Scenario,
    *,
    seed: int = 0,
    seconds: float = SECONDS,
    limits: Limits | None = None,
    draws: int = DRAWS,
    executor: Executor | None = None,
) -> Wag:
    """Fly a build in hover and judge its wag. Raises ValueError, in words, when it cannot hover.

    >>> import featherbench as fb
    >>> fb.wag(fb.read(fb.example("survey-3kg/loud-gyro")), draws=2).verdict.value
    'hunts without any play'
    """
    setup = build_setup(to_known_digits(scenario))
    return wag_of(
        setup, seed=seed, seconds=seconds, limits=limits or Limits(), draws=draws, executor=executor
    )


def _flown(setup: Setup, seen: float, draw: HoverDraw) -> tuple[FlightSetup, int, DrawnWag]:
    """The build in a draw, its gusts, and its wag."""
    own = drawn_flight(setup, draw)
    return own, draw.seed, fly_draw(own, draw.seed, seen, whole=True)


def wag_of(
    setup: Setup,
    *,
    seed: int,
    seconds: float,
    limits: Limits,
    draws: int = DRAWS,
    executor: Executor | None = None,
) -> Wag:
    """The same for a build made ready."""
    setting = gyro_setting(setup)
    ready = flight_setup(setup, setting.gains)
    seen = limits.heading(float(ready.aircraft.tail_arm))
    drawn = hover_draws(setup, draws, seed, executor=executor)

    flown = run_many(partial(_flown, setup, seen), drawn, executor=executor).all_or_stop()
    wags = tuple(own for _, _, own in flown)
    causes = causes_of(flown, seen)
    tight = [(without_play(own), gusts, one._replace(wag=one.tight)) for own, gusts, one in flown]
    verdict = judge(wags, seen, causes)
    as_flown = hover_flight(ready, seconds, seed=seed, heading=KICK)
    free_play = free_play_curves(setup)
    shown = shown_in(wags, seen)
    healthy = Count(sum(own.tight > seen for own in wags), len(wags))
    values = {
        **_of_the_build(ready, free_play),
        **_of_the_flight(ready, as_flown, seconds, seen),
        "share_visible": shown.share,
        "share_healthy": healthy.share,
        "gyro_rate_gain": setting.rate_gain,
        "gyro_hold_gain": setting.hold_gain,
        "gyro_hunts_at": setting.hunts_at,
        "wag_verdict": verdict.value,
    }
    findings = {name: finding(name, value) for name, value in values.items()}
    return Wag(
        as_flown,
        free_play,
        wags,
        shown,
        healthy,
        causes,
        causes_of(tight, seen) if 12 * healthy.hits > healthy.of else (),
        setting,
        seen,
        findings,
        _over_draws(wags, shown, healthy, float(ready.aircraft.tail_arm)),
        verdict,
        verdict.advice,
        limits,
        setup.scenario,
    )


def _of_the_build(ready: FlightSetup, free_play: FreePlay) -> dict[str, float | str | None]:
    """What is known of a build before it is flown."""
    pitch = ready.trim.pitch
    window = free_play.window_near(pitch)
    return {
        "hover_pitch": pitch,
        "rod_force_hover": ready.trim.rod_force,
        "seat_ratio_hover": free_play.least_seat_ratio(pitch - HOVER_BAND, pitch + HOVER_BAND),
        "seat_ratio_trim": free_play.least_seat_ratio(pitch, pitch),
        "lost_motion": float(free_play.lost_motion.max()),
        "float_low": window[0] if window else None,
        "float_high": window[1] if window else None,
    }


def _of_the_flight(
    ready: FlightSetup, as_flown: Flight, seconds: float, seen: float
) -> dict[str, float | str | None]:
    """What is read off the flights of the build as written."""
    calm, silent = (
        hover_flight(ready, seconds, disturbed=False, noisy=noisy, heading=KICK) for noisy in (True, False)
    )
    tight = hover_flight(without_play(ready), seconds, disturbed=False, heading=KICK)
    amount, current = peak_to_peak(as_flown), mean_supply(as_flown)
    cycle = estimated_cycle(ready)
    return {
        "wag_heading": amount,
        "wag_heading_rms": float(np.std(read_heading(as_flown))),
        "wag_travel": amount * float(ready.aircraft.tail_arm),
        "wag_frequency": cycle_frequency(silent),
        "wag_settling": settling_time(calm, seen),
        "wag_reversals": as_flown.reversals,
        "wag_undisturbed": peak_to_peak(silent),
        "wag_without_play": peak_to_peak(tight),
        "wag_estimate": cycle.heading if cycle else 0.0,
        "wag_estimate_frequency": cycle.frequency if cycle else None,
        "gyro_margin": gyro_margin(ready, seconds),
        "current_flown": current,
        "charge_flown": current * FIVE_MINUTES,
        "winding_flown": ROOM + winding_rise(mean_heat(as_flown)),
    }


def _over_draws(
    flown: tuple[DrawnWag, ...], shown: Count, healthy: Count, tail_arm: float
) -> dict[str, Range]:
    """Of the findings that the draws scatter, what range they come to; tail_arm: m."""
    low, high = range_over([one.wag for one in flown])
    supply = range_over([one.supply for one in flown])
    return {
        "wag_heading": (low, high),
        "wag_travel": (low * tail_arm, high * tail_arm),
        "wag_frequency": range_over([one.frequency for one in flown]),
        "wag_settling": range_over([one.rests for one in flown]),
        "current_flown": supply,
        "charge_flown": (supply[0] * FIVE_MINUTES, supply[1] * FIVE_MINUTES),
        "winding_flown": winding_range([one.heat for one in flown]),
        "share_visible": likely_share(*shown),
        "share_healthy": likely_share(*healthy),
    }


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
