"""The sheet command: a page to take to the bench, and the file to type its readings into."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, SampleSeedOption, ScenarioOptions
from featherbench.commands.terminal import announce, refuse, working
from featherbench.commands.tolerances import RangeOptions
from featherbench.standard_input import is_standard_input

SUFFIXES = (".toml", ".csv")


@example("featherbench sheet scenarios/survey-3kg/plain.toml --report sheet.html --readings read.toml")
def sheet(
    *,
    build: ScenarioOptions,
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
    seed: SampleSeedOption = 0,
    outputs: Annotated[OutputOptions, words(without=("figures",))],
) -> None:
    """A page to print and take to the bench: steps in a safe order, what to expect, where to stop, blanks."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.fitting.bench_sheet import bench_sheet, what_would_tell
    from featherbench.fitting.readings_file import readings_csv, readings_toml
    from featherbench.render.files import write_whole
    from featherbench.studies import predict as run_prediction
    from featherbench.studies.variant_file import seen_from
    from featherbench.views.bench_sheet import sheet_view
    from featherbench.views.first_lines import of_run

    if readings is not None and readings.suffix.lower() not in SUFFIXES:
        refuse(f"--readings {readings}: expected a name that ends in .toml, or in .csv for a spreadsheet")
    scenario, ranges = build.read(), RangeOptions(runs, seed)
    outputs.check(scenario.source.files, kept=[readings])
    ranges.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "bench run") as work:
        run = run_prediction(scenario)
        advice = what_would_tell(scenario, work.step) if ranking else None
    sampled = ranges.of([run], False, outputs.quiet)
    found = bench_sheet(run, sampled, advice)
    checks = bench_checks(run)
    first = of_run(run, checks, sampled)
    wrote = []
    if readings is not None:
        made = readings_csv if readings.suffix.lower() == ".csv" else readings_toml
        piped = is_standard_input(build.file)
        named = "" if piped else seen_from(build.file, readings.parent)
        text = "\n".join([*first.comment(), made(found, outputs.units.value, named)])
        write_whole(readings, text, False)
        wrote.append(f"wrote {readings}: type into it, then: featherbench match {build.file} {readings}")
    view = sheet_view(found, run, checks, run_cautions(run), outputs.units.value, first)
    outputs.deliver(view, work, whole=sampled is None or sampled.complete, wrote=wrote)
