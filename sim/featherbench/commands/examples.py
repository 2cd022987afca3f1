"""The examples command: the scenarios that come with the program, copied out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.terminal import refuse


@example("featherbench examples")
def examples(
    folder: Annotated[
        Path, typer.Argument(metavar="[DIR]", help="Folder to make; scenarios/ where none is given.")
    ] = Path("scenarios"),
) -> None:
    """Copy the example scenarios into a new folder.

    The helicopters and readings in them are invented. A folder that holds anything is left alone.
    """
    from featherbench.render.files import write_folder
    from featherbench.scenario.shipped import shipped_files

    files = shipped_files()
    if not files:
        refuse("this installation has lost its examples: install it once more")
    write_folder(folder, {name: file.read_bytes() for name, file in files.items()})
    builds = sum(name.count("/") == 1 for name in files)
    typer.echo(f"wrote {folder}: {builds} scenarios and their bench readings; all of it is invented")
