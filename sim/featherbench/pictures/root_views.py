"""The shape of a blade root as it is seen: from each solid of an assembly to its outline in three views.

Everything here is in metres of the blade frame. "side" looks along the chord from the trailing edge (radius across,
normal up), "top" looks down the normal (radius across, chord up), "end" looks from the tip to the shaft (chord across,
leading edge at the right, normal up).
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import Assembly, PlacedPart, Solid
from featherbench.assembly.blade import Planform
from featherbench.assembly.place import feathering_turn
from featherbench.assembly.shapes import AXIS_INDEX
from featherbench.scenario import Scenario

Points = NDArray[np.float64]

VIEWS = {"side": (0, 2), "top": (0, 1), "end": (1, 2)}
"""Coordinates (radius 0, chord 1, normal 2) across and up the picture."""
AROUND = 72
"""Points on a circle: a multiple of 4, so that its extents are exact; flat by 0.1 % of the radius between them."""
BEYOND = 0.45
"""How much of the blade is drawn beyond the rest of the root, in root chords."""


class Build(NamedTuple):
    """What is drawn: a short name ("" for a single build), the assembly, and the scenario it was built from."""

    name: str
    assembly: Assembly
    scenario: Scenario


class Shape(NamedTuple):
    """What one part shows in one view.

    outlines: closed polygons (m, 2) across and up; bores: those of through holes, hidden; marks: points (2,) of masses
    without a shape; boxes: outlines that only stand for a shape (round a mesh, or of equal inertia).
    """

    outlines: tuple[Points, ...] = ()
    bores: tuple[Points, ...] = ()
    marks: tuple[Points, ...] = ()
    boxes: tuple[Points, ...] = ()

    @property
    def extents(self) -> Points:
        """Lowest and highest point (2, 2) of all that is drawn."""
        every = np.vstack([*self.outlines, *self.bores, *self.marks, *self.boxes])
        return np.array([every.min(axis=0), every.max(axis=0)])


def shape_of(part: PlacedPart, view: str, assembly: Assembly, scenario: Scenario) -> Shape:
    """A part in a view; the blade as far as `blade_reach`."""
    written = scenario.part.get(part.name)
    weighed_only = written is not None and written.shape in ("measured", "point")
    outlines, bores, marks, boxes = [], [], [], []
    for solid in part.solids:
        if solid.kind == "blade":
            outlines.append(blade_outline(assembly.outline, view, blade_reach(assembly)))
        elif weighed_only or solid.kind == "point":
            marks.append(np.array(solid.centre)[list(VIEWS[view])])
            if solid.kind != "point" and part.group != "blade":
                boxes.append(outline(solid, view))
        elif solid.kind == "surface":
            boxes.append(outline(solid, view))
        else:
            outlines.append(outline(solid, view))
            if solid.bore:
                bores.append(outline(_hole(solid), view))
    return Shape(tuple(outlines), tuple(bores), tuple(marks), tuple(boxes))


@functools.lru_cache(maxsize=512)
def outline(solid: Solid, view: str) -> Points:
    """Outline (m, 2), m, of a convex solid; a hexagon has two flats square to the first of its other two axes.

    Not to be written to: it is asked for as sizes are taken, names placed and shapes drawn, and worked out once.
    """
    found = hull(_corners(solid)[:, list(VIEWS[view])])
    found.flags.writeable = False
    return found


def _hole(solid: Solid) -> Solid:
    """The through hole of a coaxial solid as a solid."""
    size = [solid.bore] * 3
    index = AXIS_INDEX[solid.axis]
    size[index] = solid.size[index]
    return solid._replace(kind="round", size=(size[0], size[1], size[2]))


def _corners(solid: Solid) -> Points:
    """Points (m, 3) whose convex hull is the solid."""
    if solid.kind in ("round", "hex"):
        index = AXIS_INDEX[solid.axis]
        first, second = (other for other in range(3) if other != index)
        sides = AROUND if solid.kind == "round" else 6
        angle = 2.0 * math.pi * np.arange(sides) / sides + (math.pi / 6.0 if sides == 6 else 0.0)
        radius = 0.5 * solid.size[first] / (math.cos(math.pi / 6.0) if sides == 6 else 1.0)
        points = np.zeros((2 * sides, 3))
        points[:, first] = np.tile(radius * np.cos(angle), 2)
        points[:, second] = np.tile(radius * np.sin(angle), 2)
        points[:, index] = np.repeat([-0.5, 0.5], sides) * solid.size[index]
    else:
        signs = np.array([[r, c, n] for r in (-0.5, 0.5) for c in (-0.5, 0.5) for n in (-0.5, 0.5)])
        points = signs * np.array(solid.size)
    return points @ feathering_turn(solid.turn).T + np.array(solid.centre)


def hull(points: Points) -> Points:
    """Convex hull (m, 2) of points in the plane, anticlockwise (monotone chain); works for points on a line."""
    ordered = np.unique(np.round(points, 12), axis=0)
    if len(ordered) < 3:
        return ordered
    halves = []
    for run in (ordered, ordered[::-1]):
        chain: list[list[float]] = []
        for point in run.tolist():
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0.0:
                chain.pop()
            chain.append(point)
        halves.append(chain[:-1])
    return np.array(halves[0] + halves[1])


def _turn(one: list[float], two: list[float], three: list[float]) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def blade_reach(assembly: Assembly) -> float:
    """Radius (m) at which the drawn blade is broken off: some way beyond all else; its tip if that is near."""
    plan = assembly.outline
    chord = float(plan.chord(plan.root))
    ends = [plan.root, assembly.bolt.radius]
    ends += [
        solid.centre[0] + 0.5 * solid.size[0]
        for part in assembly.parts
        if part.group != "blade"
        for solid in part.solids
    ]
    far = max(ends) + BEYOND * chord
    return far if far < plan.tip - 0.3 * chord else plan.tip


def blade_outline(plan: Planform, view: str, reach: float) -> Points:
    """Outline (m, 2) of the blade from its root to `reach`; from the end, its section at the root."""
    section = plan.section.outline
    if view == "end":
        chord, stretch = (
            float(plan.chord(plan.root)),
            float(plan.thickness(plan.root)) / plan.section.thickness,
        )
        return np.column_stack([(plan.axis_at - section[:, 0]) * chord, section[:, 1] * stretch])
    radius = np.unique(np.append(plan.stations[plan.stations < reach], reach))
    if view == "top":
        chords = plan.chord(radius)
        low, high = (plan.axis_at - 1.0) * chords, plan.axis_at * chords
    else:
        stretches = plan.thickness(radius) / plan.section.thickness
        low, high = stretches * section[:, 1].min(), stretches * section[:, 1].max()
    lower, upper = np.column_stack([radius, low]), np.column_stack([radius, high])
    broken = _break(lower[-1], upper[-1]) if reach < plan.tip else np.empty((0, 2))
    return np.vstack([lower, broken, upper[::-1]])


def _break(low: Points, high: Points) -> Points:
    """The jagged edge (m, 2) between two points that says: goes on."""
    share = np.linspace(0.0, 1.0, 9)[1:-1, None]
    depth = 0.12 * min(float(high[1] - low[1]), 0.012)
    return low + share * (high - low) - np.array([depth, 0.0]) * (np.arange(7) % 2 == 0)[:, None]


def out_on_the_blade(shape: Shape, build: Build, view: str) -> bool:
    """Whether a mass without shape lies on the blade beyond where it is broken off."""
    if not shape.marks or shape.boxes or view == "end":
        return False
    radius = float(shape.marks[0][0])
    return blade_reach(build.assembly) < radius <= build.assembly.outline.tip
