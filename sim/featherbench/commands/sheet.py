"""The sheet command: a page to take to the bench, and the file to type its readings into."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, working
from featherbench.commands.tolerances import check_runs, sample_runs

SUFFIXES = (".toml", ".csv")


@example("featherbench sheet scenarios/survey-3kg/plain.toml --report sheet.html --readings read.toml")
def sheet(
    file: options.ScenarioArgument,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    readings: Annotated[
        Path | None,
        typer.Option(
            "--readings", metavar="OUT.toml|.csv", help="Write the same as a file to type the readings into."
        ),
    ] = None,
    ranking: Annotated[
        bool, typer.Option("--ranking/--no-ranking", help="Work out what each measurement would tell.")
    ] = True,
    runs: Annotated[
        int,
        typer.Option(
            "--runs",
            min=0,
            max=65536,
            help="Samples of tolerances and doubts, for where to stop; 0 for none.",
        ),
    ] = 64,
    seed: options.SampleSeedOption = 0,
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    json_file: options.JsonOption = None,
    force: options.ForceOption = False,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """A page to print and take to the bench: steps in a safe order, what to expect, where to stop, blanks."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.fitting.bench_sheet import bench_sheet, what_would_tell
    from featherbench.fitting.readings_file import readings_csv, readings_toml
    from featherbench.render.files import write_whole
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.studies import predict as run_prediction
    from featherbench.views.bench_sheet import sheet_view
    from featherbench.views.first_lines import of_run

    if readings is not None and readings.suffix.lower() not in SUFFIXES:
        refuse(f"--readings {readings}: expected a name that ends in .toml, or in .csv for a spreadsheet")
    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, json=json_file, quiet=quiet, force=force)
    outputs.check(scenario.source.files, kept=[readings])
    check_runs(runs)
    announce(quiet)
    with working(quiet, "bench run") as work:
        run = run_prediction(scenario)
        advice = what_would_tell(scenario, work.step) if ranking else None
    sampled = sample_runs([run], runs, False, seed, quiet)
    found = bench_sheet(run, sampled, advice)
    checks = bench_checks(run)
    first = of_run(run, checks, sampled)
    wrote = []
    if readings is not None:
        made = readings_csv if readings.suffix.lower() == ".csv" else readings_toml
        write_whole(readings, made(found, units.value), False)
        wrote.append(f"wrote {readings}: type into it, then: featherbench match {file} {readings}")
    view = sheet_view(found, run, checks, run_cautions(run), units.value, first)
    whole = sampled is None or sampled.complete
    deliver(
        outputs,
        forms_of(view, command_line(), everything=verbose),
        *([work] if verbose else []),
        whole=whole,
        wrote=wrote,
    )
