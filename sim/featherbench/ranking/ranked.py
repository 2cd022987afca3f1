"""Changes tried one at a time by the full model, each set against the build as it is.

Every build is run as written. Then a few samples of all of them are run at the same places within tolerances and
doubts, each key at the same place in every build: what they share cancels in a change, so its range is that of the
change itself. The range is the least and the most of these samples: of n of them it holds (n - 1)/(n + 1) of what is
possible on average (W. A. Shewhart's and S. S. Wilks's distribution-free limits; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

from featherbench.bench.release import ReleaseVerdict
from featherbench.ranking.change import Change, left_out
from featherbench.ranking.measures import COSTS, MEASURES, Values, measured
from featherbench.ranking.ordinary import ordinary_changes
from featherbench.ranking.outcome import Judge, Ranking, Reach, Strength, Tried
from featherbench.sampling.inputs import varied_inputs
from featherbench.sampling.samples import Place, SampleTask, sample_places, sample_run, shortened_task
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.ensemble import run_many
from featherbench.studies.prediction import predict
from featherbench.studies.run import Run

COUNT = 8
"""Samples of each build: enough for the sign of a change and its size, few enough for half a minute."""


def ranked(
    scenario: Scenario,
    judge: Judge,
    *,
    own: Sequence[Change] = (),
    ordinary: bool = True,
    by: str = "force",
    count: int = COUNT,
    seed: int = 0,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Ranking:
    """Try each change alone. own: changes beside the ordinary ones; ordinary: whether these are tried at all.

    by: a name of MEASURES, by which they are ranked. An interrupt gives what was done. Raises ScenarioError when the
    build itself cannot be run, KeyError for another measure.
    """
    MEASURES[by]
    base = predict(scenario)
    changes = [*own, *(ordinary_changes(base.setup) if ordinary else ())]
    ready = [one for one in changes if one.scenario is not None]
    total = len(ready) + (1 + len(ready)) * (1 + count if count else 0)
    tell = _Told(progress, total)
    first = run_many(_written, ready, executor=executor, progress=tell.upto(0))
    refused = [one for one in changes if one.scenario is None]
    runs: list[tuple[Change, Run]] = []
    for index, found in first.results.items():
        if isinstance(found, str):
            refused.append(left_out(ready[index].words, found))
        else:
            runs.append((ready[index], found))
    sampled = _sampled([base, *(run for _, run in runs)], judge, count, seed, executor, tell.upto(len(ready)))
    whole = not first.interrupted and sampled.complete
    own_strength = judge(base, True)
    tried = [
        _tried(base, own_strength, pair, judge(pair[1], True), sampled.of(number))
        for number, pair in enumerate(runs, start=1)
    ]
    return Ranking(
        base=base,
        by=by,
        tried=tuple(sorted(tried, key=lambda one: -one.gain(by))),
        left_out=tuple(refused),
        strength=own_strength,
        asked=count,
        done=sampled.done,
        seed=seed,
        complete=whole,
    )


class _Told:
    """Progress of several ensembles as one."""

    def __init__(self, progress: Callable[[int, int], None] | None, total: int) -> None:
        """progress: of the whole, `total` runs."""
        self._progress, self._total = progress, total

    def upto(self, before: int) -> Callable[[int, int], None] | None:
        """Progress of an ensemble that begins after `before` runs."""
        tell = self._progress
        if tell is None:
            return None
        return lambda done, _: tell(before + done, self._total)


def _written(change: Change) -> Run | str:
    assert change.scenario is not None
    try:
        return predict(change.scenario)
    except ScenarioError as error:
        return "; ".join(
            f"{one.key}: {one.given}, expected {one.expected}" if one.key else one.given
            for one in error.problems
        )


class _Sample(NamedTuple):
    """values: measures and costs; bad: checks that fail, or are not known; runs_out: on either side."""

    values: Values
    bad: tuple[str, ...]
    runs_out: bool


@dataclass(frozen=True)
class _Samples:
    """By build and place (-1: as written, by the same shortened run)."""

    by_build: dict[int, dict[int, _Sample]]
    done: int
    complete: bool

    def of(self, number: int) -> tuple[dict[int, _Sample], dict[int, _Sample]]:
        """Samples of the base, and of a build."""
        return self.by_build.get(0, {}), self.by_build.get(number, {})


def _sampled(
    runs: Sequence[Run],
    judge: Judge,
    count: int,
    seed: int,
    executor: Executor | None,
    progress: Callable[[int, int], None] | None,
) -> _Samples:
    """The same places within what each key allows, for every build; all builds at a place before the next place."""
    inputs = [varied_inputs(run.scenario) for run in runs]
    keys = list(dict.fromkeys(own.key for each in inputs for own in each))
    if count == 0 or not keys:
        return _Samples({}, 0, True)
    tasks = _tasks(runs)
    columns = [[keys.index(own.key) for own in each] for each in inputs]
    points = sample_places(len(keys), count, seed)
    places: list[int] = [-1, *range(len(points))]
    work = [(number, place) for place in places for number in range(len(runs))]
    jobs = [
        (tasks[number], None if place < 0 else tuple(points[place, columns[number]].tolist()))
        for number, place in work
    ]
    found = run_many(partial(_one_sample, judge), jobs, executor=executor, progress=progress)
    by_build: dict[int, dict[int, _Sample]] = {}
    for index, sample in found.results.items():
        if sample is not None:
            number, place = work[index]
            by_build.setdefault(number, {})[place] = sample
    done = sum(place >= 0 for place in by_build.get(0, {}))
    return _Samples(by_build, done, found.complete)


def _one_sample(judge: Judge, job: tuple[SampleTask, Place]) -> _Sample | None:
    """One build at one place; None where it cannot be."""
    try:
        run = sample_run(*job)
    except ScenarioError:
        return None
    strength = judge(run, False)
    return _Sample({**measured(run), "strength": strength.least}, tuple(strength.bad), runs_out(run))


def _tasks(runs: Sequence[Run]) -> list[SampleTask]:
    """What the samples of each build need; the air of the base serves all builds whose rotor and blade are its own."""
    base = runs[0].scenario
    first = shortened_task(runs[0], varied_inputs(base))
    tasks = [first]
    for run in runs[1:]:
        same = all(
            getattr(run.scenario, table) == getattr(base, table) for table in ("rotor", "air", "blade")
        )
        stated = varied_inputs(run.scenario)
        if same:
            tasks.append(shortened_task(run, stated, air=first.air))
        else:
            tasks.append(shortened_task(run, stated))
    return tasks


def runs_out(run: Run) -> bool:
    """Whether blades released at speed run to full pitch, on either side."""
    return ReleaseVerdict.RUNS_OUT in (run.release_high.verdict, run.release_low.verdict)


def _tried(
    base: Run,
    strength: Strength,
    pair: tuple[Change, Run],
    own: Strength,
    samples: tuple[dict[int, _Sample], dict[int, _Sample]],
) -> Tried:
    change, run = pair
    before, values = measured(base), measured(run)
    before["strength"], values["strength"] = strength.least, own.least
    known = [place for place in samples[1] if place >= 0 and place in samples[0]]
    failing = [
        place
        for place in known
        if set(samples[1][place].bad) - set(samples[0][place].bad)
        or (samples[1][place].runs_out and not samples[0][place].runs_out)
    ]
    tried = Tried(
        change=change,
        run=run,
        values=values,
        before=before,
        ranges={},
        bad={name: words for name, words in own.bad.items() if name not in strength.bad},
        runs_out=runs_out(run) and not runs_out(base),
        failing=len(failing),
        samples=len(known),
    )
    return replace(tried, ranges=_ranges(tried, *samples, known)) if known else tried


def _ranges(
    tried: Tried, base: dict[int, _Sample], own: dict[int, _Sample], known: Sequence[int]
) -> dict[str, Reach]:
    """Of each change: as written, and so much more or less as it is in the samples than in the same shortened run."""
    found = {}
    for name in (*MEASURES, *COSTS):
        moved = tried.moved(name)
        places = [-1, *known]
        pairs = [
            (base[place].values[name], own[place].values[name])
            for place in places
            if place in base and place in own
        ]
        if moved is None or len(pairs) < len(places) or any(None in pair for pair in pairs):
            continue
        shifts = [two - one for one, two in pairs if one is not None and two is not None]
        away = [shift - shifts[0] for shift in shifts[1:]]
        found[name] = Reach(moved + min(0.0, *away), moved + max(0.0, *away))
    return found
