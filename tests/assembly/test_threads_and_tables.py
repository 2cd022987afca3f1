"""Standard dimensions and strengths as printed, row by row, and what a threaded part weighs as."""

from math import pi, radians

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly import hardware_tables as standard
from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.blade_pin import blade_pin_diameter
from featherbench.assembly.hardware import (
    core_diameter,
    nut_pieces,
    pitch_diameter,
    screw_pieces,
    split_size,
    stress_area,
    thread_of,
)
from featherbench.assembly.inch_hardware import ASME_B18_3, ASME_B18_6_3, ASME_B18_22_1
from featherbench.assembly.inch_threads import INCH_THREADS, class_two
from featherbench.assembly.lead_lag import LeadLagBalance
from featherbench.assembly.mass_moments import MassMoments
from featherbench.assembly.material_strengths import METALS, UNNAMED, metal_strength
from featherbench.assembly.place import placed_solids
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import Piece, overlap
from featherbench.assembly.usual_hardware import (
    plain_length,
    plain_washer,
    screw_lengths,
    screw_size,
    socket_head,
    standards_of,
)
from featherbench.checks.thread import thread_areas
from featherbench.scenario import ScenarioError, from_tables

SIZES = ("M1.6", "M2", "M2.5", "M3", "M4", "M5")
PRINTED = [
    (standard.THREADS, "diameter", (1.6, 2.0, 2.5, 3.0, 4.0, 5.0)),
    (standard.THREADS, "pitch", (0.35, 0.4, 0.45, 0.5, 0.7, 0.8)),
    (standard.ISO_4762, "diameter", (3.0, 3.8, 4.5, 5.5, 7.0, 8.5)),
    (standard.ISO_4762, "height", (1.6, 2.0, 2.5, 3.0, 4.0, 5.0)),
    (standard.ISO_4762, "socket", (1.5, 1.5, 2.0, 2.5, 3.0, 4.0)),
    (standard.ISO_4762, "depth", (0.7, 1.0, 1.1, 1.3, 2.0, 2.5)),
    (standard.ISO_4017, "across_flats", (3.2, 4.0, 5.0, 5.5, 7.0, 8.0)),
    (standard.ISO_4017, "height", (1.1, 1.4, 1.7, 2.0, 2.8, 3.5)),
    (standard.ISO_4032, "across_flats", (3.2, 4.0, 5.0, 5.5, 7.0, 8.0)),
    (standard.ISO_4032, "height", (1.3, 1.6, 2.0, 2.4, 3.2, 4.7)),
    (standard.ISO_4035, "across_flats", (3.2, 4.0, 5.0, 5.5, 7.0, 8.0)),
    (standard.ISO_4035, "height", (1.0, 1.2, 1.6, 1.8, 2.2, 2.7)),
    (standard.ISO_7089, "bore", (1.7, 2.2, 2.7, 3.2, 4.3, 5.3)),
    (standard.ISO_7089, "diameter", (4.0, 5.0, 6.0, 7.0, 9.0, 10.0)),
    (standard.ISO_7089, "thickness", (0.3, 0.3, 0.5, 0.5, 0.8, 1.0)),
    (standard.DIN_985, "across_flats", (5.5, 7.0, 8.0)),
    (standard.DIN_985, "hexagon", (2.4, 2.9, 3.2)),
    (standard.DIN_985, "least", (3.7, 4.7, 4.7)),
    (standard.DIN_985, "greatest", (4.0, 5.0, 5.0)),
]
"""mm, of the sizes in `SIZES` (DIN 985: the last three); where each was read stands in `hardware_tables`, M1.6 and M5
RAN or MEM.
"""


@pytest.mark.parametrize(("table", "field", "printed"), PRINTED)
def test_dimensions_are_the_standards(table, field, printed):
    assert [getattr(table[size], field) for size in SIZES[-len(printed) :]] == list(printed)
    assert len(table) == len(printed)


STRENGTHS = {
    "steel": (235, 360),
    "steel 4140 normalised": (655, 1020),
    "steel 4140 annealed": (417, 655),
    "stainless 304": (190, 500),
    "stainless 316": (200, 500),
    "titanium 6Al-4V": (827, 900),
    "aluminium 6061": (276, 310),
    "aluminium 7075": (505, 572),
    "aluminium 2024": (345, 485),
    "brass": (170, 390),
    "tungsten alloy class 1": (517, 758),
    "tungsten alloy class 2": (517, 758),
    "tungsten alloy class 3": (517, 758),
}
"""Yield and ultimate, MPa, as the texts named in `material_strengths` print them, with the status given there."""


