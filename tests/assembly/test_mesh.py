"""Parts from STL files: units, sense of the surface, and what is refused."""

import builtins

import numpy as np
import pytest

from featherbench.assembly.mesh import read_mesh
from featherbench.assembly.refusal import PartRefused

trimesh = pytest.importorskip("trimesh")


@pytest.mark.parametrize(("unit", "metres"), [("mm", 1e-3), ("cm", 1e-2), ("inch", 0.0254), ("m", 1.0)])
def test_units(tmp_path, unit, metres):
    trimesh.creation.box(extents=(1.0, 2.0, 3.0)).export(tmp_path / "box.stl")
    surface = read_mesh("box.stl", tmp_path, unit, 1000.0)
    mass = 6.0 * 1000.0 * metres**3
    assert surface.moments.mass == pytest.approx(mass)
    # about its centre a box has m L^2 / 12 along each edge L, and no products
    edges = metres * np.array([1.0, 2.0, 3.0])
    np.testing.assert_allclose(
        surface.moments.second, np.diag(mass * edges**2 / 12.0), rtol=1e-6, atol=1e-9 * mass * metres**2
    )
    np.testing.assert_allclose(np.ptp(surface.bounds, axis=0), metres * np.array([1.0, 2.0, 3.0]))


def test_a_surface_turned_inside_out_weighs_the_same(tmp_path):
    body = trimesh.creation.box(extents=(1.0, 2.0, 3.0))
    body.apply_translation([5.0, 0.0, 1.0])
    body.export(tmp_path / "out.stl")
    body.invert()
    body.export(tmp_path / "in.stl")
    out, inward = (read_mesh(name, tmp_path, "mm", 2700.0).moments for name in ("out.stl", "in.stl"))
    assert inward.mass == pytest.approx(out.mass)
    np.testing.assert_allclose(inward.second, out.second, rtol=1e-9, atol=1e-24)
    np.testing.assert_allclose(out.centre, [5e-3, 0.0, 1e-3], atol=1e-12)


def test_an_open_surface_is_refused(tmp_path):
    body = trimesh.creation.box(extents=(1.0, 2.0, 3.0))
    body.update_faces(np.arange(len(body.faces)) > 0)
    body.export(tmp_path / "open.stl")
    with pytest.raises(PartRefused, match="not closed"):
        read_mesh("open.stl", tmp_path, "mm", 1000.0)


@pytest.mark.parametrize(
    "content", [b"", b"solid nothing\nendsolid nothing\n", b"\x00" * 200, b"no mesh at all"]
)
def test_what_is_no_mesh_is_refused(tmp_path, content):
    (tmp_path / "bad.stl").write_bytes(content)
    with pytest.raises(PartRefused) as refused:
        read_mesh("bad.stl", tmp_path, "mm", 1000.0)
    assert refused.value.key == "file"


def test_a_missing_file_and_a_missing_library_are_told_apart(tmp_path, monkeypatch):
    with pytest.raises(PartRefused, match="not found"):
        read_mesh("none.stl", tmp_path, "mm", 1000.0)
    real = builtins.__import__

    def without_trimesh(name, *rest, **named):
        if name == "trimesh":
            raise ImportError(name)
        return real(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", without_trimesh)
    with pytest.raises(PartRefused, match="pip install trimesh"):
        read_mesh("none.stl", tmp_path, "mm", 1000.0)
