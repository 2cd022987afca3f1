"""Parts: density from mass and size, place, and masses out of proportion to one another and to the rotor."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import TYPE_CHECKING

from featherbench import quantities
from featherbench.assembly import PlacedPart
from featherbench.assembly.materials import material
from featherbench.scenario import parts as written
from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

OF_MATERIAL = (0.5, 1.5)
"""Density from mass and size over the material's: a block drawn around a hollow part comes out too light."""
DENSITIES = {
    "blade": (300.0, 3000.0),
    "grip": (500.0, 9000.0),
    "bolt": (900.0, 19500.0),
    "counterweight": (900.0, 19500.0),
    "other": (100.0, 20000.0),
}
"""kg/m^3, of a part without a material by what it is for: foam to aluminium, plastic to brass, plastic to tungsten."""
SET_MASS = Band("part", "mass", 1.5, 40.0, "for one blade with all that pitches with it, at this tip radius")
"""kg/m^3 over the cube of the tip radius."""
PROPORTIONS = {"grip": (0.1, 6.0), "bolt": (0.02, 2.0), "counterweight": (0.005, 3.0)}
"""Mass of a group over that of the blade."""
BESIDE_BLADE = {"counterweight": (0.015, 0.8), "grip": (0.02, 1.1), "other": (0.0, 1.1)}
"""Mass of one part over that of the blade; of a grip only where no outline gives it a density."""
GYRATION = (0.015, 0.12)
"""Radius of gyration about the feathering axis of a part that was swung, over the tip radius."""


def part_remarks(setup: Setup) -> Iterator[Remark]:
    """Every part by itself: density, place, swing."""
    placed = {part.name: part for part in setup.assembly.parts}
    for name, part in setup.scenario.part.items():
        yield from _density(name, part, placed[name])
        yield from _place(name, part, setup)
        yield from _height(name, part, placed[name], setup)
        yield from _swung(name, part, placed[name], setup)
        yield from _beside_blade(placed[name], setup)


def _density(name: str, part: written.Part, placed: PlacedPart) -> Iterator[Remark]:
    if part.density is not None:
        yield from within(Band(f"part.{name}.density", "density", 20.0, 20000.0, "for a solid"), part.density)
    if part.mass is None or placed.volume <= 0.0:
        return
    twins = 1.0 if part.mirror is None else 2.0
    density = twins * part.mass / placed.volume
    if part.material is not None:
        stuff = material(part.material)
        low, high = (factor * stuff.density for factor in OF_MATERIAL)
        of = f"of {stuff.name} in its size"
    elif part.density is not None:
        low, high = (factor * part.density for factor in OF_MATERIAL)
        of = "by its size and density"
    else:
        low, high = DENSITIES[part.group]
        of = f"for a {part.group} of its size" if part.group != "other" else "for a solid of its size"
    if low <= density <= high:
        return
    volume = placed.volume / twins
    why = f"its size and mass make {density / 1000.0:.3g} g/cm^3"
    yield from within(Band(f"part.{name}.mass", "mass", low, high, of, why), part.mass, volume)


def _place(name: str, part: written.Part, setup: Setup) -> Iterator[Remark]:
    """Where a part stands: not in the rotor's centre, not off the blade, a bolt where the blade swings."""
    if isinstance(part, written.AerofoilPart | written.MeshPart):
        return
    blade = setup.scenario.blade
    key, at = f"part.{name}.at", part.at
    if at.radius == 0.0:
        given = "not stated" if "at" not in part.model_fields_set else "radius 0"
        usual = f'a radius, such as {{ radius = "{quantities.text(blade.bolt_radius, "length", digits=3)}" }}'
        yield Remark(
            key, given, usual, "without one it sits at the rotor's centre, where it neither pulls nor turns"
        )
    elif part.group == "bolt":
        yield from within(
            Band(f"{key}.radius", "length", 0.75, 1.33, "near blade.bolt_radius"),
            at.radius,
            blade.bolt_radius,
        )
    else:
        far = 1.0 if part.group == "blade" else 0.75
        yield from within(
            Band(f"{key}.radius", "length", 0.06, far, "at this tip radius"), at.radius, blade.tip
        )
    if at.radius < 0.0:
        yield Remark(f"{key}.radius", quantities.text(at.radius, "length"), "a radius above 0")
    widest = max(chord for _, chord in blade.chord)
    for across in ("chord", "normal"):
        yield from within(
            Band(f"{key}.{across}", "length", 0.0, 1.2, "beside this chord"), getattr(at, across), widest
        )


