"""How sure each figure of one or several builds is, within the tolerances their scenarios state, from a few dozen runs.

A shared tolerance takes the same value in every build of the same sample: what two builds have in common cancels in
their difference, so a change is surer than two figures that know nothing of each other. Inputs are shared when key and
bounds are equal; an instrument is the same one for all builds, so its own error cancels, too.

How samples become intervals: see `sample_departures` and `sample_interval`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, unit
from featherbench.sampling.checkpoint import Values
from featherbench.sampling.departures import (
    STEPPED,
    Band,
    Departures,
    Interval,
    Sample,
    bands_of,
    curves_of,
    departures_of,
    shifted_intervals,
)
from featherbench.sampling.inputs import Input, any_tolerance, varied_inputs
from featherbench.sampling.interval import likely_error, most_likely
from featherbench.sampling.samples import (
    Place,
    SampleTask,
    sample_checks,
    sample_places,
    sample_run,
    sample_values,
    shortened_task,
)
from featherbench.scenario import ScenarioError
from featherbench.studies.ensemble import run_many
from featherbench.studies.run import Run

if TYPE_CHECKING:
    import pandas as pd

Array = NDArray[np.float64]

COUNT = 64
FORCES = ("rod_force_push", "rod_force_pull")
Where = tuple[Array, tuple[Input, ...]]
"""Places (samples, inputs) in [-1, 1], and of what."""


@dataclass(frozen=True)
class BuildSpread:
    """One build. intervals: of numbers, by finding; outcomes: of texts, share of the samples by text.

    bands: over `pitch` (n,), rad: rod_force, rod_force_upper and rod_force_lower (the friction band's edges), moment,
    lost_motion, seat_ratio. checks: what they say of each sample that could be built; likely: where the samples of what
    is held lie closest together, by finding; likely_errors: how far off that is, one standard deviation, SI. done:
    samples run; refused: those that could not be built, and why the first could not.
    """

    intervals: dict[str, Interval]
    outcomes: dict[str, dict[str, float]]
    pitch: Array
    bands: dict[str, Band]
    done: int
    refused: int
    refusal: str
    checks: tuple[Values, ...] = ()
    likely: dict[str, float] = field(default_factory=dict)
    likely_errors: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Sampled(HtmlDisplay):
    """builds: as the runs given; changes[k]: of each finding's difference between run k + 1 and the first.

    ties: pairs of runs whose largest rod force cannot be told apart: the 95 % range of the difference holds zero.
    inputs: all that was varied; asked: samples of each build; complete: whether nothing interrupted it.
    """

    builds: tuple[BuildSpread, ...]
    changes: tuple[dict[str, Interval], ...]
    inputs: tuple[Input, ...]
    asked: int
    seed: int
    complete: bool
    ties: frozenset[frozenset[int]] = frozenset()

    def to_frame(self, what: str = "builds") -> pd.DataFrame:
        """Where 95 % of the samples lie, SI, a row a build and finding. what: "builds", or "changes" against the first.

        Raises KeyError for another name.
        """
        pd = needed("pandas")

        found = {"builds": [build.intervals for build in self.builds], "changes": self.changes}[what]
        rows = [
            (number, name, *interval, unit(FINDINGS_TABLE[name].kind))
            for number, intervals in enumerate(found, start=0 if what == "builds" else 1)
            for name, interval in intervals.items()
        ]
        names = ["build", "finding", "low", "high", "unit"]
        return pd.DataFrame(rows, columns=names).set_index(["build", "finding"])


class _Build(NamedTuple):
    """A build's task, which of all inputs are its own, and the pitch (n,) that its curves are wanted over."""

    task: SampleTask
    own: tuple[int, ...]
    pitch: Array


def sampled(
    runs: Sequence[Run],
    count: int = COUNT,
    *,
    seed: int = 0,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Sampled | None:
    """Sample the tolerances of builds that have been run as written, `count` times each; None when none are stated.

    progress(done, count) counts the runs of all builds. An interrupt gives what was done so far. The same runs, count
    and seed give the same intervals, whatever the number of threads. Raises ScenarioError for a tolerance that reaches
    where no value can be.

    >>> import featherbench as fb
    >>> found = fb.sampled([fb.predict(fb.read(fb.example("survey-3kg/plain")))], 4)
    >>> len(found.builds), found.asked
    (1, 4)
    """
    stated = [varied_inputs(run.scenario) for run in runs]
    if not any(any_tolerance(inputs) for inputs in stated):
        return None
    union = tuple(dict.fromkeys(varied for inputs in stated for varied in inputs))
    builds = tuple(
        _Build(
            replace(shortened_task(run, inputs), also=sample_checks()),
            tuple(union.index(varied) for varied in inputs),
            run.statics.pitch,
        )
        for run, inputs in zip(runs, stated, strict=True)
    )
    points = sample_places(len(union), count, seed)
    places: list[Place] = [None, *(tuple(row) for row in points.tolist())]
    work = [(number, place) for place in places for number in range(len(builds))]
    done = run_many(partial(_sample, builds), work, executor=executor, progress=progress, refused=_refused)
    samples = _by_build(done.results, len(builds))
    departures = [departures_of(sample) for sample in samples]
    return Sampled(
        builds=tuple(
            _build_spread(run, sample, away, (points[:, build.own], build.task.inputs))
            for run, sample, away, build in zip(runs, samples, departures, builds, strict=True)
        ),
        changes=tuple(
            _changes(runs[0], run, departures[0], away, (points, union))
            for run, away in zip(runs[1:], departures[1:], strict=True)
        ),
        inputs=union,
        asked=count,
        seed=seed,
        complete=done.complete,
        ties=frozenset(
            frozenset((one, two))
            for one, two in itertools.combinations(range(len(runs)), 2)
            if _tied((runs[one], runs[two]), (departures[one], departures[two]), (points, union))
        ),
    )


def _by_build(results: Mapping[int, Any], builds: int) -> list[dict[int, Any]]:
    """Of each build, results by the index of the sample, -1 the build as written; they were run build by build."""
    return [
        {index // builds - 1: result for index, result in results.items() if index % builds == number}
        for number in range(builds)
    ]


def _tied(runs: tuple[Run, Run], away: tuple[Departures, Departures], where: Where) -> bool:
    """Whether the 95 % range of the difference between two builds' largest rod forces holds zero."""
    if any(not one.base for one in away):
        return False
    written = [max(run.value(name) for name in FORCES) for run in runs]
    shorter = [max(one.base[name] for name in FORCES) for one in away]
    moved = {}
    for index in away[0].findings.keys() & away[1].findings.keys():
        forces = [max(one.base[name] + one.findings[index][name] for name in FORCES) for one in away]
        moved[index] = {"force": forces[1] - forces[0] - (shorter[1] - shorter[0])}
    difference = {"force": written[1] - written[0]}
    found = shifted_intervals(difference, {"force": shorter[1] - shorter[0]}, moved, *where)
    return "force" in found and found["force"].low <= 0.0 <= found["force"].high


def _sample(builds: tuple[_Build, ...], work: tuple[int, Place]) -> Sample:
    number, place = work
    build = builds[number]
    own = None if place is None else tuple(place[index] for index in build.own)
    try:
        run = sample_run(build.task, own)
    except ScenarioError as error:
        return _refused(str(error))
    told = build.task.also(run) if build.task.also else {}
    return Sample(sample_values(build.task, own, run), curves_of(run, build.pitch), checks=told)


def _refused(why: str) -> Sample:
    return Sample({}, {}, why)


def _build_spread(run: Run, samples: Mapping[int, Sample], away: Departures, where: Where) -> BuildSpread:
    numbers = {
        name: finding.value for name, finding in run.findings.items() if isinstance(finding.value, float)
    }
    good = [sample for index, sample in samples.items() if index >= 0 and not sample.refused]
    refusals = [sample.refused for index, sample in samples.items() if index >= 0 and sample.refused]
    texts = [
        name for name, finding in run.findings.items() if finding.kind == "text" and finding.value is not None
    ]
    return BuildSpread(
        intervals=shifted_intervals(numbers, away.base, away.findings, *where),
        outcomes={name: _outcomes([str(one.values[name]) for one in good]) for name in texts if good},
        pitch=run.statics.pitch,
        bands=bands_of(run, away, *where),
        done=len(good) + len(refusals),
        refused=len(refusals),
        refusal=refusals[0] if refusals else "",
        checks=tuple(one.checks for one in good),
        likely=_likely(good, most_likely),
        likely_errors=_likely(good, likely_error),
    )


def _likely(samples: Sequence[Sample], what: Callable[[Array], float]) -> dict[str, float]:
    """Of the samples of what is held: where they lie closest together, or how far off that is."""
    found = {}
    for name in STEPPED:
        values = [value for sample in samples if isinstance(value := sample.values.get(name), float)]
        if values:
            found[name] = what(np.array(values))
    return found


def _changes(base: Run, run: Run, before: Departures, after: Departures, where: Where) -> dict[str, Interval]:
    """Of each finding's difference, by samples that both builds have."""
    numbers = {}
    for name, finding in base.findings.items():
        value = run.findings[name].value if name in run.findings else None
        if isinstance(finding.value, float) and isinstance(value, float):
            numbers[name] = value - finding.value
    both = {
        index: {
            name: value - before.findings[index][name]
            for name, value in finding.items()
            if name in before.findings[index]
        }
        for index, finding in after.findings.items()
        if index in before.findings
    }
    shorter = {name: value - before.base[name] for name, value in after.base.items() if name in before.base}
    return shifted_intervals(numbers, shorter, both, *where)


def _outcomes(texts: Sequence[str]) -> dict[str, float]:
    return {text: texts.count(text) / len(texts) for text in sorted(set(texts))}


__all__ = ["COUNT", "Band", "BuildSpread", "Interval", "Sampled", "sampled"]
