"""What was understood of a scenario, as plain text; and what was assumed of a build, for who asked for everything."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console

from featherbench.render.printing import print_first, print_heading, print_list, print_table, say

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup
    from featherbench.scenario import Assumed, Scenario


def print_background(scenario: Scenario, console: Console) -> None:
    """Print what was assumed of a build, for who asked for everything."""
    from featherbench.bench.setup import build_setup

    _print_assumed(console, build_setup(scenario).assumed)


def print_check(setup: Setup, system: str, console: Console) -> None:
    """Print what was understood of a scenario, what was assumed and what is missing."""
    from featherbench.report.explained import explained
    from featherbench.views.first_lines import of_setup

    print_first(console, of_setup(setup))
    for heading, columns, remarks in explained(setup, system):
        print_heading(console, heading)
        if columns:
            print_table(console, columns)
        for remark in remarks:
            say(console, remark, hang=2)
    _print_assumed(console, setup.assumed)


def _print_assumed(console: Console, assumed: Sequence[Assumed]) -> None:
    print_list(
        console,
        "Assumed (not in your file)",
        [f"{item.key} = {item.value}: {item.why}" for item in assumed],
    )
