"""The command line: parse, call, print. Nothing is decided here."""

from __future__ import annotations

import io
import os
import shlex
import sys
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

import featherbench
from featherbench.commands.calibrate import calibrate
from featherbench.commands.match import match
from featherbench.commands.size import size
from featherbench.commands.spread import spread
from featherbench.commands.swing import swing

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.checks import Check
    from featherbench.scenario import Scenario

app = typer.Typer(
    name="featherbench",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
    help="Predicts the pushrod force and servo current of a model-helicopter tail rotor before any metal is cut.",
    epilog="Model aircraft only. Spinning blades and thrown weights can hurt people: read the cautions.",
)

DONE, CHECK_FAILED, REFUSED, INTERRUPTED = 0, 1, 2, 130
"""Exit statuses."""


class Units(StrEnum):
    """What people read on the terminal and the page; files for machines are always SI."""

    METRIC = "metric"
    TRADE = "trade"


Settings = Annotated[
    list[str],
    typer.Option("--set", metavar="KEY.PATH=VALUE", help="Override one key of the scenario; repeatable."),
]
UnitsOption = Annotated[Units, typer.Option("--units", help="metric, or trade: ozf, ozf*inch, inch.")]
ReportOption = Annotated[
    Path | None, typer.Option("--report", metavar="FILE.html", help="Write a self-contained page.")
]
JsonOption = Annotated[
    str | None,
    typer.Option(
        "--json", metavar="FILE", help="Write all findings and curves in SI; - for standard output."
    ),
]
CsvOption = Annotated[
    Path | None, typer.Option("--csv", metavar="FILE", help="Write the servo run over time, in SI.")
]
SeedOption = Annotated[
    int, typer.Option("--seed", help="Seed of anything random (a bench prediction has nothing).")
]
QuietOption = Annotated[bool, typer.Option("--quiet", help="Print no tables and no remarks, only refusals.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Overwrite files that exist.")]
StrictOption = Annotated[bool, typer.Option("--strict", help="Exit with 1 when a check fails.")]
HalfStepOption = Annotated[
    bool, typer.Option("--half-step", help="Run again at half the time step and report the largest change.")
]
VerboseOption = Annotated[
    bool, typer.Option("--verbose", help="Print everything that was found and assumed.")
]


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"featherbench {featherbench.__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


@app.command()
def start(
    name: Annotated[str, typer.Argument(help="File to write, e.g. my-build.toml")],
    force: ForceOption = False,
) -> None:
    """Write a commented scenario to fill in."""
    from featherbench.report.files import write_whole
    from featherbench.scenario.starter import starter_text

    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    write_whole(path, starter_text(path.stem), force)
    typer.echo(f"wrote {path}: fill it in, then run: featherbench check {shlex.quote(str(path))}")


@app.command()
def check(
    files: Annotated[list[Path] | None, typer.Argument(help="Scenario files.")] = None,
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: UnitsOption = Units.METRIC,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print a JSON Schema of the scenario file.")
    ] = False,
) -> None:
    """Read scenario files and explain what was understood, assumed and missing."""
    if schema:
        import json

        from featherbench.scenario.json_schema import json_schema

        typer.echo(json.dumps(json_schema(), indent=2))
        return
    if not files:
        _refuse("check needs a scenario file, or --schema. Example: featherbench check my-build.toml")
    from featherbench.bench.setup import build_setup
    from featherbench.report.text import print_check

    console, refused = _console(), []
    for path in files:
        try:
            print_check(build_setup(_read(path, settings)), units.value, console)
        except featherbench.ScenarioError as error:
            refused.append(str(error))
    if refused:
        _refuse("\n\n".join(refused))


