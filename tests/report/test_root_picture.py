"""The blade root is drawn where and as large as the assembly has it, to one scale, with the masses it was given."""

from __future__ import annotations

import functools
import itertools
import re
from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Annotation, Text

from featherbench.assembly import Solid
from featherbench.assembly.place import feathering_turn
from featherbench.pictures import style
from featherbench.pictures.root import build_of, root_figure
from featherbench.pictures.root_views import AROUND, VIEWS, Build, outline, shape_of
from featherbench.scenario import read
from featherbench.views.pictures import root_caption

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FILES = sorted(SCENARIOS.glob("*/*.toml"))
LENGTH = st.floats(0.5e-3, 60e-3)
PLACE = st.tuples(*[st.floats(-0.1, 0.1)] * 3)
FLAT = {  # extents across the corners over those across the flats, along the second of the other two axes
    "round": 1.0,
    "hex": 2.0 / np.sqrt(3.0),
}


def typed(low: int, high: int) -> st.SearchStrategy[float]:
    """As a person types it: to a tenth."""
    return st.integers(10 * low, 10 * high).map(lambda tenths: tenths / 10.0)


def width(points: np.ndarray) -> np.ndarray:
    return np.asarray(np.ptp(points, axis=0))


@given(LENGTH, LENGTH, LENGTH, PLACE)
def test_a_box_is_seen_in_its_own_size_and_place(r: float, c: float, n: float, at: tuple) -> None:
    for view, seen in VIEWS.items():
        points = outline(Solid("box", "", at, (r, c, n)), view)
        np.testing.assert_allclose(width(points), np.array([r, c, n])[list(seen)], atol=1e-11)
        np.testing.assert_allclose(points.mean(axis=0), np.array(at)[list(seen)], atol=1e-11)


@given(
    st.sampled_from(["round", "hex"]), st.sampled_from(["radius", "chord", "normal"]), LENGTH, LENGTH, PLACE
)
def test_a_turned_piece_is_seen_in_its_own_size(
    kind: str, axis: str, across: float, long: float, at: tuple
) -> None:
    size = {name: across for name in ("radius", "chord", "normal")}
    second = [name for name in size if name != axis][1]
    size[second] *= FLAT[kind]
    size[axis] = long
    drawn = dict.fromkeys(("radius", "chord", "normal"), across) | {axis: long}
    for view, seen in VIEWS.items():
        points = outline(Solid(kind, axis, at, tuple(drawn.values())), view)  # type: ignore[arg-type]
        np.testing.assert_allclose(width(points), np.array(list(size.values()))[list(seen)], atol=1e-11)


@given(st.floats(-1.5, 1.5), LENGTH, LENGTH, LENGTH, PLACE)
def test_a_turn_shows_from_the_tip_and_keeps_the_area(
    turn: float, r: float, c: float, n: float, at: tuple
) -> None:
    points = outline(Solid("box", "", at, (r, c, n), turn=turn), "end")
    x, y = (points - np.array(at[1:])).T
    area = 0.5 * abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    assert area == pytest.approx(c * n, rel=1e-6)
    corner = feathering_turn(turn)[1:, 1:] @ np.array([0.5 * c, 0.5 * n]) + np.array(at[1:])
    assert np.min(np.linalg.norm(points - corner, axis=1)) < 1e-10


@given(st.floats(-1.5, 1.5), LENGTH, LENGTH)
def test_a_bar_along_the_radius_looks_the_same_however_it_is_turned(
    turn: float, across: float, long: float
) -> None:
    points = outline(Solid("round", "radius", (0.0, 0.0, 0.0), (long, across, across), turn=turn), "end")
    shortfall = 1.0 - np.cos(np.pi / AROUND)
    np.testing.assert_allclose(width(points), across, rtol=shortfall + 1e-9)


@settings(max_examples=15, deadline=None)
@given(typed(1, 30), typed(2, 9), typed(-80, 80), typed(10, 70))
def test_a_mirrored_twin_stands_opposite(
    scenario_of, height: float, across: float, turn: float, radius: float
) -> None:
    weight = {
        "group": "counterweight",
        "shape": "cylinder",
        "axis": "normal",
        "diameter": f"{across!r} mm",
        "length": "3 mm",
        "at": {"radius": f"{radius!r} mm", "normal": f"{height!r} mm"},
        "mirror": "normal",
        "turn": f"{turn!r} deg",
        "material": "brass",
    }
    build = build_of(scenario_of(part={"weight": weight}))
    part = next(part for part in build.assembly.parts if part.name == "weight")
    for view in ("side", "end"):
        one, other = shape_of(part, view, build.assembly, build.scenario).outlines
        middle = np.array([radius * 1e-3, 0.0]) if view == "side" else np.zeros(2)
        turned = 2.0 * middle - other if view == "end" else other * [1.0, -1.0]
        assert np.allclose(sorted(map(tuple, np.round(one, 9))), sorted(map(tuple, np.round(turned, 9))))


def texts_of(figure: Figure) -> list[tuple[str, object]]:
    with style.applied():
        renderer = FigureCanvasAgg(figure).get_renderer()
        for ax in (
            figure.axes
        ):  # what decides where texts come to stand; painting all takes as long again as the test
            ax.apply_aspect()
            for text in ax.texts:
                if isinstance(text, Annotation):
                    text.update_positions(renderer)
    return [
        (text.get_text(), Text.get_window_extent(text, renderer).padded(-1.0))
        for ax in figure.axes
        for text in ax.texts
        if text.get_text()
    ]


def builds(files: list[Path]) -> list[Build]:
    return [build_of(read(file), file.stem if len(files) > 1 else "") for file in files]


