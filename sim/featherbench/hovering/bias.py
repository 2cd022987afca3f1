"""Neutral or a slight bias: sweeps compensation and the weights' phase, flies each build over the plausible, and
chooses.

The scenario's counterweights (or, without any, a pair of point weights at the blade bolt) are scaled to each
compensation and turned about the feathering axis by each phase; everything else stays. Each build is read on the
bench and flown in the same draws of servo loop, shaking, friction and play (`hover_draws`), the gyro set once for each
draw: a pilot does not set it anew for each bolt.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.flight import FlightSetup, flight_setup
from featherbench.aircraft.gyro_setting import gyro_setting
from featherbench.bench.release import ReleaseVerdict, release_points, run_release
from featherbench.bench.servo_run import run_legs
from featherbench.bench.setup import Setup, build_setup, with_scenario
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.hovering.bias_choice import SEAT_MARGIN, Bias, choose, evened
from featherbench.hovering.hover_draws import DRAWS, HoverDraw, drawn_flight, hover_draws
from featherbench.hovering.known_digits import to_known_digits
from featherbench.hovering.play_verdict import DrawnWag, fly_draw
from featherbench.hovering.swept_point import FAILS, HOLDS, UNKNOWN, Point, Strength
from featherbench.hovering.turning import floating_turn
from featherbench.hovering.wag_readings import FIVE_MINUTES, ROOM
from featherbench.hovering.wag_verdict import Limits
from featherbench.hovering.weight_amounts import amount, swept, varied
from featherbench.scenario import Scenario
from featherbench.scenario.bench_tables import Move
from featherbench.servo.winding_heat import winding_rise
from featherbench.studies.ensemble import run_many
from featherbench.studies.free_play import HOVER_BAND, free_play_curves

__all__ = [
    "FAILS",
    "HOLDS",
    "SEAT_MARGIN",
    "UNKNOWN",
    "Bias",
    "Point",
    "Strength",
    "amount",
    "bias",
    "judged",
    "varied",
]

COMPENSATIONS = np.linspace(0.0, 1.4, 15)
PHASES = np.deg2rad([-6.0, 0.0, 6.0])
HOLD = 1.5
FROM_GOOD_TO_BAD = tuple(ReleaseVerdict)
"""What released blades do; of two sides that differ, the worse one counts."""


def bias(
    scenario: Scenario,
    *,
    compensations: NDArray[np.float64] = COMPENSATIONS,
    phases: NDArray[np.float64] = PHASES,
    margin: float = SEAT_MARGIN,
    limits: Limits | None = None,
    seed: int = 0,
    draws: int = DRAWS,
    gyro_each: bool = False,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Bias:
    """Sweep and choose. gyro_each: the gyro is set anew for each build. Raises ValueError, in words, when the build
    cannot hover.

    >>> import featherbench as fb
    >>> import numpy as np
    >>> worn = fb.read(fb.example("survey-3kg/worn"))
    >>> swept = fb.bias(worn, compensations=np.array([0.0, 0.5]), phases=np.array([0.0]), draws=2)
    >>> len(swept.points)
    2
    """
    scenario = to_known_digits(scenario)
    base = build_setup(scenario)
    ready = flight_setup(base)
    visible = (limits or Limits()).heading(float(ready.aircraft.tail_arm))
    wanted = [(kappa, float(phase)) for phase in phases for kappa in swept(base, compensations)]
    drawn = hover_draws(base, draws, seed, executor=executor)

    one = partial(_flown, base, drawn, gyro_each, visible)
    done = run_many(one, wanted, executor=executor, progress=progress)
    points = evened(tuple(done.results.values()))
    return choose(Bias(points, len(wanted), margin, visible, done.interrupted, scenario, drawn))


def _flown(
    base: Setup, drawn: tuple[HoverDraw, ...], gyro_each: bool, visible: float, pair: tuple[float, float]
) -> Point:
    """A build of the sweep in every draw."""
    build = varied(base, *pair)
    own = [_set_anew(build, draw) for draw in drawn] if gyro_each else drawn
    flown = tuple(fly_draw(drawn_flight(build, draw), draw.seed, visible) for draw in own)
    return read_point(build, *pair, flown, visible)


def judged(found: Bias, strengths: Mapping[float, Strength]) -> Bias:
    """The same sweep, chosen anew by what each amount of weight does to what holds it; strengths: by compensation."""
    points = tuple(
        replace(
            point, strength=strengths[point.compensation].word, against=strengths[point.compensation].against
        )
        for point in found.points
    )
    return choose(replace(found, points=points))


def _set_anew(build: Setup, draw: HoverDraw) -> HoverDraw:
    """The draw with its gyro set by a pilot who flies this very build."""
    setting = gyro_setting(with_scenario(build, draw.scenario), weights=True)
    return replace(draw, setting=setting)


def read_point(
    setup: Setup, kappa: float, phase: float, flown: tuple[DrawnWag, ...], visible: float
) -> Point:
    """One build of the sweep as read on the bench, with what its flights showed."""
    ready = flight_setup(setup)
    statics = static_curves(setup, groups=False)
    free_play = free_play_curves(setup, statics)
    pitch = ready.trim.pitch
    legs = run_legs(setup, _moves(ready))
    window = free_play.window_near(pitch) or (float("nan"), float("nan"))
    wags = tuple(one.wag for one in flown)
    charges = tuple(one.supply * FIVE_MINUTES for one in flown)
    heats = tuple(one.heat for one in flown)
    return Point(
        compensation=kappa,
        phase=phase,
        rod_force=largest_force(statics),
        rod_force_low=float(statics.rod_force[0]),
        rod_force_high=float(statics.rod_force[-1]),
        rod_force_hover=ready.trim.rod_force,
        current_peak=max(leg.peak for leg in legs[:2]),
        current_hold=max(leg.drawn for leg in legs[:2]),
        current_hover=legs[2].drawn,
        release=worse_release(setup).value,
        seat_ratio=free_play.least_seat_ratio(pitch - HOVER_BAND, pitch + HOVER_BAND),
        seat_ratio_trim=free_play.least_seat_ratio(pitch, pitch),
        float_low=window[0],
        float_high=window[1],
        turn_with=floating_turn(ready, free_play, 1),
        turn_against=floating_turn(ready, free_play, -1),
        wag_heading=float(np.median(wags)),
        charge_flown=float(np.median(charges)),
        winding_flown=ROOM + winding_rise(float(np.median(heats))),
        shows=tuple(one.shows(visible) for one in flown),
        wags=wags,
        charges=charges,
        heats=heats,
    )


def largest_force(statics: StaticCurves) -> float:
    """Largest force on the rod over the range, friction against it, N."""
    return float((np.abs(statics.rod_force) + statics.rod_friction).max())


def worse_release(setup: Setup) -> ReleaseVerdict:
    """What released blades do, the worse of the two sides."""
    verdicts = [run_release(setup, start).verdict for start in release_points(setup)]
    return max(verdicts, key=FROM_GOOD_TO_BAD.index)


def _moves(ready: FlightSetup) -> list[Move]:
    """To each end of the range, then to the hover pitch."""
    pitch = ready.trim.pitch
    low, high = ready.setup.scenario.rotor.pitch_range
    share = pitch / high if pitch >= 0.0 else -pitch / low
    return [Move.model_construct(go=go, hold=HOLD, over=0.0) for go in (1.0, -1.0, share)]
