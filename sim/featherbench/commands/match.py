"""The match command: prediction against bench data."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, SampleSeedOption, ScenarioOptions, WorkerOptions
from featherbench.commands.terminal import announce, working

BenchScenario = Annotated[ScenarioOptions, words(file="Scenario file, as it was on the bench.")]
BENCH_FILES = typer.Argument(
    metavar="DATA",
    help="Readings (.toml, .csv, .xlsx) and logs (.csv, .txt); - for standard input.",
    autocompletion=completion.bench_files,
)


@example(
    "featherbench match scenarios/survey-3kg/plain.toml \\\n"
    "    scenarios/survey-3kg/bench/plain-readings.toml --runs 16"
)
def match(
    *,
    build: BenchScenario,
    data: Annotated[list[Path], BENCH_FILES],
    runs: Annotated[int, typer.Option("--runs", min=8, max=4096, help="Samples of the tolerances.")] = 64,
    seed: SampleSeedOption = 0,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(csv="Write each logged column beside its prediction, in SI.")],
) -> None:
    """Compare a prediction with bench data: what differs by more than both sides' uncertainty."""
    from featherbench.bench.readings import read_bench_data
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.fitting.match import match as run_match
    from featherbench.studies import predict
    from featherbench.views.fitted.match import match_view

    scenario = build.read()
    outputs.check([*scenario.source.files, *map(str, data)])
    bench = read_bench_data(data, scenario)
    engine.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "bench runs") as work, engine.pool() as pool:
        found = run_match(scenario, bench, runs=runs, seed=seed, executor=pool, progress=work.count)
        run = predict(scenario)
    view = match_view(found, run, bench_checks(run), CAUTIONS, outputs.units.value)
    outputs.deliver(view, work, whole=not found.interrupted)
