"""The keys command: what can be written in a scenario file."""

from __future__ import annotations

from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions
from featherbench.commands.terminal import refuse


@example("featherbench keys bearing")
def keys(
    *,
    word: Annotated[
        str, typer.Argument(help="Only keys with this word in name, meaning, unit or example.")
    ] = "",
    outputs: Annotated[OutputOptions, words(without=("units", "figures", "verbose"))],
) -> None:
    """List what can be written in a scenario file: unit, default, meaning, example."""
    import difflib

    from featherbench.guide.key_list import all_keys, search
    from featherbench.views.keys import keys_view

    outputs.check()
    found = search(word) if word else all_keys()
    if not found:
        names = {step for key in all_keys() for step in key.path.replace("[]", "").split(".")}
        near = difflib.get_close_matches(word, sorted(names), 1)
        hint = f"did you mean {near[0]}?" if near else "featherbench keys lists all of them"
        refuse(f"keys {word}: nothing with that word; {hint}")
    outputs.deliver(keys_view(found, word))
