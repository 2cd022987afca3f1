"""A part given as a closed surface in an STL file. trimesh is loaded only when such a part is met."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.assembly.mass_moments import MassMoments, Vector
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import inertia_tensor_to_second

METRES = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "inch": 0.0254}


class Surface(NamedTuple):
    """Moments of the body inside a surface at a density (kg/m^3), and its bounding box (2, 3), m."""

    moments: MassMoments
    bounds: Vector


def read_mesh(file: str, folder: Path, unit: str, density: float) -> Surface:
    """The body inside an STL file; its x, y, z are radius, chord, normal in `unit`.

    Raises PartRefused("file", ...) when the file cannot be read, is not closed, or trimesh is not installed.
    """
    try:
        import trimesh
    except ImportError:
        raise PartRefused("file", file, "the library for meshes: pip install trimesh") from None
    path = folder / file
    if not path.is_file():
        raise PartRefused("file", f"{file} (not found)", "an STL file beside the scenario")
    try:
        mesh = trimesh.load_mesh(path, file_type="stl")
    except Exception as error:  # whatever the parser trips over, the file is what is wrong
        raise PartRefused("file", f"{file} ({error})", "an STL file") from None
    if not isinstance(mesh, trimesh.Trimesh) or not len(mesh.faces):
        raise PartRefused("file", f"{file} (holds no triangles)", "an STL file")
    if not mesh.is_watertight or not mesh.is_winding_consistent:
        raise PartRefused(
            "file",
            f"{file} (the surface is not closed)",
            "a watertight surface: mend the mesh and export again",
        )
    if mesh.volume < 0.0:
        mesh.invert()
    metres = METRES[unit]  # scaled by hand: the library's thresholds suit the file's own unit
    mass = density * metres**3 * float(mesh.volume)
    central = density * metres**5 * inertia_tensor_to_second(np.asarray(mesh.moment_inertia))
    moments = MassMoments.of_body(mass, metres * np.asarray(mesh.center_mass), central)
    return Surface(moments, metres * np.asarray(mesh.bounds))
