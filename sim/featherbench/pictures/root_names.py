"""Names beside the parts of a root: which parts share one, and where it points."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from featherbench.assembly import PlacedPart
from featherbench.numerals import quantity
from featherbench.pictures import style
from featherbench.pictures.root_labels import Named
from featherbench.pictures.root_views import (
    Build,
    Points,
    Shape,
    blade_reach,
    out_on_the_blade,
    shape_of,
)
from featherbench.plain_text import plain

if TYPE_CHECKING:
    pass


NAME_LENGTH = 18


def named_parts(build: Build, span: Points, system: str) -> list[Named]:
    """What is named in the side view, and where."""
    parts = build.assembly.parts
    shapes = [shape_of(part, "side", build.assembly, build.scenario) for part in parts]
    labels = []
    for like in _alike(parts):
        part, middle = parts[like[0]], like[len(like) // 2]
        others = [other for index, other in enumerate(shapes) if index not in like]
        written = build.scenario.part.get(part.name)
        pair = " (pair)" if written is not None and written.mirror else ""
        name = f"{plain(part.name, NAME_LENGTH)}{pair}"
        if len(like) > 1:
            name = f"{len(like)} x {plain(_stem(part.name), NAME_LENGTH)}{pair} of"
        text = f"{name} {quantity(part.moments.mass, 'mass', system)}"
        labels.append(Named(text, _anchor(shapes[middle], others, build), style.GROUPS[part.group].role))
    reach, bolt, room = blade_reach(build.assembly), build.assembly.bolt, build.scenario.envelope
    labels.append(Named("feathering axis", np.array([reach, 0.0]), "faint"))
    labels.append(Named("bolt axis", np.array([bolt.radius, span[2, 1]]), "faint"))
    if room:
        for words, level in (("room above", room.height_above), ("room below", -room.height_below)):
            size = quantity(abs(level), "length", system)
            labels.append(Named(f"{words} {size}", np.array([reach, level]), "orange"))
    return labels


def _alike(parts: Sequence[PlacedPart]) -> list[list[int]]:
    """Places of parts named together: three or more of one mass, numbered, on one line and one side of the axis."""
    found: dict[object, list[int]] = {}
    for index, part in enumerate(parts):
        radius, chord, normal = (float(value) for value in part.moments.centre)
        line = (round(radius, 6), round(chord, 6), normal > 0.0)
        alone = index if _stem(part.name) == part.name else None
        sizes = tuple(solid.size for solid in part.solids)
        found.setdefault((alone, _stem(part.name), part.group, part.moments.mass, line, sizes), []).append(
            index
        )
    return [
        like for many in found.values() for like in ([many] if len(many) > 2 else [[one] for one in many])
    ]


def _stem(name: str) -> str:
    """A name without the number at its end."""
    return name.rstrip("0123456789").rstrip("-_ ") or name


def _anchor(shape: Shape, others: Sequence[Shape], build: Build) -> Points:
    """A point of the part that few other parts cover, in its upper half."""
    from matplotlib.path import Path

    if shape.marks:
        if out_on_the_blade(shape, build, "side"):
            return np.array([blade_reach(build.assembly) - 0.002, 0.0])
        return max(shape.marks, key=lambda mark: float(mark[1]))
    found: list[tuple[float, Points]] = []
    covers = [Path(points) for other in others for points in (*other.outlines, *other.boxes)]
    for points in (*shape.outlines, *shape.boxes):
        low, high = points.min(axis=0), points.max(axis=0)
        shares = np.linspace(0.06, 0.94, 23)
        grid = np.array([low + (high - low) * [x, y] for x in shares for y in shares])
        inside = grid[Path(points).contains_points(grid)]
        covered = np.sum([path.contains_points(inside) for path in covers], axis=0) + np.zeros(len(inside))
        if len(inside):
            best = inside[covered == covered.min()]
            best = best[best[:, 1] >= 0.0] if np.any(best[:, 1] >= 0.0) else best
            middle = best[np.argmin(np.sum((best - best.mean(axis=0)) ** 2, axis=1))]
            below = 0.5 if middle[1] < 0.0 else 0.0
            found.append((float(covered.min()) + below - 1e-3 * len(best) / len(grid), middle))
    if not found:
        return np.asarray(shape.extents.mean(axis=0))
    return min(found, key=lambda one: one[0])[1]
