"""Neutral or a slight bias: sweeps compensation and the weights' phase, and chooses.

The scenario's counterweights (or, without any, a pair of point weights at the blade bolt) are scaled to each
compensation and turned about the feathering axis by each phase; everything else stays. Each build is read on the
bench and flown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from math import cos, sin
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.assembly import Assembly, MassMoments, PlacedPart, compensation, moments_by_group
from featherbench.bench.release import ReleaseVerdict, release_points, run_release, told
from featherbench.bench.servo_run import run_legs
from featherbench.bench.setup import Setup, build_setup
from featherbench.bench.statics import static_curves
from featherbench.notebook import HtmlDisplay, frame
from featherbench.scenario import Scenario
from featherbench.scenario.bench_tables import Move
from featherbench.studies.ensemble import run_many
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import HOVER_BAND, free_play_curves
from featherbench.studies.wag import KICK, Limits, peak_to_peak

if TYPE_CHECKING:
    import pandas as pd

COMPENSATIONS = np.linspace(0.0, 1.4, 15)
PHASES = np.deg2rad([-6.0, -3.0, 0.0, 3.0, 6.0])
FLIGHT_SECONDS = 8.0
SEAT_MARGIN = 1.3
"""Least seat ratio over the hover band that a chosen build keeps."""
PLAY_FLOOR = 1.3
"""A wag within this factor of that of the seated builds is what servo and gyro leave anyway, not play."""
STAND_IN_HEIGHT = 0.012
"""m above and below the axis, of the point weights that stand in where a scenario has no counterweights."""
HOLD = 1.5


FROM_GOOD_TO_BAD = tuple(ReleaseVerdict)
"""What released blades do; of two sides that differ, the worse one counts."""


@dataclass(frozen=True)
class Point:
    """One build of the sweep. SI: compensation -, phase rad, rod_force N (largest, static with friction) and its value
    at each end, rod_force_hover N, current_peak and current_hold A (largest of the ends), current_hover A, release,
    seat_ratio - (least over the hover band), float_low and float_high rad (nan when none), wag_heading rad. strength:
    a word of `Strength`, "" where nobody asked; against: why it must not be run.
    """

    compensation: float
    phase: float
    rod_force: float
    rod_force_low: float
    rod_force_high: float
    rod_force_hover: float
    current_peak: float
    current_hold: float
    current_hover: float
    release: str
    seat_ratio: float
    float_low: float
    float_high: float
    wag_heading: float
    strength: str = ""
    against: str = ""


HOLDS, FAILS, UNKNOWN = "holds", "fails", "unknown"


class Strength(NamedTuple):
    """Of one amount of weight. word: HOLDS, FAILS or UNKNOWN; against: why it must not be run, "" where nothing is."""

    word: str
    against: str


POINT_KINDS = {
    "phase": "angle",
    **dict.fromkeys(("rod_force", "rod_force_low", "rod_force_high", "rod_force_hover"), "force"),
    **dict.fromkeys(("current_peak", "current_hold", "current_hover"), "current"),
    **dict.fromkeys(("float_low", "float_high", "wag_heading"), "angle"),
}
"""Kinds of quantity of a point's fields; the others are ratios and a verdict."""


@dataclass(frozen=True)
class Bias(HtmlDisplay):
    """The sweep and the choice. chosen: None when nothing was flown; words: what it costs to go further either way.

    margin: seat ratio asked for; visible: wag that is seen (rad); floor: wag that servo and gyro leave where the play
    is held to one side (rad); play_shows: whether play makes a difference anywhere in the sweep.
    """

    points: tuple[Point, ...]
    chosen: Point | None
    words: tuple[str, ...]
    margin: float
    visible: float
    floor: float
    play_shows: bool
    interrupted: bool
    findings: dict[str, Finding]
    scenario: Scenario

    def to_frame(self) -> pd.DataFrame:
        """Every build of the sweep, SI, a row each, units in the column names (e.g. "rod_force [N]")."""
        return frame(
            {name: [getattr(point, name) for point in self.points] for name in Point.__dataclass_fields__},
            POINT_KINDS,
        )


