"""Options that many commands share: one wording for all of them."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.terminal import refuse


class Units(StrEnum):
    """What people read on the terminal and the page; files for machines are always SI."""

    METRIC = "metric"
    TRADE = "trade"


Settings = Annotated[
    list[str],
    typer.Option(
        "--set",
        metavar="KEY.PATH=VALUE",
        help="Override one key of the scenario; repeatable.",
        autocompletion=completion.settings,
    ),
]
UnitsOption = Annotated[Units, typer.Option("--units", help="metric, or trade: ozf, ozf*in, in.")]
ReportOption = Annotated[
    Path | None,
    typer.Option(
        "--report",
        metavar="FILE.html",
        help="Write a self-contained page.",
        autocompletion=completion.page_files,
    ),
]
FiguresOption = Annotated[
    Path | None, typer.Option("--figures", metavar="DIR", help="Write each picture to DIR, as SVG and PNG.")
]
JsonOption = Annotated[
    str | None,
    typer.Option("--json", metavar="FILE", help="Write everything in SI; - for standard output."),
]
CsvOption = Annotated[
    Path | None, typer.Option("--csv", metavar="FILE", help="Write the servo run over time, in SI.")
]
SampleSeedOption = Annotated[int, typer.Option("--seed", min=0, help="Random seed: another, other samples.")]
QuietOption = Annotated[bool, typer.Option("--quiet", help="Print no tables and no remarks, only refusals.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Overwrite files that exist.")]
StrictOption = Annotated[bool, typer.Option("--strict", help="Exit with 1 when a check fails.")]
VerboseOption = Annotated[
    bool,
    typer.Option(
        "--verbose",
        help="Print everything: all results, checks, notes, assumptions, and where the time went.",
    ),
]
JobsOption = Annotated[
    int | None,
    typer.Option("--jobs", min=1, help="Worker processes; as many as there are cores to use if left out."),
]
StudyJobsOption = Annotated[
    int | None,
    typer.Option(
        "--jobs", min=1, help="Worker processes, instead of threads of one; worth it for long studies."
    ),
]
ExecutorOption = Annotated[
    str | None,
    typer.Option(
        "--executor", metavar="dask://HOST:PORT", help="Run on a dask cluster by its scheduler's address."
    ),
]
ScenarioArgument = Annotated[
    Path, typer.Argument(help="Scenario file.", autocompletion=completion.scenario_files)
]


def settings_of(given: list[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart; refuses what is not of that form."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings


def one_engine(jobs: int | None, executor: str | None) -> None:
    """Refuses both: the cluster has its own workers."""
    if jobs is not None and executor is not None:
        refuse("--jobs or --executor: one of them, a cluster has its own workers")
