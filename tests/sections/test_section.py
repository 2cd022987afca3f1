"""Section moments: exactness, scaling, and the two orders of coordinate files."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from featherbench.rotor.thin_aerofoil import camber_properties
from featherbench.sections.outline import FURTHEST_BACK, SectionRefused, mean_line
from featherbench.sections.section import (
    LEAST_FILLING,
    naca_half_thickness,
    naca_symmetric,
    polygon,
    read_section,
)

FIELDS = ("area", "x", "y", "xx", "xy", "yy")


def fine_outline(thickness, camber=0.0, points=1500):
    """Trailing edge round the nose, cosine-spaced; camber adds 4 camber x (1 - x)."""
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, points)))
    half, mean = naca_half_thickness(x, thickness), 4.0 * camber * x * (1.0 - x)
    return np.vstack([np.column_stack([x, mean + half])[::-1], np.column_stack([x, mean - half])[1:]])


def selig(outline):
    return "INVENTED SECTION\n" + "\n".join(f" {x:.9f} {y:.9f}" for x, y in outline)


def lednicer(outline):
    nose = int(np.argmin(outline[:, 0]))
    upper, lower = outline[: nose + 1][::-1], outline[nose:]
    rows = ["\n".join(f"{x:.9f} {y:.9f}" for x, y in side) for side in (upper, lower)]
    return f"INVENTED SECTION\n {len(upper)}. {len(lower)}.\n\n" + "\n\n".join(rows) + "\n"


@given(st.floats(0.04, 0.24))
@settings(max_examples=10)
def test_the_exact_integrals_match_a_fine_polygon(thickness):
    exact, fine = naca_symmetric(thickness), polygon(fine_outline(thickness))
    for name in FIELDS:
        assert getattr(exact, name) == pytest.approx(getattr(fine, name), rel=2e-5, abs=1e-12)
    assert fine.thickness == pytest.approx(thickness, rel=1e-3)


@given(st.floats(0.05, 0.2), st.floats(0.2, 3.0))
@settings(max_examples=10)
def test_thickness_scales_area_once_and_the_flapwise_moment_three_times(thickness, factor):
    one, other = naca_symmetric(thickness), naca_symmetric(factor * thickness)
    assert other.area == pytest.approx(factor * one.area)
    assert other.xx == pytest.approx(factor * one.xx)
    assert other.yy == pytest.approx(factor**3 * one.yy)


def test_a_polygon_does_not_care_which_way_it_turns():
    outline = fine_outline(0.12, camber=0.03)
    for name in FIELDS:
        assert getattr(polygon(outline[::-1]), name) == pytest.approx(getattr(polygon(outline), name))


@pytest.mark.parametrize("write", [selig, lednicer])
@pytest.mark.parametrize("scale", [1.0, 30.0])
def test_both_orders_of_coordinate_file_read_alike(tmp_path, write, scale):
    outline = fine_outline(0.1, camber=0.02, points=60)
    (tmp_path / "own.dat").write_text(write(scale * outline))
    read, direct = read_section("own.dat", tmp_path), polygon(outline)
    for name in (*FIELDS, "thickness"):
        assert getattr(read, name) == pytest.approx(getattr(direct, name), rel=1e-6, abs=1e-9)
    assert read.y > 0.0


@pytest.mark.parametrize("name", ["NACA 0012", "naca0012", "NACA-0012", " NACA  0012 "])
def test_names_of_the_family(tmp_path, name):
    assert read_section(name, tmp_path).thickness == 0.12


@pytest.mark.parametrize("name", ["NACA 0000", "NACA 2412", "missing.dat", "\0"])
def test_what_is_no_section_is_refused_by_name(tmp_path, name):
    with pytest.raises(SectionRefused) as refused:
        read_section(name, tmp_path)
    assert "NACA 0012" in refused.value.expected


@pytest.mark.parametrize("write", [selig, lednicer])
@pytest.mark.parametrize("scale", [1.0, 100.0])
def test_masses_and_air_have_one_section_in_either_order(tmp_path, write, scale):
    """A parabolic mean line 4 h x (1 - x) has its zero lift at -2 h and its moment at -pi h (Glauert; MEM)."""
    thickness, camber = 0.15, 0.02
    (tmp_path / "own.dat").write_text(write(scale * fine_outline(thickness, camber, points=81)))
    section = read_section("own.dat", tmp_path)
    assert section.thickness == pytest.approx(thickness, rel=3e-3)
    zero_lift, moment = camber_properties(*mean_line(section.outline))
    assert zero_lift == pytest.approx(-2.0 * camber, rel=2e-2)
    assert moment == pytest.approx(-math.pi * camber, rel=2e-2)


@pytest.mark.parametrize("turned", [-0.1, 0.05])
def test_a_section_lies_on_its_chord_line_however_its_file_turned_it(tmp_path, turned):
    outline = fine_outline(0.12, camber=0.03, points=60)
    rotation = [[math.cos(turned), math.sin(turned)], [-math.sin(turned), math.cos(turned)]]
    (tmp_path / "straight.dat").write_text(selig(outline))
    (tmp_path / "turned.dat").write_text(selig(7.0 * outline @ rotation + [3.0, -2.0]))
    straight, other = (read_section(f"{name}.dat", tmp_path) for name in ("straight", "turned"))
    assert other.outline == pytest.approx(straight.outline, abs=1e-7)
    assert other.thickness == pytest.approx(straight.thickness, rel=1e-6)


def test_sides_that_a_file_lists_from_the_tail_keep_every_point(tmp_path):
    whole = lednicer(fine_outline(0.15, camber=0.02, points=20))
    (tmp_path / "nose.dat").write_text(whole)
    rows = [line for line in whole.splitlines()[1:] if len(line.split()) == 2]
    count = int(float(rows[0].split()[0]))
    upper, lower = rows[1 : 1 + count], rows[1 + count :]
    (tmp_path / "tail.dat").write_text("own\n" + "\n".join([rows[0], *upper[::-1], *lower[::-1]]) + "\n")
    nose, tail = (read_section(f"{name}.dat", tmp_path).outline for name in ("nose", "tail"))
    assert tail == pytest.approx(nose)


def test_counts_that_do_not_fit_the_points_are_never_taken_for_a_point(tmp_path):
    whole = lednicer(fine_outline(0.15, camber=0.02, points=20))
    (tmp_path / "cut.dat").write_text("\n".join(whole.splitlines()[:-2]) + "\n")
    with pytest.raises(SectionRefused, match="counts 20 and 20 points, but 38 follow"):
        read_section("cut.dat", tmp_path)


@pytest.mark.parametrize("first", [10, 19, 25])
def test_an_outline_that_begins_elsewhere_is_refused(tmp_path, first):
    outline = fine_outline(0.15, camber=0.02, points=20)[:-1]
    (tmp_path / "odd.dat").write_text(selig(np.roll(outline, -first, axis=0)))
    with pytest.raises(SectionRefused, match="trailing edge"):
        read_section("odd.dat", tmp_path)


def test_both_sides_from_the_nose_without_their_counts_are_refused(tmp_path):
    outline = fine_outline(0.1, points=40)
    nose = int(np.argmin(outline[:, 0]))
    (tmp_path / "odd.dat").write_text(selig(np.vstack([outline[: nose + 1][::-1], outline[nose:]])))
    with pytest.raises(SectionRefused, match="after their counts"):
        read_section("odd.dat", tmp_path)


def dotted(rows):
    return "\n".join(f"{x} {y}" for x, y in rows)


def once_round(rows):
    """From the trailing edge over any points and back to it, on their chord line unless one lies far off."""
    return [(1.0, 0.0), *rows, (1.0, 0.0)]


COORDINATES = st.sampled_from([0.0, 0.25, 0.5, 0.75, 1.0]) | st.floats(0.0, 1.0, width=32)
HEIGHTS = st.sampled_from([0.0, 0.1, -0.1]) | st.floats(-0.25, 0.25, width=32)


@given(
    st.lists(st.tuples(st.floats(width=32), st.floats(width=32)), max_size=12)
    | st.lists(st.tuples(COORDINATES, HEIGHTS), min_size=6, max_size=12).map(once_round)
)
@example([(-1, 0), (-1, 0), (0.5, 1), (0, 0), (0, 0), (0, 0), (0.5, 1), (0.5, 0)])
@settings(max_examples=100)
def test_no_file_of_numbers_gets_through_as_anything_but_a_section(tmp_path_factory, rows):
    """Nowhere thicker than its thickness and a chord long, a section has no more area than their product."""
    folder = tmp_path_factory.mktemp("any")
    (folder / "any.dat").write_text(dotted(rows))
    try:
        section = read_section("any.dat", folder)
    except SectionRefused:
        return
    assert 0.0 < section.thickness <= 1.0
    assert LEAST_FILLING * section.thickness < section.area <= FURTHEST_BACK * section.thickness


@pytest.mark.parametrize(
    "rows",
    [
        [(0.0, 0.0), (0.25, 0.0), (0.25, 0.0), (0.0, 0.26), (0.0, 0.0), (0.5, 0.0)],
        [(0.25, 0.2), (0.75, 0.2), (0.75, 0.2), (0.0, 0.2), (0.75, 0.2), (1.0, 0.0005)],
    ],
)
def test_an_area_without_the_thickness_for_it_is_refused(tmp_path, rows):
    """Sides that run there and back over the same chord leave nothing between them, and yet sum up to an area."""
    (tmp_path / "odd.dat").write_text(dotted(once_round(rows)))
    with pytest.raises(SectionRefused, match="sides cross, double back"):
        read_section("odd.dat", tmp_path)


def test_an_outline_that_goes_round_twice_is_refused(tmp_path):
    round_once = [(0.75, 0.05), (0.5, 0.1), (0.1, 0.05), (0.0, 0.0), (0.1, -0.05), (0.5, -0.1)]
    (tmp_path / "once.dat").write_text(dotted(once_round(round_once)))
    assert read_section("once.dat", tmp_path).thickness == pytest.approx(0.2)
    (tmp_path / "twice.dat").write_text(dotted(once_round([*round_once, (1.0, 0.0), *round_once])))
    with pytest.raises(SectionRefused):
        read_section("twice.dat", tmp_path)


def test_the_fullest_outlines_of_all_are_sections(tmp_path):
    """A flat plate fills its thickness times its chord, a diamond half of it."""
    plate = [
        (1.0, 0.05),
        (0.6, 0.05),
        (0.3, 0.05),
        (0.0, 0.05),
        (0.0, -0.05),
        (0.3, -0.05),
        (0.6, -0.05),
        (1.0, -0.05),
    ]
    diamond = [
        (1.0, 0.0),
        (0.75, 0.05),
        (0.5, 0.1),
        (0.25, 0.05),
        (0.0, 0.0),
        (0.5, -0.1),
        (0.75, -0.05),
        (1.0, 0.0),
    ]
    for rows, filling in ((plate, 1.0), (diamond, 0.5)):
        (tmp_path / "full.dat").write_text(dotted(rows))
        section = read_section("full.dat", tmp_path)
        assert section.area == pytest.approx(filling * section.thickness, rel=0.02)


@pytest.mark.parametrize(
    "text", ["", "title\n1 0\n0 0\n", "title\n" + "0.5 0.1\n" * 9, "1 0\n0.5 0\n0 0\n0.2 0\n0.4 0\n1 0"]
)
def test_a_file_that_encloses_nothing_is_refused(tmp_path, text):
    (tmp_path / "flat.dat").write_text(text)
    with pytest.raises(SectionRefused):
        read_section("flat.dat", tmp_path)