def _height(name: str, part: written.Part, placed: PlacedPart, setup: Setup) -> Iterator[Remark]:
    """How far from the feathering axis what is screwed on stands; beside the widest chord."""
    chord = max(value for _, value in setup.scenario.blade.chord)
    beside = "from the feathering axis, at this chord"
    if isinstance(part, written.ScrewPart):
        yield from within(
            Band(f"part.{name}.under_head", "length", 0.04, 0.7, beside), part.under_head, chord
        )
    elif part.group == "bolt" and isinstance(part, written.NutPart | written.WasherPart | written.HexPart):
        if part.axis == "normal" and part.at.normal != 0.0:
            yield from within(
                Band(f"part.{name}.at.normal", "length", 0.04, inf, beside), part.at.normal, chord
            )
    elif part.group == "counterweight" and part.at.radius != 0.0:
        reach = float((placed.moments.feathering / placed.moments.mass) ** 0.5)
        why = "a weight near the axis turns nothing"
        yield from within(Band(f"distance of part.{name}", "length", 0.1, 1.2, beside, why), reach, chord)


def _beside_blade(placed: PlacedPart, setup: Setup) -> Iterator[Remark]:
    """A weight, or a part that has a mass and nothing else, by its mass."""
    band = BESIDE_BLADE.get(placed.group)
    blade = _masses(setup).get("blade", 0.0)
    if band is None or (placed.group != "counterweight" and placed.volume > 0.0):
        return
    beside = f"beside a blade of {quantities.text(blade, 'mass', digits=3)}"
    key = f"mass of part.{placed.name}"
    yield from within(Band(key, "mass", *band, beside), placed.moments.mass, blade)


def _swung(name: str, part: written.Part, placed: PlacedPart, setup: Setup) -> Iterator[Remark]:
    if not isinstance(part, written.MeasuredPart):
        return
    _, chord, normal = placed.solids[0].size
    gyration = ((chord**2 + normal**2) / 12.0) ** 0.5
    tip = float(setup.scenario.blade.tip)
    if not GYRATION[0] * tip <= gyration <= GYRATION[1] * tip:
        usual = f"{1000.0 * GYRATION[0] * tip:.2g} to {1000.0 * GYRATION[1] * tip:.2g} mm at this tip radius"
        given = f"a swing that makes {1000.0 * gyration:.2g} mm the radius of gyration"
        yield Remark(f"part.{name}", given, usual, "look at period, cord_length, spacing and mass")


def proportion_remarks(setup: Setup) -> Iterator[Remark]:
    """The masses of the groups against one another, and of all against the rotor."""
    masses = _masses(setup)
    blade = masses.get("blade", 0.0)
    for group, (low, high) in PROPORTIONS.items():
        names = [part.name for part in setup.assembly.parts if part.group == group]
        beside = f"beside a blade of {quantities.text(blade, 'mass', digits=3)}"
        key = f"mass of group {group} (part.{', part.'.join(names)})"
        yield from within(Band(key, "mass", low, high, beside), masses.get(group, 0.0), blade)
    yield from within(
        SET_MASS._replace(key="mass of all parts together"), setup.moments.mass, setup.scenario.blade.tip**3
    )


def _masses(setup: Setup) -> dict[str, float]:
    """kg by group, of one blade."""
    masses: dict[str, float] = {}
    for part in setup.assembly.parts:
        masses[part.group] = masses.get(part.group, 0.0) + part.moments.mass
    return masses
