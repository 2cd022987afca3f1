"""The check command: what was understood of a scenario, before anything runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import command_line, deliver, refuse

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup


@example("featherbench check scenarios/survey-3kg/plain.toml scenarios/survey-3kg/weighted.toml")
def check(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE", help="Scenario files.", autocompletion=completion.scenario_files),
    ] = None,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    force: options.ForceOption = False,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print a JSON Schema of the scenario file.")
    ] = False,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Read scenario files and explain what was understood, assumed and missing."""
    if schema:
        _print_schema()
        return
    if not files:
        refuse("check needs a scenario file, or --schema. Example: featherbench check my-build.toml")
    from featherbench.checks import CAUTIONS
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.views.check import check_view

    setups, refused = _set_up(files, options.settings_of(settings))
    if setups:
        outputs = Outputs(page=report, json=json_file, figures=figures, quiet=quiet, force=force)
        outputs.check(name for setup in setups for name in setup.scenario.source.files)
        view = check_view(setups, CAUTIONS, units.value)
        deliver(outputs, forms_of(view, command_line(), everything=verbose))
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


def _print_schema() -> None:
    import json

    from featherbench.guide.json_schema import json_schema

    typer.echo(json.dumps(json_schema(), indent=2))
