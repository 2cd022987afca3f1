"""A window to play with a build, also in a notebook with an interactive backend."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from featherbench.window.backend import NoWindow, check_screen, show

if TYPE_CHECKING:
    from featherbench.scenario import Scenario
    from featherbench.window.window import Window

__all__ = ["NoWindow", "check_screen", "explore", "show"]


def explore(
    scenario: Scenario,
    *,
    units: str = "metric",
    variant: Path | str | None = None,
    settings: Mapping[str, str] | None = None,
    say: Callable[[str], None] | None = None,
) -> Window:
    """Sliders for a build's weights, rotor speed and servo arm; pictures of what it then does.

    units: "metric" or "trade"; variant: name of the file that the button writes, by default NAME-explored.toml in the
    current folder, numbered where that is taken; settings: those that the scenario was read with, which the file then
    says too; say: takes a line for each file written. Keep what is returned: its `figure` is what matplotlib shows,
    with sliders where its backend is interactive. Raises ScenarioError when the build cannot be.
    """
    from featherbench.window.window import Window

    files = scenario.source.files
    own = Path(f"{Path(files[0]).stem if files else 'build'}-explored.toml")
    return Window(
        scenario, units, Path(variant) if variant else own, settings or {}, say or (lambda _line: None)
    )
