"""What a prediction yields: findings, curves, and everything needed to trust or repeat them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from featherbench.aircraft import HoverTrim
from featherbench.bench.gauge import GaugeRun
from featherbench.bench.landings import Landings
from featherbench.bench.release import Release
from featherbench.bench.servo_run import ServoRun
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves
from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, findings_frame, frame, unit
from featherbench.scenario import Assumed, Scenario
from featherbench.studies.findings import Curves, Finding

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Run(HtmlDisplay):
    """One bench prediction.

    findings: by name (see `studies.findings.FINDINGS_TABLE`), SI; curves: force_loop, moments, run; notes: advice in
    words about anything that did not go as asked; left_out: what the numbers do not contain yet; landings: where the
    servo hunts after more moves than those of the programme, () where none were run.
    """

    setup: Setup
    statics: StaticCurves
    gauge: GaugeRun
    servo: ServoRun
    release_high: Release
    release_low: Release
    hover: HoverTrim | None
    findings: dict[str, Finding]
    curves: dict[str, Curves]
    notes: tuple[str, ...]
    left_out: tuple[str, ...]
    landings: tuple[Landings, ...] = ()

    @property
    def scenario(self) -> Scenario:
        """The scenario that was run."""
        return self.setup.scenario

    @property
    def assumed(self) -> tuple[Assumed, ...]:
        """What was taken where the scenario said nothing."""
        return (*self.setup.assumed, *(self.hover.assumed if self.hover else ()))

    def value(self, name: str) -> float:
        """A numeric finding, SI; raises KeyError for an unknown name, ValueError for text or a missing value."""
        value = self.findings[name].value
        if not isinstance(value, float):
            raise ValueError(f"{name} is {value!r}, not a number")
        return value

    def to_frame(self, what: str = "run") -> pd.DataFrame:
        """One curve set as a pandas frame, SI, units in the column names (e.g. "rod_force [N]").

        what: "run" (over time), "force_loop" or "moments" (over pitch), or "findings" (a row each, value and unit).
        Raises KeyError for another name.
        """
        if what == "findings":
            return findings_frame(self.findings)
        curves = self.curves[what]
        return frame(curves.columns, curves.kinds)


@dataclass(frozen=True)
class Change:
    """One finding before and after, SI or text. difference and share are None where they make no sense."""

    name: str
    before: float | str | None
    after: float | str | None
    difference: float | None
    share: float | None


@dataclass(frozen=True)
class Comparison(HtmlDisplay):
    """Runs side by side, the first as the base; changes[k] are those of runs[k + 1] against it."""

    runs: tuple[Run, ...]
    changes: tuple[tuple[Change, ...], ...]

    def to_frame(self) -> pd.DataFrame:
        """Every finding before and after, SI, a row each with its unit; build: which of `runs` it is about."""
        pd = needed("pandas")

        rows = [
            (
                number,
                one.name,
                one.before,
                one.after,
                one.difference,
                one.share,
                unit(FINDINGS_TABLE[one.name].kind),
            )
            for number, changes in enumerate(self.changes, start=1)
            for one in changes
        ]
        names = ["build", "finding", "before", "after", "difference", "share", "unit"]
        return pd.DataFrame(rows, columns=names).set_index(["build", "finding"])
