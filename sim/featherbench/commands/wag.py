"""The wag command: tail hunting in hover from play."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, SampleSeedOption, ScenarioOptions, WorkerOptions
from featherbench.commands.terminal import announce, refuse, working

if TYPE_CHECKING:
    from featherbench.hovering.wag import Limits

HoverScenario = Annotated[ScenarioOptions, words(file="Scenario file with [aircraft] and its gyro.")]


@dataclass(frozen=True)
class FlightOptions:
    """From when on a wag is seen, and how many flights are flown."""

    visible_heading: Annotated[
        str, typer.Option("--visible-heading", help="Heading, peak to peak, from which a wag is seen.")
    ] = "0.25 deg"
    visible_travel: Annotated[
        str, typer.Option("--visible-travel", help="Travel of the tail tip from which a wag is seen.")
    ] = "3 mm"
    draws: Annotated[
        int,
        typer.Option(
            "--draws",
            min=1,
            help="Draws of servo loop, shaking, friction and play that each build is flown in.",
        ),
    ] = 12
    seed: SampleSeedOption = 0

    def limits(self) -> Limits:
        """The visible wag; refuses texts that are no such quantities."""
        from featherbench import quantities
        from featherbench.hovering.wag import Limits

        try:
            heading = quantities.parse(self.visible_heading, "angle").value
            return Limits(heading, quantities.parse(self.visible_travel, "length").value)
        except quantities.QuantityError as error:
            refuse(f"--visible-heading, --visible-travel: {error}")


@example("featherbench wag scenarios/survey-3kg/worn.toml --seconds 6 --csv flight.csv")
def wag(
    *,
    build: HoverScenario,
    seconds: Annotated[
        float, typer.Option("--seconds", min=4.0, max=120.0, help="Length of each flight.")
    ] = 10.0,
    flights: FlightOptions,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(csv="Write the flight over time, in SI.")],
) -> None:
    """Fly a build in hover and judge the tail's wag: play, disturbance, or the loop itself."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.hovering.wag import wag as run_wag
    from featherbench.studies import predict
    from featherbench.views.hover import wag_view

    scenario = build.read()
    outputs.check(scenario.source.files)
    limits = flights.limits()
    engine.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "flying in hover") as work, engine.pool() as pool:
        try:
            found = run_wag(
                scenario,
                seed=flights.seed,
                seconds=seconds,
                limits=limits,
                draws=flights.draws,
                executor=pool,
            )
        except ValueError as error:
            refuse(f"{build.file}: {error}")
        run = predict(scenario)
    view = wag_view(found, run, bench_checks(run), CAUTIONS, outputs.units.value, seed=flights.seed)
    outputs.deliver(view, work)
