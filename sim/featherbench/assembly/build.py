"""From a checked scenario to an assembly: each part weighed, placed and kept apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from featherbench.assembly import shapes
from featherbench.assembly.assembled import Assembly, BladeBolt, PlacedPart
from featherbench.assembly.blade import Planform
from featherbench.assembly.blade_pin import blade_pin_diameter
from featherbench.assembly.bodies import Context, body_of
from featherbench.assembly.place import placed, placed_solids
from featherbench.assembly.refusal import PartRefused
from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.scenario import parts as written
from featherbench.scenario.built_tables import Blade
from featherbench.sections.outline import SectionRefused
from featherbench.sections.section import read_section


def build_assembly(scenario: Scenario, like: Assembly | None = None) -> Assembly:
    """The assembly of one blade that a scenario describes.

    like: an assembly whose parts are taken over where they are written alike; the result is the same with it or
    without. Raises ScenarioError with every part that cannot be, together.
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
    known = _known(like, planform)
    parts: list[PlacedPart] = []
    replaced: list[PlacedPart] = []
    problems: list[Problem] = []
    for into, written_parts in ((parts, scenario.part), (replaced, _plain_parts(scenario))):
        for name, part in written_parts.items():
            try:
                own = known.get(name)
                if own is None or (own.written is not part and own.written != part):
                    own = _place_part(name, part, Context(folder, planform, []))
                into.append(own)
            except PartRefused as refused:
                problems.append(refused.problem(file, f"part.{name}."))
    parts = [_standing_in(scenario, part) for part in parts]
    pin = blade_pin_diameter(parts, blade.bolt_radius, blade.bolt_chord) or 0.0
    bolt = _bolt(blade, 0.5 * pin * scenario.departure.blade_stuck)
    if bolt.free and not problems and not any(part.swings for part in parts):
        wanted = 'a part of group "blade", or swing = "clamped"'
        problems.append(PartRefused("blade.swing", "free, but no part swings", wanted).problem(file))
    if problems:
        raise ScenarioError(tuple(problems))
    assumed = tuple(one for part in (*parts, *replaced) for one in part.assumed)
    return Assembly(tuple(parts), bolt, planform, assumed, tuple(replaced), scenario.scale.inertia)


def _known(like: Assembly | None, planform: Planform) -> dict[str, PlacedPart]:
    """Parts that may be taken over, by name: those that the blade's outline has a share in only with the same one."""
    if like is None:
        return {}
    same = like.outline.same_as(planform)
    outlined = (written.AerofoilPart, written.MeasuredPart)
    return {
        part.name: part
        for part in (*like.replaced, *like.parts)
        if part.written is not None and (same or not isinstance(part.written, outlined))
    }


def _standing_in(scenario: Scenario, part: PlacedPart) -> PlacedPart:
    """The part, said to stand in for one of the plain build where it does."""
    stands = bool(scenario.part[part.name].instead_of) or part.name in scenario.other_bolts
    return part if part.stands_in == stands else replace(part, stands_in=stands)


def _plain_parts(scenario: Scenario) -> dict[str, written.Part]:
    """Parts of the plain build that are not fitted: replaced ones, and its bolts in place of this build's own."""
    kept = {name: part for name, part in scenario.replaced.items() if name not in scenario.other_bolts}
    return {**scenario.plain_bolts, **kept}


def _bolt(blade: Blade, stuck: float) -> BladeBolt:
    free = blade.swing == "free"
    return BladeBolt(free, blade.bolt_radius, blade.bolt_chord, 0.0 if free else blade.swing_angle, stuck)


def _place_part(name: str, part: written.Part, context: Context) -> PlacedPart:
    own = body_of(name, part, context)
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
        assumed=tuple(context.assumed),
        written=None if isinstance(part, written.MeshPart) else part,  # whose file may be another by now
    )
