"""What is to be said of spreads that stand beside figures, in words and for other programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.judging.judgement import counted
from featherbench.numerals import UNMOVED
from featherbench.plain_text import plain
from featherbench.sampling.inputs import any_tolerance, varied_inputs
from featherbench.sampling.interval import METHOD
from featherbench.views.cases import Case

if TYPE_CHECKING:
    from featherbench.sampling.sampled import Interval, Sampled
    from featherbench.studies.run import Run

NONE_STATED = "no tolerance is stated and every doubt is taken out: no spread can be given."


def sampled_note(runs: Sequence[Run], sampled: Sampled | None) -> str:
    """What the spreads beside the figures are, in a few sentences; why there are none; "" where none were asked for."""
    if sampled is None:
        stated = any(any_tolerance(varied_inputs(run.scenario)) for run in runs)
        return "" if stated else f"{NONE_STATED[0].upper()}{NONE_STATED[1:]}"
    several, done = len(runs) > 1, min(build.done for build in sampled.builds)
    said = [
        f"Of what your tolerances and the model's own doubts ([doubt]) allow, 95 % lies in the range given with a "
        f"figure ({done} bench runs{' of each build' if several else ''}, sample set {sampled.seed}; each tolerance a "
        f"bound, every value within it equally likely; {UNMOVED}: neither reaches it)."
    ]
    if several:
        said.append(
            "Tolerances that the builds share cancel when they are compared: so a change is known better than either "
            "figure."
        )
    return " ".join([*said, *_shortfalls(sampled)])


def unsure_outcomes(cases: Sequence[Case]) -> list[tuple[str, str]]:
    """By the case's name, what came of the samples where it was not the same in all."""
    said = []
    for case in cases:
        alike: dict[str, list[str]] = {}
        samples = case.spread.done - case.spread.refused if case.spread else 0
        for name, shares in (case.spread.outcomes if case.spread else {}).items():
            if len(shares) > 1 and name in FINDINGS_TABLE:
                alike.setdefault(f"{counted(shares, samples)} samples", []).append(FINDINGS_TABLE[name].label)
        said += [(case.name, f"{' and '.join(labels)}: {way}.") for way, labels in alike.items()]
    return said


def _shortfalls(sampled: Sampled) -> list[str]:
    """What did not go as asked."""
    said = []
    if not sampled.complete:
        said.append(f"Interrupted before all {sampled.asked} were done: the ranges are those of these runs.")
    refused = [build for build in sampled.builds if build.refused]
    if refused:
        count = sum(build.refused for build in refused)
        said.append(
            f"{count} samples could not be built and are not counted; the first: {plain(refused[0].refusal)}"
        )
    return said


def with_spread(
    findings: Mapping[str, dict[str, Any]],
    intervals: Mapping[str, Interval],
    outcomes: Mapping[str, Mapping[str, float]],
) -> dict[str, dict[str, Any]]:
    """A document's findings, or changes, with low and high (95 %, SI) beside numbers, and outcomes beside texts."""
    made = {name: dict(finding) for name, finding in findings.items()}
    for name, interval in intervals.items():
        if name in made:
            made[name] |= {"low": interval.low, "high": interval.high}
    for name, shares in outcomes.items():
        if name in made:
            made[name]["outcomes"] = dict(shares)
    return made


def sampled_part(sampled: Sampled) -> dict[str, Any]:
    """How the spreads of a document were come by."""
    from featherbench.numerals import unit_of

    return {
        "runs": min(build.done for build in sampled.builds),
        "asked": sampled.asked,
        "refused": sum(build.refused for build in sampled.builds),
        "complete": sampled.complete,
        "method": METHOD,
        "varied": [
            {"key": varied.key, "low": varied.low, "high": varied.high, "unit": unit_of(varied.kind)}
            for varied in sampled.inputs
        ],
    }
