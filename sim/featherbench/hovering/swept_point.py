"""One build of a sweep of weights, as read on the bench and flown in hover."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple

from featherbench.bench.release import ReleaseVerdict
from featherbench.hovering.draw_doubt import Range, range_over
from featherbench.hovering.play_verdict import Count

MOST_SHOWN = 1.5 / 12.0
"""Share of draws in which play may show: what rounds to one of twelve."""
MAH = 3.6
"""C in a milliampere-hour."""


@dataclass(frozen=True)
class Point:
    """One build of the sweep. SI: compensation -, phase rad, rod_force N (largest, static with friction) and its value
    at each end, rod_force_hover N, current_peak and current_hold A (largest of the ends), current_hover A, release,
    seat_ratio - (least over the hover band; `_trim` at the hover pitch itself), float_low and float_high rad (nan when
    none), turn_with and turn_against rad/s (steady turns, the way the tail rotor pushes and the other, from which on
    the blades float: `turning`), wag_heading rad, charge_flown C in five minutes of hover and winding_flown K after
    long (medians of the draws); wags, charges: the same draw by draw; heats: of the winding, W, draw by draw; shows:
    whether play shows, draw by draw; evened: share in which it shows as evened out over the sweep, nan where there is
    none. strength: a word of `Strength`, "" where nobody asked; against: why it must not be run.
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
    seat_ratio_trim: float
    float_low: float
    float_high: float
    wag_heading: float
    charge_flown: float
    winding_flown: float
    shows: tuple[bool, ...]
    wags: tuple[float, ...] = ()
    charges: tuple[float, ...] = ()
    heats: tuple[float, ...] = ()
    evened: float = float("nan")
    turn_with: float = float("nan")
    turn_against: float = float("nan")
    strength: str = ""
    against: str = ""

    @property
    def shown(self) -> Count:
        """In how many draws play shows."""
        return Count(sum(self.shows), len(self.shows))

    @property
    def quiet(self) -> bool:
        """Whether play shows in so few draws that the build may be chosen."""
        return self.share <= MOST_SHOWN + 1e-9

    @property
    def share(self) -> float:
        """Share of draws in which play shows, evened out over the sweep where that was done."""
        return self.evened if isfinite(self.evened) else self.shown.share

    @property
    def charge_range(self) -> Range:
        """Charge in five minutes of hover over the draws, C; the one figure there is where there is but that."""
        return range_over(self.charges or (self.charge_flown,))

    @property
    def runs_out(self) -> bool:
        """Whether released blades run to full pitch."""
        return self.release == ReleaseVerdict.RUNS_OUT


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
    **dict.fromkeys(("turn_with", "turn_against"), "rotation"),
    "charge_flown": "charge",
    "winding_flown": "temperature",
}
"""Kinds of quantity of a point's fields; the others are ratios and a verdict."""
BY_DRAW = ("shows", "wags", "charges", "heats")
"""Fields that hold a value for each draw."""