def test_strengths_are_as_printed_and_a_doubtful_name_has_none():
    assert {
        name: (row.yield_strength / 1e6, row.ultimate / 1e6) for name, row in METALS.items()
    } == pytest.approx({name: pytest.approx(pair) for name, pair in STRENGTHS.items()})
    assert metal_strength(" Stainless  STEEL 304") == METALS["stainless 304"]
    for name in (None, "lead", "carbon", "nonsense", "tungsten alloy class 4", *UNNAMED, " Aluminium "):
        assert metal_strength(name) is None


def test_thread_diameters_by_hand():
    """M3, pitch 0.5: d2 = 3 - 0.649519 x 0.5 = 2.67524, d3 = 3 - 1.226869 x 0.5 = 2.38657, A_s of 2.5309 mm: 5.0308."""
    assert pitch_diameter("M3") == pytest.approx(2.675241e-3, rel=1e-6)
    assert core_diameter("M3") == pytest.approx(2.386566e-3, rel=1e-6)
    assert stress_area("M3") == pytest.approx(pi / 4.0 * 2.5309e-3**2, rel=1e-6)


# -- threaded parts of a build ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def part_of(tables):
    """One part beside the blade and the grip of the rig, placed."""

    def one(**part):
        raw = tables(part={"odd": {"group": "other", "at": {"radius": "30 mm"}, "material": "steel", **part}})
        return build_assembly(from_tables(raw)).parts[-1]

    return one


ROD = {"shape": "cylinder", "axis": "chord", "length": "10 mm"}
TUBE = {"shape": "tube", "axis": "chord", "length": "10 mm", "diameter": "8 mm"}
HEX = {"shape": "hex", "axis": "chord", "length": "10 mm", "across_flats": "8 mm"}


@pytest.mark.parametrize(
    ("shape", "key", "width", "low", "high"),
    [
        (ROD, "thread", "diameter", "2.384 mm", "3.003 mm"),
        (TUBE, "tapped", "bore", "2.384 mm", "3.003 mm"),
        (HEX, "tapped", "bore", "2.384 mm", "3.003 mm"),
    ],
)
def test_what_a_thread_weighs_as_lies_within_the_thread(part_of, shape, key, width, low, high):
    """M3 from its core of 2.3866 mm to its 3 mm, to a micrometre; no thread at all is refused by its key."""
    for inside in ("2.387 mm", "2.675 mm", "3 mm"):
        part = part_of(**shape, **{key: "m3", width: inside})
        assert {getattr(solid, key) for solid in part.solids} == {"M3"}
    for outside in (low, high, "5 mm"):
        with pytest.raises(ScenarioError, match=f"part.odd.{width}") as refused:
            part_of(**shape, **{key: "M3", width: outside})
        assert "M3 weighs as, about 2.675 mm" in refused.value.problems[0].expected
    with pytest.raises(ScenarioError, match=f"part.odd.{key}") as refused:
        part_of(**shape, **{key: "M7", width: "5 mm"})
    assert refused.value.problems[0].given == "M7"
    assert "one of M1.6" in refused.value.problems[0].expected
    assert {getattr(solid, key) for solid in part_of(**shape, **{width: "5 mm"}).solids} == {""}


def test_a_stack_of_threaded_pieces_weighs_on_their_pitch_diameters(part_of):
    """10 mm of M3 (2.675 mm) and 5 mm of a hexagon of 6 mm tapped M4 (4 - 0.649519 x 0.7 = 3.545 mm), of steel."""
    pieces = [
        {"from": "0 mm", "length": "10 mm", "thread": "M3"},
        {"from": "10 mm", "length": "5 mm", "across_flats": "6 mm", "tapped": "M4"},
    ]
    part = part_of(shape="stack", axis="normal", pieces=pieces)
    volume = pi / 4.0 * 2.675241**2 * 10.0 + (np.sqrt(3.0) / 2.0 * 36.0 - pi / 4.0 * 3.545337**2) * 5.0
    assert part.volume == pytest.approx(1e-9 * volume, rel=1e-6)
    assert part.moments.mass == pytest.approx(7850e-9 * volume, rel=1e-6)
    assert [(solid.thread, solid.tapped) for solid in part.solids] == [("M3", ""), ("", "M4")]
    for wrong in ({"thread": "M9"}, {"diameter": "6 mm", "tapped": "M9"}):
        with pytest.raises(ScenarioError, match=r"part\.odd\.pieces"):
            part_of(shape="stack", axis="normal", pieces=[{"from": "0 mm", "length": "10 mm", **wrong}])


