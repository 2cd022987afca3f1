"""What goes to the terminal beside a command's answer: remarks, refusals, progress; colour; the exit statuses."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from time import perf_counter
from typing import IO, TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from rich.console import Console
    from rich.progress import Progress, TaskID

    from featherbench.checks import Check
    from featherbench.render.outputs import Forms, Outputs

DONE, CHECK_FAILED, REFUSED, FAULT, INTERRUPTED = 0, 1, 2, 3, 130
"""Exit statuses."""


def remark(text: str) -> None:
    """Say something on standard error, where it disturbs no output."""
    typer.echo(text, err=True)


def refuse(message: str) -> NoReturn:
    """End with a message and the exit status of refused input."""
    remark(message)
    raise typer.Exit(REFUSED)


def announce(quiet: bool) -> None:
    """Say that a first use compiles, where it does."""
    from featherbench.plant.compiled import is_compiled

    if not quiet and not is_compiled():
        remark("first use on this machine: compiling the physics, up to half a minute, once ...")


class Work:
    """What a command is at: in words, with a bar where it can be counted; and how long each step took."""

    def __init__(self, bar: Progress | None = None) -> None:
        """bar: None where nothing is to be seen."""
        self._bar = bar
        self._task: TaskID | None = None
        self._begun: list[tuple[str, float]] = []
        self._ended: float | None = None

    def step(self, words: str) -> None:
        """Begin a step, such as "flying builds"; ends the one before."""
        self._begun.append((words, perf_counter()))
        if self._bar is None:
            return
        if self._task is not None:
            self._bar.remove_task(self._task)
        self._task = self._bar.add_task(words, total=None)

    def count(self, done: int, total: int) -> None:
        """Say how much of the step is done."""
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, completed=done, total=total)

    def say(self, words: str) -> None:
        """Say more of the step, while it lasts."""
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, description=f"{self._begun[-1][0]}: {words}")

    def end(self) -> None:
        """End the last step."""
        self._ended = perf_counter()

    def spent(self) -> list[tuple[str, float]]:
        """Each step and how long it took, s; the last lasts until now where nothing has ended it."""
        last = perf_counter() if self._ended is None else self._ended
        ends = [*(begin for _, begin in self._begun[1:]), last]
        return [(words, end - begin) for (words, begin), end in zip(self._begun, ends, strict=True)]


@contextmanager
def working(quiet: bool, words: str = "reading") -> Iterator[Work]:
    """Show on standard error what is being done until it is done; nothing unless it is a terminal.

    words: the first step. Nothing of it stays. Wrap all of a command that can last but what it prints.
    """
    if quiet or not sys.stderr.isatty() or _is_dumb():
        work = Work()
        work.step(words)
        yield work
        work.end()
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn
    from rich.table import Column

    columns = (
        TextColumn("{task.description}", table_column=Column(ratio=1, no_wrap=True)),
        BarColumn(bar_width=20),
        TextColumn("{task.completed:.0f}/{task.total}"),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console_for(True), transient=True, redirect_stdout=False) as bar:
        work = Work(bar)
        work.step(words)
        yield work
        work.end()


@contextmanager
def workers(jobs: int | None, executor: str | None, runs: int = 0) -> Iterator[Executor | None]:
    """What a study of so many bench runs is done on; refuses what cannot be.

    Where nothing was asked for: processes, if the runs are worth their start; else None, threads of this process.
    """
    from concurrent.futures import ThreadPoolExecutor

    from featherbench.studies.engines import EngineError, Lasting, engine_for

    try:
        if jobs is None and executor is None:
            from featherbench.studies.coming import coming

            with coming(runs) as pool:
                yield pool
        elif jobs == 1:
            with ThreadPoolExecutor(1) as pool:
                yield pool
        else:
            with engine_for(executor, jobs) as engine:
                yield Lasting(engine)
    except EngineError as error:
        refuse(str(error))


def deliver(
    outputs: Outputs, forms: Forms, *works: Work, whole: bool = True, wrote: Sequence[str] = ()
) -> None:
    """Write the files, print the tables, then say what was written; and where the time of the works went.

    wrote: remarks on files that are written already. What has to be read first is said first, on standard error where
    no tables are printed.

    whole: False where an interrupt left the result a part of what was asked: it is delivered, and the exit status says
    so. Raises OutputRefused.
    """
    said = list(wrote)
    if outputs.untold and forms.first is not None:  # nothing dangerous is silent
        for line in forms.first.lines:
            remark(line)
    try:
        with working(outputs.quiet or not outputs.asked, "drawing and writing") as writing:
            outputs.write(forms, said.append)
        outputs.show(forms, console_for)
    finally:
        for text in said:
            remark(text)
    if works and not outputs.quiet:
        spent = [step for work in (*works, *([writing] if outputs.asked else [])) for step in work.spent()]
        remark(f"time: {', '.join(f'{words} {seconds:.2f} s' for words, seconds in spent)}")
    if not whole:
        raise typer.Exit(INTERRUPTED)


def is_coloured(stream: IO[str]) -> bool:
    """Whether colour is shown: on a terminal, unless NO_COLOR is set and not empty, or the terminal knows none."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and not _is_dumb()


def console_for(errors: bool = False) -> Console:
    """A console on standard output, or on standard error; without any colour or weight where none is wanted."""
    from rich.console import Console

    stream = sys.stderr if errors else sys.stdout
    return Console(
        highlight=False,
        color_system="auto" if is_coloured(stream) else None,
        force_terminal=stream.isatty(),
        stderr=errors,
    )


def help_without_colour() -> None:
    """Let typer's own help and usage errors follow the same rule as everything else."""
    if all(is_coloured(stream) for stream in (sys.stdout, sys.stderr)):
        return
    asked = ("NO_COLOR", "FORCE_COLOR", "PY_COLORS", "GITHUB_ACTIONS", "TTY_COMPATIBLE", "TTY_INTERACTIVE")
    if any(os.environ.get(name) for name in asked):
        from typer import rich_utils

        rich_utils.COLOR_SYSTEM = None
        rich_utils.FORCE_TERMINAL = sys.stdout.isatty()


def _is_dumb() -> bool:
    return os.environ.get("TERM", "").lower() in ("dumb", "unknown")


def command_line() -> str:
    """The command as typed, for a page's last section."""
    return "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])


def end(strict: bool, checks: Iterable[Check], missed: bool = False) -> None:
    """Exit status 1 when a check failed or a load path is not known, or a target was missed, and that was to count."""
    if strict and (missed or any(check.verdict in ("fails", "unknown") for check in checks)):
        raise typer.Exit(CHECK_FAILED)
