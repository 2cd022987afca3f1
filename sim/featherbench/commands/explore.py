"""The explore command: a window with sliders to play with a build."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, refuse, remark

if TYPE_CHECKING:
    from featherbench.render.outputs import Forms
    from featherbench.window.window import Window


@example("featherbench explore scenarios/survey-3kg/plain.toml --variant tall-collars.toml")
def explore(
    file: options.ScenarioArgument,
    variant: Annotated[
        Path | None,
        typer.Option(
            "--variant",
            metavar="OUT.toml",
            help="Name of the file that the window's button writes; numbered where it is taken. "
            "By default FILE-explored.toml in the current folder.",
        ),
    ] = None,
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: options.UnitsOption = options.Units.METRIC,
    report: Annotated[
        Path | None,
        typer.Option(
            "--report",
            metavar="FILE.html",
            help="When the window is closed, write a page: the file against what was left.",
        ),
    ] = None,
    json_file: options.JsonOption = None,
    force: options.ForceOption = False,
    quiet: options.QuietOption = False,
) -> None:
    """Open a window: move weights, speed and servo arm, and see at once what the build then does."""
    from featherbench import window as opened
    from featherbench.render.files import check_target
    from featherbench.render.outputs import Outputs
    from featherbench.scenario import read

    given = options.settings_of(settings)
    scenario = read(file, given)
    outputs = Outputs(page=report, json=json_file, quiet=quiet, force=force)
    outputs.check(scenario.source.files)
    if variant is not None:
        check_target(variant, force=True)
    try:
        opened.check_screen()
        announce(quiet)
        window = opened.explore(
            scenario,
            units=units.value,
            variant=variant or Path(f"{file.stem}-explored.toml"),
            settings=given,
            say=(lambda _line: None) if quiet else remark,
        )
        opened.show()
    except opened.NoWindow as error:
        refuse(f"explore: {error}")
    if not window.exploration.moved(window.left) and not outputs.files:
        return
    deliver(outputs, _forms(window, units, given))


def _forms(window: Window, units: options.Units, settings: dict[str, str]) -> Forms:
    """The build as in the file against the one that was left, in every form."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.exploring import explored_scenario
    from featherbench.render.outputs import forms_of
    from featherbench.studies import compare
    from featherbench.views.bench import comparison_view

    left = explored_scenario(window.exploration, window.left, settings)
    comparison = compare(window.base.scenario, left)
    checks = tuple(bench_checks(run) for run in comparison.runs)
    view = comparison_view(comparison, checks, run_cautions(*comparison.runs), units.value)
    return forms_of(view, command_line())
