"""The second sheet: parts where they are, numbered as in their list, above and below to be told apart."""

import io
import itertools
import math
from pathlib import Path

import ezdxf
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from typer.testing import CliRunner

from featherbench.checks import run_cautions
from featherbench.cli import app
from featherbench.judging.sizing import size
from featherbench.pictures.workshop_sheet import sheet_figure, sheets_pdf
from featherbench.scenario import read
from featherbench.views.first_lines import of_sizing
from featherbench.workshop.assembly_view import Box, _hatch, draw_assembly
from featherbench.workshop.drawing import draw_sheet
from featherbench.workshop.dxf import sheet_dxf
from featherbench.workshop.sheet import BLOCK, BOTTOM, LEFT, RIGHT, TOP, Sheet

SCENARIOS = Path(__file__).parents[2] / "scenarios"
OWN = [
    {"shape": "screw", "standard": "ISO 4762", "size": "M3x20", "count": 2, "shank_length": "9.5 mm"},
    {"shape": "washer", "standard": "ISO 7089", "size": "M3", "count": 12},
    {"shape": "nut", "standard": "ISO 4032", "size": "M3", "count": 4},
]


CASES = [
    ("survey-3kg", "bolt"),
    ("lifter-6kg", "arms"),
    ("scout-1kg", "standard"),
    ("survey-3kg", "own"),
    ("tutorial-2kg", "collars"),
    ("survey-3kg/weighted", "collars"),
]


@pytest.fixture(scope="module", params=CASES, ids="-".join)
def drawn(request):
    name, route = request.param
    folder, _, file = name.partition("/")
    found = size(
        read(SCENARIOS / folder / f"{file or 'plain'}.toml", {"own": OWN} if route == "own" else {}), route
    )
    first = of_sizing(found)
    return found, draw_assembly(found, run_cautions(found.run), first.stamp, first.lines)


def balloons(sheet):
    """Number in each, and where its line ends."""
    rings = [one for one in sheet.circles if one.layer == "sign" and one.radius == pytest.approx(3.4)]
    found = {}
    for ring in rings:
        (number,) = [
            words.text
            for words in sheet.words
            if abs(words.at[0] - ring.centre[0]) < 3.0 and abs(words.at[1] - ring.centre[1]) < 2.0
        ]
        (leader,) = [
            line
            for line in sheet.lines
            if line.layer == "sign"
            and ((line.start[0] - ring.centre[0]) ** 2 + (line.start[1] - ring.centre[1]) ** 2) ** 0.5
            == pytest.approx(ring.radius)
        ]
        found[int(number)] = leader.end
    return found


def rows(sheet):
    """The list, row by row, as it is read."""
    block = [w for w in sheet.words if w.at[0] < 190.0 and w.size == 2.4 and w.at[1] < BOTTOM + BLOCK]
    lines = {}
    for words in block:
        lines.setdefault(round(words.at[1], 3), []).append((words.at[0], words.text))
    return [[text for _, text in sorted(line)] for _, line in sorted(lines.items(), reverse=True)]


def test_every_part_has_its_number_and_row_and_how_many(drawn):
    found, sheet = drawn
    made, blades = found.best.build.made, found.plain.rotor.blades
    numbers, listed = balloons(sheet), rows(sheet)[1:]
    for number, one in enumerate(made, 1):
        assert number in numbers
        assert listed[number - 1][:4] == [str(number), str(one.count), str(one.count * blades), one.name]
        if one.where:
            assert f"({one.where})" in listed[number - 1][4]
    fitted = [row for row in listed if any(text.endswith("as fitted") for text in row)]
    assert {"grip", "blade root"} <= {row[-3] if row[-1] == "" else row[-2] for row in fitted} | {
        text for row in fitted for text in row
    }
    assert sorted(numbers) == list(range(1, len(made) + len(fitted) + 1))


def origin_of(sheet):
    """Where the feathering axis is on the paper: the upright axis line."""
    (axis,) = [line for line in sheet.lines if line.layer == "axis"]
    return axis.start[0]


def test_a_balloons_line_ends_in_its_part(drawn):
    """By heights of the build's own solids along the normal."""
    found, sheet = drawn
    numbers, x = balloons(sheet), origin_of(sheet)
    for number, one in enumerate(found.best.build.made, 1):
        height = (numbers[number][0] - x) / sheet.scale * 1e-3
        solids = [
            s for part in found.run.setup.assembly.parts if part.name in one.fitted for s in part.solids
        ]
        assert solids
        assert any(abs(height - s.centre[2]) <= s.size[2] / 2.0 + one.screwed_in + 1e-6 for s in solids), (
            one.name,
            height,
        )


def test_above_and_below_are_as_far_as_the_table_says(drawn):
    found, sheet = drawn
    along = [dim for dim in sheet.dims if dim.along == "x"]
    said = {dim.text.split()[0]: float(dim.text.split()[1]) for dim in along}
    assert said == pytest.approx({"above": 1e3 * found.best.above, "below": 1e3 * found.best.below}, abs=6e-4)
    for dim in along:
        assert abs(dim.end[0] - dim.start[0]) / sheet.scale == pytest.approx(
            said[dim.text.split()[0]], abs=6e-4
        )
    x = origin_of(sheet)
    above = next(dim for dim in sheet.dims if dim.text.startswith("above"))
    assert min(above.start[0], above.end[0]) == pytest.approx(x)  # to the right


def test_the_hole_of_an_arm_has_its_place(drawn):
    """From the blade bolt, to scale; where all stands on the bolt there is none to say."""
    found, sheet = drawn
    holes = [dim for dim in sheet.dims if dim.along == "y"]
    assert len(holes) == (found.best.route == "arms")
    for dim in holes:
        off = 1e3 * (found.space.radius - found.space.arm_radius)
        assert abs(dim.end[1] - dim.start[1]) / sheet.scale == pytest.approx(off, abs=1e-6)
        assert f"hole to blade bolt {off:g} mm" in dim.text


