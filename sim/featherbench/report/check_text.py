"""What was understood of a scenario, as plain text; and what was assumed of a build, for who asked for everything."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console

from featherbench.render.printing import print_list

if TYPE_CHECKING:
    from featherbench.scenario import Assumed, Scenario


def print_background(scenario: Scenario, console: Console) -> None:
    """Print what was assumed of a build, for who asked for everything."""
    from featherbench.bench.setup import build_setup

    _print_assumed(console, build_setup(scenario).assumed)


def _print_assumed(console: Console, assumed: Sequence[Assumed]) -> None:
    print_list(
        console,
        "Assumed (not in your file)",
        [f"{item.key} = {item.value}: {item.why}" for item in assumed],
    )
