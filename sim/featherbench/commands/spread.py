"""The spread command: what tolerances do to every finding, and which tolerance matters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, workers, working

if TYPE_CHECKING:
    from featherbench.commands.terminal import Work
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario


@example("featherbench spread scenarios/survey-3kg/plain.toml --runs 64 --report spread.html")
def spread(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file; what carries +/- is varied.", autocompletion=completion.scenario_files
        ),
    ],
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[
        int, typer.Option("--runs", min=16, max=65536, help="Bench runs; a power of two is best.")
    ] = 2048,
    seed: options.SampleSeedOption = 0,
    bearing: Annotated[
        bool,
        typer.Option("--bearing", help="Also vary the bearing coefficient, one to three times the usual."),
    ] = False,
    keep: Annotated[
        Path | None,
        typer.Option(
            "--keep", metavar="FILE", help="Store results as they come; the same command goes on from there."
        ),
    ] = None,
    jobs: options.StudyJobsOption = None,
    executor: options.ExecutorOption = None,
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every sample, a row each, in SI.")
    ] = None,
    force: options.ForceOption = False,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Say what tolerances do to every finding, and which tolerance matters."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.views.spread import spread_view

    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    options.one_engine(jobs, executor)
    announce(quiet)
    how = {"runs": runs, "seed": seed, "bearing_doubt": bearing, "keep": keep}
    with working(quiet, "bench runs") as work, workers(jobs, executor) as pool:
        result = _sampled(scenario, {**how, "executor": pool}, work)
    run = result.nominal
    view = spread_view(result, bench_checks(run), run_cautions(run), units.value)
    forms = forms_of(view, command_line(), everything=verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=result.complete)


def _sampled(scenario: Scenario, how: dict[str, Any], work: Work) -> Spread:
    """The study; refuses a file of kept results that is another's or cannot be written."""
    from featherbench.sampling.checkpoint import CheckpointMismatch
    from featherbench.sampling.spread import spread as run_spread

    try:
        return run_spread(scenario, progress=work.count, **how)
    except CheckpointMismatch as error:
        refuse(f"--keep {error}")
    except OSError as error:
        refuse(f"--keep {how['keep']}: {error.strerror or error}")
