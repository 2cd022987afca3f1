"""The match command: prediction against bench data."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, workers, working


@example(
    "featherbench match scenarios/survey-3kg/plain.toml \\\n"
    "    scenarios/survey-3kg/bench/plain-readings.toml --runs 16"
)
def match(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file, as it was on the bench.", autocompletion=completion.scenario_files
        ),
    ],
    data: Annotated[
        list[Path],
        typer.Argument(
            metavar="DATA",
            help="Readings (.toml, .csv) and logs (.csv, .txt).",
            autocompletion=completion.bench_files,
        ),
    ],
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[int, typer.Option("--runs", min=8, max=4096, help="Samples of the tolerances.")] = 64,
    seed: options.SampleSeedOption = 0,
    jobs: options.StudyJobsOption = None,
    executor: options.ExecutorOption = None,
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Write each logged column beside its prediction, in SI."),
    ] = None,
    force: options.ForceOption = False,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Compare a prediction with bench data: what differs by more than both sides' uncertainty."""
    from featherbench.bench.readings import read_bench_data
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.fitting.match import match as run_match
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.studies import predict
    from featherbench.views.match import match_view

    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check([*scenario.source.files, *map(str, data)])
    bench = read_bench_data(data, scenario)
    options.one_engine(jobs, executor)
    announce(quiet)
    with working(quiet, "bench runs") as work, workers(jobs, executor) as pool:
        found = run_match(scenario, bench, runs=runs, seed=seed, executor=pool, progress=work.count)
        run = predict(scenario)
    view = match_view(found, run, bench_checks(run), CAUTIONS, units.value)
    forms = forms_of(view, command_line(), everything=verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=not found.interrupted)
