"""The check command: what was understood of a scenario, before anything runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands.options import Settings, Units, UnitsOption, settings_of
from featherbench.commands.terminal import console_for, refuse


def check(
    files: Annotated[list[Path] | None, typer.Argument(metavar="FILE", help="Scenario files.")] = None,
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: UnitsOption = Units.METRIC,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print a JSON Schema of the scenario file.")
    ] = False,
) -> None:
    """Read scenario files and explain what was understood, assumed and missing."""
    if schema:
        _print_schema()
        return
    if not files:
        refuse("check needs a scenario file, or --schema. Example: featherbench check my-build.toml")
    from featherbench.bench.setup import build_setup
    from featherbench.report.text import print_check
    from featherbench.scenario import ScenarioError, read

    console, refused, laid_over = console_for(), [], settings_of(settings)
    for path in files:
        try:
            print_check(build_setup(read(path, laid_over)), units.value, console)
        except ScenarioError as error:
            refused.append(str(error))
    if refused:
        refuse("\n\n".join(dict.fromkeys(refused)))


def _print_schema() -> None:
    import json

    from featherbench.scenario.json_schema import json_schema

    typer.echo(json.dumps(json_schema(), indent=2))
