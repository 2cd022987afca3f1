"""The part as drawn: its solid, taken from the exported DXF, weighs and turns as the drawing and the scenario say.

Source: closed half sections of the DXF file, turned to solids by the general library trimesh (mass and moments by its
own surface integrals), and by the theorem of Pappus (volume = 2 pi x area x radius of the centroid).
"""

import io
import re
from math import pi
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh

from featherbench.scenario import read
from featherbench.sizing import size
from featherbench.workshop.drawing import draw_sheet
from featherbench.workshop.dxf import sheet_dxf
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="drawn part as a solid",
)

SCENARIOS = Path(__file__).parents[1] / "scenarios"
SECTIONS = 1024
ALLOWED = 1e-3
CASES = [("survey-3kg", "bolt"), ("scout-1kg", "bolt"), ("lifter-6kg", "arms"), ("survey-3kg", "arms")]


def half_sections(document, piece):
    """Corner lists (x, radius), mm, of one piece, from its layer; the axis from the centre line's layer."""
    space = document.modelspace()
    layer = piece.upper().replace(" ", "-")
    axis = space.query(f'LINE[layer=="AXIS-{layer}"]')[0].dxf.start.y
    lines = space.query(f'LWPOLYLINE[layer=="PROFILE-{layer}"]')
    return [[(x, y - axis) for x, y in line.get_points("xy")] for line in lines]


def stated_mass(line):
    """Grams of one before its flats or slot are cut, as the sheet says, and what rounding may take off or add."""
    finished = re.search(r"([0-9]+\.([0-9]+))(?:\s+±[0-9.]+)?\s+g\s+each", line)
    taken = re.search(r"(?:flats|slot):\s+-([0-9.]+)\s+g", line)
    half = 0.5 * 10.0 ** -len(finished[2]) + (0.0005 if taken else 0.0)
    return float(finished[1]) + (float(taken[1]) if taken else 0.0), half


def pappus(corners):
    """Volume, mm^3, of a closed half section turned about y = 0."""
    x, y = np.array(corners).T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    cross = x * ny - nx * y
    area = cross.sum() / 2.0
    centroid = ((y + ny) * cross).sum() / (6.0 * area)
    return abs(2.0 * pi * centroid * area)


def turned(corners):
    """The solid as trimesh makes it, axis along z."""
    points = [(radius, x) for x, radius in corners]
    if min(radius for radius, _ in points) < 1e-9:  # a solid bar: an open line from axis to axis
        outer = sorted((p for p in points if p[0] > 1e-9), key=lambda p: p[1])
        line = [(0.0, outer[0][1]), *outer, (0.0, outer[-1][1])]
    else:
        line = [*points, points[0]]
    solid = trimesh.creation.revolve(np.array(line), sections=SECTIONS)
    if solid.volume < 0.0:
        solid.invert()
    return solid


@pytest.mark.parametrize(("name", "route"), CASES)
def test_the_drawn_solid_is_the_part(name, route):
    found = size(read(SCENARIOS / name / "plain.toml"), route)
    sheet = draw_sheet(found, (), "", ())
    document = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8")))
    words = [text.dxf.text for text in document.modelspace().query("TEXT")]
    for one in found.best.build.made:
        sections = half_sections(document, one.name)
        assert sections, one.name
        label = f"{name} {one.name}"
        line = next(text for text in words if f"x {one.name}:" in text)
        stated, rounding = stated_mass(" ".join(words[words.index(line) : words.index(line) + 2]))
        volume = sum(pappus(corners) for corners in sections)
        grams = volume * 1e-9 * one.density * 1e3
        allowed, why = ALLOWED + rounding / grams, "rounded for a scale"
        check("Drawn part, Pappus", "D", f"{label}, mass stated, g", grams, stated, allowed, why)
        solids = [turned(corners) for corners in sections]
        assert all(solid.is_watertight for solid in solids)
        mass = sum(solid.volume for solid in solids) * 1e-9 * one.density * 1e3
        check("Drawn part, trimesh", "RAN", f"{label}, mass stated, g", mass, stated, allowed, why)
        _moments(label, one, solids)


def _moments(label, one, solids):
    """First and second moments along the axis, and across it, about the feathering axis."""
    # the drawing puts the piece's lower end at some x: shift it to where the piece stands on the helicopter
    shift = min(piece.start for piece in one.pieces) - min(solid.bounds[0][2] for solid in solids) * 1e-3
    first = second = across = 0.0
    for solid in solids:
        solid.density = 1.0
        inertia = solid.moment_inertia * one.density * 1e-15
        mass = solid.volume * 1e-9 * one.density
        height = solid.center_mass[2] * 1e-3 + shift
        along = 0.5 * np.trace(inertia) - inertia[2, 2]
        first += mass * height
        second += along + mass * height**2
        across += 0.5 * np.trace(inertia) - inertia[0, 0]
    column = one.column
    for quantity, expected, got in (
        ("sum m n, kg m", first, column.first),
        ("sum m n^2, kg m^2", second, column.second),
        ("sum m c^2, kg m^2", across, column.across),
    ):
        tolerance = ALLOWED
        check("Drawn part, trimesh", "RAN", f"{label}, {quantity}", expected, got, tolerance, "1024-sided")


@pytest.mark.parametrize(("name", "route"), CASES)
def test_the_scenario_parts_are_the_drawn_part(name, route):
    """What the bench runs weighs as much as what is drawn."""
    found = size(read(SCENARIOS / name / "plain.toml"), route)
    parts = [part for part in found.run.setup.assembly.parts if part.name in found.best.build.parts]
    bench = 1e3 * sum(part.moments.mass for part in parts)
    drawn = 1e3 * sum(one.count * one.mass for one in found.best.build.made)
    check(
        "Drawn part, the bench's own",
        "D",
        f"{name} {route}, all pieces, g",
        drawn,
        bench,
        1e-9,
        "the same sums",
    )
