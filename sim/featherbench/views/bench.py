"""The view of a bench run, and of several side by side; and what studies of a single build tell of its bench run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, partial
from typing import TYPE_CHECKING

from featherbench.studies.motion import SHOWN, Flown, motion_of
from featherbench.studies.run import Comparison, Run
from featherbench.views.answer import comparison_answer, comparison_question, run_answer, run_question
from featherbench.views.bench_data import comparison_data, run_data
from featherbench.views.brief.bench import next_of, next_of_comparison, next_of_run, short_bench
from featherbench.views.brief.checks import checks_of
from featherbench.views.cases import Case, assumed_by_case, cases_of, title_of
from featherbench.views.findings_table import findings_table
from featherbench.views.first_lines import FirstLines, of_cases
from featherbench.views.force_causes import cause_data, cause_table, causes_of, influence_table
from featherbench.views.pictures import bench_pictures, parts_picture
from featherbench.views.sampled_notes import sampled_note, unsure_outcomes
from featherbench.views.view import Note, View, build_of

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.ranking.force_by_part import Influence
    from featherbench.sampling.sampled import Sampled
    from featherbench.studies.motion import Motion


def run_view(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    *,
    sampled: Sampled | None = None,
    seed: int | None = None,
    first: FirstLines | None = None,
    influences: Sequence[Influence] = (),
) -> View:
    """The view of one bench prediction. system: "metric" or "trade"; sampled: what its tolerances and doubts do.

    first: what is to be read first, where it is known already; influences: what a tenth more of each figure does.
    """
    cases = cases_of([run], sampled)
    causes = causes_of(run)
    about = about_builds(cases, [checks], cautions, system, first=first)
    return replace(
        about,
        question=run_question(run),
        answer=run_answer(run, system, sampled),
        tables=(
            findings_table(cases, system, sampled),
            *((cause_table(causes, system),) if causes else ()),
            *influence_table(influences, system),
        ),
        short=short_bench(cases, [checks], system, sampled),
        next_steps=next_of(about.first, next_of_run(run)),
        motion=partial(motion_of, [case.run for case in cases], [case.name for case in cases]),
        system=system,
        pictures=bench_pictures(cases, system),
        ranges=sampled_note([run], sampled) if sampled else "",
        data={
            **run_data(run, checks, cautions, seed=seed, sampled=sampled),
            **cause_data(causes, influences),
        },
        series={"": run.curves["run"]},
    )


def comparison_view(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    *,
    sampled: Sampled | None = None,
    seed: int | None = None,
    first: FirstLines | None = None,
) -> View:
    """The view of several builds, the first as the base; checks: those of each run, in order; else as `run_view`."""
    runs = comparison.runs
    cases = cases_of(runs, sampled)
    about = about_builds(cases, checks, cautions, system, first=first)
    return replace(
        about,
        title="What changes on the bench",
        question=comparison_question(comparison),
        answer=comparison_answer(comparison, system, sampled),
        brief=comparison_answer(comparison, system, sampled, each=False),
        tables=(findings_table(cases, system, sampled),),
        short=short_bench(cases, checks, system, sampled),
        next_steps=next_of(about.first, next_of_comparison(comparison)),
        motion=cache(partial(_beside, cases)),
        system=system,
        pictures=bench_pictures(cases, system),
        ranges=sampled_note(runs, sampled) if sampled else "",
        data=comparison_data(comparison, checks, cautions, seed=seed, sampled=sampled),
        series={case.name: case.run.curves["run"] for case in cases},
    )


def _beside(cases: Sequence[Case]) -> Motion:
    """Builds in step on the bench and in hover, flown only now that somebody looks."""
    from featherbench.hovering.side_by_side import flown_beside
    from featherbench.hovering.wag_readings import swing_range

    shown = cases[:SHOWN]
    names = [case.name for case in shown]
    found = flown_beside([case.run.setup.scenario for case in shown], names)
    flown = [Flown(one.record, swing_range(one)) for one in found.flights]
    return motion_of([case.run for case in shown], names, flown, found.said, last=True)


def about_builds(
    cases: Sequence[Case],
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    *,
    first: FirstLines | None = None,
) -> View:
    """What every view of builds that were run has: what to read first, parts, checks, cautions, notes, assumptions."""
    parts = parts_picture([(case.name, case.run.setup.assembly, case.run.scenario) for case in cases], system)
    notes = [*unsure_outcomes(cases), *((case.name, note) for case in cases for note in case.run.notes)]
    return View(
        title=title_of(cases[0].run),
        first=of_cases(cases, checks) if first is None else first,
        builds=tuple(build_of(case.run.scenario, case.name) for case in cases),
        parts=parts,
        checks=checks_of(checks, system),
        cautions=tuple(cautions),
        notes=tuple(Note(text, build) for build, text in notes),
        assumed=assumed_by_case(cases),
        left_out=tuple(dict.fromkeys(item for case in cases for item in case.run.left_out)),
    )