def test_a_stack_counts_no_metal_twice(part_of):
    """The bar of 3 mm through a collar of 3 mm bore; through one of 2.9 mm the third piece meets the first."""
    bar, far = (
        {"from": "0 mm", "length": "10 mm", "diameter": "3 mm"},
        {"from": "10 mm", "length": "2 mm", "diameter": "3 mm"},
    )
    collar = {"from": "4 mm", "length": "2 mm", "diameter": "6 mm"}
    part_of(shape="stack", axis="normal", pieces=[bar, far, collar | {"bore": "3 mm"}])
    with pytest.raises(ScenarioError) as refused:
        part_of(shape="stack", axis="normal", pieces=[bar, far, collar | {"bore": "2.9 mm"}])
    (problem,) = refused.value.problems
    assert (problem.key, problem.given) == ("part.odd.pieces.2", "overlaps piece 0")
    # as wide as its flats: a hexagon of 6 mm in a tube of 6 mm bore
    inner, tube = Piece(0.0, 0.01, across_flats=0.006), Piece(0.0, 0.01, diameter=0.009, bore=0.006)
    assert not overlap(inner, tube)
    assert not overlap(tube, inner)
    assert overlap(inner, tube._replace(bore=0.0059))


def test_a_screw_with_a_plain_shank_by_hand():
    """M3x20, the 6 mm under the head plain and 3 mm thick, seat at +4: thread from -16 to -2, shank from -2 to 4."""
    thread, shank, *head = screw_pieces("ISO 4017", "M3x20", "+", 0.004, (0.006, None))
    assert (thread.start, thread.length, thread.diameter) == pytest.approx(
        (-0.016, 0.014, pitch_diameter("M3"))
    )
    assert (shank.start, shank.length, shank.diameter) == pytest.approx((-0.002, 0.006, 0.003))
    assert (thread.thread, shank.thread) == ("M3", "")
    assert [(one.start, one.length, one.across_flats) for one in head] == [
        pytest.approx((0.004, 0.002, 0.0055))
    ]
    assert screw_pieces("ISO 4017", "M3x20", "+", None, (0.006, 0.0025))[1].diameter == 0.0025
    # centred on its shank when no seat is stated, either way up
    for head_side, start in (("+", -0.010), ("-", -0.010)):
        pieces = screw_pieces("ISO 4762", "M3x20", head_side)
        assert min(one.start for one in pieces if one.thread) == pytest.approx(start)
    with pytest.raises(PartRefused, match="less than the screw's 20 mm") as refused:
        screw_pieces("ISO 4762", "M3x20", plain=(0.020, None))
    assert refused.value.key == "shank_length"
    with pytest.raises(PartRefused, match="core of M3") as refused:
        screw_pieces("ISO 4762", "M3x20", plain=(0.006, 0.0023))
    assert refused.value.key == "shank_diameter"


def test_a_lock_nut_by_hand():
    """M3: 3.85 mm high in the mean, hexagon 2.4 mm, above it a collar of 5.5 mm, nylon from 3 to 4.25 mm inside it."""
    hexagon, collar, nylon = nut_pieces("DIN 985", "M3")
    assert (hexagon.start, hexagon.length, hexagon.bore) == pytest.approx(
        (-1.925e-3, 2.4e-3, pitch_diameter("M3"))
    )
    assert (hexagon.across_flats, hexagon.tapped) == (pytest.approx(5.5e-3), "M3")
    for ring, outside, bore in ((collar, 5.5e-3, 4.25e-3), (nylon, 4.25e-3, 3e-3)):
        assert (ring.start, ring.length) == pytest.approx((0.475e-3, 1.45e-3))
        assert (ring.diameter, ring.bore) == pytest.approx((outside, bore))
    assert (collar.density, nylon.density) == (None, pytest.approx(1140.0))


# -- places ----------------------------------------------------------------------------------------------


def test_a_turned_twin_is_drawn_where_it_weighs():
    """(30, 2, 11) mm and its twin below, turned 90 deg toward higher pitch: c' = -n, n' = c."""
    one, twin = placed_solids(
        [Solid("round", "normal", (0.0, 0.001, 0.0), (0.004, 0.004, 0.006))],
        np.array([0.030, 0.001, 0.011]), "normal", radians(90.0),
    )  # fmt: skip
    assert one.centre == pytest.approx((0.030, -0.011, 0.002))
    assert twin.centre == pytest.approx((0.030, 0.011, 0.002))
    assert one.turn == twin.turn == pytest.approx(radians(90.0))


