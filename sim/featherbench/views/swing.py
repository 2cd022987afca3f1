"""The view of a swing: how to hang a part and time it, or what the readings come to with the lines to paste."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench import quantities
from featherbench.numerals import percent
from featherbench.scenario.toml_writer import toml_key, toml_value
from featherbench.views.pictures import swing_pictures
from featherbench.views.view import View

if TYPE_CHECKING:
    from featherbench.assembly.pendulum_recipe import SwungInertia

SAMPLES = {
    "mass": "6.4 +/- 0.02 g",
    "period": "0.71 +/- 0.002 s",
    "cord_length": "400 +/- 1 mm",
    "spacing": "40 +/- 0.1 mm",
    "pivot_distance": "30 +/- 0.1 mm",
}
"""Readings to show how they are typed; invented."""


class Told(NamedTuple):
    """method; about: axis in the blade's frame; steps to take; needed readings; texts as typed, by reading; name of the
    part; found: what they come to, None without readings.
    """

    method: str
    about: str
    steps: tuple[str, ...]
    needed: tuple[str, ...]
    texts: dict[str, str]
    name: str
    found: SwungInertia | None


def swing_view(told: Told, cautions: Sequence[str]) -> View:
    """What to do and how to go on from there; or the inertia, how sure it is, and the part for a scenario."""
    found = told.found
    return View(
        title=f"A {told.method} swing, step by step" if found is None else f"A {told.method} swing, as read",
        question=f"How to measure an inertia: the {told.method} swing",
        answer=("Hang the part, time it, and give the readings.",) if found is None else _found(told, found),
        steps=told.steps,
        paste=_command(told) if found is None else _part(told),
        paste_into="a terminal, with your readings" if found is None else "the scenario",
        cautions=tuple(cautions),
        pictures=swing_pictures(told.method),
        data={
            "method": told.method,
            "about": told.about,
            "steps": told.steps,
            "readings": told.texts,
            "inertia": None if found is None else found.inertia,
            "standard_uncertainty": None if found is None else found.standard,
            "unit": quantities.si_unit("inertia"),
            "shares": {} if found is None else found.shares,
        },
    )


def _found(told: Told, found: SwungInertia) -> tuple[str, ...]:
    """The inertia, which reading matters, and what is left to measure."""
    inertia, unit = quantities.shown(found.inertia, "inertia")
    standard, _ = quantities.shown(found.standard, "inertia")
    sure = f" ({100.0 * found.standard / found.inertia:.1f} %)" if found.standard > 0.0 else ""
    said = [
        f"Inertia about the {told.about}, through the centre of mass: {inertia:.4g} {unit}, standard uncertainty "
        f"{standard:.2g} {unit}{sure}."
    ]
    if found.standard > 0.0:
        leading = sorted(found.shares.items(), key=lambda item: -item[1])
        shares = ", ".join(f"{_option(key)[2:]} {percent(share, sign=False)}" for key, share in leading)
        said.append(f"What makes it unsure: {shares}.")
    else:
        said.append(
            'Give each reading its +/-, for example "0.71 +/- 0.002 s", to hear how far to trust this.'
        )
    said.append("Measure where its centre of mass lies, and put it into “at” in the lines to paste.")
    return tuple(said)


def _part(told: Told) -> str:
    """The part as it goes into a scenario."""
    quoted = {key: toml_value(text.strip()) for key, text in told.texts.items()}
    swing = ", ".join(f"{key} = {quoted[key]}" for key in told.texts if key != "mass")
    last = (
        "# normal_share = 0.02                   # part of it that is thickness, if known; else the section's"
        if told.about == "radius"
        else "# a swing about the radius is needed too: it is the one that feathering asks for"
    )
    return "\n".join(
        [
            f"[part.{toml_key(told.name.strip())}]",
            'group = "blade"',
            'shape = "measured"',
            f"mass = {quoted['mass']}",
            'at = { radius = "70 mm" }                # where it balances, from the shaft',
            f'swings_measured = [ {{ about = "{told.about}", method = "{told.method}", {swing} }} ]',
            last,
        ]
    )


def _command(told: Told) -> str:
    words = " ".join(f'{_option(key)} "{SAMPLES[key]}"' for key in told.needed)
    return f"featherbench swing {told.method} {words}"


def _option(reading: str) -> str:
    return f"--{reading.replace('_', '-')}"
