"""A sheet of a line, a circle and a stamp set by hand, on paper and in the DXF: each where it was put."""

import io

import ezdxf
import pytest

from featherbench.render.pictures.workshop_sheet import PAPER, sheet_figure
from featherbench.workshop.dxf import sheet_dxf
from featherbench.workshop.sheet import Circle, Line, Sheet, Stamp, Words


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
