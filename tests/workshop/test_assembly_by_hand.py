"""The section of an assembly from boxes set by hand: what is drawn of them, how large, and where a balloon points."""

import math
from types import SimpleNamespace

import pytest

from featherbench.workshop.assembly_view import (
    MORE,
    OVER,
    UNDER,
    Box,
    _boxes,
    _broken_off,
    _lines,
    _reach,
    _scale,
    _section,
    _seen,
)
from featherbench.workshop.sheet import BLOCK, BOTTOM, LEFT, RIGHT, SCALES, TOP, Sheet

MM = 1e-3


def solid(n, r, along, across, chord=0.0, kind="round", **more):
    """So long along the normal and as wide across, mm, about a centre at n and radius r."""
    size = (across * MM, across * MM, along * MM)
    own = {"kind": kind, "size": size, "centre": (r * MM, chord * MM, n * MM), "bore": 0.0, "tapped": ""}
    return SimpleNamespace(**own | more)


def sizing_of(*parts, made=(), chord=0.0):
    """What a search would hand over: parts as (name, group, solids), what was made as (names, screwed in mm)."""
    fitted = [SimpleNamespace(fitted=names, screwed_in=deep * MM) for names, deep in made]
    build = SimpleNamespace(made=fitted, parts={name: {} for names, _ in made for name in names})
    placed = [SimpleNamespace(name=name, group=group, solids=solids) for name, group, solids in parts]
    assembly = SimpleNamespace(parts=placed, bolt=SimpleNamespace(chord=chord * MM))
    return SimpleNamespace(
        best=SimpleNamespace(build=build), run=SimpleNamespace(setup=SimpleNamespace(assembly=assembly))
    )


def test_boxes_are_what_the_solids_are_in_mm_and_lie_as_they_go_through_one_another():
    """A grip lowest, the blade root over it, a collar bored through over both, the bolt in it over all."""
    found = _boxes(
        sizing_of(
            ("grip", "grip", [solid(0.0, 30.0, 10.0, 20.0, kind="box")]),
            ("blade", "blade", [solid(1.0, 40.0, 4.0, 12.0, kind="box")]),
            ("collar", "counterweight", [solid(8.0, 34.0, 3.0, 9.0, bore=3.2 * MM)]),
            ("bolt", "bolt", [solid(0.5, 34.0, 19.0, 3.0)]),
            ("nut", "bolt", [solid(-6.0, 34.0, 2.4, 5.5, tapped="M3")]),
            ("elsewhere", "counterweight", [solid(0.0, 34.0, 5.0, 5.0)]),
            ("beside", "bolt", [solid(0.0, 34.0, 5.0, 5.0, chord=4.0)]),
            made=[(("collar",), 0.0)],
        ),
        {"grip": 4, "blade": 3, "collar": 1, "bolt": 2, "nut": 2, "beside": 2},
    )
    assert [(one.rank, one.item, one.new) for one in found] == [
        (0, 4, False), (1, 3, False), (2, 1, True), (3, 2, False), (2, 2, False),
    ]  # fmt: skip
    for one, low, high in zip(
        found[1:],
        [(-1.0, 34.0), (6.5, 29.5), (-9.0, 32.5), (-7.2, 31.25)],
        [(3.0, 46.0), (9.5, 38.5), (10.0, 35.5), (-4.8, 36.75)],
        strict=True,
    ):
        assert (*one.low, *one.high) == pytest.approx((*low, *high))
    # the grip goes on inward a little beyond the lowest of the rest, and is broken off there
    assert (found[0].low[1], found[0].high[1], found[0].broken) == (
        pytest.approx(29.5 - MORE),
        pytest.approx(40.0),
        True,
    )
    assert not any(one.broken for one in found[1:])


@pytest.mark.parametrize(("n", "low", "high"), [(8.0, 4.0, 10.0), (-8.0, -10.0, -4.0)])
def test_a_stud_reaches_into_the_grip_as_far_as_it_is_screwed_in(n, low, high):
    sizing = sizing_of(
        ("grip", "grip", [solid(0.0, 34.0, 12.0, 8.0)]),
        ("stud", "counterweight", [solid(n, 34.0, 4.0, 3.0)]),
        made=[(("stud",), 2.0)],
    )
    stud = _boxes(sizing, {"grip": 2, "stud": 1})[1]
    assert (stud.low[0], stud.high[0]) == pytest.approx((low, high))


def test_only_the_grip_is_broken_off_and_what_lies_further_inward_is_left_out():
    root, weight = Box((0.0, 30.0), (2.0, 50.0), 1, 2), Box((5.0, 26.0), (9.0, 34.0), 2, 1)
    long, short, gone = (Box((-5.0, low), (5.0, high), 0, 3) for low, high in ((5, 40), (25, 40), (5, 21)))
    assert _broken_off([long, short, gone, root, weight]) == [
        Box((-5.0, 26.0 - MORE), (5.0, 40.0), 0, 3, broken=True), short, root, weight,
    ]  # fmt: skip


def test_the_scale_is_the_largest_at_which_balloons_and_dimensions_have_room():
    """40 mm of paper beside it, and room above and below: of what is left the section takes all or less."""
    wide, tall = RIGHT - LEFT - 40.0, TOP - BOTTOM - BLOCK - OVER - UNDER
    scales = sorted(SCALES, reverse=True)
    assert list(SCALES) == scales
    for scale, smaller in zip(SCALES, (*SCALES[1:], SCALES[-1]), strict=True):
        for across, high in ((wide / scale, 1.0), (1.0, tall / scale)):
            for left, low in ((0.0, 0.0), (-30.0, 25.0)):  # wherever it lies
                fits = Box((left, low), (left + across - 1e-6, low + high - 1e-6), 0, 1)
                more = Box((left, low), (left + across + 1e-3, low + high + 1e-3), 0, 1)
                assert _scale([fits]) == scale
                assert _scale([more]) == smaller