def test_outlines_are_where_the_solids_end(drawn):
    """Each end of each new solid along the normal has an upright line there."""
    found, sheet = drawn
    x = origin_of(sheet)
    upright = [
        line.start[0]
        for line in sheet.lines
        if line.layer == "outline" and line.start[0] == pytest.approx(line.end[0])
    ]
    names = {name for one in found.best.build.made if not one.screwed_in for name in one.fitted}
    for part in found.run.setup.assembly.parts:
        for solid in part.solids if part.name in names else ():
            far = max(abs(solid.centre[2] - solid.size[2] / 2.0), abs(solid.centre[2] + solid.size[2] / 2.0))
            at = x + (far if solid.centre[2] > 0.0 else -far) * 1e3 * sheet.scale
            if abs(solid.centre[2]) > 4e-3:
                assert any(abs(at - one) < 1e-3 for one in upright), (part.name, far)


@pytest.mark.parametrize(("rank", "way"), [(0, 1.0), (1, -1.0)])
@pytest.mark.parametrize(("low", "high"), [((3.0, 20.0), (14.0, 26.0)), ((-9.0, -7.0), (-2.0, 11.0))])
def test_hatching_fills_its_box_with_lines_at_45_degrees_2_mm_apart(rank, way, low, high):
    """Drawn twice as large: the grip's rise to the right, the blade root's fall; each from edge to edge. Lines 2 mm
    apart on the paper are together as long as the area over 2 mm, but for what the corners cut short.
    """
    sheet = Sheet(2.0, "x")
    _hatch(sheet, Box(low, high, rank, 1), lambda _x, _y: True, lambda x, y: (2.0 * x, 2.0 * y))
    edges = [2.0 * value for value in (*low, *high)]
    offsets = []
    for line in sheet.lines:
        (x0, y0), (x1, y1) = line.start, line.end
        assert (y1 - y0) == pytest.approx(way * (x1 - x0))
        for x, y in (line.start, line.end):
            assert edges[0] - 1e-9 <= x <= edges[2] + 1e-9
            assert edges[1] - 1e-9 <= y <= edges[3] + 1e-9
            assert min(abs(x - edges[0]), abs(x - edges[2]), abs(y - edges[1]), abs(y - edges[3])) < 1e-9
        offsets.append((y0 - way * x0) / math.sqrt(2.0))
    assert all(two - one == pytest.approx(2.0) for one, two in itertools.pairwise(sorted(offsets)))
    area = (edges[2] - edges[0]) * (edges[3] - edges[1])
    assert sum(math.dist(line.start, line.end) for line in sheet.lines) == pytest.approx(area / 2.0, rel=0.05)


def test_all_lies_within_the_frame_and_no_words_on_words(drawn):
    _, sheet = drawn
    for line in sheet.lines:
        for x, y in (line.start, line.end):
            assert LEFT - 1e-9 <= x <= RIGHT + 1e-9
            assert BOTTOM - 1e-9 <= y <= TOP + 1e-9
    figure = sheet_figure(sheet)
    renderer = FigureCanvasAgg(figure).get_renderer()
    stamp = sheet.stamp.word if sheet.stamp else ""
    boxes = [
        (text.get_text(), text.get_window_extent(renderer))
        for text in figure.axes[0].texts
        if text.get_text().strip() and text.get_text() != stamp
    ]
    scale = figure.dpi / 25.4
    for words, box in boxes:
        assert LEFT * scale - 1e-6 <= box.x0, words
        assert box.x1 <= RIGHT * scale, words
        assert BOTTOM * scale - 1e-6 <= box.y0, words
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        high = min(first.y1, second.y1) - max(first.y0, second.y0)
        assert across <= 0.0 or high <= 0.15 * min(first.height, second.height), (one, other)


def test_it_is_stamped_and_carries_all_cautions(drawn):
    found, sheet = drawn
    text = " ".join(words.text for words in sheet.words)
    assert "sheet 2 of 2" in text
    assert text.count("Caution: ") == len(run_cautions(found.run))
    assert "lock" in text
    assert f"scale {sheet.scale:g}:1" in text
    assert (sheet.stamp is not None) == (not found.best.holds)


def test_files_are_sound(drawn):
    _, sheet = drawn
    document = ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8")))
    assert not document.audit().errors
    assert document.modelspace().query('LINE[layer=="HATCH"]')


@pytest.mark.parametrize("drawn", CASES[:1], ids="-".join, indirect=True, scope="module")
def test_both_sheets_are_one_file_the_same_each_time(drawn):
    found, sheet = drawn
    both = (draw_sheet(found, run_cautions(found.run), "", ()), sheet)
    pdf = sheets_pdf(both)
    assert pdf == sheets_pdf(both)
    assert pdf.count(b"/Type /Page ") == 2
    assert b"CreationDate" not in pdf


@pytest.mark.parametrize("ending", ["svg", "dxf"])
def test_neither_sheet_is_written_over(tmp_path, ending):
    """The second has a file of its own beside the first; nothing is sized before both may be written."""
    (tmp_path / f"bolt-assembly.{ending}").write_text("mine", encoding="utf-8")
    plain = SCENARIOS / "survey-3kg" / "plain.toml"
    done = CliRunner().invoke(app, ["size", str(plain), "--drawing", str(tmp_path / f"bolt.{ending}")])
    assert done.exit_code != 0
    assert not (tmp_path / f"bolt.{ending}").exists()
    assert (tmp_path / f"bolt-assembly.{ending}").read_text(encoding="utf-8") == "mine"
