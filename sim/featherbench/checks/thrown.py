"""What a part that lets go carries away: a caution with a number in it."""

from __future__ import annotations

from typing import NamedTuple

from scipy.constants import g

from featherbench.assembly.bolt_swing import moments_by_part
from featherbench.studies.run import Run

HAMMER = 1.0
"""kg, dropped, for comparison."""


class Thrown(NamedTuple):
    """name of the part; mass kg; speed m/s at rotor speed; energy J."""

    name: str
    mass: float
    speed: float
    energy: float


def thrown_parts(run: Run) -> tuple[Thrown, ...]:
    """Blade (all that swings on the bolt) and each counterweight, as they would leave; most energy first.

    Energy of the centre of mass alone, m (Omega r)^2 / 2; a spinning blade carries a little more.
    """
    spin = float(run.scenario.rotor.speed)
    parts = moments_by_part(run.setup.assembly, run.setup.swing)
    found = []
    blade = [parts[part.name] for part in run.setup.assembly.parts if part.swings]
    if blade:
        found.append(("a blade", sum(one.mass for one in blade), sum(one.radial for one in blade)))
    for part in run.setup.assembly.parts:
        if part.group == "counterweight":
            pieces = 2.0 if run.scenario.part[part.name].mirror else 1.0
            own = parts[part.name]
            found.append((f'the weight "{part.name}"', own.mass / pieces, own.radial / pieces))
    made = []
    for name, mass, radial in found:
        speed = spin * abs(radial) / mass
        made.append(Thrown(name, mass, speed, 0.5 * mass * speed**2))
    return tuple(sorted(made, key=lambda one: -one.energy))


def thrown_cautions(run: Run) -> tuple[str, ...]:
    """One sentence about the blade and one about the weight with most energy."""
    said, kinds = [], set()
    for one in thrown_parts(run):
        kind = one.name.split()[1]
        if kind in kinds:
            continue
        kinds.add(kind)
        height = one.energy / (HAMMER * g)
        said.append(
            f"If it lets go at rotor speed, {one.name} leaves at {one.speed:.0f} m/s with {one.energy:.2g} J: "
            f"what a {HAMMER:g} kg hammer has when dropped from {height:.2g} m, in only {1e3 * one.mass:.2g} g."
        )
    return tuple(said)
