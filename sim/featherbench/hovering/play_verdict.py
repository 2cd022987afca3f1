"""Whether play shows in a hover, taken over the plausible; what the wag is from, one cause taken away at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from featherbench.aircraft.flight import FlightSetup, hover_flight, with_gain, without_play
from featherbench.hovering.draw_doubt import likely_words
from featherbench.hovering.wag_readings import (
    cycle_frequency,
    mean_heat,
    mean_supply,
    peak_to_peak,
    settling_time,
)
from featherbench.plant.parameters import Plant
from featherbench.plant.shaking import Shaking

KICK = float(np.deg2rad(4.0))
"""Heading error that each flight starts from, rad."""
PLAY_SHOWS = 1.5
"""Play shows when a wag is seen and exceeds that of the same hover without play by this factor."""
DRAW_SECONDS = 6.0
"""s that each draw is flown."""


class DrawnWag(NamedTuple):
    """One draw of a build, flown. wag, tight: heading peak to peak with and without play, rad (tight nan where the wag
    is not seen and nobody asked); frequency Hz, of the cycle that stays without gusts and noise, nan where none does or
    nobody asked; supply A, idle included, and heat W of the winding, means; rests: s until it is still after the kick,
    without gusts, inf for never, nan where nobody asked.
    """

    wag: float
    tight: float
    frequency: float
    supply: float
    heat: float
    rests: float = float("nan")

    def shows(self, seen: float) -> bool:
        """Whether play shows: a wag from `seen` (rad) on, larger than without play."""
        return self.wag > seen and self.wag > PLAY_SHOWS * self.tight


def fly_draw(ready: FlightSetup, seed: int, seen: float, *, whole: bool = False) -> DrawnWag:
    """Fly a build under one draw, and without play in the same gusts where its wag is seen; whole: in any case, and
    without gusts, for the frequency of its cycle and the rest after the kick.
    """
    flight = hover_flight(ready, DRAW_SECONDS, seed=seed, heading=KICK)
    wag, tight, frequency, rests = peak_to_peak(flight), float("nan"), float("nan"), float("nan")
    if whole or wag > seen:
        tight = peak_to_peak(hover_flight(without_play(ready), DRAW_SECONDS, seed=seed, heading=KICK))
    if whole:
        calm, silent = (
            hover_flight(ready, DRAW_SECONDS, seed=seed, disturbed=False, noisy=noisy, heading=KICK)
            for noisy in (True, False)
        )
        frequency, still = cycle_frequency(silent), settling_time(calm, seen)
        rests = float("inf") if still is None else still
    return DrawnWag(wag, tight, frequency, mean_supply(flight), mean_heat(flight), rests)


class Count(NamedTuple):
    """So many of so many draws."""

    hits: int
    of: int

    @property
    def share(self) -> float:
        """0 to 1; nan of none."""
        return self.hits / self.of if self.of else float("nan")

    def __str__(self) -> str:
        """As people say it."""
        return f"{self.hits} of {self.of}"

    @property
    def likely(self) -> str:
        """What share of all such tails that stands for, in words: "1 to 33 %"."""
        return likely_words(self.hits, self.of)


def shown_in(flown: Sequence[DrawnWag], seen: float) -> Count:
    """In how many draws play shows; seen: rad."""
    return Count(sum(one.shows(seen) for one in flown), len(flown))


# -- one cause taken away at a time ------------------------------------------------------------------------


def _plant(change: Callable[[Plant], Plant]) -> Callable[[FlightSetup], FlightSetup]:
    def changed(ready: FlightSetup) -> FlightSetup:
        return replace(ready, setup=replace(ready.setup, plant=change(ready.setup.plant)))

    return changed


def _without_friction(plant: Plant) -> Plant:
    pitch = plant.pitch._replace(starting_moment=0.0, load_moment=0.0, slider_friction=0.0, load_share=0.0)
    return plant._replace(pitch=pitch, output=plant.output._replace(rod_friction=0.0, load_share=0.0))


def _without_servo_friction(plant: Plant) -> Plant:
    return plant._replace(
        motor=plant.motor._replace(coulomb=0.0, load_friction=0.0),
        output=plant.output._replace(friction=0.0),
    )


def _without_delay(ready: FlightSetup) -> FlightSetup:
    prompt = ready.table.model_copy(update={"delay": 0.0, "filter": 0.0})
    return replace(ready, table=prompt, gyro=ready.gyro._replace(lag=0.0))


def _without_noise(ready: FlightSetup) -> FlightSetup:
    return replace(ready, table=ready.table.model_copy(update={"noise": 0.0}))


CAUSES: dict[str, Callable[[FlightSetup], FlightSetup]] = {
    "play": without_play,
    "the servo's dead band": _plant(lambda plant: plant._replace(loop=plant.loop._replace(dead_band=0.0))),
    "friction of blades, slider and rod": _plant(_without_friction),
    "friction in the servo's gears": _plant(_without_servo_friction),
    "the gyro's delay and filter": _without_delay,
    "the gyro's noise": _without_noise,
    "shaking": _plant(lambda plant: plant._replace(shaking=Shaking(*[0.0] * len(Shaking._fields)))),
    "half of the gyro's gain": lambda ready: with_gain(ready, 0.5),
    "so low a gyro gain (1.4 times it)": lambda ready: with_gain(ready, 1.4),
}
"""What is taken away, by name, and how."""
GUSTS = "gusts and a torque that wanders"


@dataclass(frozen=True)
class Cause:
    """name: what was taken away; quiet: in how many of the draws that wag visibly the wag is then seen no more; left:
    what is then left of it, the median as a share.
    """

    name: str
    quiet: Count
    left: float


def causes_of(draws: Sequence[tuple[FlightSetup, int, DrawnWag]], seen: float) -> tuple[Cause, ...]:
    """What the visible wags are from, the strongest first; draws: (as flown, its seed, its wag). None where none is
    seen.

    Each cause is taken away alone, all else and the gusts staying.
    """
    visible = [one for one in draws if one[2].wag > seen]
    if not visible:
        return ()
    found = []
    tight = all(ready.setup.plant.joint.half_play == 0.0 for ready, _, _ in visible)
    for name in (*CAUSES, GUSTS):
        if tight and name == "play":
            continue
        change = CAUSES.get(name, lambda ready: ready)
        wags = [
            peak_to_peak(
                hover_flight(
                    change(ready), DRAW_SECONDS, seed=seed, disturbed=name != GUSTS, noisy=True, heading=KICK
                )
            )
            for ready, seed, _ in visible
        ]
        left = float(np.median([wag / one.wag for wag, (_, _, one) in zip(wags, visible, strict=True)]))
        found.append(Cause(name, Count(sum(wag <= seen for wag in wags), len(wags)), left))
    return tuple(sorted(found, key=lambda one: (-one.quiet.hits, one.left)))
