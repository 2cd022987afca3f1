"""The bias command: neutral against a slight bias."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, workers, working
from featherbench.commands.wag import DrawsOption, HoverArgument, VisibleHeading, VisibleTravel, limits_of


@example("featherbench bias scenarios/survey-3kg/worn.toml --margin 1.5")
def bias(
    file: HoverArgument,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    jobs: options.StudyJobsOption = None,
    executor: options.ExecutorOption = None,
    units: options.UnitsOption = options.Units.METRIC,
    margin: Annotated[
        float,
        typer.Option("--margin", min=0.0, help="Least load over friction in the hover band; 0: none asked."),
    ] = 0.0,
    visible_heading: VisibleHeading = "0.25 deg",
    visible_travel: VisibleTravel = "3 mm",
    gyro_each: Annotated[
        bool, typer.Option("--gyro-each", help="Set the gyro anew for each build, as if it were flown in.")
    ] = False,
    draws: DrawsOption = 12,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every build of the sweep, in SI.")
    ] = None,
    force: options.ForceOption = False,
    seed: options.SampleSeedOption = 0,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Sweep compensation and the weights' phase, fly each build, and choose how close to neutral to go."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.judging.biasing import bias as run_bias
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.studies import predict
    from featherbench.views.hover import bias_view

    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    limits = limits_of(visible_heading, visible_travel)
    options.one_engine(jobs, executor)
    announce(quiet)
    with working(quiet, "builds flown") as work, workers(jobs, executor) as pool:
        try:
            found = run_bias(
                scenario,
                margin=margin,
                limits=limits,
                seed=seed,
                draws=draws,
                gyro_each=gyro_each,
                executor=pool,
                progress=work.count,
            )
        except ValueError as error:
            refuse(f"{file}: {error}")
        run = predict(scenario)
    view = bias_view(found, run, bench_checks(run), CAUTIONS, units.value, seed=seed)
    forms = forms_of(view, command_line(), everything=verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=not found.interrupted)
