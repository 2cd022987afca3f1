"""The swing command: how to measure an inertia by swinging, and what the readings come to."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions
from featherbench.commands.terminal import refuse

if TYPE_CHECKING:
    from featherbench.quantities import Measured

KINDS = {
    "mass": "mass",
    "period": "time",
    "cord_length": "length",
    "spacing": "length",
    "pivot_distance": "length",
}
OPTIONS = {name: f"--{name.replace('_', '-')}" for name in KINDS}


class Method(StrEnum):
    """How the body is swung."""

    BIFILAR = "bifilar"
    TRIFILAR = "trifilar"
    COMPOUND = "compound"


class About(StrEnum):
    """Axis through the centre of mass, in the blade's frame."""

    RADIUS = "radius"
    CHORD = "chord"
    NORMAL = "normal"


@example(
    'featherbench swing bifilar --mass "6.4 +/- 0.02 g" --period "0.71 +/- 0.002 s" \\\n'
    '    --cord-length "400 +/- 1 mm" --spacing "40 +/- 0.1 mm"'
)
def swing(
    *,
    method: Annotated[
        Method, typer.Argument(help="Two cords, three cords, or as a pendulum.")
    ] = Method.BIFILAR,
    mass: Annotated[str | None, typer.Option("--mass", help='As weighed, e.g. "6.4 +/- 0.02 g".')] = None,
    period: Annotated[
        str | None, typer.Option("--period", help='Of one full swing, e.g. "0.71 +/- 0.002 s".')
    ] = None,
    cord_length: Annotated[
        str | None, typer.Option("--cord-length", help='Of each cord, e.g. "400 +/- 1 mm".')
    ] = None,
    spacing: Annotated[
        str | None,
        typer.Option(
            "--spacing", help='Between two cords, or diameter of the circle of three, e.g. "40 +/- 0.1 mm".'
        ),
    ] = None,
    pivot_distance: Annotated[
        str | None, typer.Option("--pivot-distance", help='Pivot to centre of mass, e.g. "30 +/- 0.1 mm".')
    ] = None,
    about: Annotated[
        About, typer.Option("--about", help="Axis that was vertical, or parallel to the pivot.")
    ] = (About.RADIUS),
    name: Annotated[str, typer.Option("--name", help="Of the part in the scenario.")] = "blade-as-swung",
    outputs: Annotated[OutputOptions, words(without=("units",))],
) -> None:
    """Measure a part's inertia by hanging it on threads: what to do, then what to paste."""
    from featherbench.assembly.pendulum_recipe import NEEDED, RECIPES, swung_inertia
    from featherbench.checks import CAUTIONS
    from featherbench.views.swing import Told, swing_view

    given = {
        "mass": mass,
        "period": period,
        "cord_length": cord_length,
        "spacing": spacing,
        "pivot_distance": pivot_distance,
    }
    needed = NEEDED[method.value]
    stray = [OPTIONS[key] for key, value in given.items() if value is not None and key not in needed]
    if stray:
        refuse(
            f"{', '.join(stray)}: a {method.value} swing takes {', '.join(OPTIONS[key] for key in needed)}"
        )
    texts = {key: value for key in needed if (value := given[key]) is not None}
    missing = [OPTIONS[key] for key in needed if key not in texts]
    if texts and missing:
        refuse(f"a {method.value} swing also needs {', '.join(missing)}")
    readings = {key: _reading(key, text) for key, text in texts.items()}
    try:
        found = swung_inertia(method.value, readings) if readings else None
    except ValueError as error:
        refuse(str(error))
    told = Told(method.value, about.value, RECIPES[method.value], needed, texts, name, found)
    outputs.check()
    outputs.deliver(swing_view(told, CAUTIONS))


def _reading(key: str, text: str) -> Measured:
    from featherbench import quantities

    try:
        reading = quantities.parse(text, KINDS[key])
    except quantities.QuantityError as error:
        refuse(f"{OPTIONS[key]} {text}: {error}")
    if reading.value <= reading.tolerance:
        refuse(f"{OPTIONS[key]} {text}: expected a {KINDS[key]} above 0, and a tolerance smaller than it")
    return reading
