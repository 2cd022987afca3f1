"""A hover over the plausible: draws of servo loop, shaking, friction and play, the same for every build.

What a wag hangs on, nobody has measured: so a build is flown under several draws of it, at the places of the one
sampler (`sampling.samples`), and what is told is in how many of them play shows. In each draw a pilot who flies it has
set the gyro (`aircraft.gyro_setting`), once: the weights are changed under that setting. Tolerances and doubts of the
scenario are drawn as everywhere; play, friction and the gyro's noise that have no tolerance, by the factors here; and
how much of the gain the pilot takes back, where the scenario does not say.
"""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from operator import attrgetter

import numpy as np

from featherbench.aircraft.flight import FlightSetup, flight_setup
from featherbench.aircraft.gyro_setting import GyroSetting, gyro_setting
from featherbench.bench.setup import Setup, with_scenario
from featherbench.hovering.known_digits import to_known_digits
from featherbench.sampling.doubts import log_normal
from featherbench.sampling.inputs import Input, values_at, varied, varied_inputs
from featherbench.sampling.samples import sample_places
from featherbench.scenario import Scenario
from featherbench.studies.ensemble import run_many
from featherbench.studies.key_paths import with_value

DRAWS = 12
TABLES = ("servo.", "shaking.", "bearing.", "linkage.", "aircraft.gyro.")
"""Tables whose tolerances are drawn."""
DOUBTS = (
    "doubt.shaking",
    "doubt.load_friction",
    "doubt.bearing_coefficient",
    "doubt.proportional_band",
    "doubt.dead_band",
    "doubt.damping",
    "doubt.chopping_rate",
)
PLAYS = (("linkage.play.rod", "linkage.play.slider", "linkage.play.horn"), ("servo.gear_play",))
FRICTIONS = (
    ("linkage.slider_friction", "linkage.rod_friction"),
    ("servo.gear_friction", "servo.output_friction"),
)
NOISE = ("aircraft.gyro.noise",)
OWN_FACTORS = (*((keys, 1.4) for keys in PLAYS), *((keys, 1.5) for keys in FRICTIONS), (NOISE, 2.0))
"""Keys that are drawn together where none of them has a tolerance, and the factor either way that holds 95 % (play felt
by hand, friction from handling: judgement; noise from data sheets, `scenario.aircraft`)."""
BACK_OFF, TAKEN_BACK = "aircraft.gyro.back_off", (0.3, 0.5)
"""Share of the gain that a pilot takes back, evenly between these where the scenario does not say: why these, in
`aircraft.gyro_setting`."""


@dataclass(frozen=True)
class HoverDraw:
    """One draw: the scenario with its loop, shaking, friction and play; the gyro as set for it; the gusts' seed."""

    number: int
    scenario: Scenario
    setting: GyroSetting
    seed: int


def hover_draws(
    base: Setup, count: int = DRAWS, seed: int = 0, *, executor: Executor | None = None
) -> tuple[HoverDraw, ...]:
    """So many draws for all builds that have this base. Raises ValueError, in words, where it cannot hover, and
    KeyboardInterrupt: builds flown in fewer draws than were asked for would be told with those few.
    """
    scenarios = drawn_scenarios(base.scenario, count, seed)

    work = list(enumerate(scenarios))
    return tuple(run_many(partial(_draw, base, seed), work, executor=executor).all_or_stop())


def _draw(base: Setup, seed: int, place: tuple[int, Scenario]) -> HoverDraw:
    number, scenario = place
    return HoverDraw(number, scenario, gyro_setting(with_scenario(base, scenario)), seed + number)


def drawn_scenarios(scenario: Scenario, count: int, seed: int) -> list[Scenario]:
    """The scenario at so many places of its loop, shaking, friction and play."""
    inputs = tuple(own for own in varied_inputs(scenario) if _is_drawn(own))
    known = {own.key for own in inputs}
    factors = [one for one in OWN_FACTORS if not any(key in known for key in one[0])]
    places = sample_places(len(inputs) + len(factors) + 1, count, seed)
    asked = _says_what_is_taken_back(scenario)
    drawn = []
    for place in places.tolist():
        one = varied(scenario, inputs, values_at(inputs, tuple(place[: len(inputs)])))
        for (keys, factor), where in zip(factors, place[len(inputs) :], strict=False):
            one = scaled(one, keys, log_normal(factor, where))
        if not asked:
            one = with_value(one, BACK_OFF, float(np.interp(place[-1], (-1.0, 1.0), TAKEN_BACK)))
        drawn.append(to_known_digits(one))
    return drawn


def scaled(scenario: Scenario, keys: tuple[str, ...], factor: float) -> Scenario:
    """The scenario with the keys that it has multiplied by a factor."""
    for key in keys:
        value = attrgetter(key)(scenario)
        if value is not None:
            scenario = with_value(scenario, key, factor * float(value))
    return scenario


def _says_what_is_taken_back(scenario: Scenario) -> bool:
    """Whether the file has the share, or has gains, of which nothing is taken back."""
    aircraft = scenario.aircraft
    return aircraft is None or not {"back_off", "rate_gain"}.isdisjoint(aircraft.gyro.model_fields_set)


def drawn_flight(build: Setup, draw: HoverDraw) -> FlightSetup:
    """A build ready to hover under a draw, its gyro as it was set for that draw."""
    return flight_setup(with_scenario(build, draw.scenario), draw.setting.gains)


def _is_drawn(own: Input) -> bool:
    return own.key in DOUBTS or own.key.startswith(TABLES)
