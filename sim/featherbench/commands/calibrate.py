"""The calibrate command: chosen unknowns from bench data, and what to measure next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.match import BENCH_FILES, BenchScenario
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, WorkerOptions
from featherbench.commands.terminal import announce, console_for, refuse, working
from featherbench.standard_input import is_standard_input

if TYPE_CHECKING:
    from featherbench.bench.spot_readings import OfBuild
    from featherbench.fitting.calibrate import Calibration
    from featherbench.scenario import Scenario


@example(
    "featherbench calibrate scenarios/survey-3kg/plain.toml \\\n"
    "    scenarios/survey-3kg/bench/plain-gauge.csv --free linkage.slider_friction,scale.inertia --write fitted.toml"
)
def calibrate(
    *,
    build: BenchScenario,
    data: Annotated[list[Path] | None, BENCH_FILES] = None,
    free: Annotated[
        str,
        typer.Option(
            "--free",
            metavar="KEY,KEY",
            help="What to find; the usual ones for this data.",
            autocompletion=completion.free_keys,
        ),
    ] = "",
    list_free: Annotated[bool, typer.Option("--list", help="List what may be freed, and stop.")] = False,
    next_for: Annotated[
        str | None,
        typer.Option(
            "--next",
            metavar="FINDING",
            help="Rank what to measure next for this finding.",
            autocompletion=completion.findings,
        ),
    ] = None,
    keep_aside: Annotated[
        bool, typer.Option("--keep-aside/--use-all", help="Keep part of the data aside as a test.")
    ] = True,
    write: Annotated[
        Path | None,
        typer.Option("--write", metavar="FILE.toml", help="The fitted variant; FILE-fitted.toml if free."),
    ] = None,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(force="Overwrite reports that exist.")],
) -> None:
    """Fit chosen unknowns to bench data and write the fitted variant; never over an existing scenario."""
    from featherbench.bench.readings import read_bench_data
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.fitting.calibrate import calibrate as run_calibration
    from featherbench.fitting.next_measurement import check_finding, next_measurement
    from featherbench.fitting.of_one_build import of_first
    from featherbench.guide.usual_unknowns import PRIORS
    from featherbench.studies import predict
    from featherbench.studies.variant_file import own_file
    from featherbench.views.fitted.match import calibration_view

    scenario = build.read()
    if list_free:
        _list(scenario, outputs.units.value)
        return
    if not data:
        refuse("calibrate needs bench data, or --list. Example: featherbench calibrate build.toml log.csv")
    engine.check()
    outputs.check([*scenario.source.files, *map(str, data)], kept=[write])
    if write is not None:
        own_file(scenario)
    keys = tuple(key.strip() for key in free.split(",") if key.strip())
    if next_for is not None:
        check_finding(next_for, keys or tuple(PRIORS))
    bench = read_bench_data(data, scenario)
    others = {one.name: _beside(write, one) for one in bench.builds}
    outputs.check(
        [*scenario.source.files, *map(str, data)], kept=[write, *(others.values() if write else ())]
    )
    announce(outputs.quiet)
    with working(outputs.quiet, "fitting") as work, engine.pool() as pool:
        how: dict[str, Any] = {"keep_aside": keep_aside, "executor": pool, "progress": work.say}
        done = run_calibration(scenario, bench, keys, **how)
        work.step("what to measure next")
        told = next_for and not done.fitted.interrupted
        advice = next_measurement(of_first(done), str(next_for)) if told else None
        run = predict(scenario)
    view = calibration_view(done, advice, run, bench_checks(run), CAUTIONS, outputs.units.value)
    wrote = _write_variants(done, build.file, write, view.first.comment(), bool(build.settings), others)
    outputs.deliver(
        view,
        work,
        whole=not done.fitted.interrupted,
        wrote=[said for said in wrote if not outputs.quiet or said.startswith("no variant")],
    )


def _list(scenario: Scenario, system: str) -> None:
    """Print what may be freed."""
    from featherbench.fitting.unknowns import listed_unknowns
    from featherbench.render.terminal import print_section
    from featherbench.views.fitted.match_summary import unknowns_sheet

    print_section(console_for(), unknowns_sheet(listed_unknowns(scenario), system), True)


def _beside(write: Path | None, build: OfBuild) -> Path:
    """Where the fitted variant of another build goes: beside its own file, or named after the one asked for."""
    own = Path(build.scenario.source.files[0])
    return (
        own.with_name(f"{own.stem}-fitted.toml")
        if write is None
        else write.with_stem(f"{write.stem}-{own.stem}")
    )


def _write_variants(
    done: Calibration,
    file: Path,
    write: Path | None,
    comments: Sequence[str],
    overridden: bool,
    others: Mapping[str, Path],
) -> list[str]:
    """Write the fitted variant of each build; without a name, beside its scenario unless that name is taken. What to
    say of them."""
    from featherbench.fitting.calibrate import DOUBTFUL
    from featherbench.fitting.improved import improved
    from featherbench.fitting.of_one_build import each_build

    if is_standard_input(file):
        return [
            "no variant written: a variant names the file that it varies, and the scenario came by a pipe"
        ]
    if done.fitted.interrupted:
        return ["no variant written: nothing was found to the end"]
    if done.after > DOUBTFUL**2:
        return [
            f"no variant written: the fit is still {done.after**0.5:.1f} x the instruments' uncertainty off"
        ]
    if not improved(done):
        return ["no variant written: this data improves nothing"]
    said = []
    for name, own in each_build(done).items():
        target = others.get(name) or write or file.with_name(f"{file.stem}-fitted.toml")
        said.append(_write_variant(own, target, comments, named=write is not None))
    return [*said, "what --set changed is not in that file: write it there too"] if overridden else said


def _write_variant(done: Calibration, target: Path, comments: Sequence[str], *, named: bool) -> str:
    from featherbench.fitting.calibrate import variant_text
    from featherbench.render.files import write_whole

    if not named and target.exists():
        return f"no variant written: {target} exists; give a name with --write"
    write_whole(target, variant_text(done, target, comments), False)
    return f"wrote {target}"
