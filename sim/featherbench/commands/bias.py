"""The bias command: neutral against a slight bias."""

from __future__ import annotations

from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, WorkerOptions
from featherbench.commands.terminal import announce, refuse, working
from featherbench.commands.wag import FlightOptions, HoverScenario


@example("featherbench bias scenarios/survey-3kg/worn.toml --margin 1.5")
def bias(
    *,
    build: HoverScenario,
    margin: Annotated[
        float,
        typer.Option("--margin", min=0.0, help="Least load over friction in the hover band; 0: none asked."),
    ] = 0.0,
    gyro_each: Annotated[
        bool, typer.Option("--gyro-each", help="Set the gyro anew for each build, as if it were flown in.")
    ] = False,
    flights: FlightOptions,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(csv="Write every build of the sweep, in SI.")],
) -> None:
    """Sweep compensation and the weights' phase, fly each build, and choose how close to neutral to go."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.judging.biasing import bias as run_bias
    from featherbench.studies import predict
    from featherbench.views.hover import bias_view

    scenario = build.read()
    outputs.check(scenario.source.files)
    limits = flights.limits()
    engine.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "builds flown") as work, engine.pool() as pool:
        try:
            found = run_bias(
                scenario,
                margin=margin,
                limits=limits,
                seed=flights.seed,
                draws=flights.draws,
                gyro_each=gyro_each,
                executor=pool,
                progress=work.count,
            )
        except ValueError as error:
            refuse(f"{build.file}: {error}")
        run = predict(scenario)
    view = bias_view(found, run, bench_checks(run), CAUTIONS, outputs.units.value, seed=flights.seed)
    outputs.deliver(view, work, whole=not found.interrupted)
