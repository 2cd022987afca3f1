"""Which build of a sweep is chosen, what decided, and what less and more weight would cost.

Chosen is the least force on the rod among the builds that may be flown: nothing that holds the weights fails, released
blades do not run to full pitch, and play shows in hover in about one of twelve draws at most. Of forces that nobody can
measure apart the one with the least weight, and then the straightest, is chosen. In how many draws play shows is
scattered by gusts and by friction that sticks, and of many counts the luckiest would be taken: so the share by which a
build is judged is evened out over all builds of the sweep, in the order of load over friction (`evened`). What no build
of the sweep can keep is given up last of all asked, and said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from featherbench.hovering.bias_words import costs, doubt_words, play_words
from featherbench.hovering.draw_doubt import Range, likely_share, range_over, smoothed
from featherbench.hovering.hover_draws import HoverDraw
from featherbench.hovering.swept_point import BY_DRAW, FAILS, POINT_KINDS, Point
from featherbench.hovering.wag_readings import winding_range
from featherbench.notebook import HtmlDisplay, frame
from featherbench.scenario import Scenario
from featherbench.studies.findings import Finding, finding

if TYPE_CHECKING:
    import pandas as pd

SEAT_MARGIN = 0.0
"""Least seat ratio over the hover band that a chosen build keeps: none asked, the flights decide."""
FORCE_ALIKE = 0.02
"""Share by which rod forces may differ and count as alike: a hand-held gauge tells no finer (judgement)."""


@dataclass(frozen=True)
class Bias(HtmlDisplay):
    """The sweep and the choice. asked: builds of the whole sweep; margin: seat ratio asked for; visible: wag that is
    seen (rad); draws: under which each build was flown. chosen: None when the sweep was interrupted; neutral: of the
    builds with weights not turned, the one of least load in hover; words: what decided; doubts: what the draws cannot
    tell apart;
    choices: how often each compensation is the one chosen, draw by draw of air and loop, () where nobody asked; ranges:
    over the draws (SI), of the findings that they scatter.
    """

    points: tuple[Point, ...]
    asked: int
    margin: float
    visible: float
    interrupted: bool
    scenario: Scenario
    draws: tuple[HoverDraw, ...] = ()
    chosen: Point | None = None
    neutral: Point | None = None
    words: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    choices: tuple[tuple[float, int], ...] = ()
    findings: dict[str, Finding] = field(default_factory=dict)
    ranges: dict[str, Range] = field(default_factory=dict)

    @property
    def play_shows(self) -> bool:
        """Whether play makes a difference anywhere in the sweep."""
        return any(not point.quiet for point in self.points)

    def row(self, phase: float) -> list[Point]:
        """The builds of one phase (rad), by compensation."""
        own = (point for point in self.points if point.phase == phase)
        return sorted(own, key=lambda point: point.compensation)

    def costs(self, system: str = "metric") -> list[str]:
        """What less and more weight would cost, in words, in a system of units; nothing where nothing was chosen."""
        return [] if self.chosen is None else costs(self.row(self.chosen.phase), self.chosen, system)

    def to_frame(self) -> pd.DataFrame:
        """Every build of the sweep, SI, a row each, units in the column names (e.g. "rod_force [N]")."""
        names = [name for name in Point.__dataclass_fields__ if name not in BY_DRAW]
        columns = {name: [getattr(point, name) for point in self.points] for name in names}
        columns["shown"] = [point.shown.hits for point in self.points]
        columns["draws"] = [point.shown.of for point in self.points]
        return frame(columns, POINT_KINDS)


def evened(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The builds with the share of draws in which play shows evened out among them."""
    shares = smoothed([point.shown.share for point in points], [point.seat_ratio_trim for point in points])
    return tuple(replace(point, evened=share) for point, share in zip(points, shares, strict=True))


def choose(found: Bias) -> Bias:
    """The sweep with its choice and what decided; none of a sweep broken off."""
    count = len(found.points)
    if found.interrupted and count < found.asked:
        said = f"interrupted: {count} of {found.asked} builds were flown, too few to choose from"
        return replace(found, chosen=None, words=(said,))
    if not found.points:
        return replace(found, chosen=None, words=("nothing was flown",))
    fit, words = _fit(found)
    chosen = least_loaded(fit)
    row = found.row(chosen.phase)
    straight = min((point.phase for point in found.points), key=abs)
    neutral = min(found.row(straight), key=lambda point: abs(point.rod_force_hover))
    values = {
        "bias_compensation": chosen.compensation,
        "bias_phase": chosen.phase,
        "bias_rod_force": chosen.rod_force,
        "bias_rod_force_hover": chosen.rod_force_hover,
        "bias_current_hold": chosen.current_hover,
        "bias_charge": chosen.charge_flown,
        "bias_winding": chosen.winding_flown,
        "bias_wag_heading": chosen.wag_heading,
        "bias_share_visible": chosen.shown.share,
        "bias_seat_ratio": chosen.seat_ratio,
    }
    findings = {name: finding(name, value) for name, value in values.items()}
    ranges = {
        "bias_charge": chosen.charge_range,
        "bias_winding": winding_range(chosen.heats),
        "bias_wag_heading": range_over(chosen.wags),
        "bias_share_visible": likely_share(*chosen.shown),
    }
    return replace(
        found,
        chosen=chosen,
        neutral=neutral,
        words=(play_words(chosen, neutral, row), *words),
        doubts=doubt_words(row, chosen),
        findings=findings,
        ranges=ranges,
    )


def least_loaded(points: Sequence[Point]) -> Point:
    """Of the builds whose rod force can't be measured apart from the least, the one of least, straightest weight."""
    least = min(point.rod_force for point in points)
    alike = [point for point in points if point.rod_force <= (1.0 + FORCE_ALIKE) * least]
    return min(alike, key=lambda point: (point.compensation, abs(point.phase), point.rod_force))


def _fit(found: Bias) -> tuple[list[Point], list[str]]:
    """The builds that may be chosen, and what had to be given up or need not be feared, in words."""
    fit, words = list(found.points), []
    if not found.play_shows:
        words.append("there is no wag to fear: nowhere in the sweep does play show")
    for keeps, said in _demands(found):
        kept = [point for point in fit if keeps(point)]
        if kept:
            fit = kept
        else:
            words.append(said)
            if keeps is _is_quiet:
                fewest = min(point.share for point in fit)
                fit = [point for point in fit if point.share <= fewest + 1e-9]
    return fit, words


def _is_quiet(point: Point) -> bool:
    return point.quiet


def _demands(found: Bias) -> list[tuple[Callable[[Point], bool], str]]:
    """What a build has to keep to be chosen, the first the last to be given up, and what is said where none does."""
    demands: list[tuple[Callable[[Point], bool], str]] = [
        (
            lambda point: point.strength != FAILS,
            "what carries blades or weights fails in every build: none of them may be run",
        ),
        (
            lambda point: not point.runs_out,
            "released, the blades of every build that qualifies run to full pitch",
        ),
        (
            _is_quiet,
            "play shows in more than 1 of 12 draws in every build that qualifies: the one that shows it least is "
            "taken; take play or friction out of the linkage",
        ),
    ]
    if found.margin > 0.0:
        floats = all(point.seat_ratio < 1.0 for point in found.points)
        zero = (
            ": the hover band holds a pitch of no load at every amount, so the flights decide"
            if floats
            else ""
        )
        demands.append(
            (
                lambda point: point.seat_ratio >= found.margin,
                f"no build that qualifies keeps a load over friction of {found.margin:g} in the hover band{zero}",
            )
        )
    return demands
