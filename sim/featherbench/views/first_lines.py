"""What has to be read before anything else of a result: whether the build may be run, and what speaks against it.

Every command, page, drawing, file and notebook takes its first lines from here, so that none of them can be silent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from featherbench.checks import Check, bench_checks
from featherbench.judging import Judgement, judge
from featherbench.judging.judgement import CLOSE_CALL, DO_NOT_RUN, release_lines
from featherbench.judging.sampled_checks import failing_samples, named
from featherbench.plain_text import plain
from featherbench.slips import HEAD, remarks
from featherbench.views.cases import Case

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup
    from featherbench.fitting.calibrate import Calibration
    from featherbench.hovering.bias import Bias
    from featherbench.sampling.checkpoint import Values
    from featherbench.sampling.sampled import BuildSpread, Sampled
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario
    from featherbench.sizing import Sizing
    from featherbench.studies.run import Run


class FirstLines(NamedTuple):
    """lines: to be read first, in this order; none for what may be run. do_not_run: whether anything forbids it."""

    lines: tuple[str, ...] = ()
    do_not_run: bool = False

    @property
    def stamp(self) -> str:
        """The word across a drawing and at the head of a window; "" for what may be run."""
        if self.do_not_run:
            return DO_NOT_RUN
        warnings = [line for line in self.lines if line.startswith("WARNING: ")]
        if warnings and all(line.startswith(CLOSE_CALL) for line in warnings):
            return "CLOSE CALL"
        return "OVER-BALANCED" if warnings else ""

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is probably a slip of typing."""
        return tuple(line for line in self.lines if line.startswith(HEAD))

    def document(self) -> dict[str, Any]:
        """As a JSON document has them, at its top level."""
        return {
            "do_not_run": self.do_not_run,
            "first_lines": list(self.lines),
            "remarks": list(self.remarks),
        }

    def comment(self) -> tuple[str, ...]:
        """As comments at the top of a file."""
        return tuple(f"# {line}" for line in self.lines)


NOTHING = FirstLines()


def of_judged(judged: Mapping[str, Judgement]) -> FirstLines:
    """Of builds by the short name of each, "" for a single one; what forbids to run them comes before warnings."""
    told: dict[str, list[str]] = {}
    for name, judgement in judged.items():
        for line in judgement.lines:
            told.setdefault(line, []).append(plain(name))
    lines = []
    for line, names in told.items():
        head, _, rest = line.partition(": ")
        who = f"{' and '.join(names)}: " if any(names) else ""
        lines.append(plain(f"{head}: {who}{rest}"))
    forbid = [line for line in lines if line.startswith(DO_NOT_RUN)]
    others = [line for line in lines if not line.startswith(DO_NOT_RUN)]
    return FirstLines((*forbid, *others), any(judgement.stop for judgement in judged.values()))


def of_setups(setups: Mapping[str, Setup]) -> FirstLines:
    """Of builds by name before anything runs: what of a load path fails or is not known, and what is probably a slip of
    typing.
    """
    from featherbench.checks.load_path import load_path_checks

    return of_judged(
        {
            name: replace(judge(load_path_checks(setup)), remarks=remarks(setup))
            for name, setup in setups.items()
        }
    )


def of_run(run: Run, checks: Sequence[Check] | None = None, sampled: Sampled | None = None) -> FirstLines:
    """Of one bench run; checks: its own, where they have been made; sampled: what its tolerances and doubts do."""
    case = Case("", run, sampled.builds[0] if sampled is not None else None)
    return of_cases([case], None if checks is None else [checks])


def of_cases(cases: Sequence[Case], checks: Sequence[Sequence[Check]] | None = None) -> FirstLines:
    """Of builds side by side: which of them; checks: those of each, in order."""
    own = [bench_checks(case.run) for case in cases] if checks is None else checks
    judged = {case.name: judge(row, case.run) for case, row in zip(cases, own, strict=True)}
    lines = of_judged(judged)
    for case in cases:
        if case.spread is not None:
            lines = _with_samples(lines, judged[case.name], case.spread, plain(case.name))
    return lines


