"""The section of an assembly from boxes set by hand: what is drawn of them, how large, and where a balloon points."""

import math
from types import SimpleNamespace

import pytest

from featherbench.workshop import assembly_view
from featherbench.workshop.assembly_view import (
    MORE,
    OVER,
    UNDER,
    Box,
    _balloons,
    _boxes,
    _broken_off,
    _holes,
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


def twice(x, y):
    """Part to paper: twice as large, 100 mm to the right."""
    return 100.0 + 2.0 * x, 2.0 * y


def test_an_edge_is_not_inside_a_box():
    """What touches another is drawn to the end."""
    box = Box((1.0, 2.0), (3.0, 4.0), 0, 1)
    assert box.holds(2.0, 3.0)
    for x, y in (
        (1.0, 3.0),
        (3.0, 3.0),
        (2.0, 2.0),
        (2.0, 4.0),
        (0.0, 3.0),
        (4.0, 3.0),
        (2.0, 1.0),
        (2.0, 5.0),
    ):
        assert not box.holds(x, y)


def test_a_box_is_as_long_along_the_blade_as_along_the_radius():
    """20 mm along the radius, 12 along the chord, 10 along the normal; a stud just above the axis reaches downward."""
    size = (20.0 * MM, 12.0 * MM, 10.0 * MM)
    grip = SimpleNamespace(kind="box", size=size, centre=(30.0 * MM, 0.0, 0.0), bore=0.0, tapped="")
    sizing = sizing_of(
        ("grip", "grip", [grip]),
        ("stud", "counterweight", [solid(0.8, 30.0, 1.0, 3.0)]),
        made=[(("stud",), 2.0)],
    )
    first, stud = _boxes(sizing, {"grip": 2, "stud": 1})
    assert (first.high[1], first.high[0]) == pytest.approx((40.0, 5.0))
    assert (stud.low[0], stud.high[0]) == pytest.approx((0.3 - 2.0, 1.3))


def test_a_grip_is_broken_off_by_the_lowest_of_all_that_lies_over_it():
    grip, root = Box((-5.0, 5.0), (5.0, 40.0), 0, 3), Box((0.0, 24.0), (2.0, 50.0), 1, 2)
    bolt = Box((-9.0, 32.0), (9.0, 36.0), 3, 1)
    assert _broken_off([grip, root, bolt])[0].low == (-5.0, 24.0 - MORE)


def test_the_hole_of_what_stands_beside_the_bolt_is_measured_on_the_right():
    """Arms at 22 mm, the bolt at 34: 12 mm, 9 mm right of all that is drawn; grip and root count for neither."""

    def dims(*radii):
        boxes = [Box((-5.0, 20.0), (5.0, 40.0), 0, 4), Box((-4.0, 38.0), (4.0, 52.0), 1, 3)]
        boxes += [Box((-8.0, 32.5), (10.0, 35.5), 3, 2), Box((-7.0, 31.0), (-5.0, 38.0), 2, 2)]
        boxes += [Box((5.0, one - 1.5), (12.0, one + 1.5), 2, 1, True) for one in radii]
        sheet = Sheet(2.0, "x")
        _holes(sheet, boxes, twice)
        return sheet.dims

    (hole,) = dims(22.0, 27.0)
    assert (hole.start, hole.end) == ((124.0, 44.0), (124.0, 68.0))
    assert hole.through == (133.0, 44.0)
    assert (hole.along, hole.text) == ("y", "hole to blade bolt 12 mm (0.4724 in)")
    (beyond,) = dims(46.5)
    assert (beyond.start[1], beyond.end[1], beyond.text[:24]) == (93.0, 68.0, "hole to blade bolt 12.5 ")
    assert dims(34.0) == dims(34.4) == dims(33.6) == dims() == []
    assert len(dims(34.5)) == len(dims(33.5)) == 1  # from half a millimetre on


def test_nothing_is_measured_where_there_is_no_bolt_but_what_is_new():
    sheet = Sheet(2.0, "x")
    _holes(sheet, [Box((-5.0, 20.0), (5.0, 40.0), 0, 2), Box((5.0, 20.0), (12.0, 24.0), 2, 1, True)], twice)
    assert not sheet.dims


def test_balloons_stand_in_a_row_over_all_from_left_to_right():
    """14 mm over the highest, each over its part unless that is less than 9 mm from the last."""
    boxes = [
        Box((20.0, 0.0), (30.0, 20.0), 1, 1),
        Box((0.0, 0.0), (10.0, 20.0), 1, 2),
        Box((25.5, 0.0), (26.5, 10.0), 1, 12),
        Box((0.0, 25.0), (30.0, 30.0), 1, 0),  # without a number: no balloon
    ]
    sheet = Sheet(2.0, "x")
    _balloons(sheet, boxes, twice)
    rings = [one for one in sheet.circles if one.radius == 3.4]
    dots = [one for one in sheet.circles if one.radius == 0.4]
    assert len(sheet.circles) == 6
    assert {one.layer for one in (*sheet.circles, *sheet.lines)} == {"sign"}
    assert [one.centre for one in rings] == [(110.0, 74.0), (150.0, 74.0), (159.0, 74.0)]
    places = [(110.0, 36.0), (150.0, 36.0), (152.0, 18.0)]
    assert [one.centre for one in dots] == [pytest.approx(place) for place in places]
    assert [(one.text, one.size) for one in sheet.words] == [("2", 3.2), ("1", 3.2), ("12", 3.2)]
    assert [one.at for one in sheet.words] == [
        pytest.approx(at) for at in ((109.1, 72.9), (149.1, 72.9), (157.2, 72.9))
    ]
    assert [one.end for one in sheet.lines] == [pytest.approx(place) for place in places]
    away = math.hypot(7.0, 56.0)
    feet = [(110.0, 70.6), (150.0, 70.6), (159.0 - 3.4 * 7.0 / away, 74.0 - 3.4 * 56.0 / away)]
    assert [one.start for one in sheet.lines] == [pytest.approx(foot) for foot in feet]


def test_the_first_balloon_keeps_its_place_however_far_left():
    sheet = Sheet(1.0, "x")
    _balloons(sheet, [Box((0.0, 0.0), (10.0, 20.0), 1, 1)], lambda x, y: (x, y))
    assert sheet.circles[0].centre == (5.0, 34.0)


def test_where_two_places_are_as_good_the_one_on_the_left_is_pointed_at():
    """A tenth across costs 0.2 mm of height: it is gone aside for 0.5 mm more, not for 0.2."""
    own = Box((0.0, 0.0), (10.0, 20.0), 1, 1)
    over = Box((3.5, -1.0), (6.5, 30.0), 2, 2)  # the middle is hidden
    assert _seen([own], [own, over]) == pytest.approx((3.0, 18.0))
    flat = Box((0.0, 0.0), (10.0, 5.0), 1, 1)  # a tenth of it is half a millimetre; aside 0.2 a tenth
    over = Box((3.5, 4.2), (6.5, 30.0), 2, 2)
    assert _seen([flat], [flat, over]) == pytest.approx((3.0, 4.5))
    low = Box((3.5, 3.7), (6.5, 30.0), 2, 2)
    thin = Box((0.0, 0.0), (10.0, 2.0), 1, 1)  # a tenth of it is 0.2 mm
    assert _seen([thin], [thin, low]) == pytest.approx((5.0, 1.8))


def test_a_dot_keeps_three_tenths_of_a_millimetre_from_what_lies_over_its_part():
    """On every side of it."""
    own = Box((0.0, 0.0), (10.0, 20.0), 1, 1)
    for off, at in ((0.25, False), (0.35, True)):
        for near in (
            Box((5.0 + off, 17.0), (5.2 + off, 19.0), 2, 2),
            Box((4.8 - off, 17.0), (5.0 - off, 19.0), 2, 2),
            Box((4.0, 18.0 + off), (6.0, 18.2 + off), 2, 2),
            Box((4.0, 17.8 - off), (6.0, 18.0 - off), 2, 2),
        ):
            assert (_seen([own], [own, near]) == pytest.approx((5.0, 18.0))) == at


def test_a_line_ends_within_a_twentieth_of_a_millimetre_of_where_it_is_covered():
    """On the paper, at five times the size, wherever the edge is: lines are cut to tenths, by the middle of each."""
    for place in range(1, 60):
        edge = 0.11 * place
        sheet = Sheet(5.0, "x")
        _lines(
            sheet,
            "outline",
            (0.0, 0.0),
            (7.3, 0.0),
            lambda x, _y, edge=edge: x < edge,
            lambda x, y: (5.0 * x, y),
        )
        (line,) = sheet.lines
        assert line.start == (0.0, 0.0)
        assert abs(line.end[0] - 5.0 * edge) < 0.0501


def test_a_section_stands_in_the_middle_whatever_lies_on_either_side():
    """From -4 to 8 mm: its middle, 2 mm from the axis, in the middle of the frame. All that belongs to it is there."""
    boxes = [
        Box((-4.0, 20.0), (6.0, 40.0), 0, 3),
        Box((-3.0, 32.0), (3.0, 36.0), 3, 2),
        Box((4.0, 22.0), (8.0, 25.0), 2, 1, True),
        Box((-3.5, 22.0), (-3.0, 25.0), 2, 1, True),
    ]
    sheet = Sheet(2.0, "x")
    _section(sheet, boxes)
    x = 0.5 * (LEFT + RIGHT) - 2.0 * 2.0
    (axis,) = [line for line in sheet.lines if line.layer == "axis"]
    foot = 0.5 * (BOTTOM + BLOCK + UNDER + TOP - OVER) - 20.0
    assert (axis.start, axis.end) == (pytest.approx((x, foot - 6.0)), pytest.approx((x, foot + 40.0 + 6.0)))
    across = [line.start[0] for line in sheet.lines if line.layer == "outline"]
    assert (min(across), max(across)) == (pytest.approx(x - 8.0), pytest.approx(x + 16.0))
    words = {one.text: one for one in sheet.words}
    assert words["feathering axis"].at == pytest.approx((x + 1.0, foot - 9.0))
    assert words["feathering axis"].size == 2.4
    assert {dim.text.split()[0] for dim in sheet.dims} == {"above", "below", "hole"}
    assert {text for text in words if text.isdigit()} == {"1", "2", "3"}
    inside = [  # neither the bolt nor what was screwed on is hatched
        line
        for line in sheet.lines
        if line.layer == "hatch"
        for middle in [0.5 * (line.start[0] + line.end[0]) - x]
        if middle > 12.1
    ]
    assert not inside


def test_a_sheet_has_frame_title_list_and_stamp(monkeypatch):
    """What stands on it is put together by others; each is called with this sheet."""
    called = []
    monkeypatch.setattr(assembly_view, "items_of", lambda _: (["rows"], {"bolt": 1}))
    monkeypatch.setattr(assembly_view, "_boxes", lambda sizing, names: [(sizing, names)])
    monkeypatch.setattr(assembly_view, "_scale", lambda _: 5.0)
    for name in ("_section", "write_list", "write_title"):
        monkeypatch.setattr(assembly_view, name, lambda *given, name=name: called.append((name, *given)))
    sizing = SimpleNamespace(plain=SimpleNamespace(title="a rotor"))
    sheet = assembly_view.draw_assembly(sizing, ["mind"], "DO NOT RUN", ["it breaks"])
    assert (sheet.scale, sheet.title, sheet.stamp.word) == (5.0, "a rotor", "DO NOT RUN")
    assert called == [
        ("_section", sheet, [(sizing, {"bolt": 1})]),
        ("write_list", sheet, sizing, ["rows"], ["mind"]),
        ("write_title", sheet, sizing, "sheet 2 of 2"),
    ]
    frame = {(line.layer, line.start, line.end) for line in sheet.lines}
    corners = [(LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP), (LEFT, TOP)]
    sides = set(zip(corners, [*corners[1:], corners[0]], strict=True)) | {((LEFT, 70.0), (RIGHT, 70.0))}
    assert frame == {("frame", *side) for side in sides}
    (title,) = sheet.words
    assert (title.at, title.size, title.bold) == ((LEFT + 3.0, TOP - 7.0), 3.4, True)
    assert title.text.startswith("assembled, in section along the blade bolt")
