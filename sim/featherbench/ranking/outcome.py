"""What came of changes tried one at a time: each against the build as it is, and all of them ranked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, unit
from featherbench.ranking.change import Change
from featherbench.ranking.measures import COSTS, LESS_COSTS, MEASURES, MORE_IS_BETTER, Values
from featherbench.studies.run import Run

if TYPE_CHECKING:
    import pandas as pd

NOT_KNOWN = "not known"


class Strength(NamedTuple):
    """What the checks say of a run. least: allowed over demanded of the worst; bad: names of those that fail, or whose
    load path is not known, each with its figure or NOT_KNOWN.
    """

    least: float | None
    bad: dict[str, str]


Judge = Callable[[Run, bool], Strength]
"""Of a run; whether tolerances count (True), or the run is a sample within them (False)."""


class Reach(NamedTuple):
    """Least and most that a change makes of a measure in the samples, SI."""

    low: float
    high: float


@dataclass(frozen=True)
class Tried:
    """One change as it came out.

    values, before: measures and costs with and without it; ranges: of the change in each; bad: checks that fail, or
    are not known, with it and not without it; runs_out: released blades run to full pitch, as they do not without it;
    failing: samples, of `samples`, that fail a check or run out though the build as written does not.
    """

    change: Change
    run: Run
    values: Values
    before: Values
    ranges: dict[str, Reach]
    bad: dict[str, str]
    runs_out: bool
    failing: int = 0
    samples: int = 0

    @property
    def holds(self) -> bool:
        """Whether nothing speaks against it that does not speak against the build as it is."""
        return not self.bad and not self.runs_out and self.keeps_up

    @property
    def unknown(self) -> bool:
        """Whether all that speaks against it is that something which holds it together is not known yet."""
        lacks = set(self.bad.values()) == {NOT_KNOWN}
        return lacks and not self.runs_out and self.keeps_up

    @property
    def keeps_up(self) -> bool:
        """Whether the servo still reaches both ends and hover, as far as it did without the change."""
        return not any(
            self.values[name] is None and self.before[name] is not None
            for name in ("arrival", "hold", "hover")
        )

    def moved(self, name: str) -> float | None:
        """Change of a measure or a cost, SI."""
        one, two = self.before[name], self.values[name]
        return None if one is None or two is None else two - one

    def share(self, name: str) -> float:
        """The same as a share of what it was; 0 where there is none."""
        moved, before = self.moved(name), self.before[name]
        return moved / abs(before) if moved is not None and before else 0.0

    def gain(self, by: str = "force") -> float:
        """Share of a measure that it betters: so much less force or current, so much more seat or strength."""
        share = self.share(by)
        return share if by in MORE_IS_BETTER else 0.0 - share

    @property
    def cost(self) -> float:
        """All that it costs, each as a share of what the build has, added up; what it saves does not count."""
        return sum(max(0.0, (-1.0 if name in LESS_COSTS else 1.0) * self.share(name)) for name in COSTS)

    def sure(self, by: str = "force") -> bool:
        """Whether a measure gets better, and in every sample."""
        if by not in self.ranges:
            return self.gain(by) > 0.0
        low, high = self.ranges[by]
        return self.gain(by) > 0.0 and (low > 0.0 if by in MORE_IS_BETTER else high < 0.0)


EFFORT = 0.01
"""What any change costs beside its figures: one per cent, so that what costs nothing does not beat all (judgement)."""


@dataclass(frozen=True)
class Ranking(HtmlDisplay):
    """base: the build as it is; by: the measure that it is ranked by; tried: what betters it most first; left_out: what
    the build cannot take, and why.

    strength: of the base; asked, done: samples asked for and had of every build; complete: whether nothing interrupted
    it.
    """

    base: Run
    by: str
    tried: tuple[Tried, ...]
    left_out: tuple[Change, ...]
    strength: Strength
    asked: int
    done: int
    seed: int
    complete: bool

    def praised(self, by: str = "") -> tuple[Tried, ...]:
        """Those that may be recommended: they hold, and better the measure in every sample; most for least first."""
        name = by or self.by
        good = [one for one in self.tried if one.holds and not one.failing and one.sure(name)]
        return tuple(sorted(good, key=lambda one: -one.gain(name) / (EFFORT + one.cost)))

    @property
    def spoiled(self) -> tuple[Tried, ...]:
        """Those that must not be made as they stand."""
        return tuple(one for one in self.tried if not one.holds or one.failing)

    def to_frame(self) -> pd.DataFrame:
        """A row for each change and measure, SI: before, after, change, low, high, unit."""
        pd = needed("pandas")

        rows = [
            (
                one.change.words,
                name,
                one.before[name],
                one.values[name],
                one.moved(name),
                *(one.ranges.get(name) or (None, None)),
                unit(meaning.kind),
            )
            for one in self.tried
            for name, meaning in {**MEASURES, **COSTS}.items()
        ]
        names = ["tried", "measure", "before", "after", "change", "low", "high", "unit"]
        return pd.DataFrame(rows, columns=names).set_index(["tried", "measure"])
