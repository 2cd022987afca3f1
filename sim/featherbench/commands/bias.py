"""The bias command: neutral against a slight bias."""

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
from featherbench.commands.terminal import announce, command_line, deliver, refuse, working
from featherbench.commands.wag import VisibleHeading, VisibleTravel, limits_of

if TYPE_CHECKING:
    from rich.console import Console


@example("featherbench bias scenarios/survey-3kg/worn.toml --margin 1.5")
def bias(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file with [aircraft] and its gyro.", autocompletion=completion.scenario_files
        ),
    ],
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: UnitsOption = Units.METRIC,
    margin: Annotated[
        float, typer.Option("--margin", min=0.0, help="Least seat ratio over the hover band.")
    ] = 1.3,
    visible_heading: VisibleHeading = "0.1 deg",
    visible_travel: VisibleTravel = "1 mm",
    report: ReportOption = None,
    figures: FiguresOption = None,
    json_file: JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every build of the sweep, in SI.")
    ] = None,
    force: ForceOption = False,
    seed: SampleSeedOption = 0,
    quiet: QuietOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Sweep compensation and the weights' phase, fly each build, and choose how close to neutral to go."""
    from featherbench.checks import CAUTIONS
    from featherbench.checks.biasing import bias as run_bias
    from featherbench.render.outputs import Forms, Outputs
    from featherbench.report import hover_study
    from featherbench.report.check_text import print_background
    from featherbench.report.pages.study_page import bias_page
    from featherbench.report.table_csv import frame_text
    from featherbench.scenario import read
    from featherbench.studies.wag import Limits
    from featherbench.views.first_lines import of_bias
    from featherbench.views.pictures import bias_pictures, with_parts_of

    scenario = read(file, settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    limits = limits_of(visible_heading, visible_travel)
    assert isinstance(limits, Limits)
    announce(quiet)
    try:
        with working(quiet, "builds flown") as work:
            found = run_bias(scenario, margin=margin, limits=limits, seed=seed, progress=work.count)
    except ValueError as error:
        refuse(f"{file}: {error}")
    first = of_bias(found, scenario)
    answer, notes = hover_study.bias_answer(found, units.value), hover_study.bias_notes(found)

    def tables(console: Console) -> None:
        hover_study.print_hover(
            scenario.title,
            answer,
            found.findings,
            notes,
            first,
            units.value,
            console,
            hover_study.bias_columns(found, units.value, everything=verbose),
        )
        if verbose:
            print_background(scenario, console)

    forms = Forms(
        tables=tables,
        document=lambda: {
            **hover_study.hover_document(scenario, found.findings, notes, CAUTIONS, seed, first),
            "sweep": hover_study.sweep_document(found),
        },
        page=lambda: bias_page(found, scenario, CAUTIONS, units.value, command_line()),
        series=lambda: frame_text(found.to_frame()),
        pictures=lambda: with_parts_of(scenario, bias_pictures(found, units.value), units.value),
        first=first,
    )
    deliver(outputs, forms, *([work] if verbose else []), whole=not found.interrupted)
