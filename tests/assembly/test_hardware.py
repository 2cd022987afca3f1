"""Standard parts: how they lie along their axis, and what is refused."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import (
    core_diameter,
    nut_pieces,
    pitch_diameter,
    screw_pieces,
    split_size,
    stress_area,
    thread_of,
    washer_pieces,
)
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import coaxial, overlap

SIZES = sorted(tables.THREADS)


@pytest.mark.parametrize(
    ("text", "parts"), [("M3x14", ("M3", 0.014)), ("m2.5 X 8", ("M2.5", 0.008)), ("M4", ("M4", None))]
)
def test_sizes_as_people_write_them(text, parts):
    assert split_size(text) == pytest.approx(parts)


@pytest.mark.parametrize("standard", ["ISO 4762", "ISO 4017", "iso4762", "DIN 912"])
@pytest.mark.parametrize("size", SIZES)
def test_no_metal_is_counted_twice(standard, size):
    pieces = screw_pieces(standard, f"{size}x10")
    assert not any(overlap(a, b) for n, a in enumerate(pieces) for b in pieces[:n])
    assert all(piece.wall_left > 0.0 for piece in pieces)


def test_the_seat_of_the_head_is_where_it_is_said_to_be():
    shank, floor, rim = screw_pieces("ISO 4762", "M3x14", "+", 0.005)
    assert floor.start == pytest.approx(0.005)
    assert shank.start == pytest.approx(0.005 - 0.014)
    assert rim.start + rim.length == pytest.approx(0.005 + 0.003)
    shank, floor, _ = screw_pieces("ISO 4762", "M3x14", "-", -0.005)
    assert floor.start + floor.length == pytest.approx(-0.005)
    assert shank.start == pytest.approx(-0.005)


@given(st.sampled_from(SIZES), st.integers(4, 40), st.sampled_from(["ISO 4762", "ISO 4017"]))
@settings(max_examples=20)
def test_turning_the_head_round_mirrors_the_screw(size, length, standard):
    up, down = (coaxial(screw_pieces(standard, f"{size}x{length}", head), "normal", 7850.0) for head in "+-")
    assert up.centre[2] == pytest.approx(-down.centre[2])
    assert up.centre[2] > 0.0
    assert up.normal == pytest.approx(down.normal)


@given(st.sampled_from(SIZES), st.integers(4, 40))
@settings(max_examples=15)
def test_a_longer_screw_gains_the_mass_of_its_shank(size, length):
    one, other = (
        coaxial(screw_pieces("ISO 4762", f"{size}x{n}"), "normal", 7850.0).mass for n in (length, length + 2)
    )
    assert other - one == pytest.approx(7850.0 * 0.002 * 3.14159265 / 4 * pitch_diameter(size) ** 2)


def test_nut_and_washer_are_centred():
    for pieces in (nut_pieces("ISO 4032", "M3"), washer_pieces("ISO 7089", "M3")):
        assert coaxial(pieces, "normal", 1.0).centre[2] == pytest.approx(0.0, abs=1e-12)
    lock = nut_pieces("DIN 985", "M3")
    assert lock[0].start == pytest.approx(-(lock[0].length + lock[1].length) / 2.0)


@pytest.mark.parametrize("size", SIZES)
def test_thread_diameters_are_in_order(size):
    area_diameter = (4.0 * stress_area(size) / 3.14159265) ** 0.5
    assert core_diameter(size) < area_diameter < pitch_diameter(size) < 1e-3 * thread_of(size).diameter


@pytest.mark.parametrize(
    ("call", "key"),
    [
        (lambda: screw_pieces("ISO 9999", "M3x14"), "standard"),
        (lambda: screw_pieces("M3", "M3x14"), "standard"),
        (lambda: screw_pieces("ISO 4762", "M3"), "size"),
        (lambda: screw_pieces("ISO 4762", "M7x10"), "size"),
        (lambda: screw_pieces("ISO 4762", "3 mm"), "size"),
        (lambda: nut_pieces("DIN 985", "M2"), "size"),
        (lambda: washer_pieces("ISO 4032", "M3"), "standard"),
    ],
)
def test_what_no_table_lists_is_refused_with_what_would_do(call, key):
    with pytest.raises(PartRefused) as refused:
        call()
    assert refused.value.key == key
    assert refused.value.expected
