"""A sheet of a line, a circle and a stamp set by hand, on paper and in the DXF: each where it was put."""

import io

import ezdxf
import pytest

from featherbench.pictures.workshop_sheet import PAPER, sheet_figure
from featherbench.workshop.dxf import sheet_dxf
from featherbench.workshop.sheet import Circle, Dim, Line, Profile, Sheet, Stamp, Words


@pytest.fixture
def sheet():
    """At twice the size: 40 mm on paper are 20 mm of the part."""
    return Sheet(
        scale=2.0,
        title="set by hand",
        lines=[Line("outline", (60.0, 80.0), (100.0, 80.0))],
        circles=[Circle("outline", (140.0, 80.0), 12.0)],
        stamp=Stamp("NOT TO BE MADE", (Words((30.0, 150.0), 4.0, "it does not hold"),)),
    )


def test_paper_shows_all_of_it_at_full_size(sheet):
    axes = sheet_figure(sheet).axes[0]
    assert (axes.get_xlim(), axes.get_ylim()) == ((0.0, PAPER[0]), (0.0, PAPER[1]))
    (circle,) = axes.patches
    assert (tuple(circle.center), circle.radius) == ((140.0, 80.0), 12.0)
    assert any(
        list(line.get_xdata()) == [60.0, 100.0] and list(line.get_ydata()) == [80.0, 80.0]
        for line in axes.lines
    )
    assert "it does not hold" in [text.get_text() for text in axes.texts]


def test_the_dxf_has_the_size_of_the_part_and_the_stamp_where_it_stands(sheet):
    space = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8"))).modelspace()
    (circle,) = space.query("CIRCLE")
    assert (tuple(circle.dxf.center.vec2), circle.dxf.radius) == ((70.0, 40.0), 6.0)
    (why,) = [text for text in space.query("TEXT") if text.dxf.text == "it does not hold"]
    assert tuple(why.dxf.insert.vec2) == (15.0, 75.0)
    (word,) = [text for text in space.query("TEXT") if text.dxf.text == "NOT TO BE MADE"]
    assert word.dxf.align_point.x == pytest.approx(PAPER[0] / 4.0)


def test_lines_of_the_dxf_run_as_they_were_drawn(sheet):
    """From 60 to 100 mm on paper, 80 mm up, at twice the size."""
    space = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8"))).modelspace()
    (line,) = space.query('LINE[layer=="OUTLINE"]')
    assert (tuple(line.dxf.start.vec2), tuple(line.dxf.end.vec2)) == ((30.0, 40.0), (50.0, 40.0))


def test_the_same_sheet_gives_the_same_dxf_whatever_was_set_before(sheet):
    ezdxf.options.write_fixed_meta_data_for_testing = False
    one = sheet_dxf(sheet)
    ezdxf.options.write_fixed_meta_data_for_testing = False
    assert sheet_dxf(sheet) == one


def test_colours_of_the_dxf_are_those_of_the_trade(sheet):
    """Numbers of the format's colour index (MEM): 7 black or white, 8 grey, 1 red, 5 blue, 3 green."""
    sheet.profiles.append(Profile("bolt", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), 0.0))
    layers = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8"))).layers
    expected = {"OUTLINE": 7, "TEXT": 7, "HIDDEN": 8, "THREAD": 8, "FRAME": 8, "AXIS": 1, "DIMENSIONS": 5}
    expected |= {"FLAT": 7, "DIAGONAL": 8, "HATCH": 8, "SIGN": 8}
    assert {name: layers.get(name).dxf.color for name in expected} == expected
    assert layers.get("PROFILE-BOLT").dxf.color == 3


LONG, SHORT, TINY = "20 mm (0.7874 in)", "5 mm (0.1969 in)", "2 mm (0.0787 in)"


