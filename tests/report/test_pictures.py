"""Pictures draw without a warning, in the reader's units, with labels that do not lie on one another."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence
from dataclasses import fields, replace

import matplotlib
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from featherbench.pictures import style
from featherbench.pictures.bench import force_figure, moments_figure, release_figure
from featherbench.pictures.course import COMMAND, METER, SUPPLY, WINDING, course_figure, peak_place
from featherbench.pictures.drawing import apart
from featherbench.render.svg import colour_rules, inline_svg
from featherbench.scenario import Scenario
from featherbench.studies.prediction import predict
from featherbench.studies.run import Comparison, Run
from featherbench.views.answer import run_answer
from featherbench.views.cases import Case, cases_of

DRAWINGS: dict[str, Callable[[Sequence[Case]], Figure]] = {
    "force": lambda cases: force_figure(cases, "trade"),
    "moments": lambda cases: moments_figure(cases, "metric"),
    "course": lambda cases: course_figure(cases, "trade"),
    "release": release_figure,
}


@pytest.fixture(params=[1, 2])
def cases(comparison: Comparison, request: pytest.FixtureRequest) -> tuple[Case, ...]:
    """One build, or two."""
    return cases_of(comparison.runs[: request.param])


@pytest.mark.parametrize("name", DRAWINGS)
def test_texts_keep_clear_of_one_another_and_inside(name: str, cases: tuple[Case, ...]) -> None:
    with style.applied():
        figure = DRAWINGS[name](cases)
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        renderer = canvas.get_renderer()
    texts = [text for ax in figure.axes for text in ax.texts if text.get_text()]
    boxes = [Text.get_window_extent(text, renderer).padded(-1.0) for text in texts]
    assert len(boxes) >= 2
    for one, two in itertools.combinations(range(len(boxes)), 2):
        assert not boxes[one].overlaps(boxes[two]), (texts[one].get_text(), texts[two].get_text())
    for text, box in zip(texts, boxes, strict=True):
        plain_box = re.sub(r"\s", " ", text.get_text())
        assert box.x0 >= 0.0, plain_box
        assert box.x1 <= figure.bbox.x1, plain_box
        assert box.y1 <= figure.bbox.y1, plain_box


@pytest.mark.parametrize("name", DRAWINGS)
def test_svg_is_self_contained_and_its_names_are_its_own(name: str, cases: tuple[Case, ...]) -> None:
    svg = inline_svg(DRAWINGS[name](cases), f"fig-{name}", 'a "quoted" <description>')
    assert svg.startswith("<svg viewBox=")
    assert svg.endswith("</svg>")
    assert "://" not in svg
    assert "&quot;quoted&quot; &lt;description&gt;" in svg
    names = re.findall(r'\bid="([^"]+)"', svg)
    assert len(names) == len(set(names))
    assert all(each.startswith(f"fig-{name}-") for each in names)
    assert set(re.findall(r'(?:url\(#|href="#)([^")]+)', svg)) <= set(names)
    assert "<text" in svg


def test_every_colour_drawn_follows_the_page(cases: tuple[Case, ...]) -> None:
    for name, drawing in DRAWINGS.items():
        svg = inline_svg(drawing(cases), name, name)
        assert not re.findall(r"#[0-9a-f]{6}", svg), name
        used = set(re.findall(r"var\(--([a-z]+)\)", svg))
        assert used <= set(style.COLOURS)
    for dark in (False, True):
        assert all(f"--{role}: #" in colour_rules(dark) for role in style.COLOURS)


TOLD_APART = {
    "builds": style.CASES,
    "causes": (*style.GROUPS.values(), style.SUM),
    "currents": (WINDING, SUPPLY, METER),
    "pitch": (COMMAND, *style.CASES),
}
"""Strokes that stand in one picture."""


@pytest.mark.parametrize("name", TOLD_APART)
def test_lines_of_one_picture_are_told_apart_in_grey(name: str) -> None:
    for one, two in itertools.combinations(TOLD_APART[name], 2):
        widths = sorted((one.width, two.width))
        tones = sorted(_luminance(style.colour(stroke.role)) for stroke in (one, two))
        lighter = (tones[1] + 0.05) / (tones[0] + 0.05)
        assert one.dashes != two.dashes or widths[1] >= 1.5 * widths[0] or lighter >= 2.0, (one, two)


def _luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (IEC 61966-2-1 as WCAG 2.2 has it; from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_causes_sum_to_the_force_and_are_pushes_and_pulls_as_it_is(cases: tuple[Case, ...]) -> None:
    figure = moments_figure(cases, "metric")
    for ax, case in zip(figure.axes, cases, strict=True):
        drawn = {str(line.get_label()): np.asarray(line.get_ydata()) for line in ax.lines}
        np.testing.assert_allclose(drawn["sum"], case.run.statics.rod_force, atol=1e-9)
        parts = sum(values for name, values in drawn.items() if name != "sum" and not name.startswith("_"))
        np.testing.assert_allclose(parts, drawn["sum"], atol=1e-9)


def test_the_first_moments_show_the_peak_and_what_holding_draws(comparison: Comparison) -> None:
    ax = course_figure(cases_of(comparison.runs), "metric").axes[-1]
    for case in cases_of(comparison.runs):
        leg = case.run.servo.legs[0]
        assert any(f"{case.name} holds\n{leg.drawn:.2f} A" == text.get_text() for text in ax.texts)
        marks = [line for line in ax.lines if line.get_marker() == "^"]
        assert any(float(line.get_ydata()[0]) == pytest.approx(leg.peak) for line in marks)
    assert ax.get_ylim()[1] >= max(case.servo.legs[0].peak for case in comparison.runs)


def test_pictures_are_the_same_every_time(cases: tuple[Case, ...]) -> None:
    one, two = (inline_svg(force_figure(cases, "metric"), "force", "force") for _ in range(2))
    assert one == two


def test_the_style_stays_inside(cases: tuple[Case, ...]) -> None:
    before = dict(matplotlib.rcParams)
    force_figure(cases, "metric")
    assert dict(matplotlib.rcParams) == before


def test_the_force_is_drawn_in_the_readers_units(plain_run: Run) -> None:
    ends = {}
    for system in ("metric", "trade"):
        figure = force_figure((Case("", plain_run),), system)
        ends[system] = max(float(np.max(line.get_ydata())) for line in figure.axes[0].lines)
    assert ends["metric"] == pytest.approx(plain_run.gauge.push)
    assert ends["trade"] == pytest.approx(plain_run.gauge.push / 0.27801385, rel=1e-6)


def test_axes_handed_in_are_drawn_on(plain_run: Run) -> None:
    figure = Figure()
    ax = figure.add_subplot()
    assert force_figure((Case("", plain_run),), "metric", ax) is figure
    assert len(ax.lines) > 3


def test_a_servo_far_stronger_than_the_load_is_written_not_drawn(weighted_run: Run) -> None:
    figure = force_figure((Case("", weighted_run),), "metric")
    assert any("off this scale" in text.get_text() for text in figure.axes[0].texts)
    assert figure.axes[0].get_ylim()[1] < 2.0 * weighted_run.gauge.push


def test_the_peak_mark_sits_on_the_curve(plain_run: Run) -> None:
    for leg in plain_run.servo.legs:
        time, height = peak_place(plain_run, leg)
        assert leg.start < time <= leg.start + leg.arrival + 1e-6
        assert height == leg.peak


@given(st.lists(st.floats(-50.0, 250.0), min_size=1, max_size=7))
def test_labels_are_set_apart(places: list[float]) -> None:
    wanted = sorted(places)
    sizes = [12.0] * len(wanted)
    got = apart(wanted, sizes, 200.0)
    assert all(two - one >= 12.0 - 0.2 for one, two in itertools.pairwise(got))
    assert min(got) >= -0.2
    assert max(got) <= 200.2


def test_builds_of_different_pitch_ranges_share_one_axis(comparison: Comparison) -> None:
    # the second build reaches less far on the low side and has a weaker servo; either may come first
    wide, narrow = comparison.runs
    kept = np.flatnonzero(narrow.statics.pitch > 0.5 * narrow.statics.pitch[0])
    curves = {
        field.name: getattr(narrow.statics, field.name)[kept]
        for field in fields(narrow.statics)
        if isinstance(getattr(narrow.statics, field.name), np.ndarray)
    }
    by_group = {name: curve[kept] for name, curve in narrow.statics.by_group.items()}
    curves["servo_force"] = 0.5 * curves["servo_force"]
    narrow = replace(narrow, statics=replace(narrow.statics, **curves, by_group=by_group))
    reach = np.rad2deg(wide.statics.pitch[[0, -1]])
    for runs in ((wide, narrow), (narrow, wide)):
        (ax,) = force_figure(cases_of(runs), "metric").axes
        assert ax.get_xlim() == pytest.approx(tuple(reach))
        limit = next(
            line
            for line in ax.lines
            if len(line.get_xdata()) == len(wide.statics.pitch)
            and line.is_dashed()
            and line.get_color() == style.colour(style.LIMIT.role)
        )
        pitch = np.deg2rad(np.asarray(limit.get_xdata()))
        weaker = pitch >= narrow.statics.pitch[0] - 1e-9
        np.testing.assert_allclose(np.asarray(limit.get_ydata())[weaker], narrow.statics.servo_force)
        np.testing.assert_allclose(np.asarray(limit.get_ydata())[~weaker], wide.statics.servo_force[~weaker])


def test_builds_of_different_programmes_are_drawn_to_the_end_of_the_longest(comparison: Comparison) -> None:
    long, other = comparison.runs
    end = 0.5 * float(other.servo.time[-1])
    kept = other.servo.time <= end
    cut = {
        field.name: getattr(other.servo, field.name)[kept]
        for field in fields(other.servo)
        if isinstance(getattr(other.servo, field.name), np.ndarray)
    }
    short = replace(other, servo=replace(other.servo, **cut, legs=()))
    for runs in ((short, long), (long, short)):
        axes = course_figure(cases_of(runs), "metric").axes
        assert axes[-2].get_xlim()[1] == pytest.approx(float(long.servo.time[-1]))
        assert axes[-1].get_xlim()[1] == pytest.approx(0.3)
        shaded = [len(ax.patches) for ax in axes]
        assert shaded == [0, 0, *(len(run.servo.legs) for run in runs), 0]


def test_what_stands_still_is_drawn_flat_and_not_called_moving(scenario_of: Callable[..., Scenario]) -> None:
    run = predict(scenario_of(bench={"programme": [{"go": 0.0, "hold": "1 s"}]}))
    figure = course_figure((Case("", run),), "metric")
    spans = [high - low for low, high in (ax.get_ylim() for ax in figure.axes)]
    assert spans[0] >= 1.0
    assert spans[1] >= 0.1
    assert spans[2] >= 0.01
    assert not any("moving takes" in sentence for sentence in run_answer(run, "metric"))
