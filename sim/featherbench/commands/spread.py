"""The spread command: what tolerances do to every finding, and which tolerance matters."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from featherbench.studies.spread import Spread

REFUSED = 2


def spread(
    file: Annotated[Path, typer.Argument(help="Scenario file; what carries +/- is varied.")],
    settings: Annotated[
        list[str],
        typer.Option("--set", metavar="KEY.PATH=VALUE", help="Override one key of the scenario; repeatable."),
    ] = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[
        int, typer.Option("--runs", min=16, max=65536, help="Bench runs; a power of two is best.")
    ] = 2048,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Another seed, another set of samples.")] = 0,
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
    units: Annotated[str, typer.Option("--units", help="metric, or trade: ozf, ozf*inch, inch.")] = "metric",
    report: Annotated[
        Path | None, typer.Option("--report", metavar="FILE.html", help="Write a self-contained page.")
    ] = None,
    json_file: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE", help="Write everything in SI; - for standard output."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that exist.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print no tables, progress or cautions.")] = False,
    verbose: Annotated[bool, typer.Option("--verbose", help="Print every finding.")] = False,
) -> None:
    """Say what tolerances do to every finding, and which tolerance matters."""
    from featherbench.report.files import check_target
    from featherbench.scenario import read

    if units not in ("metric", "trade"):
        _refuse(f"--units {units}: expected metric or trade")
    targets = [path for path in (report, Path(json_file) if json_file and json_file != "-" else None) if path]
    for target in targets:
        check_target(target, force)
    scenario = read(file, _settings(settings))
    result = _sampled(scenario, runs, seed, bearing, keep, quiet or not sys.stderr.isatty())
    _deliver(result, units, report, json_file, force, quiet, verbose)


def _sampled(
    scenario: object, runs: int, seed: int, bearing: bool, keep: Path | None, silent: bool
) -> Spread:
    """The study, with its progress on standard error."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from featherbench.scenario import Scenario
    from featherbench.studies.spread import spread as run_spread
    from featherbench.studies.spread_kept import KeptElsewhere

    assert isinstance(scenario, Scenario)
    columns = (TextColumn("bench runs"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), disable=silent, transient=True) as bar:
        task = bar.add_task("runs", total=runs)
        try:
            return run_spread(
                scenario,
                runs=runs,
                seed=seed,
                bearing_doubt=bearing,
                keep=keep,
                progress=lambda done, count: bar.update(task, completed=done, total=count),
            )
        except KeptElsewhere as error:
            _refuse(f"--keep {error}")
        except OSError as error:
            _refuse(f"--keep {keep}: {error.strerror or error}")


def _deliver(
    result: Spread,
    units: str,
    report: Path | None,
    json_file: str | None,
    force: bool,
    quiet: bool,
    verbose: bool,
) -> None:
    """Write the files, then print."""
    from rich.console import Console

    from featherbench.checks import bench_checks, run_cautions
    from featherbench.report.document import json_text
    from featherbench.report.files import write_whole
    from featherbench.report.spread_document import spread_document
    from featherbench.report.spread_page import spread_page
    from featherbench.report.spread_text import print_spread

    cautions = run_cautions(result.nominal)
    if json_file is not None:
        text = json_text(spread_document(result, bench_checks(result.nominal), cautions))
        if json_file == "-":
            typer.echo(text, nl=False)
        else:
            write_whole(Path(json_file), text, force)
    if report is not None:
        command = "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])
        write_whole(report, spread_page(result, cautions, units, command), force)
    if json_file != "-" and not quiet:
        plain = bool(os.environ.get("NO_COLOR")) or not sys.stdout.isatty()
        print_spread(result, cautions, units, Console(highlight=False, no_color=plain), verbose)


def _settings(given: list[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            _refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings


def _refuse(message: str) -> NoReturn:
    typer.echo(message, err=True)
    raise typer.Exit(REFUSED)
