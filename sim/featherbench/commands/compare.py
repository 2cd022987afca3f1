"""The compare command: several builds side by side."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion, options
from featherbench.commands.manual import example
from featherbench.commands.terminal import announce, command_line, deliver, end, refuse, working
from featherbench.commands.tolerances import (
    BenchRunsOption,
    check_runs,
    sample_runs,
    with_matter,
    with_reason,
)

if TYPE_CHECKING:
    from featherbench.scenario import Scenario


@example(
    "featherbench compare scenarios/survey-3kg/plain.toml scenarios/survey-3kg/weighted.toml --report collars.html"
)
def compare(
    base: Annotated[
        Path, typer.Argument(help="The build as it is.", autocompletion=completion.scenario_files)
    ],
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE", help="The builds as they would be.", autocompletion=completion.scenario_files
        ),
    ],
    settings: options.Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: options.UnitsOption = options.Units.METRIC,
    report: options.ReportOption = None,
    figures: options.FiguresOption = None,
    json_file: options.JsonOption = None,
    csv: options.CsvOption = None,
    force: options.ForceOption = False,
    strict: options.StrictOption = False,
    runs: BenchRunsOption = None,
    seed: options.SampleSeedOption = 0,
    quiet: options.QuietOption = False,
    verbose: options.VerboseOption = False,
) -> None:
    """Predict several builds side by side: before, after and change."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.render.outputs import Outputs, forms_of
    from featherbench.studies import compare as run_comparison
    from featherbench.views.bench import comparison_view
    from featherbench.views.cases import cases_of
    from featherbench.views.first_lines import of_cases

    scenarios = _read_all([base, *files], options.settings_of(settings))
    outputs = Outputs(page=report, figures=figures, json=json_file, series=csv, quiet=quiet, force=force)
    outputs.check(name for scenario in scenarios for name in scenario.source.files)
    check_runs(runs)
    announce(quiet)
    with working(quiet, "bench runs") as work:
        comparison = run_comparison(*scenarios)
    sampled = sample_runs(comparison.runs, runs, outputs.drawn, seed, quiet)
    checks = tuple(bench_checks(run) for run in comparison.runs)
    cautions = run_cautions(*comparison.runs)
    first = of_cases(cases_of(comparison.runs, sampled), checks)
    view = comparison_view(comparison, checks, cautions, units.value, sampled=sampled, seed=seed, first=first)
    view = with_reason(view, comparison.runs, outputs.drawn)
    told = with_matter(view, comparison.runs[0], outputs, verbose)
    forms = forms_of(view, command_line(), told, verbose)
    deliver(outputs, forms, *([work] if verbose else []), whole=sampled is None or sampled.complete)
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