def _with_samples(lines: FirstLines, judgement: Judgement, spread: BuildSpread, name: str) -> FirstLines:
    """With a line on a build that forbids nothing as written, but fails in some samples; and on a release too close to
    call.
    """
    samples = spread.done - spread.refused
    bad = [] if judgement.stop else failing_samples(spread.checks)
    high, low = (spread.outcomes.get(side, {}) for side in ("release", "release_low"))
    forbid = [line for line in lines.lines if line.startswith(DO_NOT_RUN)]
    others = [line for line in lines.lines if not line.startswith(DO_NOT_RUN)]
    if bad:
        who = f"{name}: " if name else ""
        forbid.append(f"{DO_NOT_RUN}: {who}{_samples_fail(bad, samples)}.")
    others += release_lines(high, low, samples, name)
    return FirstLines((*forbid, *others), lines.do_not_run or bool(bad))


def _samples_fail(bad: Sequence[Values], count: int) -> str:
    return f"{len(bad)} of {count} sampled builds fail within tolerances and doubts ({named(bad)})"


def of_scenario(scenario: Scenario) -> FirstLines:
    """Of a build as written, by a bench run of its own. Raises ScenarioError when the build cannot be."""
    from featherbench.studies import predict

    return of_run(predict(scenario))


def of_scenarios(scenarios: Mapping[str, Scenario]) -> FirstLines:
    """Of builds by name, each by a bench run of its own."""
    from featherbench.studies import predict

    runs = {name: predict(scenario) for name, scenario in scenarios.items()}
    return of_judged({name: judge(bench_checks(run), run) for name, run in runs.items()})


def of_calibration(done: Calibration) -> FirstLines:
    """Of the build as written, and as fitted where anything was found to the end."""
    from featherbench.fitting.improved import as_fitted, improved
    from featherbench.fitting.of_one_build import each_build
    from featherbench.scenario import ScenarioError

    if done.fitted.interrupted or not improved(done):
        return of_scenario(done.scenario)
    found = {}
    for name, own in each_build(done).items():
        about = f"{name} " if name else ""
        found[f"{about}as written"] = own.scenario
        try:
            found[f"{about}as fitted"] = as_fitted(own)
        except ScenarioError:
            continue
    return of_scenarios(found) if len(found) > 1 else of_scenario(done.scenario)


def of_bias(bias: Bias, written: FirstLines) -> FirstLines:
    """Of the build as written, and of the amount of weight that is aimed for."""
    from featherbench.hovering.swept_point import FAILS

    aim = bias.chosen
    if aim is None or aim.strength != FAILS:
        return written
    line = plain(
        f"{DO_NOT_RUN}: at the compensation of {aim.compensation:.2f} that is aimed for: {aim.against}."
    )
    return FirstLines((line, *written.lines), True)


def of_sizing(
    sizing: Sizing, checks: Sequence[Check] | None = None, sampled: Sampled | None = None
) -> FirstLines:
    """Of the build with the weights that were found, sampled or not; and of a scale that cannot match them."""
    from featherbench.sizing.tolerance import UNMATCHED

    said = [f"CANNOT BE BALANCED: {one}." for one in sizing.best.against if one.startswith(UNMATCHED)]
    found = of_run(sizing.run, checks, sampled)
    return found._replace(lines=(*found.lines, *said))


def of_spread(spread: Spread, checks: Sequence[Check] | None = None) -> FirstLines:
    """Of the build as written, then, in a line of its own, of how many sampled builds fail."""
    nominal = of_run(spread.nominal, checks)
    good = [values for values in spread.samples.values() if "refused" not in values]
    bad = failing_samples(good)
    lines = list(nominal.lines)
    if bad:
        lines.insert(
            1 if nominal.do_not_run else 0,
            f"{DO_NOT_RUN}: {_samples_fail(bad, len(good))}.",
        )
    out = sum("runs out" in (values.get("release"), values.get("release_low")) for values in good)
    if out:
        lines.append(
            f"WARNING: {out} of {len(good)} sampled builds are over-balanced: released at speed, their blades run to "
            "full pitch."
        )
    high, low = (
        spread.findings[side].outcomes if side in spread.findings else {}
        for side in ("release", "release_low")
    )
    lines += release_lines(high, low, len(good))
    return FirstLines(tuple(lines), nominal.do_not_run or bool(bad))