def test_the_blade_pin_is_the_thinnest_solid_round_at_the_bolt():
    """Half a millimetre aside is still the bolt, seven tenths are not; hollow, lying or swinging rounds are none."""

    def shown(at=(0.036, 0.001, 0.0), width=0.003, length=0.020, swings=False, **changes):
        solid = Solid("round", "normal", at, (width, width, length))._replace(**changes)
        return PlacedPart("pin", "bolt", swings, MassMoments.zero(), "weighed", (solid,))

    def found(*parts):
        return blade_pin_diameter(parts, 0.036, 0.001)

    assert found() is None
    assert found(shown(width=0.005), shown(), shown(width=0.004)) == 0.003
    assert found(shown(at=(0.0364, 0.0006, 0.0099))) == 0.003
    for away in ((0.0367, 0.001, 0.0), (0.0353, 0.001, 0.0), (0.036, 0.0017, 0.0), (0.036, 0.001, 0.011)):
        assert found(shown(at=away)) is None
    for other in (shown(swings=True), shown(bore=1e-3), shown(axis="chord"), shown(kind="hex")):
        assert found(other) is None
    assert found(shown(at=(0.036, 0.001, -0.010))) == 0.003


def test_slope_of_the_swing_balance_by_hand():
    """One coefficient at a time at 0.4 rad: -a sin, b cos, -2 d sin 0.8, 2 e cos 0.8; the drag is level."""
    slopes = [LeadLagBalance(*row).slope(0.4) for row in np.eye(5).tolist()]
    assert slopes == pytest.approx([-0.389418, 0.921061, -2 * 0.717356, 2 * 0.696707, 0.0], abs=2e-6)


INCH_LIMITS = [
    ("4-40", 0.1061, 0.0925, 0.0991, 0.0939),
    ("6-32", 0.1312, 0.1141, 0.1214, 0.1140),
    ("8-32", 0.1571, 0.1399, 0.1475, 0.1390),
    ("10-24", 0.1818, 0.1586, 0.1672, 0.1560),
    ("10-32", 0.1831, 0.1658, 0.1736, 0.1640),
    ("1/4-20", 0.2408, 0.2127, 0.2224, 0.2070),
    ("1/4-28", 0.2425, 0.2225, 0.2311, 0.2200),
]
"""inch: least outside and pitch diameter of 2A, greatest pitch and inside diameter of 2B (ASME B1.1 tables, MEM; the
last rounded there to three places from 6-32 on).
"""


@pytest.mark.parametrize(("size", "outside", "bolt", "nut", "inside"), INCH_LIMITS)
def test_limits_of_inch_threads_are_those_that_are_printed(size, outside, bolt, nut, inside):
    found = [limit / 25.4 for limit in class_two(size)]
    assert found[:3] == pytest.approx([outside, bolt, nut], abs=1.6e-4)
    assert found[3] == pytest.approx(inside, abs=6e-4)


def test_an_inch_thread_is_as_wide_as_it_is_called():
    """Number n is 0.060 + 0.013 n inch (ASME B1.1, MEM); stress areas of 4-40, 10-32 and 1/4-20 as printed, sq in."""
    for size, (wide, _) in INCH_THREADS.items():
        number = size.split("-")[0]
        assert wide == pytest.approx(0.25 if number == "1/4" else 0.060 + 0.013 * int(number))
        assert thread_of(size).pitch == pytest.approx(25.4 / int(size.split("-")[1]))
    for size, area in (("4-40", 0.00604), ("10-32", 0.0200), ("1/4-20", 0.0318)):
        assert stress_area(size) / 25.4e-3**2 == pytest.approx(area, rel=3e-3)
    assert pitch_diameter("10-32") / 25.4e-3 == pytest.approx(0.1697, abs=1e-4)
    assert core_diameter("10-32") < pitch_diameter("10-32") < 0.19 * 25.4e-3


@pytest.mark.parametrize("typed", ["10-32", "#10-32", "10-32 UNF", "10-32 UNF-2A", "10 - 32"])
def test_an_inch_thread_as_people_write_it(typed):
    assert split_size(typed) == ("10-32", None)


def test_an_inch_thread_that_is_not_in_the_table_is_refused_with_those_that_are():
    with pytest.raises(PartRefused) as refused:
        split_size("12-99")
    assert "10-32" in refused.value.expected


