"""The spread command: what tolerances do to every finding, and which tolerance matters."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.options import (
    FiguresOption,
    ForceOption,
    JsonOption,
    QuietOption,
    ReportOption,
    SampleSeedOption,
    Settings,
    Units,
    UnitsOption,
    settings_of,
)
from featherbench.commands.terminal import announce, command_line, console_for, refuse, remark

if TYPE_CHECKING:
    from featherbench.studies.spread import Spread


@example("featherbench spread scenarios/survey-3kg/plain.toml --runs 64 --report spread.html")
def spread(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file; what carries +/- is varied.", autocompletion=completion.scenario_files
        ),
    ],
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[
        int, typer.Option("--runs", min=16, max=65536, help="Bench runs; a power of two is best.")
    ] = 2048,
    seed: SampleSeedOption = 0,
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
    units: UnitsOption = Units.METRIC,
    report: ReportOption = None,
    figures: FiguresOption = None,
    json_file: JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every sample, a row each, in SI.")
    ] = None,
    force: ForceOption = False,
    quiet: QuietOption = False,
    verbose: Annotated[bool, typer.Option("--verbose", help="Print every finding.")] = False,
) -> None:
    """Say what tolerances do to every finding, and which tolerance matters."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.report import Forms, Outputs
    from featherbench.report.pages.study_page import spread_page
    from featherbench.report.pictures import spread_pictures, with_parts_of
    from featherbench.report.spread_document import spread_document
    from featherbench.report.spread_text import print_spread
    from featherbench.report.table_csv import frame_text
    from featherbench.scenario import read

    scenario = read(file, settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    announce(quiet)
    result = _sampled(scenario, runs, seed, bearing, keep, quiet or not sys.stderr.isatty())
    cautions = run_cautions(result.nominal)
    forms = Forms(
        tables=lambda console: print_spread(result, cautions, units.value, console, verbose),
        document=lambda: spread_document(result, bench_checks(result.nominal), cautions),
        page=lambda: spread_page(result, cautions, units.value, command_line()),
        series=lambda: frame_text(result.to_frame("samples")),
        pictures=lambda: with_parts_of(scenario, spread_pictures(result, units.value), units.value),
    )
    outputs.deliver(forms, console_for, remark)


def _sampled(
    scenario: object, runs: int, seed: int, bearing: bool, keep: Path | None, silent: bool
) -> Spread:
    """The study, with its progress on standard error."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from featherbench.scenario import Scenario
    from featherbench.studies.spread import spread as run_spread
    from featherbench.studies.spread_kept import KeptElsewhere

    assert isinstance(scenario, Scenario)
    columns = (TextColumn("bench runs"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console_for(True), disable=silent, transient=True) as bar:
        task = bar.add_task("runs", total=runs)
        try:
            return run_spread(
                scenario,
                runs=runs,
                seed=seed,
                bearing_doubt=bearing,
                keep=keep,
                progress=lambda done, count: bar.update(task, completed=done, total=count),
            )
        except KeptElsewhere as error:
            refuse(f"--keep {error}")
        except OSError as error:
            refuse(f"--keep {keep}: {error.strerror or error}")
