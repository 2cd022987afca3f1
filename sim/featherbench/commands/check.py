"""The check command: what was understood of a scenario, before anything runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.options import OutputOptions, Settings, settings_of
from featherbench.commands.terminal import refuse

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup


@example("featherbench check scenarios/survey-3kg/plain.toml scenarios/survey-3kg/weighted.toml")
def check(
    *,
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE", help="Scenario files.", autocompletion=completion.scenario_files),
    ] = None,
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    schema: Annotated[
        bool, typer.Option("--schema", help="Print a JSON Schema of the scenario file.")
    ] = False,
    readings_schema: Annotated[
        bool, typer.Option("--readings-schema", help="Print a JSON Schema of the file of readings.")
    ] = False,
    outputs: OutputOptions,
) -> None:
    """Read scenario files and explain what was understood, assumed and missing."""
    if schema or readings_schema:
        _print_schema("scenario" if schema else "readings")
        return
    if not files:
        refuse("check needs a scenario file, or --schema. Example: featherbench check my-build.toml")
    from featherbench.checks import CAUTIONS
    from featherbench.views.check import check_view

    setups, refused = _set_up(files, settings_of(settings))
    if setups:
        outputs.check(name for setup in setups for name in setup.scenario.source.files)
        outputs.deliver(check_view(setups, CAUTIONS, outputs.units.value))
    if refused:
        refuse("\n\n".join(dict.fromkeys(refused)))


def _set_up(files: list[Path], laid_over: dict[str, str]) -> tuple[list[Setup], list[str]]:
    """What could be understood, and what was wrong with the rest."""
    from featherbench.bench.setup import build_setup
    from featherbench.scenario import ScenarioError, read

    setups, refused = [], []
    for path in files:
        try:
            setups.append(build_setup(read(path, laid_over)))
        except ScenarioError as error:
            refused.append(str(error))
    return setups, refused


def _print_schema(of: str) -> None:
    import json

    from featherbench.from_python import schema

    typer.echo(json.dumps(schema(of), indent=2))
