"""The wag command: tail hunting in hover from play."""

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

if TYPE_CHECKING:
    from rich.console import Console

VisibleHeading = Annotated[
    str, typer.Option("--visible-heading", help="Heading, peak to peak, from which a wag is seen.")
]
VisibleTravel = Annotated[
    str, typer.Option("--visible-travel", help="Travel of the tail tip from which a wag is seen.")
]


def limits_of(heading: str, travel: str) -> object:
    """The visible wag as `studies.wag.Limits`; refuses texts that are no such quantities."""
    from featherbench import quantities
    from featherbench.studies.wag import Limits

    try:
        return Limits(quantities.parse(heading, "angle").value, quantities.parse(travel, "length").value)
    except quantities.QuantityError as error:
        refuse(f"--visible-heading, --visible-travel: {error}")


@example("featherbench wag scenarios/survey-3kg/worn.toml --seconds 6 --csv flight.csv")
def wag(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file with [aircraft] and its gyro.", autocompletion=completion.scenario_files
        ),
    ],
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: UnitsOption = Units.METRIC,
    seconds: Annotated[
        float, typer.Option("--seconds", min=4.0, max=120.0, help="Length of each flight.")
    ] = 10.0,
    visible_heading: VisibleHeading = "0.1 deg",
    visible_travel: VisibleTravel = "1 mm",
    report: ReportOption = None,
    figures: FiguresOption = None,
    json_file: JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the flight over time, in SI.")
    ] = None,
    force: ForceOption = False,
    seed: SampleSeedOption = 0,
    quiet: QuietOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Fly a build in hover and judge the tail's wag: play, disturbance, or the loop itself."""
    from featherbench.checks import CAUTIONS
    from featherbench.render.outputs import Forms, Outputs
    from featherbench.report import hover_study
    from featherbench.report.check_text import print_background
    from featherbench.report.pages.study_page import wag_page
    from featherbench.report.table_csv import frame_text
    from featherbench.scenario import read
    from featherbench.studies.wag import Limits
    from featherbench.studies.wag import wag as run_wag
    from featherbench.views.first_lines import of_scenario
    from featherbench.views.pictures import wag_pictures, with_parts_of

    scenario = read(file, settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    limits = limits_of(visible_heading, visible_travel)
    assert isinstance(limits, Limits)
    announce(quiet)
    try:
        with working(quiet, "flying in hover") as work:
            found = run_wag(scenario, seed=seed, seconds=seconds, limits=limits)
    except ValueError as error:
        refuse(f"{file}: {error}")
    first = of_scenario(scenario)
    answer, notes = hover_study.wag_answer(found, units.value), hover_study.wag_notes(found)

    def tables(console: Console) -> None:
        hover_study.print_hover(scenario.title, answer, found.findings, notes, first, units.value, console)
        if verbose:
            print_background(scenario, console)

    forms = Forms(
        tables=tables,
        document=lambda: hover_study.hover_document(scenario, found.findings, notes, CAUTIONS, seed, first),
        page=lambda: wag_page(found, scenario, CAUTIONS, units.value, command_line()),
        series=lambda: frame_text(found.to_frame()),
        pictures=lambda: with_parts_of(scenario, wag_pictures(found, units.value), units.value),
        first=first,
    )
    deliver(outputs, forms, *([work] if verbose else []))
