"""Builds flown in hover side by side, to be looked at: one flight each, in the same gusts, under one gyro.

The flight of the first build is the one that `wag` draws of it. One flight shows what a wag looks like; how often it
comes is told by the draws of `wag`, not here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from featherbench.aircraft.flight import Flight, flight_setup, hover_flight
from featherbench.aircraft.gyro_setting import SettingKind, gyro_setting
from featherbench.bench.setup import build_setup
from featherbench.hovering.known_digits import to_known_digits
from featherbench.hovering.play_verdict import KICK
from featherbench.scenario import Scenario

SECONDS = 10.0
"""s that each build is flown."""
HOW_OFTEN = "One flight shows what a wag looks like; featherbench wag FILE tells how often it comes."


class FlownBeside(NamedTuple):
    """flights: of each build, () where one cannot hover; said: how they were flown, or why not, in sentences."""

    flights: tuple[Flight, ...]
    said: str


def flown_beside(scenarios: Sequence[Scenario], names: Sequence[str], seed: int = 0) -> FlownBeside:
    """Fly builds in the same gusts. A gyro that is the same in all files is set once, for the first build without its
    weights and play, since nobody sets it anew for a bolt; where it is another, each build has its own.
    """
    setups = [build_setup(to_known_digits(one)) for one in scenarios]
    stated = [one.aircraft.gyro.model_dump() if one.aircraft is not None else None for one in scenarios]
    alike = all(one == stated[0] for one in stated)
    try:
        settings = [gyro_setting(one) for one in setups[: 1 if alike else None]]
        ready = [
            flight_setup(one, settings[0 if alike else number].gains) for number, one in enumerate(setups)
        ]
    except ValueError as error:
        return FlownBeside((), f"Hover is not shown: {error}.")
    flights = tuple(hover_flight(one, SECONDS, seed=seed, heading=KICK) for one in ready)
    gyro = "each under its own gyro" if not alike else _gyro_words(settings[0].kind, names[0])
    return FlownBeside(flights, f"Hover is one flight of each build in the same gusts, {gyro}. {HOW_OFTEN}")


def _gyro_words(kind: SettingKind, name: str) -> str:
    if kind is SettingKind.STATED:
        return "under the gyro gains of the file"
    return f"the gyro set once, for {name} without weights and play"
