"""The calibrate command: chosen unknowns from bench data, and what to measure next."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.options import (
    FiguresOption,
    JsonOption,
    QuietOption,
    ReportOption,
    Settings,
    Units,
    UnitsOption,
    settings_of,
)
from featherbench.commands.terminal import announce, command_line, console_for, refuse, remark

if TYPE_CHECKING:
    from featherbench.report import Outputs
    from featherbench.studies.calibrate import Calibration


@example(
    "featherbench calibrate scenarios/survey-3kg/plain.toml \\\n"
    "    scenarios/survey-3kg/bench/plain-gauge.csv --write fitted.toml"
)
def calibrate(
    file: Annotated[
        Path,
        typer.Argument(
            help="Scenario file, as it was on the bench.", autocompletion=completion.scenario_files
        ),
    ],
    data: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="DATA",
            help="Readings (.toml, .csv) and logs (.csv, .txt).",
            autocompletion=completion.bench_files,
        ),
    ] = None,
    free: Annotated[
        str,
        typer.Option(
            "--free",
            metavar="KEY,KEY",
            help="What to find; the usual ones for this data.",
            autocompletion=completion.free_keys,
        ),
    ] = "",
    list_free: Annotated[bool, typer.Option("--list", help="List what may be freed, and stop.")] = False,
    next_for: Annotated[
        str | None,
        typer.Option(
            "--next",
            metavar="FINDING",
            help="Rank what to measure next for this finding.",
            autocompletion=completion.findings,
        ),
    ] = None,
    keep_aside: Annotated[
        bool, typer.Option("--keep-aside/--use-all", help="Keep part of the data aside as a test.")
    ] = True,
    write: Annotated[
        Path | None,
        typer.Option("--write", metavar="FILE.toml", help="The fitted variant; FILE-fitted.toml if free."),
    ] = None,
    settings: Settings = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: UnitsOption = Units.METRIC,
    report: ReportOption = None,
    figures: FiguresOption = None,
    json_file: JsonOption = None,
    force: Annotated[bool, typer.Option("--force", help="Overwrite reports that exist.")] = False,
    quiet: QuietOption = False,
) -> None:
    """Fit chosen unknowns to bench data and write the fitted variant; never over an existing scenario."""
    from featherbench.report import Outputs
    from featherbench.report.match_text import print_unknowns
    from featherbench.scenario import read
    from featherbench.studies.fitting_unknowns import PRIORS, listed_unknowns
    from featherbench.studies.next_measurement import check_finding

    scenario = read(file, settings_of(settings))
    if list_free:
        print_unknowns(listed_unknowns(scenario), units.value, console_for())
        return
    if not data:
        refuse("calibrate needs bench data, or --list. Example: featherbench calibrate build.toml log.csv")
    outputs = Outputs(page=report, figures=figures, json=json_file, quiet=quiet, force=force)
    outputs.check([*scenario.source.files, *map(str, data)], kept=[write])
    keys = tuple(key.strip() for key in free.split(",") if key.strip())
    if next_for is not None:
        check_finding(next_for, keys or tuple(PRIORS))
    done = _fitted(scenario, data, keys, keep_aside, quiet)
    _write_variant(done, file, write, quiet, bool(settings))
    _deliver(done, next_for, units, outputs)


def _fitted(
    scenario: object, data: list[Path], keys: tuple[str, ...], keep_aside: bool, quiet: bool
) -> Calibration:
    """The fit, with its progress on standard error."""
    from featherbench.bench.readings import read_bench_data
    from featherbench.scenario import Scenario
    from featherbench.studies.calibrate import calibrate as run_calibration

    assert isinstance(scenario, Scenario)
    bench = read_bench_data(data, scenario)
    announce(quiet)
    silent = quiet or not sys.stderr.isatty()
    with console_for(True).status("fitting ...") if not silent else nullcontext() as status:
        return run_calibration(
            scenario,
            bench,
            keys,
            keep_aside=keep_aside,
            progress=None if status is None else lambda text: status.update(f"fitting: {text}"),
        )


def _deliver(done: Calibration, next_for: str | None, units: Units, outputs: Outputs) -> None:
    from featherbench.checks import CAUTIONS
    from featherbench.report import Forms
    from featherbench.report.match_document import calibration_document
    from featherbench.report.match_text import print_calibration
    from featherbench.report.pages.study_page import calibration_page
    from featherbench.report.pictures import calibration_pictures, with_parts_of
    from featherbench.studies.next_measurement import next_measurement

    advice = next_measurement(done, next_for) if next_for and not done.fitted.interrupted else None
    forms = Forms(
        tables=lambda console: print_calibration(done, advice, units.value, console),
        document=lambda: calibration_document(done, advice),
        page=lambda: calibration_page(done, advice, CAUTIONS, units.value, command_line()),
        pictures=lambda: with_parts_of(done.scenario, calibration_pictures(done, units.value), units.value),
    )
    outputs.deliver(forms, console_for, remark)


def _write_variant(done: Calibration, file: Path, write: Path | None, quiet: bool, overridden: bool) -> None:
    """Write the fitted variant; without a name, beside the scenario unless that name is taken."""
    from featherbench.report.files import write_whole
    from featherbench.studies.calibrate import variant_text

    if done.fitted.interrupted or not any(done.fitted.identified):
        remark("no variant written: nothing was found to the end")
        return
    target = write or file.with_name(f"{file.stem}-fitted.toml")
    if write is None and target.exists():
        remark(f"no variant written: {target} exists; give a name with --write")
        return
    write_whole(target, variant_text(done, target), False)
    if not quiet:
        remark(f"wrote {target}")
        if overridden:
            remark("what --set changed is not in that file: write it there too")
