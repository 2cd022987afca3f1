"""The compare command: several builds side by side."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, Settings, StrictOption, settings_of
from featherbench.commands.terminal import announce, end, refuse, working
from featherbench.commands.tolerances import RangeOptions, with_matter, with_reason

if TYPE_CHECKING:
    from featherbench.scenario import Scenario


@example(
    "featherbench compare scenarios/survey-3kg/plain.toml scenarios/survey-3kg/weighted.toml --report collars.html"
)
def compare(
    *,
    base: Annotated[
        Path, typer.Argument(help="The build as it is.", autocompletion=completion.scenario_files)
    ],
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE", help="The builds as they would be.", autocompletion=completion.scenario_files
        ),
    ],
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    ranges: RangeOptions,
    outputs: Annotated[OutputOptions, words(csv="Write the servo run over time, in SI.")],
    strict: StrictOption = False,
) -> None:
    """Predict several builds side by side: before, after and change."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.studies import compare as run_comparison
    from featherbench.views.bench import comparison_view
    from featherbench.views.cases import cases_of
    from featherbench.views.first_lines import of_cases

    scenarios = _read_all([base, *files], settings_of(settings))
    outputs.check(name for scenario in scenarios for name in scenario.source.files)
    ranges.check()
    announce(outputs.quiet)
    with working(outputs.quiet, "bench runs") as work:
        comparison = run_comparison(*scenarios)
    drawn = outputs.targets.drawn
    sampled = ranges.of(comparison.runs, drawn, outputs.quiet)
    checks = tuple(bench_checks(run) for run in comparison.runs)
    cautions = run_cautions(*comparison.runs)
    first = of_cases(cases_of(comparison.runs, sampled), checks)
    view = comparison_view(
        comparison, checks, cautions, outputs.units.value, sampled=sampled, seed=ranges.seed, first=first
    )
    view = with_reason(view, comparison.runs, drawn)
    told = with_matter(view, comparison.runs[0], outputs)
    outputs.deliver(view, work, told=told, whole=sampled is None or sampled.complete)
    end(strict, [check for row in checks for check in row])


def _read_all(paths: Iterable[Path], settings: dict[str, str]) -> list[Scenario]:
    """Every file, or one message with what is wrong in all of them."""
    from featherbench.scenario import ScenarioError, read

    scenarios, refused = [], []
    for path in paths:
        try:
            scenarios.append(read(path, settings))
        except ScenarioError as error:
            refused.append(str(error))
    if refused:
        refuse("\n\n".join(dict.fromkeys(refused)))
    return scenarios
