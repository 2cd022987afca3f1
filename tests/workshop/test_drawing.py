"""The drawing: both units, true scale, the area common to A4 and Letter, the same bytes each time, no overlaps."""

import io
import itertools
from pathlib import Path

import ezdxf
import pytest

from featherbench.checks import CAUTIONS
from featherbench.pictures.workshop_sheet import sheet_bytes
from featherbench.scenario import read
from featherbench.sizing import size
from featherbench.views.first_lines import of_sizing
from featherbench.workshop.drawing import draw_sheet
from featherbench.workshop.dxf import sheet_dxf
from featherbench.workshop.sheet import BOTTOM, LEFT, PAPER, RIGHT, TOP

SCENARIOS = Path(__file__).parents[2] / "scenarios"
CASES = [
    ("survey-3kg", "bolt"),
    ("lifter-6kg", "arms"),
    ("scout-1kg", "standard"),
    ("scout-1kg", "bolt"),
    ("tutorial-2kg", "collars"),
]


@pytest.fixture(scope="module", params=CASES, ids=lambda case: "-".join(case))
def drawn(request):
    name, route = request.param
    found = size(read(SCENARIOS / name / "plain.toml"), route)
    first = of_sizing(found)
    return found, draw_sheet(found, CAUTIONS, first.stamp, first.lines)


def test_every_dimension_is_true_and_in_both_units(drawn):
    _, sheet = drawn
    assert sheet.dims
    for dim in sheet.dims:
        number, _, rest = dim.text.replace("Ø ", "").replace("AF ", "").partition(" mm (")
        along = 0 if dim.along == "x" else 1
        length = abs(dim.end[along] - dim.start[along]) / sheet.scale
        assert float(number) == pytest.approx(length, abs=6e-4)
        assert float(rest.removesuffix(" in)")) * 25.4 == pytest.approx(length, abs=2e-3)


def test_all_lies_on_a4_and_on_letter(drawn):
    _, sheet = drawn
    letter = (279.4, 215.9)
    side = (PAPER[0] - letter[0]) / 2.0
    for line in sheet.lines:
        for x, y in (line.start, line.end):
            assert side + 6.0 < LEFT - 1e-9 <= x <= RIGHT + 1e-9
            assert BOTTOM - 1e-9 <= y <= TOP + 1e-9
    for words in sheet.words:
        assert BOTTOM <= words.at[1] <= TOP
        assert words.at[0] + 0.55 * words.size * len(words.text) <= RIGHT


def test_words_do_not_lie_on_words(drawn):
    _, sheet = drawn
    boxes = [
        (one.at[0], one.at[1], one.at[0] + 0.5 * one.size * len(one.text), one.at[1] + 0.7 * one.size)
        for one in sheet.words
    ]
    for (i, one), (j, other) in itertools.combinations(enumerate(boxes), 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (sheet.words[i].text, sheet.words[j].text)


def test_the_sheet_says_what_it_must(drawn):
    found, sheet = drawn
    text = " ".join(words.text for words in sheet.words)
    for wanted in ("invented data", "ISO 21940-11", "Caution", f"scale {sheet.scale:g}:1", "g each"):
        assert wanted in text
    for one in found.best.build.made:
        assert one.name in text
        assert "±0." in text or one.standard


@pytest.mark.parametrize("drawn", CASES[:1], ids=lambda case: "-".join(case), indirect=True, scope="module")
@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_the_same_sheet_gives_the_same_file(drawn, kind):
    _, sheet = drawn
    one = sheet_bytes(sheet, kind)
    assert one == sheet_bytes(sheet, kind)
    assert b"CreationDate" not in one
    assert b"dc:date" not in one


def test_the_dxf_is_sound_and_has_real_dimensions(drawn):
    found, sheet = drawn
    document = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8")))
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4  # millimetres
    space = document.modelspace()
    dims = space.query("DIMENSION")
    assert len(dims) == len(sheet.dims)
    measured = sorted(round(dim.get_measurement(), 3) for dim in dims)
    lengths = sorted(
        round(float(d.text.replace("Ø ", "").replace("AF ", "").split()[0]), 3) for d in sheet.dims
    )
    assert measured == pytest.approx(lengths, abs=1e-3)
    turned = [one for one in found.best.build.made if not one.standard]
    assert len(space.query("LWPOLYLINE")) == sum(len(one.pieces) for one in turned)