@pytest.fixture
def dimensioned():
    """Lengths of 40, 10 and 4 mm on paper, 10 mm below what they measure; a height of 30 mm, 8 mm beside it."""
    sheet = Sheet(scale=2.0, title="set by hand")
    for start, long, text in ((60.0, 40.0, LONG), (120.0, 10.0, SHORT), (160.0, 4.0, TINY)):
        ends = (start, 80.0), (start + long, 80.0)
        sheet.dims.append(Dim(*ends, (start, 70.0), "x", text))
    sheet.dims.append(Dim((200.0, 60.0), (200.0, 90.0), (208.0, 75.0), "y", "Ø 15 mm"))
    return sheet


def test_words_of_a_dimension_stand_over_its_line_or_beside_it(dimensioned):
    """Over the middle where there is room for them; else beyond the end, clear of the arrows that point inward."""
    texts = {text.get_text(): text for text in sheet_figure(dimensioned).axes[0].texts if text.get_text()}
    assert texts[LONG].get_position() == pytest.approx((80.0, 70.8))
    assert texts[LONG].get_horizontalalignment() == "center"
    assert texts[SHORT].get_position() == pytest.approx((130.0 + 2.5, 70.8))
    assert texts[TINY].get_position() == pytest.approx((164.0 + 6.5, 70.8))
    assert {texts[SHORT].get_horizontalalignment(), texts[TINY].get_horizontalalignment()} == {"left"}
    assert texts["Ø 15 mm"].get_position() == pytest.approx((209.5, 75.0))
    assert texts["Ø 15 mm"].get_verticalalignment() == "center"


def test_words_take_six_tenths_of_their_height_each(dimensioned):
    """2.6 mm high, 27 characters: 43.5 mm."""
    for long, middle in ((43.4, False), (43.6, True)):
        text = "x" * 27
        sheet = Sheet(
            scale=1.0, title="", dims=[Dim((60.0, 80.0), (60.0 + long, 80.0), (60.0, 70.0), "x", text)]
        )
        (found,) = (one for one in sheet_figure(sheet).axes[0].texts if one.get_text())
        assert (found.get_horizontalalignment() == "center") == middle
    assert dimensioned.scale == 2.0


def test_lines_of_a_dimension_reach_past_it_and_arrows_touch_its_ends(dimensioned):
    axes = sheet_figure(dimensioned).axes[0]
    lines = {tuple(map(tuple, line.get_xydata().round(6))) for line in axes.lines}
    for x in (60.0, 100.0, 120.0, 130.0, 160.0, 164.0):
        assert ((x, 80.0), (x, 68.5)) in lines
    for y in (60.0, 90.0):
        assert ((200.0, y), (209.5, y)) in lines
    arrows = {
        (tuple(arrow.xy), tuple(arrow.get_position()), arrow.arrowprops["arrowstyle"])
        for arrow in axes.texts
        if getattr(arrow, "arrowprops", None)
    }
    assert arrows == {
        ((60.0, 70.0), (100.0, 70.0), "<|-|>"),
        ((120.0, 70.0), (130.0, 70.0), "<|-|>"),
        ((208.0, 60.0), (208.0, 90.0), "<|-|>"),
        ((160.0, 70.0), (155.0, 70.0), "-|>"),  # from outside, 5 mm long
        ((164.0, 70.0), (169.0, 70.0), "-|>"),
    }


def test_arrows_stand_outside_where_three_do_not_fit():
    """Each is 2.2 mm long."""
    for long, count in ((6.5, 2), (6.7, 1)):
        sheet = Sheet(
            scale=1.0, title="", dims=[Dim((60.0, 80.0), (60.0, 80.0 + long), (70.0, 80.0), "y", "x")]
        )
        arrows = [one for one in sheet_figure(sheet).axes[0].texts if getattr(one, "arrowprops", None)]
        assert len(arrows) == count
        if count == 2:
            assert {(one.xy, one.get_position()) for one in arrows} == {
                ((70.0, 80.0), (70.0, 75.0)),
                ((70.0, 86.5), (70.0, 91.5)),
            }


