"""The scenario that `start NAME` writes: complete, commented, invented, and ready to be filled in."""

from __future__ import annotations

from importlib.resources import files

from featherbench.scenario.parts import SHAPES
from featherbench.scenario.problems import printable
from featherbench.scenario.toml_writer import toml_value

_TITLE = '"TITLE"'


def starter_text(title: str) -> str:
    """A starter scenario with that title. It passes `check` as it is; its figures are invented."""
    template = files("featherbench.guide").joinpath("starter.toml").read_text(encoding="utf-8")
    template = template.replace("# shape: SHAPES", f"# shape: {' | '.join(SHAPES)}", 1)
    return template.replace(_TITLE, toml_value(printable(title) or "untitled"), 1)
