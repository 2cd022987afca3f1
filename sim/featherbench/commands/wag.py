"""The wag command: tail hunting in hover from play."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, workers, working

if TYPE_CHECKING:
    from featherbench.hovering.wag import Limits

HoverArgument = Annotated[
    Path,
    typer.Argument(
        help="Scenario file with [aircraft] and its gyro.", autocompletion=completion.scenario_files
    ),
]
VisibleHeading = Annotated[
    str, typer.Option("--visible-heading", help="Heading, peak to peak, from which a wag is seen.")
]
VisibleTravel = Annotated[
    str, typer.Option("--visible-travel", help="Travel of the tail tip from which a wag is seen.")
]


DrawsOption = Annotated[
    int,
    typer.Option(
        "--draws", min=1, help="Draws of servo loop, shaking, friction and play that each build is flown in."
    ),
]


def limits_of(heading: str, travel: str) -> Limits:
    """The visible wag; refuses texts that are no such quantities."""
    from featherbench import quantities
    from featherbench.hovering.wag import Limits

    try:
        return Limits(quantities.parse(heading, "angle").value, quantities.parse(travel, "length").value)
    except quantities.QuantityError as error:
        refuse(f"--visible-heading, --visible-travel: {error}")


@example("featherbench wag scenarios/survey-3kg/worn.toml --seconds 6 --csv flight.csv")
def wag(
    file: HoverArgument,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    jobs: options.StudyJobsOption = None,
    executor: options.ExecutorOption = None,
    units: options.UnitsOption = options.Units.METRIC,
    seconds: Annotated[
        float, typer.Option("--seconds", min=4.0, max=120.0, help="Length of each flight.")
    ] = 10.0,
    visible_heading: VisibleHeading = "0.25 deg",
    visible_travel: VisibleTravel = "3 mm",
    draws: DrawsOption = 12,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the flight over time, in SI.")
    ] = None,
    force: options.ForceOption = False,
    seed: options.SampleSeedOption = 0,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Fly a build in hover and judge the tail's wag: play, disturbance, or the loop itself."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.hovering.wag import wag as run_wag
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.scenario import read
    from featherbench.studies import predict
    from featherbench.views.hover import wag_view

    scenario = read(file, options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    limits = limits_of(visible_heading, visible_travel)
    options.one_engine(jobs, executor)
    announce(quiet)
    with working(quiet, "flying in hover") as work, workers(jobs, executor) as pool:
        try:
            found = run_wag(scenario, seed=seed, seconds=seconds, limits=limits, draws=draws, executor=pool)
        except ValueError as error:
            refuse(f"{file}: {error}")
        run = predict(scenario)
    view = wag_view(found, run, bench_checks(run), CAUTIONS, units.value, seed=seed)
    deliver(outputs, forms_of(view, command_line(), everything=verbose), *([work] if verbose else []))