def read_back(sheet):
    return ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8")))


def test_dimensions_of_the_dxf_measure_the_part_and_say_it(dimensioned):
    """At twice the size: 20, 5, 2 and 15 mm; dimension lines 5 mm below, 4 mm beside; letters 0.936 mm high."""
    document = read_back(dimensioned)
    dims = list(document.modelspace().query("DIMENSION"))
    assert [dim.get_measurement() for dim in dims] == pytest.approx([20.0, 5.0, 2.0, 15.0])
    assert [dim.dxf.text for dim in dims] == [LONG, SHORT, TINY, "dia. 15 mm"]
    assert [dim.dxf.layer for dim in dims] == ["DIMENSIONS"] * 4
    assert [dim.dxf.angle for dim in dims] == [0.0, 0.0, 0.0, 90.0]
    assert [dim.dxf.defpoint.y for dim in dims[:3]] == pytest.approx([35.0] * 3)
    assert dims[3].dxf.defpoint.x == pytest.approx(104.0)
    style = document.dimstyles.get("WORKSHOP").dxf
    assert (style.dimtxt, style.dimasz) == pytest.approx((0.72 * 2.6 / 2.0, 2.2 / 2.0))
    assert (style.dimexo, style.dimexe, style.dimgap) == pytest.approx((0.15, 0.75, 0.3))
    assert (style.dimscale, style.dimlfac, style.dimtad) == (1.0, 1.0, 1)
    assert style.dimblk == ""  # filled arrows, no strokes


def test_words_of_a_narrow_dimension_in_the_dxf_begin_beyond_it(dimensioned):
    """16 letters of 0.62 x 2.6 mm at half the size: 12.9 mm wide; their middle half of that and 1 mm beyond the end."""
    wide, narrow, tiny, _ = read_back(dimensioned).modelspace().query("DIMENSION")
    half = 0.5 * 0.62 * 2.6 * len(SHORT) / 2.0
    for dim, end in ((narrow, 65.0), (tiny, 82.0)):
        place = dim.dxf.text_midpoint
        assert (place.x, place.y) == pytest.approx((end + half + 1.0, 35.0 + 0.75))
    assert 30.0 < wide.dxf.text_midpoint.x < 50.0
    mirrored = Sheet(scale=1.0, title="", dims=[Dim((130.0, 80.0), (120.0, 80.0), (130.0, 70.0), "x", SHORT)])
    (back,) = read_back(mirrored).modelspace().query("DIMENSION")
    assert back.dxf.text_midpoint.x > 132.0


def test_words_of_a_wide_dimension_stay_over_it_whichever_way_it_runs():
    sheet = Sheet(scale=1.0, title="", dims=[Dim((160.0, 80.0), (60.0, 80.0), (160.0, 70.0), "x", SHORT)])
    (dim,) = read_back(sheet).modelspace().query("DIMENSION")
    assert 100.0 < dim.dxf.text_midpoint.x < 120.0


