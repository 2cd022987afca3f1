"""The blade proper against a cloud of points, and its rule for where the feathering axis lies."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.assembly.blade import Planform, blade_moments, quarter_chord_line
from featherbench.assembly.mass_moments import MassMoments
from featherbench.sections.section import naca_half_thickness, naca_symmetric, polygon


def planform(chord=((0.04, 0.029), (0.135, 0.022)), thickness=None, axis_at=0.38, section=None):
    return Planform.of((0.04, 0.135), chord, thickness, axis_at, section or naca_symmetric(0.12))


def cloud(shape, thickness, density, spanwise=200, chordwise=400):
    """A blade of NACA family section cut into columns of known height, by the midpoint rule."""
    r = shape.root + (np.arange(spanwise) + 0.5) / spanwise * (shape.tip - shape.root)
    s = (np.arange(chordwise) + 0.5) / chordwise
    x, dx = s**2, 2.0 * s / chordwise  # crowded toward the nose, where the section is blunt
    total = MassMoments.zero()
    for radius in r:
        chord = float(shape.chord(radius))
        half = naca_half_thickness(x, 1.0) * float(thickness(radius, chord))
        mass = density * 2.0 * half * chord * dx * (shape.tip - shape.root) / spanwise
        at = np.column_stack([np.full_like(x, radius), (shape.axis_at - x) * chord, np.zeros_like(x)])
        second = (mass[:, None] * at).T @ at
        second[2, 2] += np.sum(mass * half**2) / 3.0
        total = total + MassMoments(float(mass.sum()), mass @ at, second)
    return total


@given(st.floats(0.01, 0.04), st.floats(0.01, 0.04), st.floats(0.0, 1.0), st.floats(0.05, 0.13))
@settings(max_examples=8)
def test_a_tapered_blade_matches_a_cloud(root_chord, tip_chord, axis_at, bend):
    shape = planform([(0.04, root_chord), (bend, 0.02), (0.135, tip_chord)], None, axis_at)
    exact, points = blade_moments(shape, 1600.0), cloud(shape, lambda _, chord: 0.12 * chord, 1600.0)
    assert exact.mass == pytest.approx(points.mass, rel=1e-3)
    np.testing.assert_allclose(exact.second, points.second, rtol=3e-3, atol=1e-4 * points.mass * 0.03**2)
    np.testing.assert_allclose(exact.first, points.first, rtol=1e-3, atol=1e-5 * points.mass)


def test_its_own_thickness_rows_take_the_place_of_the_sections():
    shape = planform(thickness=[(0.04, 0.004), (0.135, 0.002)])
    points = cloud(shape, lambda radius, _: 0.004 - 0.002 * (radius - 0.04) / 0.095, 1600.0)
    np.testing.assert_allclose(blade_moments(shape, 1600.0).second, points.second, rtol=2e-3, atol=1e-12)


def test_two_halves_make_a_blade():
    whole = planform()
    inner = Planform.of((0.04, 0.09), whole.chord_rows.tolist(), None, 0.38, whole.section)
    outer = Planform.of((0.09, 0.135), whole.chord_rows.tolist(), None, 0.38, whole.section)
    both = blade_moments(inner, 1.0) + blade_moments(outer, 1.0)
    np.testing.assert_allclose(both.second, blade_moments(whole, 1.0).second, rtol=1e-12, atol=1e-22)


def test_the_axis_lies_the_same_share_of_chord_behind_the_nose_everywhere():
    shape = planform(axis_at=0.38)
    line = quarter_chord_line(shape)
    np.testing.assert_allclose(line[1:-1, 1], 0.13 * np.array([0.029, 0.022]))
    assert line[0, 0] < 0.0 < 0.135 < line[-1, 0]


def test_mass_lies_on_the_axis_when_the_axis_is_at_the_centroid():
    section = naca_symmetric(0.12)
    own = blade_moments(planform(axis_at=section.x / section.area), 1600.0)
    assert own.centre[1] == pytest.approx(0.0, abs=1e-15)
    assert own.product == 0.0
    assert own.chordwise > own.normal > 0.0


def test_chord_is_constant_beyond_its_rows():
    shape = planform([(0.06, 0.02), (0.1, 0.03)])
    assert shape.chord(0.04) == 0.02
    assert shape.chord(0.135) == 0.03
    assert list(shape.stations) == [0.04, 0.06, 0.1, 0.135]


def test_a_cambered_blade_has_a_product_of_inertia():
    """Camber lifts the middle of the chord toward the thrust side: column by column of the section, at each radius its
    own chord along and its own thickness across.
    """
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, 400)))
    half, camber = naca_half_thickness(x, 0.12), 0.3 * x * (1.0 - x)
    upper, lower = camber + half, camber - half
    outline = np.vstack([np.column_stack([x, upper])[::-1], np.column_stack([x, lower])[1:]])
    section = polygon(outline)
    shape = planform(thickness=[(0.04, 0.004), (0.135, 0.002)], section=section)
    r = 0.04 + 0.095 * (np.arange(300) + 0.5) / 300.0
    chord = 0.029 - 0.007 * (r - 0.04) / 0.095
    stretch = (0.004 - 0.002 * (r - 0.04) / 0.095) / section.thickness
    middle, width = 0.5 * (x[1:] + x[:-1]), np.diff(x)
    top, foot = 0.5 * (upper[1:] + upper[:-1]), 0.5 * (lower[1:] + lower[:-1])
    area, first = (top - foot) * width, 0.5 * (top**2 - foot**2) * width
    mass = 1600.0 * chord * stretch * 0.095 / 300.0
    own = blade_moments(shape, 1600.0)
    assert own.mass == pytest.approx(np.sum(mass) * np.sum(area), rel=1e-3)
    assert own.first[2] == pytest.approx(np.sum(mass * stretch) * np.sum(first), rel=1e-3)
    assert own.radial_normal == pytest.approx(np.sum(mass * r * stretch) * np.sum(first), rel=1e-3)
    product = np.sum(mass * chord * stretch) * np.sum(first * (0.38 - middle))
    assert own.product == pytest.approx(product, rel=2e-3)
    assert abs(own.product) > 1e-9
    chordwise = np.sum(mass * chord**2) * np.sum(area * (0.38 - middle) ** 2)
    assert own.chordwise == pytest.approx(chordwise, rel=2e-3)
    normal = np.sum(mass * stretch**2) * np.sum((top**3 - foot**3) / 3.0 * width)
    assert own.normal == pytest.approx(normal, rel=2e-3)