def bias(
    scenario: Scenario,
    *,
    compensations: NDArray[np.float64] = COMPENSATIONS,
    phases: NDArray[np.float64] = PHASES,
    margin: float = SEAT_MARGIN,
    limits: Limits | None = None,
    seed: int = 0,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Bias:
    """Sweep and choose. Raises ValueError, in words, when the build cannot hover under a gyro.

    >>> import featherbench as fb
    >>> import numpy as np
    >>> worn = fb.read(fb.example("survey-3kg/worn"))
    >>> swept = fb.bias(worn, compensations=np.array([0.0, 0.5]), phases=np.array([0.0]))
    >>> len(swept.points)
    2
    """
    base = build_setup(scenario)
    ready = flight_setup(base)
    limits = limits or Limits()
    wanted = [(kappa, float(phase)) for phase in phases for kappa in swept(base, compensations)]

    def one(pair: tuple[float, float]) -> Point:
        return _point(varied(base, *pair), *pair, seed)

    done = run_many(one, wanted, executor=executor, progress=progress)
    points = tuple(done.results.values())
    visible = limits.heading(float(ready.aircraft.tail_arm))
    return _chosen(scenario, points, margin, visible, done.interrupted)


def judged(found: Bias, strengths: Mapping[float, Strength]) -> Bias:
    """The same sweep, chosen anew by what each amount of weight does to what holds it; strengths: by compensation."""
    points = tuple(
        replace(
            point, strength=strengths[point.compensation].word, against=strengths[point.compensation].against
        )
        for point in found.points
    )
    return _chosen(found.scenario, points, found.margin, found.visible, found.interrupted)


def amount(base: Setup, kappa: float) -> tuple[MassMoments, float]:
    """The weights of the build (or their stand-in), and how many times as heavy they are at a compensation; 0 where the
    build's own bolts cancel as much without them.
    """
    weights = moments_by_group(base.assembly, base.lead_lag).get("counterweight")
    if weights is None:
        places = ([base.assembly.bolt.radius, 0.0, side * STAND_IN_HEIGHT] for side in (1.0, -1.0))
        pair = (MassMoments.of_body(0.5e-3, np.array(place), np.zeros((3, 3))) for place in places)
        weights = sum(pair, MassMoments.zero())
    unit = replace(base.assembly, parts=(*_others(base), _weights(weights, 1.0, 0.0)))
    bare = compensation(replace(base.assembly, parts=_others(base)), base.lead_lag)
    return weights, max(0.0, (kappa - bare) / (compensation(unit, base.lead_lag) - bare))


def swept(base: Setup, compensations: Iterable[float]) -> tuple[float, ...]:
    """Those that weights can make, upward: what the build's own bolts cancel beyond the plain ones is there without
    any, and stands for all that is less.
    """
    bare = compensation(replace(base.assembly, parts=_others(base)), base.lead_lag)
    return tuple(dict.fromkeys(max(float(kappa), bare) for kappa in compensations))


def varied(base: Setup, kappa: float, phase: float) -> Setup:
    """The same build with its weights scaled to a compensation and turned by a phase (rad)."""
    weights, factor = amount(base, kappa)
    assembly: Assembly = replace(base.assembly, parts=(*_others(base), _weights(weights, factor, phase)))
    return build_setup(base.scenario, base.air, spacing=np.deg2rad(1.0), assembly=assembly)


def _others(base: Setup) -> tuple[PlacedPart, ...]:
    return tuple(part for part in base.assembly.parts if part.group != "counterweight")


def _weights(moments: MassMoments, factor: float, phase: float) -> PlacedPart:
    """All counterweights as one part, `factor` times as heavy, turned so that a turn equals that much pitch."""
    # a point (c, n) at pitch theta lies where the unturned one lies at theta + phase
    turn = np.array([[1.0, 0.0, 0.0], [0.0, cos(phase), -sin(phase)], [0.0, sin(phase), cos(phase)]])
    turned = moments.moved(turn, np.zeros(3)).times(factor)
    return PlacedPart("weights of the sweep", "counterweight", False, turned, "from density")


def _point(setup: Setup, kappa: float, phase: float, seed: int) -> Point:
    ready = flight_setup(setup)
    statics = static_curves(setup, groups=False)
    free_play = free_play_curves(setup, statics)
    pitch = ready.trim.pitch
    low, high = setup.scenario.rotor.pitch_range
    share = pitch / high if pitch >= 0.0 else -pitch / low
    moves = [Move.model_construct(go=go, hold=HOLD, over=0.0) for go in (1.0, -1.0, share)]
    legs = run_legs(setup, moves)
    window = free_play.window_near(pitch) or (float("nan"), float("nan"))
    verdicts = [run_release(setup, start).verdict for start in release_points(setup)]
    flown = hover_flight(ready, FLIGHT_SECONDS, seed=seed, heading=KICK)
    return Point(
        compensation=kappa,
        phase=phase,
        rod_force=float((np.abs(statics.rod_force) + statics.rod_friction).max()),
        rod_force_low=float(statics.rod_force[0]),
        rod_force_high=float(statics.rod_force[-1]),
        rod_force_hover=ready.trim.rod_force,
        current_peak=max(leg.peak for leg in legs[:2]),
        current_hold=max(leg.drawn for leg in legs[:2]),
        current_hover=legs[2].drawn,
        release=max(verdicts, key=FROM_GOOD_TO_BAD.index).value,
        seat_ratio=free_play.least_seat_ratio(pitch - HOVER_BAND, pitch + HOVER_BAND),
        float_low=window[0],
        float_high=window[1],
        wag_heading=peak_to_peak(flown),
    )


def _chosen(
    scenario: Scenario, points: tuple[Point, ...], margin: float, visible: float, interrupted: bool
) -> Bias:
    """The point of least load that keeps the play seated and the wag unseen, and what it costs to go further."""
    if not points:
        return Bias((), None, ("nothing was flown",), margin, visible, 0.0, False, interrupted, {}, scenario)
    seated = [point.wag_heading for point in points if point.seat_ratio >= 1.0]
    floor = float(np.median(seated)) if seated else min(point.wag_heading for point in points)
    allowed = max(visible, PLAY_FLOOR * floor)
    shows = max(point.wag_heading for point in points) > allowed
    quiet = [point for point in points if point.wag_heading <= allowed]
    fit = [point for point in quiet if point.seat_ratio >= margin] if shows else quiet
    words = []
    if not shows:
        words.append(
            "there is no wag to fear: nowhere in the sweep does play show, so the least load is simply best"
        )
    if not fit:
        words.append(
            f"no build of the sweep keeps a seat ratio of {margin:g} over the hover band; the quietest of least load "
            "is shown instead: take play or friction out of the linkage, or ask for a smaller margin"
        )
        fit = quiet
    strong = [point for point in fit if point.strength != FAILS]
    if not strong:
        words.append(
            "what carries blades or weights fails in every build that qualifies: none of them may be run"
        )
    fit = strong or fit
    # blades that run to full pitch when the rod comes off: not chosen where another build will do
    kept = [point for point in fit if point.release != ReleaseVerdict.RUNS_OUT]
    if kept:
        fit = kept
    else:
        words.append("released, the blades of every build that qualifies run to full pitch")
    chosen = min(fit, key=lambda point: (point.rod_force, abs(point.phase)))
    words += _costs(points, chosen)
    if floor > visible:
        words.append(
            f"the servo's dead band and the gyro alone leave {np.rad2deg(floor):.2f} deg of wag, more than the "
            f"{np.rad2deg(visible):.2f} deg that is seen: no bias takes that away"
        )
    values = {
        "bias_compensation": chosen.compensation,
        "bias_phase": chosen.phase,
        "bias_rod_force": chosen.rod_force,
        "bias_rod_force_hover": chosen.rod_force_hover,
        "bias_current_hold": chosen.current_hover,
        "bias_wag_heading": chosen.wag_heading,
        "bias_seat_ratio": chosen.seat_ratio,
    }
    findings = {name: finding(name, value) for name, value in values.items()}
    return Bias(points, chosen, tuple(words), margin, visible, floor, shows, interrupted, findings, scenario)


def _costs(points: tuple[Point, ...], chosen: Point) -> list[str]:
    """What the neighbours of the chosen compensation, at its phase, give and take."""
    row = sorted(
        (point for point in points if point.phase == chosen.phase), key=lambda point: point.compensation
    )
    place = row.index(chosen)
    words = []
    for step, way in ((-1, "less weight"), (1, "more weight")):
        if not 0 <= place + step < len(row):
            continue
        other = row[place + step]
        warned = f"; DO NOT RUN: {other.against}" if other.strength == FAILS else ""
        words.append(
            f"{way} (compensation {other.compensation:.2f}): rod force {other.rod_force:.1f} N instead of "
            f"{chosen.rod_force:.1f} N, wag {np.rad2deg(other.wag_heading):.2f} instead of "
            f"{np.rad2deg(chosen.wag_heading):.2f} deg, seat ratio {other.seat_ratio:.1f} instead of "
            f"{chosen.seat_ratio:.1f}; released, the blades {told(other.release)}{warned}"
        )
    return words
