"""Options that many commands share, in groups: one wording for all of them, and what is done with them everywhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.terminal import command_line, deliver, refuse, workers

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from featherbench.commands.terminal import Work
    from featherbench.render.outputs import Outputs
    from featherbench.scenario import Scenario
    from featherbench.views.view import View


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
ReportOption = Annotated[
    Path | None,
    typer.Option(
        "--report",
        metavar="FILE.html",
        help="Write a self-contained page.",
        autocompletion=completion.page_files,
    ),
]
ForceOption = Annotated[bool, typer.Option("--force", help="Overwrite files that exist.")]
SampleSeedOption = Annotated[int, typer.Option("--seed", min=0, help="Random seed: another, other samples.")]
StrictOption = Annotated[bool, typer.Option("--strict", help="Exit with 1 when a check fails.")]


@dataclass(frozen=True)
class ScenarioOptions:
    """One scenario file, and what is laid over it."""

    file: Annotated[
        Path,
        typer.Argument(help="Scenario file; - for standard input.", autocompletion=completion.scenario_files),
    ]
    settings: Settings = field(default_factory=list)

    def read(self) -> Scenario:
        """The scenario; raises ScenarioError."""
        from featherbench.scenario import read

        return read(self.file, settings_of(self.settings))


@dataclass(frozen=True)
class WorkerOptions:
    """Where the runs of a long study go."""

    jobs: Annotated[
        int | None,
        typer.Option(
            "--jobs", min=1, help="Worker processes, instead of threads of one; worth it for long studies."
        ),
    ] = None
    executor: Annotated[
        str | None,
        typer.Option(
            "--executor", metavar="dask://HOST:PORT", help="Run on a dask cluster by its scheduler's address."
        ),
    ] = None

    def check(self) -> None:
        """Refuses both: the cluster has its own workers."""
        if self.jobs is not None and self.executor is not None:
            refuse("--jobs or --executor: one of them, a cluster has its own workers")

    @contextmanager
    def pool(self, runs: int = 0) -> Iterator[Executor | None]:
        """What a study of so many bench runs is done on: see `terminal.workers`."""
        with workers(self.jobs, self.executor, runs) as pool:
            yield pool


@dataclass(frozen=True)
class OutputOptions:
    """Where the answer goes, and how much of it is told; a command that fills a table has its own words for --csv."""

    units: Annotated[Units, typer.Option("--units", help="metric, or trade: ozf, ozf*in, in.")] = Units.METRIC
    report: ReportOption = None
    figures: Annotated[
        Path | None,
        typer.Option("--figures", metavar="DIR", help="Write each picture to DIR, as SVG and PNG."),
    ] = None
    json: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE", help="Write everything in SI; - for standard output."),
    ] = None
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE")] = None
    force: ForceOption = False
    quiet: Annotated[bool, typer.Option("--quiet", help="Print no tables and no remarks, only refusals.")] = (
        False
    )
    verbose: Annotated[
        bool,
        typer.Option(
            "--verbose",
            help="Print everything: all results, checks, notes, assumptions, and where the time went.",
        ),
    ] = False

    @property
    def targets(self) -> Outputs:
        """The same for who writes and prints."""
        from featherbench.render.outputs import Outputs

        return Outputs(
            page=self.report,
            figures=self.figures,
            json=self.json,
            series=self.csv,
            quiet=self.quiet,
            force=self.force,
        )

    def check(
        self, inputs: Iterable[str] = (), also: Iterable[Path | None] = (), kept: Iterable[Path | None] = ()
    ) -> None:
        """Refuse targets that cannot be, before anything is computed: see `Outputs.check`. Raises OutputRefused."""
        self.targets.check(inputs, also, kept)

    def deliver(
        self,
        view: View,
        work: Work | None = None,
        *,
        told: View | None = None,
        drawn: View | None = None,
        whole: bool = True,
        wrote: Sequence[str] = (),
    ) -> None:
        """Hand a view over in every form that was asked for, and say what took how long: see `terminal.deliver`.

        told: what the terminal shows, drawn: what page and pictures show, where it is another.
        """
        from featherbench.render.outputs import forms_of

        forms = forms_of(view, command_line(), told, self.verbose)
        if drawn is not None:
            other = forms_of(drawn, command_line())
            forms = forms._replace(page=other.page, pictures=other.pictures, motion=other.motion)
        works = [work] if work is not None and self.verbose else []
        deliver(self.targets, forms, *works, whole=whole, wrote=wrote)


def settings_of(given: Iterable[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart; refuses what is not of that form."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings
