"""The match command: prediction against bench data."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from rich.console import Console

REFUSED = 2


def match(
    file: Annotated[Path, typer.Argument(help="Scenario file, as it was on the bench.")],
    data: Annotated[list[Path], typer.Argument(help="Readings (.toml, .csv) and logs (.csv, .txt).")],
    settings: Annotated[
        list[str],
        typer.Option("--set", metavar="KEY.PATH=VALUE", help="Override one key of the scenario; repeatable."),
    ] = [],  # noqa: B006 - typer reads the default, nothing changes it
    runs: Annotated[int, typer.Option("--runs", min=8, max=4096, help="Samples of the tolerances.")] = 64,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Another seed, another set of samples.")] = 0,
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
) -> None:
    """Compare a prediction with bench data: what differs by more than both sides' uncertainty."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    from featherbench.bench.readings import read_bench_data
    from featherbench.report.document import json_text
    from featherbench.report.files import write_whole
    from featherbench.report.match_document import match_document
    from featherbench.report.match_page import match_page
    from featherbench.report.match_text import print_match
    from featherbench.scenario import read
    from featherbench.studies.match import match as run_match

    check_outputs(units, report, json_file, force)
    scenario = read(file, settings_of(settings))
    bench = read_bench_data(data, scenario)
    silent = quiet or not sys.stderr.isatty()
    bars = (TextColumn("bench runs"), BarColumn(), MofNCompleteColumn())
    with Progress(*bars, console=console_for(True), disable=silent, transient=True) as bar:
        task = bar.add_task("runs", total=runs)
        found = run_match(
            scenario,
            bench,
            runs=runs,
            seed=seed,
            progress=lambda done, count: bar.update(task, completed=done, total=count),
        )
    if report is not None:
        write_whole(report, match_page(found, units, command_line()), force)
    if json_file is not None and json_file != "-":
        write_whole(Path(json_file), json_text(match_document(found)), force)
    if json_file == "-":
        typer.echo(json_text(match_document(found)), nl=False)
    elif not quiet:
        print_match(found, units, console_for(False))


def check_outputs(units: str, report: Path | None, json_file: str | None, force: bool) -> None:
    """Refuse what cannot be written before anything is computed."""
    from featherbench.report.files import check_target

    if units not in ("metric", "trade"):
        refuse(f"--units {units}: expected metric or trade")
    targets = [path for path in (report, Path(json_file) if json_file and json_file != "-" else None) if path]
    for target in targets:
        check_target(target, force)


def settings_of(given: list[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings


def console_for(errors: bool) -> Console:
    """A console on standard output, or on standard error."""
    from rich.console import Console

    stream = sys.stderr if errors else sys.stdout
    plain = bool(os.environ.get("NO_COLOR")) or not stream.isatty()
    return Console(highlight=False, no_color=plain, stderr=errors)


def command_line() -> str:
    """The command as typed, for a page's last section."""
    return "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])


def refuse(message: str) -> NoReturn:
    """End with a message and the exit status of refused input."""
    typer.echo(message, err=True)
    raise typer.Exit(REFUSED)
