"""The swing command: how to measure an inertia by swinging, and what the readings come to."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.terminal import refuse

if TYPE_CHECKING:
    from featherbench.assembly.swing_recipe import SwungInertia
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


def swing(
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
) -> None:
    """Say how to swing a part for its inertia; given the readings, say what it is and what to paste."""
    from featherbench.assembly.swing_recipe import NEEDED, RECIPES, swung_inertia

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
    if not texts:
        _print_recipe(method.value, RECIPES[method.value], needed)
        return
    missing = [OPTIONS[key] for key in needed if key not in texts]
    if missing:
        refuse(f"a {method.value} swing also needs {', '.join(missing)}")
    readings = {key: _reading(key, text) for key, text in texts.items()}
    try:
        found = swung_inertia(method.value, readings)
    except ValueError as error:
        refuse(str(error))
    _print_found(found, method.value, about.value, texts, name)


def _reading(key: str, text: str) -> Measured:
    from featherbench import quantities

    try:
        reading = quantities.parse(text, KINDS[key])
    except quantities.QuantityError as error:
        refuse(f"{OPTIONS[key]} {text}: expected {error}")
    if reading.value <= reading.tolerance:
        refuse(f"{OPTIONS[key]} {text}: expected a {KINDS[key]} above 0, and a tolerance smaller than it")
    return reading


def _print_recipe(method: str, steps: tuple[str, ...], needed: tuple[str, ...]) -> None:
    import textwrap

    typer.echo(f"A {method} swing, step by step:")
    for number, step in enumerate(steps, start=1):
        typer.echo(textwrap.fill(f"{number}. {step}", width=96, subsequent_indent="   "))
    samples = {
        "mass": "6.4 +/- 0.02 g",
        "period": "0.71 +/- 0.002 s",
        "cord_length": "400 +/- 1 mm",
        "spacing": "40 +/- 0.1 mm",
        "pivot_distance": "30 +/- 0.1 mm",
    }
    words = " ".join(f'{OPTIONS[key]} "{samples[key]}"' for key in needed)
    typer.echo(f"\nThen, with your readings:\n  featherbench swing {method} {words}")


def _print_found(found: SwungInertia, method: str, about: str, texts: dict[str, str], name: str) -> None:
    from featherbench import quantities

    inertia, unit = quantities.shown(found.inertia, "inertia")
    standard, _ = quantities.shown(found.standard, "inertia")
    typer.echo(
        f"inertia about the {about}, through the centre of mass: {inertia:.4g} {unit}, standard uncertainty "
        f"{standard:.2g} {unit}"
        + (f" ({found.standard / found.inertia:.1%})" if found.standard > 0.0 else "")
    )
    if found.standard > 0.0:
        leading = sorted(found.shares.items(), key=lambda item: -item[1])
        typer.echo("of which: " + ", ".join(f"{OPTIONS[key][2:]} {share:.0%}" for key, share in leading))
    else:
        typer.echo('give each reading its +/-, for example "0.71 +/- 0.002 s", to hear how far to trust this')
    quoted = {key: _toml_text(text) for key, text in texts.items()}
    swing = ", ".join(f"{key} = {quoted[key]}" for key in texts if key != "mass")
    typer.echo("\nTo paste into the scenario (measure where the centre of mass lies and put it into `at`):\n")
    typer.echo(f"[part.{_toml_key(name)}]")
    typer.echo('group = "blade"')
    typer.echo('shape = "measured"')
    typer.echo(f"mass = {quoted['mass']}")
    typer.echo('at = { radius = "70 mm" }                # where it balances, from the shaft')
    typer.echo(f'swings_measured = [ {{ about = "{about}", method = "{method}", {swing} }} ]')
    if about == "radius":
        typer.echo(
            "# normal_share = 0.02                   # part of it that is thickness, if known; else the section's"
        )
    else:
        typer.echo("# a swing about the radius is needed too: it is the one that feathering asks for")


def _toml_text(text: str) -> str:
    """A basic string of TOML, escaped as JSON is."""
    import json

    return json.dumps(text.strip(), ensure_ascii=False)


def _toml_key(name: str) -> str:
    """A bare key where it can be one."""
    bare = bool(name) and all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in name)
    return name if bare else _toml_text(name)
