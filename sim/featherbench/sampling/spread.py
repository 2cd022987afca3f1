"""What tolerances do to every finding, and which tolerance matters.

Inputs (see `spread_inputs`) are sampled as in `spread_samples`; the 95 % interval of a finding is that of
`sample_departures`, shares of variance as in `spread_shares`. The same scenario, seed and number of runs give the same
findings, whatever the number of threads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, unit
from featherbench.sampling.checkpoint import Checkpoint, Values, open_checkpoint
from featherbench.sampling.departures import Interval, finding_departures, shifted_intervals
from featherbench.sampling.inputs import Input, spread_inputs
from featherbench.sampling.interval import METHOD as INTERVAL_METHOD
from featherbench.sampling.interval import interval
from featherbench.sampling.samples import (
    AUDITS,
    Place,
    refused_sample,
    run_sample,
    sample_checks,
    sample_places,
    shortened_task,
)
from featherbench.sampling.shares import Shares, shares_of_each
from featherbench.scenario import Scenario
from featherbench.studies.ensemble import run_many
from featherbench.studies.prediction import predict
from featherbench.studies.run import Run

if TYPE_CHECKING:
    import pandas as pd

Array = NDArray[np.float64]

RUNS = 2048
TOGETHER = 8
"""Samples that go to another process as one task: a tenth of a second of work."""
METHOD = f"{INTERVAL_METHOD}; shares of variance by a polynomial fitted to the samples"


@dataclass(frozen=True)
class FindingSpread:
    """One finding over all samples, SI. value: of the nominal build; low, high: 95 %; standard: deviation.

    The interval is that of `sample_departures`, or of the samples alone where the nominal build or too many of them
    have no value. share_known: of the samples that gave a value; shares, total_shares: of variance, by key;
    unexplained: share that no polynomial predicts. outcomes: of a text, share of samples by text. Empty or None where
    it does not apply.
    """

    name: str
    value: float | str | None
    low: float | None
    high: float | None
    standard: float | None
    share_known: float
    shares: dict[str, float]
    total_shares: dict[str, float]
    unexplained: float | None
    outcomes: dict[str, float]

    @property
    def aside(self) -> bool:
        """Whether the nominal build lies outside the interval, as where all that varies moves it the same way."""
        if not isinstance(self.value, float) or self.low is None or self.high is None:
            return False
        return not self.low <= self.value <= self.high


@dataclass(frozen=True)
class Spread(HtmlDisplay):
    """nominal: the bench run as written; findings by name; asked, done: number of samples; refused: samples that could
    not be built, and why the first could not; complete: whether nothing interrupted it.
    """

    nominal: Run
    inputs: tuple[Input, ...]
    findings: dict[str, FindingSpread]
    samples: dict[int, Values]
    asked: int
    refused: int
    refusal: str
    seed: int
    complete: bool

    @property
    def done(self) -> int:
        """Number of samples run."""
        return len(self.samples)

    @property
    def scenario(self) -> Scenario:
        """The scenario as written."""
        return self.nominal.scenario

    def to_frame(self, what: str = "findings") -> pd.DataFrame:
        """A pandas frame, SI. what: "findings" (value as written, bounds of 95 %, deviation, unit), "shares" (a row a
        finding, a column a key: total share of the variance), "inputs" (what was varied), or "samples" (a row each).

        Raises KeyError for another name.
        """
        pd = needed("pandas")

        varied = {name: finding for name, finding in self.findings.items() if finding.low is not None}
        made = {
            "findings": lambda: pd.DataFrame.from_dict(
                {
                    name: (one.value, one.low, one.high, one.standard, unit(FINDINGS_TABLE[name].kind))
                    for name, one in varied.items()
                },
                orient="index",
                columns=["value", "low", "high", "standard", "unit"],
            ),
            "shares": lambda: pd.DataFrame.from_dict(
                {name: one.total_shares for name, one in varied.items() if one.total_shares}, orient="index"
            ),
            "inputs": lambda: pd.DataFrame(
                [(one.key, one.low, one.high, unit(one.kind)) for one in self.inputs],
                columns=["key", "low", "high", "unit"],
            ).set_index("key"),
            "samples": lambda: pd.DataFrame.from_dict(self.samples, orient="index").sort_index(),
        }
        return made[what]()


def spread(
    scenario: Scenario,
    *,
    runs: int = RUNS,
    seed: int = 0,
    bearing_doubt: bool = False,
    keep: Path | str | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    also: Callable[[Run], Values] | None = None,
) -> Spread:
    """Sample the tolerances of a scenario. keep: a file in which results are stored as they come and found again.
    also: gives what else each sample is to keep of its run, such as the checks that it fails; by default those.

    Raises ScenarioError when there is nothing to vary or the build cannot be, CheckpointMismatch for a file that holds
    something else. An interrupt gives what was done so far.

    >>> import featherbench as fb
    >>> found = fb.spread(fb.read(fb.example("survey-3kg/plain")), runs=8)
    >>> found.done
    8
    >>> push = found.findings["rod_force_push"]
    >>> push.low < push.value < push.high
    True
    """
    inputs = spread_inputs(scenario, bearing_doubt=bearing_doubt)
    nominal = predict(scenario)
    points = sample_places(len(inputs), runs, seed)
    places: list[Place] = [tuple(row) for row in points.tolist()]
    task = partial(run_sample, replace(shortened_task(nominal, inputs), also=also or sample_checks()))
    written = task(None)
    kept = None
    if keep is not None:
        kept = open_checkpoint(keep, _belongs(scenario, inputs, seed))
    try:
        known = {index: values for index, values in kept.known.items() if index < runs} if kept else None
        how: dict[str, Any] = {"executor": executor, "progress": progress, "refused": refused_sample}
        done = run_many(task, places, known=known, keep=kept.add if kept else None, together=TOGETHER, **how)
    finally:
        _close(kept)
    return _summarised(nominal, inputs, written, done.results, points, seed, done.complete)


def _close(kept: Checkpoint | None) -> None:
    if kept is not None:
        kept.close()


def _belongs(scenario: Scenario, inputs: tuple[Input, ...], seed: int) -> dict[str, object]:
    return {
        "kept": "spread, with its checks",
        "program version": version("featherbench"),
        "scenario": scenario.source.digest,
        "seed": seed,
        "set of inputs": [[varied.key, varied.low, varied.high] for varied in inputs],
    }


def _summarised(
    nominal: Run,
    inputs: tuple[Input, ...],
    written: Values,
    samples: dict[int, Values],
    points: Array,
    seed: int,
    complete: bool,
) -> Spread:
    """Intervals and shares from samples by index; written: the nominal build's own; points (asked, inputs)."""
    good = {index: samples[index] for index in sorted(samples) if "refused" not in samples[index]}
    refusals = [str(values["refused"]) for values in samples.values() if "refused" in values]
    numbers = {
        name: finding.value for name, finding in nominal.findings.items() if isinstance(finding.value, float)
    }
    intervals = shifted_intervals(numbers, *finding_departures(written, good), points, inputs)
    told = [name for name in nominal.findings if name not in AUDITS and name in FINDINGS_TABLE]
    shares = _shares_of(told, good, points)
    findings = {
        name: _finding_spread(
            name, nominal.findings[name].value, intervals.get(name), good, points, inputs, shares.get(name)
        )
        for name in told
    }
    return Spread(
        nominal=nominal,
        inputs=inputs,
        findings=findings,
        samples=samples,
        asked=len(points),
        refused=len(refusals),
        refusal=refusals[0] if refusals else "",
        seed=seed,
        complete=complete,
    )


