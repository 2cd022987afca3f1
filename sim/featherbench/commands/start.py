"""The start command: a scenario to fill in."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands.options import ForceOption


def start(
    name: Annotated[str, typer.Argument(help="File to write, e.g. my-build.toml")],
    force: ForceOption = False,
) -> None:
    """Write a commented scenario to fill in."""
    from featherbench.report.files import write_whole
    from featherbench.scenario.starter import starter_text

    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    write_whole(path, starter_text(path.stem), force)
    typer.echo(f"wrote {path}: fill it in, then run: featherbench check {shlex.quote(str(path))}")
