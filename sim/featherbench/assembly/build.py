"""From a checked scenario to an assembly: each part weighed, placed and kept apart."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.assembly import pendulum, shapes
from featherbench.assembly.assembled import Assembly, BladeBolt, PlacedPart, Solid
from featherbench.assembly.blade import Planform, blade_moments
from featherbench.assembly.blade_pin import blade_pin_diameter
from featherbench.assembly.mass_moments import MassMoments
from featherbench.assembly.materials import material
from featherbench.assembly.mesh import read_mesh
from featherbench.assembly.place import piece_solids, placed, placed_solids
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.swung_body import swung_body_inertia
from featherbench.assembly.written_pieces import Coaxial, pieces_of
from featherbench.scenario import Assumed, Problem, Scenario, ScenarioError
from featherbench.scenario import parts as written
from featherbench.scenario.built_tables import Blade
from featherbench.sections.outline import SectionRefused
from featherbench.sections.section import read_section

STANDARD = (written.ScrewPart, written.NutPart, written.WasherPart)
Outlined = written.AerofoilPart | written.BoxPart | written.MeshPart | Coaxial


class _Own(NamedTuple):
    """A part in its own axes, before its place and its weighed mass; volume m^3, 0 for a body without an outline."""

    moments: MassMoments
    solids: tuple[Solid, ...]
    volume: float = 0.0


class _Context(NamedTuple):
    """What a shape may need beside its own keys; assumptions are collected in `assumed`."""

    folder: Path
    planform: Planform
    assumed: list[Assumed]


def build_assembly(scenario: Scenario) -> Assembly:
    """The assembly of one blade that a scenario describes.

    Raises ScenarioError with every part that cannot be, together.
    """
    blade, folder = scenario.blade, scenario.source.folder
    file = scenario.source.files[0] if scenario.source.files else ""
    try:
        section = read_section(blade.section, folder)
    except SectionRefused as refused:
        raise ScenarioError(
            (Problem(file, None, "blade.section", refused.given, refused.expected),)
        ) from None
    planform = Planform.of((blade.root, blade.tip), blade.chord, blade.thickness, blade.axis_at, section)
    context = _Context(folder, planform, [])
    parts: list[PlacedPart] = []
    replaced: list[PlacedPart] = []
    problems: list[Problem] = []
    for into, written_parts in ((parts, scenario.part), (replaced, _plain_parts(scenario))):
        for name, part in written_parts.items():
            try:
                into.append(_place_part(name, part, context))
            except PartRefused as refused:
                problems.append(refused.problem(file, f"part.{name}."))
    other = scenario.other_bolts
    parts = [replace(part, stands_in=part.stands_in or part.name in other) for part in parts]
    pin = blade_pin_diameter(parts, blade.bolt_radius, blade.bolt_chord) or 0.0
    bolt = _bolt(blade, 0.5 * pin * scenario.departure.blade_stuck)
    if bolt.free and not problems and not any(part.swings for part in parts):
        wanted = 'a part of group "blade", or swing = "clamped"'
        problems.append(PartRefused("blade.swing", "free, but no part swings", wanted).problem(file))
    if problems:
        raise ScenarioError(tuple(problems))
    return Assembly(
        tuple(parts), bolt, planform, tuple(context.assumed), tuple(replaced), scenario.scale.inertia
    )


def _plain_parts(scenario: Scenario) -> dict[str, written.Part]:
    """Parts of the plain build that are not fitted: replaced ones, and its bolts in place of this build's own."""
    kept = {name: part for name, part in scenario.replaced.items() if name not in scenario.other_bolts}
    return {**scenario.plain_bolts, **kept}


def _bolt(blade: Blade, stuck: float) -> BladeBolt:
    free = blade.swing == "free"
    return BladeBolt(free, blade.bolt_radius, blade.bolt_chord, 0.0 if free else blade.swing_angle, stuck)


def _place_part(name: str, part: written.Part, context: _Context) -> PlacedPart:
    own = _own(name, part, context)
    moments = own.moments if part.mass is None else shapes.scaled(own.moments, part.mass)
    at = np.array([part.at.radius, part.at.chord, part.at.normal])
    return PlacedPart(
        name=name,
        group=part.group,
        swings=part.group == "blade" if part.swings is None else part.swings,
        moments=placed(moments, at, part.mirror, part.turn),
        how="from density" if part.mass is None else "weighed",
        solids=placed_solids(own.solids, at, part.mirror, part.turn),
        stands_in=bool(part.instead_of),
        volume=own.volume * (1.0 if part.mirror is None else 2.0),
    )


def _own(name: str, part: written.Part, context: _Context) -> _Own:
    """The part about its own point of reference; its density is arbitrary when it is weighed."""
    if isinstance(part, written.PointPart):
        return _Own(shapes.point(_mass(part)), (_solid("point", 0.0, 0.0, 0.0),))
    if isinstance(part, written.MeasuredPart):
        return _measured(name, part, context)
    density = _density(name, part, context.assumed)
    own = _outlined(part, density, context)
    return own._replace(volume=own.moments.mass / density)


def _outlined(part: Outlined, density: float, context: _Context) -> _Own:
    """A body of even density (kg/m^3) within an outline."""
    if isinstance(part, written.AerofoilPart):
        return _aerofoil(part, density, context.planform)
    if isinstance(part, written.BoxPart):
        edges = (part.size.radius, part.size.chord, part.size.normal)
        return _Own(shapes.box(*edges, density), (_solid("box", *edges),))
    if isinstance(part, written.MeshPart):
        surface = read_mesh(part.file, context.folder, part.unit, density)
        centre, extent = surface.bounds.mean(axis=0), np.ptp(surface.bounds, axis=0)
        r, c, n = (float(value) for value in centre)
        return _Own(surface.moments, (_solid("surface", *extent)._replace(centre=(r, c, n)),))
    pieces = pieces_of(part)
    return _Own(shapes.coaxial(pieces, part.axis, density), piece_solids(pieces, part.axis))


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


def _aerofoil(part: written.AerofoilPart, density: float, planform: Planform) -> _Own:
    """The blade of [blade]: its place is given there, so it takes none of its own."""
    for key, given in (("at", part.at != written.Place()), ("mirror", part.mirror), ("turn", part.turn)):
        if given:
            raise PartRefused(
                key, "a place of its own", "none: an aerofoil lies where [blade] root, tip and axis_at put it"
            )
    chord = float(np.max(planform.chord(planform.stations)))
    size = (planform.tip - planform.root, chord, float(np.max(planform.thickness(planform.stations))))
    centre = (0.5 * (planform.root + planform.tip), (planform.axis_at - 0.5) * chord, 0.0)
    return _Own(blade_moments(planform, density), (_solid("blade", *size)._replace(centre=centre),))


def _measured(name: str, part: written.MeasuredPart, context: _Context) -> _Own:
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
    return _Own(MassMoments.of_body(mass, np.zeros(3), central.second), (_solid("box", *spread),))


def _section_share(planform: Planform) -> float:
    """I_n / (I_c + I_n) about its own centre of mass of the solid blade."""
    own = blade_moments(planform, 1000.0)
    centred = own.moved(np.eye(3), -own.centre)
    return centred.normal / centred.feathering
