"""What a part that comes off does: a caution with its speed in it, and what it goes through.

What it goes through is judged by energy over the smallest area with which it can hit, for it may come point first:

- skin: perforated at 12.7 to 19.1 J/cm^2 by lead pellets and bullets of 0.53 to 7.3 g (DiMaio, Copeland,
  Besant-Matthews, Fletcher, Jones: Minimal velocities necessary for perforation of skin by air gun pellets and
  bullets, Journal of Forensic Sciences 27 (4), 1982, 894-898; its abstract, read in a public copy: 1.86, 1.3 and
  1.95 m kgf/cm^2). Here the least counts, as its mass, speed and calibre give it: 16.5 grains at 75 m/s over a
  circle of 5.6 mm, 1.25 m kgf/cm^2.
- eye: 50 % risk of a dislocated lens at 19,194 J/m^2, of a scratched cornea at 1,503 J/m^2 (logistic regression over
  published tests: Determination of significant parameters for eye injury risk from projectiles, Journal of Trauma 59,
  2005, 960; its abstract, read in a public index).
- safety spectacles: mark F of EN 166 is tested with a steel ball of 6 mm and 0.86 g at 45 m/s (MEM). More energy than
  that is more than they are tested for; it is not said that less is safe.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.lead_lag import moments_by_part
from featherbench.checks.bolt_joint import fastest
from featherbench.studies.run import Run

SKIN = 1.25 * 9.80665e4
"""J/m^2 that goes through skin: 1.25 m kgf/cm^2."""
BLINDS, SCRATCHES = 19_194.0, 1_503.0
"""J/m^2 at which half the eyes lose their lens, and at which half the corneas are hurt."""
SPECTACLES = 0.5 * 0.86e-3 * 45.0**2
"""J with which spectacles of mark F are tested."""


class Thrown(NamedTuple):
    """name of the part; mass kg; speed m/s at rotor speed; energy J; area: smallest it can hit with, m^2, or None."""

    name: str
    mass: float
    speed: float
    energy: float
    area: float | None


def thrown_parts(run: Run) -> tuple[Thrown, ...]:
    """Blade (all that swings on the bolt) and each counterweight, as they would leave; most energy first.

    Energy of the centre of mass alone, m (Omega r)^2 / 2; a spinning blade carries a little more.
    """
    spin = fastest(run.scenario)
    parts = moments_by_part(run.setup.assembly, run.setup.lead_lag)
    found: list[tuple[str, float, float, float | None]] = []
    swinging = [part for part in run.setup.assembly.parts if part.swings]
    if swinging:
        own = [parts[part.name] for part in swinging]
        area = _least(
            [
                _blade_end(run) if solid.kind == "blade" else _area(solid)
                for part in swinging
                for solid in part.solids
            ]
        )
        found.append(("a blade", sum(one.mass for one in own), sum(one.radial for one in own), area))
    for part in run.setup.assembly.parts:
        if part.group == "counterweight":
            pieces = 2.0 if run.scenario.part[part.name].mirror else 1.0
            one = parts[part.name]
            found.append(
                (f'the weight "{part.name}"', one.mass / pieces, one.radial / pieces, _smallest(part))
            )
    made = []
    for name, mass, radial, area in found:
        if mass <= 0.0:
            continue
        speed = spin * abs(radial) / mass
        made.append(Thrown(name, mass, speed, 0.5 * mass * speed**2, area))
    return tuple(sorted(made, key=lambda one: -one.energy))


def goes_through(one: Thrown) -> str:
    """What it does to whom it hits, as far as published figures tell; "" when they tell nothing."""
    density = one.energy / one.area if one.area else 0.0
    said = ""
    if density >= SKIN:
        said = "goes through skin and blinds an eye"
    elif density >= BLINDS:
        said = "blinds an eye"
    elif density >= SCRATCHES:
        said = "injures an eye"
    if one.energy > SPECTACLES:
        tested = (
            f"{_many(one.energy / SPECTACLES)} the energy that safety spectacles (EN 166 F) are tested with"
        )
        said += f", with {tested}" if said else f"has {tested}"
    return said


def thrown_cautions(run: Run) -> tuple[str, ...]:
    """One sentence about the blade and one about the weight with most energy."""
    said, kinds = [], set()
    for one in thrown_parts(run):
        kind = one.name.split()[1]
        if kind in kinds:
            continue
        kinds.add(kind)
        harm = goes_through(one)
        said.append(
            f"If {one.name} ({1e3 * one.mass:.2g} g) comes off at rotor speed, it leaves at {one.speed:.0f} m/s "
            f"({3.6 * one.speed:.0f} km/h){f': it {harm}' if harm else ''}."
        )
    return tuple(said)


def _many(ratio: float) -> str:
    """Such as "18 times"."""
    return f"{ratio:.0f} times" if ratio >= 1.95 else "more than"


def _smallest(part: PlacedPart) -> float | None:
    return _least([_area(solid) for solid in part.solids])


def _least(areas: list[float | None]) -> float | None:
    """Of a body of several solids the largest of their least areas: the others stand before or behind it."""
    known = [area for area in areas if area]
    return max(known) if known else None


def _area(solid: Solid) -> float | None:
    """The smallest shadow of one solid, m^2; None of a point."""
    one, two, three = solid.size
    if min(solid.size) <= 0.0:
        return None
    faces = [one * two, two * three, one * three]
    if solid.kind in ("round", "hex"):
        across = {"radius": two * three, "chord": one * three, "normal": one * two}[solid.axis or "normal"]
        faces[faces.index(across)] = pi / 4.0 * across
    return min(faces)


def _blade_end(run: Run) -> float:
    """The shadow of a blade that comes tip first: its largest section, m^2."""
    outline = run.setup.assembly.outline
    places = outline.stations
    return (
        float(max(outline.section.area * outline.chord(places) * outline.thickness(places)))
        / outline.section.thickness
    )