def test_the_dxf_has_layers_by_what_a_line_is(sheet):
    """Outlines whole, hidden lines dashed, axes in chains; what is not an outline in another colour."""
    sheet.lines += [
        Line(layer, (1.0, 1.0), (2.0, 2.0)) for layer in ("hidden", "axis", "axis long bolt", "thread")
    ]
    sheet.profiles.append(
        Profile("long bolt", ((10.0, 20.0), (30.0, 20.0), (30.0, 26.0), (10.0, 26.0)), 20.0)
    )
    sheet.words.append(Words((40.0, 60.0), 5.0, "Ø 3 mm"))
    document = read_back(sheet)
    styles = {layer.dxf.name: (layer.dxf.linetype.upper(), layer.dxf.color) for layer in document.layers}
    assert {name: styles[name][0] for name in ("OUTLINE", "HIDDEN", "AXIS", "AXIS-LONG-BOLT", "THREAD", "FRAME")} == {
        "OUTLINE": "CONTINUOUS", "HIDDEN": "DASHED", "AXIS": "CENTER", "AXIS-LONG-BOLT": "CENTER",
        "THREAD": "CONTINUOUS", "FRAME": "CONTINUOUS",
    }  # fmt: skip
    assert (
        len({styles[name][1] for name in ("OUTLINE", "HIDDEN", "AXIS", "DIMENSIONS", "PROFILE-LONG-BOLT")})
        == 5
    )
    space = document.modelspace()
    (section,) = space.query('LWPOLYLINE[layer=="PROFILE-LONG-BOLT"]')
    assert section.closed
    assert [tuple(point) for point in section.get_points("xy")] == [
        (5.0, 10.0),
        (15.0, 10.0),
        (15.0, 13.0),
        (5.0, 13.0),
    ]
    (words,) = [text for text in space.query('TEXT[layer=="TEXT"]') if text.dxf.text == "dia. 3 mm"]
    assert tuple(words.dxf.insert.vec2) == (20.0, 30.0)
    assert words.dxf.height == pytest.approx(0.72 * 5.0 / 2.0)


def test_a_stamp_lies_across_the_sheet_large_and_aslant(sheet):
    """24 mm high, 18 degrees up, 125 mm from the foot, on a layer that bears its name."""
    document = read_back(sheet)
    (word,) = [text for text in document.modelspace().query("TEXT") if text.dxf.text == "NOT TO BE MADE"]
    assert word.dxf.layer == "NOT-TO-BE-MADE"
    assert (word.dxf.height, word.dxf.rotation) == pytest.approx((0.72 * 24.0 / 2.0, 18.0))
    assert word.dxf.align_point.y == pytest.approx(125.0 / 2.0)
    (why,) = [text for text in document.modelspace().query("TEXT") if text.dxf.text == "it does not hold"]
    assert (why.dxf.layer, why.dxf.height) == ("NOT-TO-BE-MADE", pytest.approx(0.72 * 4.0 / 2.0))
    assert document.layers.get("NOT-TO-BE-MADE").dxf.color == document.layers.get("AXIS").dxf.color
    axes = sheet_figure(sheet).axes[0]
    (shown,) = [text for text in axes.texts if text.get_text() == "NOT TO BE MADE"]
    assert shown.get_position() == pytest.approx((148.5, 125.0))
    assert (shown.get_rotation(), shown.get_fontsize()) == pytest.approx((18.0, 24.0 * 72.0 / 25.4))
    assert shown.get_bbox_patch() is not None
    assert 0.3 < shown.get_alpha() < 0.7  # read through


def test_strokes_of_the_paper_differ_by_what_a_line_is(sheet):
    """Outlines 0.5 mm, the others thinner; hidden ones and axes broken; letters as high as they say."""
    sheet.lines += [
        Line(layer, (1.0, row), (9.0, row)) for row, layer in enumerate(("hidden", "axis x", "thread"))
    ]
    axes = sheet_figure(sheet).axes[0]
    lines = {tuple(line.get_ydata()): line for line in axes.lines}
    widths = {row: lines[(row, row)].get_linewidth() for row in (0, 1, 2, 80.0)}
    assert widths[80.0] == pytest.approx(0.5 * 72.0 / 25.4)
    assert max(widths[0], widths[1], widths[2]) < widths[80.0]
    assert [widths[row] * 25.4 / 72.0 for row in (0, 1, 2)] == pytest.approx(
        [0.25, 0.18, 0.25]
    )  # ISO 128 (MEM)
    assert [lines[(row, row)].is_dashed() for row in (0, 1, 2, 80.0)] == [True, True, False, False]
    (circle,) = axes.patches
    assert circle.get_linewidth() == pytest.approx(0.5 * 72.0 / 25.4)
    assert not circle.get_fill()
    (words,) = [text for text in axes.texts if text.get_text() == "it does not hold"]
    assert words.get_fontsize() == pytest.approx(4.0 * 72.0 / 25.4)
