"""The spread command: what tolerances do to every finding, and which tolerance matters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, SampleSeedOption, ScenarioOptions, WorkerOptions
from featherbench.commands.terminal import announce, refuse, working

if TYPE_CHECKING:
    from featherbench.commands.terminal import Work
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario


@example("featherbench spread scenarios/survey-3kg/plain.toml --runs 64 --report spread.html")
def spread(
    *,
    build: Annotated[ScenarioOptions, words(file="Scenario file; what carries +/- is varied.")],
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
    engine: Annotated[
        WorkerOptions,
        words(jobs="Worker processes; as many as there are cores to use if left out, for 256 runs and more."),
    ],
    outputs: Annotated[OutputOptions, words(csv="Write every sample, a row each, in SI.")],
) -> None:
    """Say what tolerances do to every finding, and which tolerance matters."""
    scenario = build.read()
    outputs.check(scenario.source.files)
    engine.check()
    how = {"runs": runs, "seed": seed, "bearing_doubt": bearing, "keep": keep}
    with engine.pool(runs) as pool:  # first: its processes load what they need meanwhile
        from featherbench.checks import bench_checks, run_cautions
        from featherbench.views.spread import spread_view

        announce(outputs.quiet)
        with working(outputs.quiet, "bench runs") as work:
            result = _sampled(scenario, {**how, "executor": pool}, work)
    run = result.nominal
    view = spread_view(result, bench_checks(run), run_cautions(run), outputs.units.value)
    outputs.deliver(view, work, whole=result.complete)


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
