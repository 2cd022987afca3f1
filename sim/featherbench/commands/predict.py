"""The predict command: the bench run of one build."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, ScenarioOptions, StrictOption
from featherbench.commands.terminal import announce, end, working
from featherbench.commands.tolerances import RangeOptions, with_matter, with_reason

if TYPE_CHECKING:
    from featherbench.ranking.force_by_part import Influence
    from featherbench.studies import Run


@example("featherbench predict scenarios/survey-3kg/weighted.toml --units trade --figures pictures")
def predict(
    *,
    build: ScenarioOptions,
    half_step: Annotated[
        bool,
        typer.Option("--half-step", help="Run again at half the time step and report the largest change."),
    ] = False,
    ranges: RangeOptions,
    outputs: Annotated[OutputOptions, words(csv="Write the servo run over time, in SI.")],
    strict: StrictOption = False,
) -> None:
    """Predict the bench run of one build: forces, currents, release, checks."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.studies import predict as run_prediction
    from featherbench.views.bench import run_view
    from featherbench.views.first_lines import of_run

    scenario = build.read()
    outputs.check(scenario.source.files)
    ranges.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "bench run") as work:
        run = run_prediction(scenario, check_step=half_step)
    drawn = outputs.targets.drawn
    sampled = ranges.of([run], drawn, outputs.quiet)
    checks, cautions = bench_checks(run), run_cautions(run)
    first = of_run(run, checks, sampled)
    moved = _influences(run) if outputs.verbose or drawn else ()
    view = told = run_view(
        run,
        checks,
        cautions,
        outputs.units.value,
        sampled=sampled,
        seed=ranges.seed,
        first=first,
        influences=moved,
    )
    if moved and not outputs.verbose:
        told = run_view(
            run, checks, cautions, outputs.units.value, sampled=sampled, seed=ranges.seed, first=first
        )
    outputs.deliver(
        with_reason(view, [run], drawn),
        work,
        told=with_matter(told, run, outputs),
        whole=sampled is None or sampled.complete,
    )
    end(strict, checks)


def _influences(run: Run) -> tuple[Influence, ...]:
    from featherbench.ranking.force_by_part import influences

    return influences(run.setup)
