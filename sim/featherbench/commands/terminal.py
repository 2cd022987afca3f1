"""What goes to the terminal beside a command's answer: remarks, refusals, progress; and the exit statuses."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.checks import Check

DONE, CHECK_FAILED, REFUSED, INTERRUPTED = 0, 1, 2, 130
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


def console_for(errors: bool = False) -> Console:
    """A console on standard output, or on standard error; without colour where nobody would see it."""
    from rich.console import Console

    stream = sys.stderr if errors else sys.stdout
    plain = bool(os.environ.get("NO_COLOR")) or not stream.isatty()
    return Console(highlight=False, no_color=plain, stderr=errors)


def command_line() -> str:
    """The command as typed, for a page's last section."""
    return "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])


def end(strict: bool, checks: Iterable[Check], missed: bool = False) -> None:
    """Exit status 1 when a check failed, or a target was missed, and that was to count."""
    if strict and (missed or any(check.verdict == "fails" for check in checks)):
        raise typer.Exit(CHECK_FAILED)