@app.command()
def predict(
    file: Annotated[Path, typer.Argument(help="Scenario file.")],
    settings: Settings = [],  # noqa: B006
    units: UnitsOption = Units.METRIC,
    report: ReportOption = None,
    json_file: JsonOption = None,
    csv: CsvOption = None,
    force: ForceOption = False,
    strict: StrictOption = False,
    half_step: HalfStepOption = False,
    seed: SeedOption = 0,
    quiet: QuietOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Predict the bench run of one build: forces, currents, release, checks."""
    from featherbench import report as made
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.studies import predict as run_prediction

    scenario = _read(file, settings)
    outputs = made.Outputs(page=report, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    _announce(quiet)
    run = run_prediction(scenario, check_step=half_step)
    checks, cautions = bench_checks(run), run_cautions(run)
    forms = made.Forms(
        tables=lambda console: made.print_run(run, checks, cautions, units.value, console, verbose),
        document=lambda: made.run_document(run, checks, cautions, seed=seed),
        page=lambda: made.run_page(run, checks, cautions, units.value, _command()),
        series=lambda: made.csv_text(run),
    )
    outputs.deliver(forms, _console, _remark)
    _end(strict, checks)


@app.command()
def compare(
    base: Annotated[Path, typer.Argument(help="The build as it is.")],
    files: Annotated[list[Path], typer.Argument(help="The builds as they would be.")],
    settings: Settings = [],  # noqa: B006
    units: UnitsOption = Units.METRIC,
    report: ReportOption = None,
    json_file: JsonOption = None,
    csv: CsvOption = None,
    force: ForceOption = False,
    strict: StrictOption = False,
    seed: SeedOption = 0,
    quiet: QuietOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Predict several builds side by side: before, after and change."""
    from featherbench import report as made
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.studies import compare as run_comparison

    scenarios = _read_all([base, *files], settings)
    outputs = made.Outputs(page=report, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(name for scenario in scenarios for name in scenario.source.files)
    _announce(quiet)
    comparison = run_comparison(*scenarios)
    checks = tuple(bench_checks(run) for run in comparison.runs)
    cautions = run_cautions(*comparison.runs)
    forms = made.Forms(
        tables=lambda console: made.print_comparison(
            comparison, checks, cautions, units.value, console, verbose
        ),
        document=lambda: made.comparison_document(comparison, checks, cautions, seed=seed),
        page=lambda: made.comparison_page(comparison, checks, cautions, units.value, _command()),
        series=lambda: made.comparison_csv_text(comparison),
    )
    outputs.deliver(forms, _console, _remark)
    _end(strict, [one for row in checks for one in row])


app.command()(size)
app.command()(spread)
app.command()(swing)
app.command()(match)
app.command()(calibrate)


def _end(strict: bool, checks: Iterable[Check]) -> None:
    """Exit status 1 when a check failed and that was to count."""
    if strict and any(one.verdict == "fails" for one in checks):
        raise typer.Exit(CHECK_FAILED)


def _read(path: Path, settings: list[str]) -> Scenario:
    from featherbench.scenario import read

    return read(path, _settings(settings))


def _read_all(paths: Iterable[Path], settings: list[str]) -> list[Scenario]:
    """Every file, or one message with what is wrong in all of them."""
    scenarios, refused = [], []
    for path in paths:
        try:
            scenarios.append(_read(path, settings))
        except featherbench.ScenarioError as error:
            refused.append(str(error))
    if refused:
        _refuse("\n\n".join(dict.fromkeys(refused)))
    return scenarios


def _settings(given: list[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            _refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings


def _announce(quiet: bool) -> None:
    """Say on standard error that a first use compiles."""
    from featherbench.plant.compiled import is_compiled

    if not quiet and not is_compiled():
        _remark("first use on this machine: compiling the physics, up to half a minute, once ...")


def _remark(text: str) -> None:
    typer.echo(text, err=True)


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, no_color=bool(os.environ.get("NO_COLOR")) or not sys.stdout.isatty())


def _command() -> str:
    """The command line as typed, for the page's last section."""
    return "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])


def _refuse(message: str) -> NoReturn:
    _remark(message)
    raise typer.Exit(REFUSED)


def main() -> None:
    """Entry point: input that cannot be used ends with a message and exit status 2, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a title may hold letters that the terminal lacks
    try:
        app()
    except SystemExit as ended:
        if isinstance(ended.__context__, BrokenPipeError):
            sys.exit(DONE)  # the reader has seen enough, and files are written before anything is printed
        if ended.code == INTERRUPTED:
            _remark("interrupted")
        raise
    except KeyboardInterrupt:
        _remark("interrupted")
        sys.exit(INTERRUPTED)
    except (featherbench.ScenarioError, featherbench.OutputRefused) as error:
        _remark(str(error))
        sys.exit(REFUSED)


if __name__ == "__main__":
    main()
