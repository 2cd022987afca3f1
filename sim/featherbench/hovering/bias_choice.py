"""Which build of a sweep is chosen, what decided, and what less and more weight would cost.

Chosen is the least force on the rod among the builds that may be flown: nothing that holds the weights fails, released
blades do not run to full pitch, and play shows in hover in at most one of twelve draws. What no build of the sweep can
keep is given up last of all asked, and said.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from featherbench.bench.release import ReleaseVerdict, told
from featherbench.hovering.hover_draws import HoverDraw
from featherbench.hovering.play_verdict import Count
from featherbench.notebook import HtmlDisplay, frame
from featherbench.scenario import Scenario
from featherbench.studies.findings import Finding, finding

if TYPE_CHECKING:
    import pandas as pd

SEAT_MARGIN = 0.0
"""Least seat ratio over the hover band that a chosen build keeps: none asked, the flights decide."""
MOST_SHOWN = 1.0 / 12.0
"""Share of draws in which play may show."""
FIVE_MINUTES = 300.0
MAH = 3.6
"""C in a milliampere-hour."""
ROOM = 293.15
"""K, of the air around a warm winding."""


@dataclass(frozen=True)
class Point:
    """One build of the sweep. SI: compensation -, phase rad, rod_force N (largest, static with friction) and its value
    at each end, rod_force_hover N, current_peak and current_hold A (largest of the ends), current_hover A, release,
    seat_ratio - (least over the hover band; `_trim` at the hover pitch itself), float_low and float_high rad (nan when
    none), wag_heading rad, charge_flown C in five minutes of hover and winding_flown K after long (medians of the
    draws); shows: whether play shows, draw by draw. strength: a word of `Strength`, "" where nobody asked; against: why
    it must not be run.
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
    strength: str = ""
    against: str = ""

    @property
    def shown(self) -> Count:
        """In how many draws play shows."""
        return Count(sum(self.shows), len(self.shows))

    @property
    def quiet(self) -> bool:
        """Whether play shows in so few draws that the build may be chosen."""
        return self.shown.hits <= MOST_SHOWN * self.shown.of + 1e-9

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
    "charge_flown": "charge",
    "winding_flown": "temperature",
}
"""Kinds of quantity of a point's fields; the others are ratios and a verdict."""


@dataclass(frozen=True)
class Bias(HtmlDisplay):
    """The sweep and the choice. asked: builds of the whole sweep; margin: seat ratio asked for; visible: wag that is
    seen (rad); draws: under which each build was flown. chosen: None when the sweep was interrupted; neutral: of the
    builds with weights not turned, the one of least load in hover; words: what decided, and what going further costs;
    choices: how often each compensation is the one chosen, draw by draw of air and loop, () where nobody asked.
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
    choices: tuple[tuple[float, int], ...] = ()
    findings: dict[str, Finding] = field(default_factory=dict)

    @property
    def play_shows(self) -> bool:
        """Whether play makes a difference anywhere in the sweep."""
        return any(not point.quiet for point in self.points)

    def row(self, phase: float) -> list[Point]:
        """The builds of one phase (rad), by compensation."""
        own = (point for point in self.points if point.phase == phase)
        return sorted(own, key=lambda point: point.compensation)

    def to_frame(self) -> pd.DataFrame:
        """Every build of the sweep, SI, a row each, units in the column names (e.g. "rod_force [N]")."""
        names = [name for name in Point.__dataclass_fields__ if name != "shows"]
        columns = {name: [getattr(point, name) for point in self.points] for name in names}
        columns["shown"] = [point.shown.hits for point in self.points]
        columns["draws"] = [point.shown.of for point in self.points]
        return frame(columns, POINT_KINDS)


def choose(found: Bias) -> Bias:
    """The sweep with its choice, what decided and what it costs to go further; none of a sweep broken off."""
    count = len(found.points)
    if found.interrupted and count < found.asked:
        said = f"interrupted: {count} of {found.asked} builds were flown, too few to choose from"
        return replace(found, chosen=None, words=(said,))
    if not found.points:
        return replace(found, chosen=None, words=("nothing was flown",))
    fit, words = _fit(found)
    chosen = min(fit, key=lambda point: (point.rod_force, abs(point.phase)))
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
    words = [_play_words(chosen, neutral, row), *words, *costs(row, chosen)]
    return replace(found, chosen=chosen, neutral=neutral, words=tuple(words), findings=findings)


def _play_words(chosen: Point, neutral: Point, row: list[Point]) -> str:
    """In how many draws play shows at the chosen amount, at the one of least load in hover, and at the least weight."""
    said = [f"play shows in {chosen.shown} draws at {chosen.compensation:.2f}"]
    if neutral is not chosen:
        said.append(f"in {neutral.shown} at {neutral.compensation:.2f}, where hover loads the rod least")
    least = row[0]
    if least is not chosen and least is not neutral:
        where = "without weights" if least.compensation == 0.0 else f"at {least.compensation:.2f}"
        said.append(f"in {least.shown} {where}")
    return ", ".join(said)


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
                fewest = min(point.shown.hits for point in fit)
                fit = [point for point in fit if point.shown.hits == fewest]
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


def costs(row: list[Point], chosen: Point) -> list[str]:
    """What the neighbours of the chosen compensation, at its phase, give and take."""
    place = row.index(chosen)
    words = []
    for step, way in ((-1, "less weight"), (1, "more weight")):
        if 0 <= place + step < len(row):
            words.append(_cost(row[place + step], chosen, way))
    return words


def _cost(other: Point, chosen: Point, way: str) -> str:
    """One neighbour in one sentence."""
    warned = f"; DO NOT RUN: {other.against}" if other.strength == FAILS else ""
    return (
        f"{way} ({other.compensation:.2f}): rod force {other.rod_force:.1f} N instead of {chosen.rod_force:.1f} N, "
        f"{other.charge_flown / MAH:.2f} mAh in five minutes of hover instead of {chosen.charge_flown / MAH:.2f}, "
        f"play shows in {other.shown} draws instead of {chosen.shown.hits}; released, the blades "
        f"{told(other.release)}{warned}"
    )


def forbidden(point: Point) -> str:
    """Why a build is out of the question, in a few words; "" where it is not."""
    if point.strength == FAILS:
        return "fails strength"
    if point.runs_out:
        return "runs to full pitch"
    return ""
