"""How to swing a part, and what the readings come to: in words, as lines to paste, as a document."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any, NamedTuple

from featherbench import quantities
from featherbench.scenario.toml_writer import toml_key, toml_value
from featherbench.version import __version__

if TYPE_CHECKING:
    from featherbench.assembly.swing_recipe import SwungInertia

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


def print_swing(told: Told) -> None:
    """Print the steps, or what came of the readings with the lines to paste."""
    if told.found is None:
        print(f"A {told.method} swing, step by step:")
        for number, step in enumerate(told.steps, start=1):
            print(textwrap.fill(f"{number}. {step}", width=96, subsequent_indent="   "))
        print(f"\nThen, with your readings:\n  {_command(told)}")
        return
    for sentence in swing_answer(told):
        print(sentence)
    print("\nTo paste into the scenario (measure where the centre of mass lies and put it into `at`):\n")
    print(paste_text(told))


def swing_answer(told: Told) -> list[str]:
    """Sentences: the inertia, how sure it is, and which reading matters; or what to do."""
    found = told.found
    if found is None:
        return [f"Hang the part, time it, and give the readings: {_command(told)}"]
    inertia, unit = quantities.shown(found.inertia, "inertia")
    standard, _ = quantities.shown(found.standard, "inertia")
    sure = f" ({found.standard / found.inertia:.1%})" if found.standard > 0.0 else ""
    said = [
        f"inertia about the {told.about}, through the centre of mass: {inertia:.4g} {unit}, standard uncertainty "
        f"{standard:.2g} {unit}{sure}"
    ]
    if found.standard > 0.0:
        leading = sorted(found.shares.items(), key=lambda item: -item[1])
        said.append("of which: " + ", ".join(f"{_option(key)[2:]} {share:.0%}" for key, share in leading))
    else:
        said.append(
            'give each reading its +/-, for example "0.71 +/- 0.002 s", to hear how far to trust this'
        )
    return said


def paste_text(told: Told) -> str:
    """The part as it goes into a scenario; "" without readings."""
    if told.found is None:
        return ""
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


def swing_document(told: Told) -> dict[str, Any]:
    """The same for other programs; SI."""
    found = told.found
    return {
        "tool": "featherbench",
        "version": __version__,
        "method": told.method,
        "about": told.about,
        "steps": list(told.steps),
        "readings": told.texts,
        "inertia": None if found is None else found.inertia,
        "standard_uncertainty": None if found is None else found.standard,
        "unit": quantities.si_unit("inertia"),
        "shares": {} if found is None else found.shares,
    }


def _command(told: Told) -> str:
    words = " ".join(f'{_option(key)} "{SAMPLES[key]}"' for key in told.needed)
    return f"featherbench swing {told.method} {words}"


def _option(reading: str) -> str:
    return f"--{reading.replace('_', '-')}"
