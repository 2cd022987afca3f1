"""The start command: a scenario to fill in."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.options import ForceOption, ReportOption
from featherbench.commands.terminal import command_line


@example("featherbench start my-build.toml --report my-build.html")
def start(
    name: Annotated[str, typer.Argument(help="File to write, e.g. my-build.toml")],
    report: ReportOption = None,
    force: ForceOption = False,
) -> None:
    """Write a commented scenario to fill in."""
    from featherbench.guide.starter import starter_text
    from featherbench.render.files import check_target, write_whole
    from featherbench.render.outputs import Outputs

    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    check_target(path, force)
    Outputs(page=report, force=force).check([str(path)])
    write_whole(path, starter_text(path.stem), force)
    if report is not None:
        write_whole(report, _page(path), force)
        typer.echo(f"wrote {report}: what the file says before you change it")
    typer.echo(f"wrote {path}: fill it in, then run: featherbench check {shlex.quote(str(path))}")


def _page(path: Path) -> str:
    """What was understood of the file as it was written."""
    from featherbench.bench.setup import build_setup
    from featherbench.checks import CAUTIONS
    from featherbench.render.page import page
    from featherbench.scenario import read
    from featherbench.views.check import check_view

    return page(check_view([build_setup(read(path))], CAUTIONS, "metric"), command_line())
