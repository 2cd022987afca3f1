"""Pictures of results on axes that somebody else laid out: inside their place, and nothing else touched."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import matplotlib.pyplot as plt
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.text import Text

import featherbench as fb
from exact import EXACT
from featherbench.pictures import results as figures
from featherbench.pictures.room_in_axes import fit_words, make_room
from featherbench.studies.run import Comparison, Run

SCENARIOS = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
ONE_PANEL: dict[str, Callable[..., Figure]] = {"force": figures.force, "release": figures.release}


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    yield
    plt.close("all")


def box_of(ax: Any, renderer: Any) -> Any:
    return ax.get_tightbbox(renderer)


@pytest.mark.parametrize("layout", ["none", "constrained", "tight"])
@pytest.mark.parametrize("name", ONE_PANEL)
def test_neighbours_do_not_touch(name: str, layout: str, comparison: Comparison) -> None:
    figure, axes = plt.subplots(1, 2, figsize=(9.0, 4.0), layout=layout)
    drawn = ONE_PANEL[name]
    assert drawn(comparison, ax=axes[0]) is figure
    drawn(comparison.runs[0], ax=axes[1])
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    left, right = (box_of(ax, renderer) for ax in axes)
    assert left.x1 <= right.x0
    assert right.x1 <= figure.bbox.x1 + 1.0
    assert min(left.x0, left.y0) >= -1.0
    for ax in axes:
        boxes = [Text.get_window_extent(text, renderer).padded(-1.0) for text in ax.texts if text.get_text()]
        assert not any(one.overlaps(other) for one, other in itertools.combinations(boxes, 2))


def test_the_rest_of_the_figure_is_left_alone(plain_run: Run) -> None:
    figure, axes = plt.subplots(2, 2, figsize=(9.0, 7.0))
    axes[1, 1].plot([0.0, 1.0], [0.0, 2.0], label="mine")
    before = [ax.get_position().bounds for ax in axes.flat]
    settings_before = dict(plt.rcParams)
    figures.force(plain_run, ax=axes[0, 0])
    assert dict(plt.rcParams) == settings_before
    assert figure.get_size_inches().tolist() == [9.0, 7.0]
    assert len(figure.axes) == 4
    for ax, bounds in list(zip(axes.flat, before, strict=True))[1:]:
        assert ax.get_position().bounds == bounds
        assert not list(ax.texts)
    assert axes[0, 0].get_position().x0 >= before[0][0]
    assert axes[0, 0].get_position().x1 < before[0][0] + before[0][2]
    assert axes[1, 1].lines[0].get_label() == "mine"


def test_panels_of_one_picture_stay_level_and_share_their_axis(comparison: Comparison) -> None:
    figure, axes = plt.subplots(2, 1, figsize=(6.0, 7.0))
    assert figures.moments(comparison, axes=axes) is figure
    one, other = (ax.get_position() for ax in axes)
    assert one.x0 == other.x0
    assert one.x1 == other.x1
    assert axes[0].get_xlim() == axes[1].get_xlim()


def test_a_run_over_time_fills_three_axes(plain_run: Run) -> None:
    _, axes = plt.subplots(3, 1, figsize=(6.0, 8.0), sharex=True)
    figures.course(plain_run, axes=axes, units="trade")
    assert all(ax.lines for ax in axes)
    with pytest.raises(ValueError, match="3 panels"):
        figures.course(plain_run, axes=axes[:2])


@settings(max_examples=20, deadline=None)
@given(st.floats(1.5, 12.0), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_axes_shrink_by_what_is_asked_but_never_by_more_than_half(
    wide: float, left: float, right: float
) -> None:
    figure = Figure(figsize=(wide, 3.0))
    ax = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    make_room([ax], left, right)
    drawn = ax.get_position()
    kept = drawn.width * wide
    assert kept == pytest.approx(max(0.8 * wide - left - right, 0.4 * wide))
    assert drawn.x0 >= 0.1 - 1e-12
    assert drawn.x1 <= 0.9 + 1e-12
    assert (drawn.y0, drawn.y1) == pytest.approx((0.1, 0.9))
    fit_words([ax])
    assert ax.get_position().width >= drawn.width - 1e-12


def test_axes_that_move_take_their_picture_along(plain_run: Run) -> None:
    figure, ax = plt.subplots(figsize=(6.0, 4.0))
    figures.force(plain_run, ax=ax)
    figure.subplots_adjust(left=0.3, right=0.8)
    figure.canvas.draw()
    assert 0.3 <= ax.get_position().x0 < ax.get_position().x1 < 0.8


def test_figures_of_their_own_show_themselves_on_paper(plain_run: Run) -> None:
    figure = figures.force(plain_run)
    assert figure.get_facecolor() == (1.0, 1.0, 1.0, 1.0)
    assert "</svg>" in figure._repr_svg_()  # type: ignore[attr-defined]


def test_a_build_is_drawn_without_a_run(scenario_of: Any) -> None:
    assert len(figures.root(scenario_of()).axes) == 3
    several = figures.root(scenario_of(), scenario_of())
    assert len(several.axes) == 4
    assert any("build 2" in text.get_text() for ax in several.axes for text in ax.texts)
    named = figures.root(*(fb.read(SCENARIOS / f"{name}.toml") for name in ("plain", "weighted")))
    assert any("weighted:" in text.get_text() for ax in named.axes for text in ax.texts)
    _, axes = plt.subplots(1, 2)
    figures.root(scenario_of(), axes=axes, units="trade")
    assert all(ax.lines for ax in axes)


def test_wrong_things_are_refused_in_words(plain_run: Run) -> None:
    with pytest.raises(TypeError, match="dict holds no run"):
        figures.force({})  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="nothing to draw"):
        figures.force()
    with pytest.raises(ValueError, match="metric"):
        figures.force(plain_run, units="imperial")


def test_they_are_offered_at_the_front_door() -> None:
    assert fb.figures is figures
    assert all(callable(getattr(figures, name)) for name in figures.__all__)


def test_studies_fill_axes_of_ones_own() -> None:
    worn = fb.read(SCENARIOS / "worn.toml")
    _, axes = plt.subplots(2, 1)
    figures.hover(fb.wag(worn, seconds=1.0, draws=1), axes=axes)
    assert all(ax.lines for ax in axes)
    swept = fb.bias(worn, compensations=np.array([0.6]), phases=np.array([0.0]), draws=1)
    _, axes = plt.subplots(1, 4, figsize=(14.0, 4.0))
    figures.sweep(swept, axes=axes)
    assert all(ax.lines for ax in axes[:3])
    short = {"bench.programme": '[{ go = 1.0, hold = "0.5 s" }, { go = -1.0, hold = "0.5 s" }]'}
    plain = fb.read(SCENARIOS / "plain.toml", short)
    few = {key: value for key, value in EXACT.items() if key not in ("part.blade.mass", "doubt.air_stall")}
    found = fb.spread(fb.read(SCENARIOS / "plain.toml", short | few), runs=16)
    _, axes = plt.subplots(1, 2, figsize=(9.0, 4.0))
    figures.spread(found, axes=axes)
    assert all(ax.patches for ax in axes)
    files = [SCENARIOS / "bench" / f"plain-{name}" for name in ("readings.toml", "gauge.csv")]
    matched = fb.match(plain, fb.read_bench_data(files, plain), runs=1)
    _, axes = plt.subplots(2, 1)
    figures.match(matched, axes=axes)
    assert all(ax.lines for ax in axes)
    with pytest.raises(ValueError, match="logged columns"):
        figures.match(matched, log=9)