def test_a_turned_part_with_an_inch_thread_weighs_as_its_pitch_diameter(part_of):
    """10 mm of 10-32 in steel, 4.31 mm as what it weighs; and its thread can be judged."""
    wide = pitch_diameter("10-32")
    assert wide == pytest.approx(4.310e-3, abs=2e-6)
    pieces = [{"from": "0 mm", "length": "10 mm", "thread": "#10-32 UNF"}]
    stud = part_of(shape="stack", axis="normal", pieces=pieces)
    assert stud.moments.mass == pytest.approx(7850.0 * pi / 4.0 * wide**2 * 0.010)
    assert stud.solids[0].thread == "10-32"
    outside, inside = thread_areas("10-32")
    assert 0.0 < outside < pi * wide
    assert 0.0 < inside < pi * 0.19 * 25.4e-3


INCH_PRINTED = [
    (ASME_B18_3, "diameter", {"2-56": 0.140, "4-40": 0.183, "6-32": 0.226, "10-32": 0.312, "1/4-20": 0.375}),
    (ASME_B18_3, "height", {"2-56": 0.086, "4-40": 0.112, "8-32": 0.164, "10-24": 0.190, "1/4-28": 0.250}),
    (ASME_B18_3, "socket", {"2-56": 5 / 64, "5-40": 3 / 32, "6-32": 7 / 64, "8-32": 9 / 64, "10-32": 5 / 32}),
    (ASME_B18_3, "depth", {"4-40": 0.051, "6-32": 0.064, "10-32": 0.090, "1/4-20": 0.120}),
    (
        ASME_B18_6_3,
        "across_flats",
        {"2-56": 0.188, "4-40": 0.250, "8-32": 0.344, "10-32": 0.375, "1/4-20": 0.438},
    ),
    (ASME_B18_6_3, "height", {"2-56": 0.066, "4-40": 0.098, "6-32": 0.114, "10-32": 0.130, "1/4-20": 0.193}),
    (ASME_B18_22_1, "bore", {"2-56": 0.094, "4-40": 0.125, "6-32": 0.156, "10-32": 0.219, "1/4-20": 0.281}),
    (ASME_B18_22_1, "diameter", {"4-40": 0.312, "8-32": 0.438, "10-32": 0.500, "1/4-20": 0.625}),
    (ASME_B18_22_1, "thickness", {"2-56": 0.020, "4-40": 0.032, "10-32": 0.049, "1/4-28": 0.065}),
]
"""inch, as printed; where each was read stands in `inch_hardware`."""


@pytest.mark.parametrize(("table", "field", "printed"), INCH_PRINTED)
def test_inch_hardware_is_as_its_standards_have_it(table, field, printed):
    for size, inches in printed.items():
        assert getattr(table[size], field) / 25.4 == pytest.approx(inches, abs=1e-6), size


def test_every_inch_thread_has_its_hardware_but_number_five_a_washer():
    for size in INCH_THREADS:
        head, nut = socket_head(size), nut_pieces("asme B18.2.2", size)[0]
        assert head.height == pytest.approx(thread_of(size).diameter)
        assert nut.length * 1e3 < thread_of(size).diameter
        assert standards_of(size).screw == "ASME B18.3"
    assert [size for size in INCH_THREADS if plain_washer(size) is None] == ["5-40"]
    assert standards_of("M3").washer == "ISO 7089"


@pytest.mark.parametrize(
    ("typed", "millimetres"),
    [
        ("10-32x5/8", 15.875),
        ("10-32 x 5/8 in", 15.875),
        ('#10-32 UNF x 1-1/4"', 31.75),
        ("10-32 x 1 1/4", 31.75),
        ("10-32x0.75", 19.05),
        ("10-32x.75", 19.05),
        ("10-32 x 20 mm", 20.0),
        ("1/4-28x1", 25.4),
    ],
)
def test_the_length_of_an_inch_screw_as_people_write_it(typed, millimetres):
    assert split_size(typed)[1] == pytest.approx(millimetres * 1e-3)


@pytest.mark.parametrize("typed", ["10-32x5/0", "10-32x", "10-32xlong"])
def test_a_length_that_is_none_is_refused(typed):
    with pytest.raises(PartRefused) as refused:
        screw_pieces("ASME B18.3", typed)
    assert "10-32x5/8" in refused.value.expected


def test_lengths_are_written_as_they_are_read():
    for thread in ("M3", "10-32", "1/4-20"):
        for length in screw_lengths(thread):
            assert split_size(screw_size(thread, length)) == (thread, pytest.approx(length))
    assert screw_size("10-32", 31.75e-3) == "10-32x1-1/4"
    assert plain_length("10-32", 2 * 25.4e-3) == pytest.approx((2.0 - 0.88 - 5 / 32) * 25.4e-3)
    assert plain_length("10-32", 25.4e-3) == 0.0
