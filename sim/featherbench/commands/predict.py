"""The predict command: the bench run of one build."""

from __future__ import annotations

from typing import Annotated

import typer

from featherbench.commands import options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, end, working
from featherbench.commands.tolerances import (
    BenchRunsOption,
    check_runs,
    sample_runs,
    with_matter,
    with_reason,
)

HalfStepOption = Annotated[
    bool, typer.Option("--half-step", help="Run again at half the time step and report the largest change.")
]


@example("featherbench predict scenarios/survey-3kg/weighted.toml --units trade --figures pictures")
def predict(
    file: options.ScenarioArgument,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: options.CsvOption = None,
    force: options.ForceOption = False,
    strict: options.StrictOption = False,
    half_step: HalfStepOption = False,
    runs: BenchRunsOption = None,
    seed: options.SampleSeedOption = 0,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Predict the bench run of one build: forces, currents, release, checks."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.ranking.force_by_part import influences
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.studies import predict as run_prediction
    from featherbench.views.bench import run_view
    from featherbench.views.first_lines import of_run

    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    check_runs(runs)
    announce(quiet)
    with working(quiet, "bench run") as work:
        run = run_prediction(scenario, check_step=half_step)
    sampled = sample_runs([run], runs, outputs.drawn, seed, quiet)
    checks, cautions = bench_checks(run), run_cautions(run)
    first = of_run(run, checks, sampled)
    moved = influences(run.setup) if verbose or outputs.drawn else ()
    view = run_view(
        run, checks, cautions, units.value, sampled=sampled, seed=seed, first=first, influences=moved
    )
    told = view
    if moved and not verbose:
        told = run_view(run, checks, cautions, units.value, sampled=sampled, seed=seed, first=first)
    view = with_reason(view, [run], outputs.drawn)
    told = with_matter(told, run, outputs, verbose)
    forms = forms_of(view, command_line(), told, verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=sampled is None or sampled.complete)
    end(strict, checks)
