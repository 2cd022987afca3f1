"""The rank command: ordinary changes tried one at a time, ranked by what each does."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, workers, working

BY = ("force", "hold", "hover", "play", "strength")


@example(
    'featherbench rank scenarios/survey-3kg/plain.toml --set linkage.servo_arm="12 mm" --report rank.html'
)
def rank(
    file: options.ScenarioArgument,
    settings: Annotated[
        list[str],
        typer.Option(
            "--set",
            metavar="KEY.PATH=VALUE",
            help="A change of your own, tried alone beside the ordinary ones; repeatable.",
            autocompletion=completion.settings,
        ),
    ] = [],  # noqa: B006 - typer reads the default, nothing changes it
    only: Annotated[bool, typer.Option("--only-set", help="Try nothing but what --set says.")] = False,
    by: Annotated[str, typer.Option("--by", help="Rank by force, hold, hover, play or strength.")] = "force",
    runs: Annotated[
        int, typer.Option("--runs", min=0, max=256, help="Samples of each build for the range of its change.")
    ] = 6,
    jobs: options.StudyJobsOption = None,
    executor: options.ExecutorOption = None,
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every change and measure, in SI.")
    ] = None,
    force: options.ForceOption = False,
    seed: options.SampleSeedOption = 0,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Try ordinary changes one at a time, and rank them by what each does and costs."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.judging.ranking import rank as run_ranking
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import ScenarioError, read
    from featherbench.views.rank import rank_view

    if by not in BY:
        refuse(f"--by {by}: expected one of {', '.join(BY)}")
    if only and not settings:
        refuse("--only-set: expected at least one --set KEY.PATH=VALUE to try")
    scenario = read(file)
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    own, refused = {}, []
    for text in settings:
        try:
            own[text] = read(file, options.settings_of([text]))
        except ScenarioError as error:
            refused.append(str(error))
    if refused:
        refuse("\n\n".join(dict.fromkeys(refused)))
    options.one_engine(jobs, executor)
    announce(quiet)
    how = {"ordinary": not only, "by": by, "count": runs, "seed": seed}
    with working(quiet, "changes tried") as work, workers(jobs, executor) as pool:
        found = run_ranking(scenario, own, **how, executor=pool, progress=work.count)
    checks = bench_checks(found.base)
    view = rank_view(found, checks, CAUTIONS, units.value)
    told = rank_view(found, checks, CAUTIONS, units.value, ends=verbose)
    forms = forms_of(view, command_line(), told, verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=found.complete)
