"""The explore command: a window with sliders to play with a build."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, ScenarioOptions, settings_of
from featherbench.commands.terminal import announce, refuse, remark

if TYPE_CHECKING:
    from featherbench.views.view import View
    from featherbench.window.window import Window


@example("featherbench explore scenarios/survey-3kg/plain.toml --variant tall-collars.toml")
def explore(
    *,
    build: ScenarioOptions,
    variant: Annotated[
        Path | None,
        typer.Option(
            "--variant",
            metavar="OUT.toml",
            help="Name of the file that the window's button writes; numbered where it is taken. "
            "By default FILE-explored.toml in the current folder.",
        ),
    ] = None,
    outputs: Annotated[
        OutputOptions,
        words(
            report="When the window is closed, write a page: the file against what was left.",
            without=("figures", "verbose"),
        ),
    ],
) -> None:
    """Open a window: move weights, speed and servo arm, and see at once what the build then does."""
    from featherbench import window as opened
    from featherbench.render.files import check_target

    given = settings_of(build.settings)
    scenario = build.read()
    outputs.check(scenario.source.files)
    if variant is not None:
        check_target(variant, force=True)
    try:
        opened.check_screen()
        announce(outputs.quiet)
        window = opened.explore(
            scenario,
            units=outputs.units.value,
            variant=variant or Path(f"{build.file.stem}-explored.toml"),
            settings=given,
            say=(lambda _line: None) if outputs.quiet else remark,
        )
        opened.show()
    except opened.NoWindow as error:
        refuse(f"explore: {error}")
    if not window.exploration.moved(window.left) and not outputs.targets.files:
        return
    outputs.deliver(_view(window, outputs.units.value, given))


def _view(window: Window, system: str, settings: dict[str, str]) -> View:
    """The build as in the file against the one that was left."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.exploring import explored_scenario
    from featherbench.studies import compare
    from featherbench.views.bench import comparison_view

    left = explored_scenario(window.exploration, window.left, settings)
    comparison = compare(window.base.scenario, left)
    checks = tuple(bench_checks(run) for run in comparison.runs)
    return comparison_view(comparison, checks, run_cautions(*comparison.runs), system)