@functools.cache
def drawn(file: Path, system: str) -> tuple[Figure, list[tuple[str, object]]]:
    """The picture of a file, and its texts; drawn once."""
    figure = root_figure(builds([file]), system)
    return figure, texts_of(figure)


@pytest.mark.parametrize("system", ["metric", "trade"])
@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.name}-{file.stem}")
def test_no_text_lies_on_another_or_outside(file: Path, system: str) -> None:
    assert_clear(*drawn(file, system))


FOLDERS = sorted({file.parent for file in FILES if len(list(file.parent.glob("*.toml"))) > 1})


@pytest.mark.parametrize("system", ["metric", "trade"])
@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_no_text_lies_on_another_where_builds_are_compared(folder: Path, system: str) -> None:
    files = sorted(folder.glob("*.toml"))[:3]
    figure = root_figure(builds(files), system)
    assert len(figure.axes) == 2 * len(files)
    assert_clear(figure, texts_of(figure))
    assert_one_scale(figure)


def assert_clear(figure: Figure, texts: list[tuple[str, object]]) -> None:
    assert len(texts) > 12
    for (one, box), (other, second) in itertools.combinations(texts, 2):
        assert not box.overlaps(second), (one, other)
    for text, box in texts:
        assert min(box.x0, box.y0) >= 0.0, text
        assert max(box.x1 - figure.bbox.x1, box.y1 - figure.bbox.y1) <= 0.0, text


def assert_one_scale(figure: Figure) -> None:
    scales = []
    for ax in figure.axes:
        box = ax.get_window_extent()
        scales += [box.width / np.ptp(ax.get_xlim()), box.height / np.ptp(ax.get_ylim())]
    np.testing.assert_allclose(scales, scales[0], rtol=1e-9)


@settings(max_examples=12, deadline=None)
@given(typed(-400, 400), typed(1, 80), typed(-100, 200))
def test_a_part_far_off_or_far_too_large_is_in_the_picture_at_the_same_scale(
    scenario_of, height: float, edge: float, radius: float
) -> None:
    size = dict.fromkeys(("radius", "chord", "normal"), f"{edge!r} mm")
    at = {"radius": f"{radius!r} mm", "normal": f"{height!r} mm"}
    weight = {"group": "counterweight", "shape": "box", "size": size, "at": at, "mass": "1 g"}
    figure = root_figure([build_of(scenario_of(part={"weight": weight}))], "metric")
    assert_one_scale(figure)
    assert_clear(figure, texts_of(figure))
    low = np.array([radius, height]) * 1e-3 - 0.5e-3 * edge
    ax = figure.axes[0]
    for limits, first in zip((ax.get_xlim(), ax.get_ylim()), low, strict=True):
        assert limits[0] <= first <= first + 1e-3 * edge <= limits[1]


@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.name}-{file.stem}")
def test_the_masses_written_are_those_of_the_assembly(file: Path) -> None:
    build = build_of(read(file))
    written = " ".join(text for text, _ in drawn(file, "metric")[1])
    for part in build.assembly.parts:
        found = re.search(rf"{part.name}(?: \(pair\))? ([0-9.]+) g", written)
        assert found, part.name
        assert float(found[1]) == pytest.approx(part.moments.mass * 1e3, rel=5e-3)


def test_equal_numbered_pieces_are_named_once_with_their_number(scenario_of) -> None:
    washers = {
        f"ring-{number}": {
            "group": "counterweight",
            "shape": "washer",
            "standard": "ISO 7089",
            "size": "M3",
            "at": {"radius": "30 mm", "normal": f"{8.0 + 0.5 * number!r} mm"},
            "mass": "0.119 g",
        }
        for number in range(1, 5)
    }
    one, four = (
        [text for text, _ in texts_of(root_figure([build_of(scenario_of(part=parts))], "metric"))]
        for parts in (dict(list(washers.items())[:1]), washers)
    )
    assert "ring-1 0.119 g" in one
    assert "4 x ring of 0.119 g" in four
    assert not any("ring-" in text for text in four)


def test_masses_without_a_shape_are_marked_and_said(scenario_of, weight) -> None:
    build = build_of(scenario_of(part=weight(1.5, 9.0)))
    part = next(part for part in build.assembly.parts if part.name == "weight")
    marks = shape_of(part, "side", build.assembly, build.scenario).marks
    np.testing.assert_allclose(sorted(map(tuple, marks)), [(0.03, -0.009), (0.03, 0.009)])
    assert "weight (pair) 3.00 g" in [text for text, _ in texts_of(root_figure([build], "metric"))]
    assert "without a shape" in root_caption([build], "metric")
    assert "without a shape" not in root_caption([build_of(scenario_of())], "metric")


def test_a_free_blade_is_said_to_be_drawn_straight_out(scenario_of) -> None:
    assert "straight out" in root_caption([build_of(scenario_of(blade={"swing": "free"}))], "metric")


@pytest.mark.parametrize("count", [1, 2, 3])
def test_axes_of_ones_own_are_drawn_on_and_nothing_else(scenario_of, count: int) -> None:
    figure, axes = plt.subplots(1, count + 1, figsize=(12.0, 4.0))
    before = axes[-1].get_position().bounds
    assert root_figure([build_of(scenario_of())], "metric", axes=axes[:count]) is figure
    assert not axes[-1].texts
    assert not axes[-1].lines
    assert axes[-1].get_position().bounds == before
    assert all(ax.lines for ax in axes[:count])
    plt.close(figure)


def test_a_wrong_number_of_axes_is_refused(scenario_of) -> None:
    figure, axes = plt.subplots(1, 3)
    build = build_of(scenario_of())
    with pytest.raises(ValueError, match="3 axes for 2 builds"):
        root_figure([build, build], "metric", axes=axes)
    plt.close(figure)