def test_a_line_is_drawn_where_nothing_lies_over_it():
    """From (2, 10) to (12, 30), seen but between x = 5 and 8: on paper ten times as large, to a tenth of a mm."""
    sheet = Sheet(10.0, "x")
    _lines(
        sheet,
        "outline",
        (2.0, 10.0),
        (12.0, 30.0),
        lambda x, _y: not 5.0 < x < 8.0,
        lambda x, y: (10 * x, 10 * y),
    )
    ends = [(line.start, line.end) for line in sheet.lines]
    assert len(ends) == 2
    for (start, end), (one, two) in zip(ends, ((2.0, 5.0), (8.0, 12.0)), strict=True):
        for (x, y), at in ((start, one), (end, two)):
            assert x == pytest.approx(10.0 * at, abs=0.1)
            assert y == pytest.approx(10.0 * (10.0 + 2.0 * (at - 2.0)), abs=0.2)


def test_a_balloon_points_high_in_what_is_seen_of_its_part():
    """A box of 10 by 20 mm: nine tenths up in the middle; not under what lies over it, nor nearer to that than 0.3."""
    own = Box((0.0, 0.0), (10.0, 20.0), 1, 1)
    assert _seen([own], [own]) == pytest.approx((5.0, 18.0))
    over = Box((-1.0, 13.9), (11.0, 30.0), 2, 2)
    assert _seen([own], [own, over]) == pytest.approx((5.0, 12.0))
    near = Box((-1.0, 12.2), (11.0, 30.0), 2, 2)  # 0.2 mm above that point
    assert _seen([own], [own, near]) == pytest.approx((5.0, 10.0))
    beside = Box((3.2, -1.0), (11.0, 30.0), 2, 2)  # what is left of it is on the left
    assert _seen([own], [own, beside]) == pytest.approx((2.0, 18.0))
    below = Box((-1.0, -1.0), (11.0, 30.0), 0, 2)
    assert _seen([own], [own, below]) == pytest.approx((5.0, 18.0))
    higher = Box((30.0, 10.0), (40.0, 30.0), 1, 1)  # of two solids of one part the higher one
    assert _seen([own, higher], [own, higher]) == pytest.approx((35.0, 28.0))


def test_how_far_what_is_new_reaches_is_measured_from_the_axis():
    """The bolt that was there reaches further and is not asked of."""
    sheet = Sheet(2.0, "x")
    boxes = [
        Box((-9.0, 30.0), (12.0, 34.0), 3, 2),
        Box((5.0, 28.0), (8.5, 36.0), 2, 1, True),
        Box((-7.25, 29.0), (-5.0, 36.0), 2, 1, True),
    ]
    _reach(sheet, boxes, lambda x, y: (100.0 + 2.0 * x, 2.0 * y))
    above, below = sheet.dims
    assert above.text.startswith("above 8.5 ")
    assert (above.start, above.end) == ((100.0, 56.0), (117.0, 56.0))
    assert below.text.startswith("below 7.25 ")
    assert (below.start, below.end) == ((85.5, 56.0), (100.0, 56.0))
    assert above.through[1] == pytest.approx(43.0)
    assert below.through[1] == pytest.approx(37.5)


def test_a_section_is_outlined_hatched_and_broken_off_with_a_thin_line():
    """A broken grip of 8 by 6 mm and a root of 8 by 4 beyond it, a bolt over the grip; twice as large.

    Three sides of the grip are thick, the inner one thin; the bolt is not hatched and covers what it lies over.
    """
    grip = Box((-4.0, 20.0), (4.0, 26.0), 0, 3, broken=True)
    root, bolt = Box((-4.0, 26.0), (4.0, 30.0), 1, 2), Box((-1.0, 21.0), (1.0, 25.0), 3, 1, True)
    sheet = Sheet(2.0, "x")
    _section(sheet, [grip, root, bolt])
    (axis,) = [line for line in sheet.lines if line.layer == "axis"]
    x, low = axis.start[0], axis.start[1] + 6.0
    assert x == pytest.approx(0.5 * (LEFT + RIGHT))
    middle = low + 2.0 * 5.0
    assert middle == pytest.approx(0.5 * (BOTTOM + BLOCK + UNDER + TOP - OVER))
    long = {
        layer: sum(math.dist(line.start, line.end) for line in sheet.lines if line.layer == layer)
        for layer in ("outline", "hatch")
    }
    assert long["outline"] == pytest.approx(2.0 * ((8 + 6 + 6) + 2 * (8 + 4) + 2 * (2 + 4)), abs=0.2)
    level = [line for line in sheet.lines if line.layer == "hatch" and line.start[1] == line.end[1]]
    assert len(level) == 1
    assert level[0].start[1] == pytest.approx(low)
    seen = 4.0 * (8 * 6 - 2 * 4 + 8 * 4)  # of grip and root, mm^2 on paper
    assert long["hatch"] == pytest.approx(seen / 2.0 + 16.0, rel=0.1)
    inside = [
        (0.5 * (line.start[0] + line.end[0]) - x, 0.5 * (line.start[1] + line.end[1]) - low)
        for line in sheet.lines
        if line.layer == "hatch"
    ]
    assert not any(abs(across) < 1.9 and 2.1 < up < 9.9 for across, up in inside)
