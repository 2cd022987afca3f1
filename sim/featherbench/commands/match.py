"""The match command: prediction against bench data."""

from __future__ import annotations

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
    VerboseOption,
    settings_of,
)
from featherbench.commands.terminal import announce, command_line, deliver, working

if TYPE_CHECKING:
    from rich.console import Console


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
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[int, typer.Option("--runs", min=8, max=4096, help="Samples of the tolerances.")] = 64,
    seed: SampleSeedOption = 0,
    units: UnitsOption = Units.METRIC,
    report: ReportOption = None,
    figures: FiguresOption = None,
    json_file: JsonOption = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Write each logged column beside its prediction, in SI."),
    ] = None,
    force: ForceOption = False,
    quiet: QuietOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Compare a prediction with bench data: what differs by more than both sides' uncertainty."""
    from featherbench.bench.readings import read_bench_data
    from featherbench.checks import CAUTIONS
    from featherbench.render.outputs import Forms, Outputs
    from featherbench.report.check_text import print_background
    from featherbench.report.match_document import match_document
    from featherbench.report.match_text import print_match
    from featherbench.report.pages.study_page import match_page
    from featherbench.report.table_csv import series_text
    from featherbench.scenario import read
    from featherbench.studies.match import match as run_match
    from featherbench.views.first_lines import of_scenario
    from featherbench.views.pictures import match_pictures, with_parts_of

    scenario = read(file, settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check([*scenario.source.files, *map(str, data)])
    bench = read_bench_data(data, scenario)
    announce(quiet)
    with working(quiet, "bench runs") as work:
        found = run_match(scenario, bench, runs=runs, seed=seed, progress=work.count)

    first = of_scenario(scenario)

    def tables(console: Console) -> None:
        print_match(found, first, units.value, console)
        if verbose:
            print_background(scenario, console)

    forms = Forms(
        tables=tables,
        document=lambda: match_document(found, first),
        page=lambda: match_page(found, CAUTIONS, units.value, command_line()),
        series=lambda: series_text(found),
        pictures=lambda: with_parts_of(scenario, match_pictures(found, units.value), units.value),
        first=first,
    )
    deliver(outputs, forms, *([work] if verbose else []), whole=not found.interrupted)
