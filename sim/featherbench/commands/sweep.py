"""The sweep command: a grid or a table of builds, a few values of each."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, ScenarioOptions, WorkerOptions, settings_of
from featherbench.commands.terminal import announce, refuse, working

if TYPE_CHECKING:
    from featherbench.commands.terminal import Work
    from featherbench.scenario import Scenario
    from featherbench.sweeping.sweep import Sweep

LARGEST_TABLE = 200_000_000
"""Bytes; a table of builds has some tens of them a row."""


@example(
    'featherbench sweep scenarios/survey-3kg/weighted.toml --vary "rotor.speed=9000..12000 rpm:4" \\\n'
    '    --vary "part.head-collar.length=2..4 mm:3" --figures map'
)
def sweep(
    *,
    build: ScenarioOptions,
    vary: Annotated[
        list[str],
        typer.Option(
            "--vary",
            metavar="KEY.PATH=A..B:N",
            help="N values from A to B, or a list A, B, C; repeatable: every combination is a build.",
        ),
    ] = [],  # noqa: B006 - typer reads the default, nothing changes it
    table: Annotated[
        Path | None,
        typer.Option("--table", metavar="FILE.csv", help="Instead: a build a row, a column for each key."),
    ] = None,
    values: Annotated[
        str | None,
        typer.Option(
            "--values", metavar="NAME,NAME", help="Findings to keep; force, release, strength if left out."
        ),
    ] = None,
    engine: Annotated[
        WorkerOptions, words(jobs="Worker processes; as many as there are cores to use if left out.")
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="DIR", help="Keep results as they come; the same command goes on from there."
        ),
    ] = None,
    shard: Annotated[
        str,
        typer.Option("--shard", metavar="K/N", help="Only the K-th of N parts, for a queue of N machines."),
    ] = "1/1",
    outputs: Annotated[OutputOptions, words(csv="Write every build, a row each, in SI.")],
) -> None:
    """Run a grid or a table of builds and keep a few values of each."""
    from featherbench.checks import CAUTIONS
    from featherbench.views.swept.answer import sweep_view

    engine.check()
    grid, part = _grid(vary, table), _part(shard)
    if twice := [key for key in settings_of(build.settings) if isinstance(grid, dict) and key in grid]:
        refuse(f"{twice[0]}: either --set or --vary says what it is")
    scenario = build.read()
    outputs.check([*scenario.source.files, *([str(table)] if table else [])])
    announce(outputs.quiet)
    how = {"executor": engine.executor, "jobs": engine.jobs, "out": out, "shard": part}
    with working(outputs.quiet, "builds") as work:
        found = _swept(scenario, grid, values, how, work)
    outputs.deliver(sweep_view(found, CAUTIONS, outputs.units.value), work, whole=found.complete)


def _swept(scenario: Scenario, grid: Any, values: str | None, how: dict[str, Any], work: Work) -> Sweep:
    """The study; refuses in words what the engine or the folder does not take."""
    from featherbench.studies.engines import EngineError
    from featherbench.sweeping.sweep import sweep as run_sweep
    from featherbench.sweeping.values import USUAL

    names = USUAL if values is None else [name.strip() for name in values.split(",") if name.strip()]
    try:
        return run_sweep(scenario, grid, names, progress=work.count, **how)
    except (ValueError, EngineError) as error:
        refuse(str(error))


def _grid(vary: list[str], table: Path | None) -> Any:
    if bool(vary) == (table is not None):
        refuse(
            'sweep: say what to vary, for example --vary "rotor.speed=9000..12000 rpm:4", or a --table FILE.csv'
        )
    if table is not None:
        return _rows(table)
    grid: dict[str, str] = {}
    for text in vary:
        key, sign, values = text.partition("=")
        if not sign or not key.strip():
            refuse(
                f'--vary {text}: expected KEY.PATH=A..B:N, for example --vary "rotor.speed=9000..12000 rpm:4"'
            )
        if key.strip() in grid:
            refuse(f"--vary {key.strip()}: said twice")
        grid[key.strip()] = values.strip()
    return grid


def _rows(table: Path) -> list[dict[str, str]]:
    """The rows of a table of builds, cells as typed."""
    import csv

    try:
        if table.stat().st_size > LARGEST_TABLE:
            refuse(f"{table}: more than 200 MB: part it, or sweep it from Python")
        with table.open(newline="", encoding="utf-8-sig") as stream:
            rows = list(csv.DictReader(stream, restkey="", restval=""))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        refuse(f"{table}: cannot be read as comma-separated text ({error})")
    if not rows:
        refuse(f"{table}: no rows: a heading of key paths, then a row a build, is needed")
    return rows


def _part(shard: str) -> tuple[int, int]:
    number, sign, of = shard.partition("/")
    if not (sign and number.isdecimal() and of.isdecimal() and 1 <= int(number) <= int(of)):
        refuse(f"--shard {shard}: expected K/N, for example 3/100, K from 1 to N")
    return int(number), int(of)
