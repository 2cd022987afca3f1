"""Every primitive against the inertia of a triangulated body.

Source: trimesh 5.2 (general mesh library), volume integrals of closed surfaces over their triangles. Facetted
round bodies are inscribed: with m facets their area falls short by (2 pi/m)^2/6. Meshes are in millimetres,
since the library drops triangles that are very small in its unit.
"""

import math

import numpy as np
import pytest
import trimesh

from featherbench.assembly.blade import Planform, blade_moments
from featherbench.assembly.shapes import Piece, box, coaxial, inertia_tensor_to_second
from featherbench.sections.section import naca_half_thickness, naca_symmetric
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="inertia of triangulated bodies",
)

SOURCE = "trimesh: inertia of a closed triangle mesh"
DENSITY = 7850.0
FACETS = 720
FACETTED = "facets: (2 pi/m)^2/6 of area, twice that of second moments, m = 720"
ROUNDING = "flat faces only: rounding"


def moments(mesh):
    """Mass (kg), centre (3,) m and second moments (3, 3) kg m^2 about the origin of a mesh in mm."""
    assert mesh.is_watertight
    mass = DENSITY * 1e-9 * float(mesh.volume)
    centre = 1e-3 * np.asarray(mesh.center_mass)
    central = DENSITY * 1e-15 * inertia_tensor_to_second(np.asarray(mesh.moment_inertia))
    return mass, centre, central + mass * np.outer(centre, centre)


def compare(name, ours, bodies, tolerance, reason):
    """Book mass and moments of signed bodies; first moments are judged at 20 mm, second against the
    largest.
    """
    parts = [(sign, *moments(body)) for sign, body in bodies]
    mass = sum(sign * m for sign, m, _, _ in parts)
    first = sum(sign * m * centre for sign, m, centre, _ in parts)
    second = sum(sign * s for sign, _, _, s in parts)
    check(SOURCE, "RAN", f"{name}: mass, kg", mass, ours.mass, tolerance, reason)
    for i, axis in enumerate("rcn"):
        label, allowed = f"{name}: sum m {axis}, kg m", tolerance * mass * 0.02
        check(SOURCE, "RAN", label, first[i], ours.first[i], allowed, reason, relative=False)
    allowed = tolerance * float(np.max(np.abs(second)))
    for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)):
        label = f"{name}: sum m {'rcn'[i]} {'rcn'[j]}, kg m^2"
        check(SOURCE, "RAN", label, second[i, j], ours.second[i, j], allowed, reason, relative=False)


def onto(axis):
    """Rotation that takes the mesh library's z axis to radius, chord or normal."""
    return {
        "normal": np.eye(4),
        "radius": trimesh.transformations.rotation_matrix(math.pi / 2, [0, 1, 0]),
        "chord": trimesh.transformations.rotation_matrix(-math.pi / 2, [1, 0, 0]),
    }[axis]


def prism(sides, across, piece, flats):
    """A prism along z in mm; `across` (m) its diameter, or its width across flats when `flats`."""
    radius = 1e3 * across / 2.0 / (math.cos(math.pi / sides) if flats else 1.0)
    body = trimesh.creation.cylinder(radius=radius, height=1e3 * piece.length, sections=sides)
    body.apply_translation([0.0, 0.0, 1e3 * (piece.start + piece.length / 2.0)])
    return body


def mesh_of(pieces, axis):
    """The pieces as signed prisms: outsides less holes."""
    solids = []
    for p in pieces:
        round_, hexagonal = (FACETS, False), (6, True)
        for sign, across, (sides, flats) in (
            (1.0, p.diameter, round_),
            (1.0, p.across_flats, hexagonal),
            (-1.0, p.bore, round_),
            (-1.0, p.socket, hexagonal),
        ):
            if across:
                solids.append((sign, prism(sides, across, p, flats)))
    for _, body in solids:
        body.apply_transform(onto(axis))
    return solids


PIECES = {
    "bar d 6 L 10": (Piece(-0.005, 0.010, diameter=0.006),),
    "tube 6/4 L 10": (Piece(-0.005, 0.010, diameter=0.006, bore=0.004),),
    "hexagon 5.5 x 4": (Piece(-0.002, 0.004, across_flats=0.0055),),
    "bored hexagon, off its reference point": (Piece(0.003, 0.004, across_flats=0.0055, bore=0.003),),
    "turned stack of three": (
        Piece(-0.007, 0.010, diameter=0.003),
        Piece(0.003, 0.004, across_flats=0.0055),
        Piece(0.007, 0.005, diameter=0.009, bore=0.004),
    ),
    "socket head screw": (
        Piece(-0.014, 0.014, diameter=0.0027),
        Piece(0.0, 0.0017, diameter=0.0055),
        Piece(0.0017, 0.0013, diameter=0.0055, socket=0.0025),
    ),
}


@pytest.mark.parametrize("axis", ["normal", "radius", "chord"])
@pytest.mark.parametrize("name", PIECES)
def test_coaxial_pieces(name, axis):
    compare(
        f"{name}, {axis}", coaxial(PIECES[name], axis, DENSITY), mesh_of(PIECES[name], axis), 8e-5, FACETTED
    )


def test_box():
    body = trimesh.creation.box(extents=(30, 12, 9))
    compare("box 30 x 12 x 9", box(0.030, 0.012, 0.009, DENSITY), [(1.0, body)], 1e-12, ROUNDING)


def blade_mesh(shape, spanwise, points):
    """A closed surface through the section outline at stations along the span, nose and tail joined."""
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, math.pi, points)))
    half = naca_half_thickness(x, shape.section.thickness)
    ring = np.vstack([np.column_stack([x, half])[::-1], np.column_stack([x, -half])[1:]])
    radii = np.linspace(shape.root, shape.tip, spanwise)
    chords = shape.chord(radii)
    corners = np.array(
        [
            [(r, (shape.axis_at - px) * c, py * c) for px, py in ring]
            for r, c in zip(radii, chords, strict=True)
        ]
    )
    count = len(ring)
    faces = []
    for k in range(spanwise - 1):
        for i in range(count):
            a, b = k * count + i, k * count + (i + 1) % count
            faces += [(a, b, a + count), (b, b + count, a + count)]
    # caps: strips between upper and lower point at the same x
    for k in (0, spanwise - 1):
        base = k * count
        for i in range(points - 1):
            up, up2 = base + i, base + i + 1
            low, low2 = base + count - 1 - i, base + count - 2 - i
            strip = [(up, low, up2), (low, low2, up2)]
            strip = [f[::-1] for f in strip] if k else strip  # the far cap looks the other way
            faces += [f for f in strip if len(set(f)) == 3]
    mesh = trimesh.Trimesh(1e3 * corners.reshape(-1, 3), faces, process=False)
    assert mesh.is_winding_consistent
    if mesh.volume < 0.0:
        mesh.invert()
    return mesh


BLADES = {
    "NACA 0015 blade, constant chord": [(0.0, 0.03)],
    "NACA 0015 blade, tapered 29 to 22 mm": [(0.04, 0.029), (0.135, 0.022)],
}


@pytest.mark.parametrize("name", BLADES)
def test_aerofoil_blade(name):
    shape = Planform.of((0.04, 0.135), BLADES[name], None, 0.38, naca_symmetric(0.15))
    reason = "outline of 400 chords a side and 20 bays of span"
    compare(name, blade_moments(shape, DENSITY), [(1.0, blade_mesh(shape, 21, 401))], 1e-4, reason)
