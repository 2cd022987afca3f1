"""What each shape of part comes to in its own axes: its moments, and what is drawn and reckoned of it.

A shape is added here: one branch of `outlined`, and its closed form where `shapes` has none for it.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.assembly import pendulum, shapes
from featherbench.assembly.assembled import Solid
from featherbench.assembly.blade import Planform, blade_moments
from featherbench.assembly.mass_moments import MassMoments
from featherbench.assembly.materials import material
from featherbench.assembly.mesh import read_mesh
from featherbench.assembly.place import piece_solids
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.swung_body import swung_body_inertia
from featherbench.assembly.written_pieces import Coaxial, pieces_of
from featherbench.scenario import Assumed
from featherbench.scenario import parts as written

STANDARD = (written.ScrewPart, written.NutPart, written.WasherPart)
Outlined = written.AerofoilPart | written.BoxPart | written.MeshPart | Coaxial


class Body(NamedTuple):
    """A part in its own axes, before its place and its weighed mass; volume m^3, 0 for a body without an outline."""

    moments: MassMoments
    solids: tuple[Solid, ...]
    volume: float = 0.0


class Context(NamedTuple):
    """What a shape may need beside its own keys; assumptions are collected in `assumed`."""

    folder: Path
    planform: Planform
    assumed: list[Assumed]


def body_of(name: str, part: written.Part, context: Context) -> Body:
    """The part about its own point of reference; its density is arbitrary when it is weighed."""
    if isinstance(part, written.PointPart):
        return Body(shapes.point(_mass(part)), (_solid("point", 0.0, 0.0, 0.0),))
    if isinstance(part, written.MeasuredPart):
        return _measured(name, part, context)
    density = _density(name, part, context.assumed)
    own = outlined(part, density, context)
    return own._replace(volume=own.moments.mass / density)


def outlined(part: Outlined, density: float, context: Context) -> Body:
    """A body of even density (kg/m^3) within an outline.

    Its solids are what strength is reckoned with: "round", "hex" or "box" only where they are the very metal that is
    weighed. A body whose section changes is a "surface", the box around it, and what it bears is then not known.
    """
    if isinstance(part, written.AerofoilPart):
        return _aerofoil(part, density, context.planform)
    if isinstance(part, written.BoxPart):
        edges = (part.size.radius, part.size.chord, part.size.normal)
        return Body(shapes.box(*edges, density), (_solid("box", *edges),))
    if isinstance(part, written.MeshPart):
        surface = read_mesh(part.file, context.folder, part.unit, density)
        centre, extent = surface.bounds.mean(axis=0), np.ptp(surface.bounds, axis=0)
        r, c, n = (float(value) for value in centre)
        return Body(surface.moments, (_solid("surface", *extent)._replace(centre=(r, c, n)),))
    pieces = pieces_of(part)
    return Body(shapes.coaxial(pieces, part.axis, density), piece_solids(pieces, part.axis))


def _solid(kind: str, radius: float, chord: float, normal: float) -> Solid:
    return Solid(kind, "", (0.0, 0.0, 0.0), (float(radius), float(chord), float(normal)))  # type: ignore[arg-type]


def _mass(part: written.PartBase) -> float:
    if part.mass is None:
        raise PartRefused("mass", "nothing", 'the mass as weighed, such as "6.4 g": this shape has no volume')
    return part.mass


def _density(name: str, part: written.PartBase, assumed: list[Assumed]) -> float:
    """kg/m^3; of any value (1000) for an even body that is weighed."""
    if part.density is not None:
        return part.density
    if part.material is not None:
        return material(part.material).density
    if isinstance(part, STANDARD):
        if part.mass is None:
            assumed.append(
                Assumed(
                    f"part.{name}.material", "steel", "standard hardware without mass, density or material"
                )
            )
        return material("steel").density
    if part.mass is None:
        raise PartRefused(
            "mass", "nothing", 'a mass such as "6.4 g", a material such as "brass", or a density'
        )
    return 1000.0


def _aerofoil(part: written.AerofoilPart, density: float, planform: Planform) -> Body:
    """The blade of [blade]: its place is given there, so it takes none of its own."""
    for key, given in (("at", part.at != written.Place()), ("mirror", part.mirror), ("turn", part.turn)):
        if given:
            raise PartRefused(
                key, "a place of its own", "none: an aerofoil lies where [blade] root, tip and axis_at put it"
            )
    chord = float(np.max(planform.chord(planform.stations)))
    size = (planform.tip - planform.root, chord, float(np.max(planform.thickness(planform.stations))))
    centre = (0.5 * (planform.root + planform.tip), (planform.axis_at - 0.5) * chord, 0.0)
    return Body(blade_moments(planform, density), (_solid("blade", *size)._replace(centre=centre),))


def _measured(name: str, part: written.MeasuredPart, context: Context) -> Body:
    """A body known by weighing, balancing and swinging."""
    mass = _mass(part)
    readings = tuple(
        pendulum.Reading(swing.about, swung_body_inertia(mass, swing)) for swing in part.swings_measured
    )
    if part.period is not None:
        short = written.PendulumSwing.model_construct(
            about="radius",
            method="bifilar",
            period=part.period,
            cord_length=part.cord_length,
            spacing=part.spacing,
            pivot_distance=None,
        )
        readings += (pendulum.Reading("radius", swung_body_inertia(mass, short)),)
    share = part.normal_share
    if share is None and part.group == "blade" and len(readings) < 3:
        share = _section_share(context.planform)
        why = "not stated: that of the section of [blade], solid"
        context.assumed.append(Assumed(f"part.{name}.normal_share", f"{share:.4g}", why))
    central = pendulum.central_moments(readings, share)
    context.assumed.extend(Assumed(f"part.{name}", "0", why) for why in central.assumed)
    # drawn as the box of the same mass and moments
    spread = np.sqrt(12.0 * np.diag(central.second) / mass)
    return Body(MassMoments.of_body(mass, np.zeros(3), central.second), (_solid("box", *spread),))


def _section_share(planform: Planform) -> float:
    """I_n / (I_c + I_n) about its own centre of mass of the solid blade."""
    own = blade_moments(planform, 1000.0)
    centred = own.moved(np.eye(3), -own.centre)
    return centred.normal / centred.feathering
