"""Shapes against a dense cloud of equal point masses filling them, and the laws of scale."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.assembly.mass_moments import MassMoments
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import (
    AXIS_INDEX,
    Cut,
    Piece,
    box,
    coaxial,
    cut_off,
    inertia_tensor_to_second,
    overlap,
    scaled,
)

GRID = 121
length = st.floats(1e-3, 3e-2)
axes = st.sampled_from(["radius", "chord", "normal"])


def inside_hexagon(y, z, across):
    """Whether points lie in a hexagon with flats across y."""
    reach = np.abs(y)
    for turn in (math.pi / 3, -math.pi / 3):
        reach = np.maximum(reach, np.abs(y * math.cos(turn) + z * math.sin(turn)))
    return reach <= across / 2.0


def cloud_of(pieces, axis, density):
    """The pieces filled with points on a grid across the axis; along it exactly."""
    width = max(max(p.diameter, p.across_flats * 2 / math.sqrt(3)) for p in pieces)
    line = (np.arange(GRID) + 0.5) / GRID * width - width / 2.0
    y, z = np.meshgrid(line, line)
    along, one, two = np.eye(3)[AXIS_INDEX[axis]], *np.delete(np.eye(3), AXIS_INDEX[axis], axis=0)
    total = MassMoments.zero()
    for p in pieces:
        full = y**2 + z**2 <= p.diameter**2 / 4 if p.diameter else inside_hexagon(y, z, p.across_flats)
        full &= y**2 + z**2 >= p.bore**2 / 4
        if p.socket:
            full &= ~inside_hexagon(y, z, p.socket)
        own = density if p.density is None else p.density
        cell = own * (width / GRID) ** 2 * p.length
        at = (p.start + p.length / 2) * along + y[full, None] * one + z[full, None] * two
        mass = cell * len(at)
        second = cell * at.T @ at + mass * p.length**2 / 12.0 * np.outer(along, along)
        total = total + MassMoments(mass, cell * at.sum(axis=0), second)
    return total


PIECES = {
    "bar": (Piece(-0.005, 0.010, diameter=0.006),),
    "tube": (Piece(-0.005, 0.010, diameter=0.006, bore=0.004),),
    "hexagon": (Piece(-0.002, 0.004, across_flats=0.0055, bore=0.0027),),
    "socket screw": (
        Piece(-0.014, 0.014, diameter=0.0027),
        Piece(0.0, 0.0017, diameter=0.0055),
        Piece(0.0017, 0.0013, diameter=0.0055, socket=0.0025),
    ),
    "two metals": (Piece(0.0, 0.004, diameter=0.008), Piece(0.004, 0.002, diameter=0.005, density=1140.0)),
}


@pytest.mark.parametrize("axis", ["radius", "chord", "normal"])
@pytest.mark.parametrize("name", PIECES)
def test_pieces_match_a_cloud_of_points(name, axis):
    exact, cloud = coaxial(PIECES[name], axis, 7850.0), cloud_of(PIECES[name], axis, 7850.0)
    assert exact.mass == pytest.approx(cloud.mass, rel=5e-3)
    np.testing.assert_allclose(exact.centre, cloud.centre, atol=2e-5)
    np.testing.assert_allclose(exact.second, cloud.second, atol=8e-3 * np.max(cloud.second))


@given(length, length, length, st.floats(500.0, 19000.0))
@settings(max_examples=20)
def test_box_matches_a_cloud_of_points(r, c, n, density):
    line = (np.arange(20) + 0.5) / 20 - 0.5
    at = np.stack(np.meshgrid(r * line, c * line, n * line), axis=-1).reshape(-1, 3)
    mass = density * r * c * n
    body = box(r, c, n, density)
    assert body.mass == pytest.approx(mass)
    # a grid of m midpoints falls short of the integral of x^2 by 1/m^2
    np.testing.assert_allclose(np.diag(body.second) * (1 - 1 / 400), mass * np.mean(at**2, axis=0), rtol=1e-9)


@given(length, length, axes, st.floats(500.0, 19000.0), st.floats(0.1, 10.0))
@settings(max_examples=20)
def test_moments_scale_with_density_and_with_the_fifth_power_of_size(diameter, height, axis, density, factor):
    body = coaxial((Piece(0.0, height, diameter=diameter),), axis, density)
    denser = coaxial((Piece(0.0, height, diameter=diameter),), axis, factor * density)
    larger = coaxial((Piece(0.0, factor * height, diameter=factor * diameter),), axis, density)
    np.testing.assert_allclose(denser.second, factor * body.second, rtol=1e-12)
    np.testing.assert_allclose(larger.second, factor**5 * body.second, rtol=1e-12)
    np.testing.assert_allclose(scaled(body, factor * body.mass).second, denser.second, rtol=1e-12)


@given(length, length, st.floats(0.1, 0.9), axes)
@settings(max_examples=20)
def test_a_tube_and_its_core_make_a_bar(diameter, height, share, axis):
    bar = coaxial((Piece(0.0, height, diameter=diameter),), axis, 1.0)
    tube = coaxial((Piece(0.0, height, diameter=diameter, bore=share * diameter),), axis, 1.0)
    core = coaxial((Piece(0.0, height, diameter=share * diameter),), axis, 1.0)
    np.testing.assert_allclose((tube + core).second, bar.second, rtol=1e-12)
    assert tube.mass + core.mass == pytest.approx(bar.mass)


def test_a_bar_cut_in_two_is_the_same_bar():
    whole = coaxial((Piece(-0.01, 0.03, diameter=0.004),), "chord", 1.0)
    halves = coaxial((Piece(-0.01, 0.012, diameter=0.004), Piece(0.002, 0.018, diameter=0.004)), "chord", 1.0)
    np.testing.assert_allclose(halves.second, whole.second, rtol=1e-12)


def test_a_hole_as_wide_as_the_piece_is_refused():
    with pytest.raises(PartRefused, match="less than 6 mm"):
        coaxial((Piece(0.0, 0.01, diameter=0.006, bore=0.006),), "normal", 1.0)
    with pytest.raises(PartRefused):
        coaxial((Piece(0.0, 0.01, diameter=0.006, socket=0.0055),), "normal", 1.0)


def test_overlap_sees_metal_counted_twice_only():
    bar = Piece(0.0, 0.01, diameter=0.003)
    assert overlap(bar, Piece(0.009, 0.01, diameter=0.006))
    assert not overlap(bar, Piece(0.01, 0.01, diameter=0.006))
    assert not overlap(bar, Piece(0.0, 0.01, diameter=0.006, bore=0.003))


def test_inertia_tensor_of_a_rod_gives_its_length_back():
    rod = np.diag([0.0, 1.0, 1.0])
    np.testing.assert_allclose(inertia_tensor_to_second(rod), np.diag([1.0, 0.0, 0.0]))


# -- flats and slots -------------------------------------------------------------------------------------------


def sums_of_disc(inside, wide, bore, step=0.004):
    """Area, mm^2, and mean second moment, mm^4, of what a test says is metal, by counting small squares."""
    edge = np.arange(-wide / 2.0 + step / 2.0, wide / 2.0, step)
    x, y = np.meshgrid(edge, edge)
    r = np.hypot(x, y)
    metal = (r < wide / 2.0) & (r > bore / 2.0) & inside(x, y)
    return metal.sum() * step**2, ((x**2 + y**2)[metal]).sum() * step**2 / 2.0


@pytest.mark.parametrize(
    ("cut", "inside"),
    [
        (Cut(5.5e-3, 0.0, 2.5e-3), lambda x, y: np.abs(x) > 2.75),  # noqa: ARG005
        (Cut(0.0, 0.8e-3, 0.9e-3), lambda x, y: np.abs(y) < 0.4),  # noqa: ARG005
        (Cut(0.0, 3.2e-3, 0.9e-3), lambda x, y: np.abs(y) < 1.6),  # noqa: ARG005 - wider than the bore
    ],
)
@pytest.mark.parametrize("bore", [0.0, 2.6])
def test_what_flats_and_slots_take_is_what_squares_count(cut, inside, bore):
    off = cut_off(6.1e-3, bore * 1e-3, cut.across, cut.wide)
    area, second = sums_of_disc(inside, 6.1, bore)
    assert float(off.area) * 1e6 == pytest.approx(area, rel=2e-3)
    assert float(off.second) * 1e12 == pytest.approx(second, rel=2e-3)


@pytest.mark.parametrize("end", [1, -1])
def test_a_cut_piece_is_two_even_pieces_end_to_end(end):
    """By the sums of the squares: the end with the flats is lighter, whichever end it is."""
    whole = Piece(5e-3, 6e-3, diameter=6.1e-3, bore=2.6e-3)
    cut = whole._replace(cut=Cut(5.5e-3, 0.0, 2.5e-3, end))
    off, second = sums_of_disc(lambda x, y: np.abs(x) > 2.75, 6.1, 2.6)  # noqa: ARG005
    one, other = (coaxial((piece,), "normal", 7850.0) for piece in (whole, cut))
    gone = 7850.0 * off * 2.5e-9
    middle = 5e-3 + (4.75e-3 if end > 0 else 1.25e-3)
    assert other.mass == pytest.approx(one.mass - gone, rel=1e-4)
    assert cut.volume == pytest.approx(whole.volume - off * 2.5e-9, rel=1e-4)
    assert other.first[2] == pytest.approx(one.first[2] - gone * middle, rel=1e-4)
    assert other.normal == pytest.approx(one.normal - gone * (middle**2 + 2.5e-3**2 / 12.0), rel=1e-4)
    assert other.chordwise == pytest.approx(one.chordwise - 7850.0 * second * 2.5e-15, rel=1e-4)