def _shares_of(
    names: Sequence[str], samples: Mapping[int, Values], points: Array
) -> dict[str, Shares | None]:
    """Shares of variance by finding; those that the same samples have are worked out together."""
    alike: dict[tuple[int, ...], list[str]] = {}
    for name in names:
        having = tuple(index for index, row in samples.items() if isinstance(row.get(name), float))
        alike.setdefault(having, []).append(name)
    found: dict[str, Shares | None] = {}
    for having, own in alike.items():
        if having:
            values = np.array([[samples[index][name] for name in own] for index in having], dtype=float)
            found |= dict(zip(own, shares_of_each(points[list(having)], values), strict=True))
    return found


def _finding_spread(
    name: str,
    value: float | str | None,
    laid: Interval | None,
    samples: dict[int, Values],
    points: Array,
    inputs: tuple[Input, ...],
    shares: Shares | None,
) -> FindingSpread:
    empty = FindingSpread(name, value, None, None, None, 0.0, {}, {}, None, {})
    if not samples:
        return empty
    if FINDINGS_TABLE[name].kind == "text":
        texts = [str(values.get(name)) for values in samples.values()]
        outcomes = {text: texts.count(text) / len(texts) for text in sorted(set(texts))}
        return replace(empty, share_known=1.0, outcomes=outcomes)
    known = {index: one for index, row in samples.items() if isinstance(one := row.get(name), float)}
    if not known:
        return empty
    places, numbers = points[list(known)], np.array(list(known.values()))
    low, high = laid or (float(edge[0]) for edge in interval(places, numbers[:, None], inputs))
    return replace(
        empty,
        low=low,
        high=high,
        standard=float(np.std(numbers, ddof=1)) if len(numbers) > 1 else None,
        share_known=len(known) / len(samples),
        shares=_by_key(inputs, shares.first) if shares else {},
        total_shares=_by_key(inputs, shares.total) if shares else {},
        unexplained=shares.unexplained if shares else None,
    )


def _by_key(inputs: tuple[Input, ...], shares: Array) -> dict[str, float]:
    return {varied.key: float(share) for varied, share in zip(inputs, shares, strict=True)}


__all__ = [
    "RUNS",
    "FindingSpread",
    "Shares",
    "Spread",
    "run_sample",
    "sample_places",
    "shortened_task",
    "spread",
]
