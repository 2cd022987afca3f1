"""The window without a screen: events where a hand would make them, what is then shown, said and written."""

import re

import matplotlib as mpl
import matplotlib.pyplot
import numpy as np
import pytest

mpl.use("Agg")

from matplotlib.backend_bases import MouseEvent, ResizeEvent

import featherbench as fb
from exact import EXACT
from featherbench.exploring.variant import UNHELD
from featherbench.exploring.whole_range import COUNT
from featherbench.pictures import style
from featherbench.scenario import from_tables, read
from featherbench.studies import predict
from featherbench.window.layout import layout
from featherbench.window.panel import FILE, NOW, scale
from featherbench.window.words import LOOSE
from featherbench.window.written import write_next_free

SURVEY = "scenarios/survey-3kg"
SIZES = [(1200, 800), (1366, 650), (1200, 660), (1000, 620), (2400, 1300)]
TIGHT = [(1200, 800), (1366, 650), (1000, 620)]
"""As it opens, the lowest and the narrowest: writing keeps its size, so there is more room between it in any other."""


@pytest.fixture
def opened(tmp_path):
    """Windows that are closed again; what they say to the terminal is kept in `said`."""
    windows = []

    def one(path, **options):
        said = []
        window = fb.explore(read(path), variant=tmp_path / "out.toml", say=said.append, **options)
        window.said = said
        window.figure.canvas.draw()
        windows.append(window)
        return window

    yield one
    for window in windows:
        window.close()


def hand(window, name, x, y):
    """A mouse event at a place, pixels."""
    MouseEvent(name, window.figure.canvas, x, y, 1)._process()


def drag(window, key, share, *, let_go=True):
    """Take a slider's handle and draw it to a share of its track, by a few events as a mouse makes them."""
    widget = window.bars[key].widget
    value = widget.valmin + share * (widget.valmax - widget.valmin)
    (start, y), (end, _) = widget.ax.transData.transform([(widget.val, 0.5), (value, 0.5)])
    hand(window, "button_press_event", start, y)
    for place in np.linspace(start, end, 3)[1:]:
        hand(window, "motion_notify_event", place, y)
    if let_go:
        hand(window, "button_release_event", end, y)


def press(window, words):
    """Click a button."""
    (button,) = (own for own in window.buttons if own.label.get_text() == words)
    box = button.ax.bbox
    for name in ("button_press_event", "button_release_event"):
        hand(window, name, 0.5 * (box.x0 + box.x1), 0.5 * (box.y0 + box.y1))


def foot(window):
    """What stands at the foot of the window."""
    return " ".join(window._strip.get_text().split())


def pixels(window):
    return np.asarray(window.figure.canvas.buffer_rgba()).copy()


def test_a_dragged_slider_moves_the_build_and_its_pictures(opened):
    window = opened(f"{SURVEY}/weighted.toml")
    before = window.panels[0]._now.get_ydata().copy()
    drag(window, "head-collar.length", 1.0, let_go=False)
    assert window.state == {"head-collar.length": pytest.approx(6e-3)}
    assert window.snapshot.run is None
    assert foot(window) == "..."
    assert window.bars["head-collar.length"].widget.valtext.get_text() == "6.00 mm"
    assert not np.allclose(window.panels[0]._now.get_ydata(), before)
    assert "run to full pitch" in window.panels[1]._said[1].get_text()
    hand(window, "button_release_event", 1000.0, 600.0)
    run = predict(window.scenario)
    assert window.snapshot.findings["current_hold_high"] == run.value("current_hold_high")
    assert foot(window) != "..."
    assert window.scenario.part["nut-collar"].length == pytest.approx(6e-3)


def test_what_is_drawn_over_the_kept_background_is_what_a_whole_drawing_shows(opened):
    window = opened(f"{SURVEY}/weighted.toml")
    drag(window, "head-collar.length", 0.1)
    drag(window, "rotor.speed", 0.9)
    drag(window, "phase", 0.7)
    partial = pixels(window)
    window.figure.canvas.draw()
    whole = pixels(window)
    assert np.abs(partial.astype(int) - whole.astype(int)).max() <= 2


def test_back_to_the_file_is_where_it_began(opened):
    window = opened(f"{SURVEY}/plain.toml")
    begun = pixels(window)
    drag(window, "added.length", 0.9)
    drag(window, "linkage.servo_arm", 0.6)
    assert window.snapshot is not window.base
    assert not np.array_equal(pixels(window), begun)
    press(window, "back to the file")
    assert window.state == {}
    assert window.snapshot is window.base
    np.testing.assert_array_equal(pixels(window), begun)


@pytest.mark.parametrize("units", ["metric", "trade"])
def test_the_button_writes_what_is_shown_and_never_over_another(opened, tmp_path, units):
    window = opened(f"{SURVEY}/plain.toml", units=units)
    press(window, "write variant file")
    assert "nothing is changed" in foot(window)
    drag(window, "added.length", 0.8)
    drag(window, "rotor.speed", 0.3)
    press(window, "write variant file")
    press(window, "write variant file")
    first, second = tmp_path / "out.toml", tmp_path / "out-2.toml"
    assert window.written == [first, second]
    assert window.said == [f"wrote {first}", f"wrote {second}"]
    assert "out-2.toml" in foot(window)
    assert first.read_text(encoding="utf-8") == second.read_text(encoding="utf-8")
    found = predict(read(first)).findings
    for name, value in window.snapshot.findings.items():
        if isinstance(value, float):
            assert found[name].value == pytest.approx(value, rel=1e-6, abs=1e-9), name
        else:
            assert found[name].value == value


def test_what_cannot_be_built_is_said_and_the_last_picture_stays(opened, tmp_path):
    window = opened("scenarios/scout-1kg/weighted.toml")
    drag(window, "upper-ring.diameter", 0.6)
    drag(window, "upper-ring.diameter", 0.0)
    assert "cannot be built" in foot(window)
    assert "bore" in foot(window)
    left, asked = (state["upper-ring.diameter"] for state in (window.left, window.state))
    assert asked == pytest.approx(1e-3)
    assert window.scenario.part["upper-ring"].diameter == left > 2e-3
    last = window.exploration.quick(window.left).statics.rod_force
    np.testing.assert_array_equal(window.panels[0]._now.get_ydata(), last)
    press(window, "write variant file")
    assert foot(window).startswith("Nothing written")
    assert list(tmp_path.iterdir()) == []
    drag(window, "upper-ring.diameter", 0.7)
    assert "cannot" not in foot(window)


def test_metal_in_metal_is_said(opened):
    window = opened(f"{SURVEY}/weighted.toml")
    drag(window, "head-collar.foot_above_the_axis", 0.3)
    assert "head-collar would stand 2.70 mm deep in stud-bolt" in foot(window)


def test_added_weights_are_said_to_be_held_by_nothing(opened, tmp_path):
    """Standing on the bolt's ends they are loose, and what to do about it is told; weights of the file are not."""
    window = opened(f"{SURVEY}/plain.toml")
    drag(window, "added.length", 0.4)
    assert foot(window) == LOOSE
    assert len(LOOSE) < 200
    press(window, "write variant file")
    text = (tmp_path / "out.toml").read_text(encoding="utf-8")
    assert text.count(f"# {UNHELD}") == 2
    assert "DO NOT RUN" in text.splitlines()[0]
    drag(window, "added.length", 0.0)
    assert "held" not in foot(window)
    held = opened(f"{SURVEY}/weighted.toml")
    drag(held, "head-collar.length", 0.3)
    assert "held" not in foot(held)


def test_a_canvas_that_cannot_keep_pieces_is_drawn_whole(opened, monkeypatch):
    window = opened(f"{SURVEY}/weighted.toml")
    drag(window, "head-collar.length", 0.1)
    kept = pixels(window)
    other = opened(f"{SURVEY}/weighted.toml")
    monkeypatch.setattr(type(other.figure.canvas), "supports_blit", False)
    other._resized(None)
    drag(other, "head-collar.length", 0.1)
    assert np.abs(pixels(other).astype(int) - kept.astype(int)).max() <= 2


def test_what_a_notebook_has_shown_and_closed_can_still_be_moved_and_shown_again(opened, tmp_path):
    window = opened(f"{SURVEY}/weighted.toml")
    mpl.pyplot.close(window.figure)
    window.bars["head-collar.length"].widget.set_val(6.0)
    window.settle()
    assert window.snapshot.findings["release"] == "runs out"
    window.figure.savefig(tmp_path / "again.png", bbox_inches="tight")
    assert (tmp_path / "again.png").stat().st_size > 20_000


def test_a_variant_that_cannot_be_written_is_said(opened, tmp_path):
    window = opened(f"{SURVEY}/plain.toml")
    window._variant = tmp_path / "none" / "out.toml"
    drag(window, "added.length", 0.5)
    press(window, "write variant file")
    assert "Nothing written" in foot(window)
    assert "no folder" in foot(window)


def test_a_build_from_tables_is_shown_but_has_no_file_to_vary(tables):
    window = fb.explore(from_tables(tables()))
    try:
        window.figure.canvas.draw()
        drag(window, "added.length", 0.5)
        assert window.snapshot.findings["compensation"] > 0.0
        assert window.write() is None
        assert "Nothing written" in foot(window)
    finally:
        window.close()


def test_everything_is_said_in_the_units_chosen_and_drawn_in_the_strokes_of_all_pictures(opened):
    metric, trade = (opened(f"{SURVEY}/weighted.toml", units=units) for units in ("metric", "trade"))
    for window, force, length in ((metric, "N", "mm"), (trade, "ozf", "in")):
        words = [text.get_text() for text in window.figure.findobj(mpl.text.Text)]
        assert any(f"force on the rod, {force}:" in text for text in words)
        assert any(text.endswith(f" {length}") for text in words)
        assert any("rpm" in text for text in words)
        assert all(bar.widget.label.get_text() for bar in window.bars.values())
    limits = [window.panels[0].ax.get_ylim()[1] for window in (metric, trade)]
    assert limits[1] > 2.0 * limits[0]
    known = {mpl.colors.to_hex(one.light) for one in style.COLOURS.values()}
    lines = [line for panel in metric.panels for line in panel.ax.lines]
    assert {mpl.colors.to_hex(line.get_color()) for line in lines} <= known
    assert metric.panels[0]._now.get_color() == style.colour(NOW.role) != style.colour(FILE.role)


def test_the_section_follows_the_weights_and_the_table_hover(opened):
    window = opened(f"{SURVEY}/weighted.toml")

    def tallest():
        paths = [path for drawn in window.section.moving for path in drawn.get_paths()]
        return max(float(path.vertices[:, 1].max()) for path in paths)

    before, part = tallest(), window.base.scenario.part["head-collar"]
    assert before >= part.at.normal + 0.5 * part.length - 1e-9
    drag(window, "head-collar.length", 0.9)
    assert tallest() > before + 0.5 * (window.state["head-collar.length"] - part.length) > before
    assert window.section.ax.get_ylim()[1] >= tallest()
    window.settle()
    hover = window.snapshot.run.findings
    shown = window.table._texts[1].get_text().split("\n")
    assert float(shown[-2]) == pytest.approx(hover["rod_force_hover"].value, abs=2e-3)
    assert float(shown[-1]) == pytest.approx(hover["current_hold_hover"].value, abs=2e-3)


@pytest.mark.parametrize(
    ("build", "units"), [("scenarios/lifter-6kg/over.toml", "metric"), (f"{SURVEY}/plain.toml", "trade")]
)
def test_no_writing_overlaps_at_any_usual_size(opened, monkeypatch, build, units):
    window = opened(build, units=units)
    drag(window, "rotor.speed", 0.8)
    drag(window, "phase", 0.6)
    window.ranging.finish()
    for size in TIGHT:
        window.figure.set_size_inches(size[0] / 100.0, size[1] / 100.0)
        ResizeEvent("resize_event", window.figure.canvas)._process()
        boxes = written(window, monkeypatch)
        assert len(boxes) > 40
        for number, (words, box) in enumerate(boxes):
            assert min(box.x0, box.y0) >= -1.0, (size, words)
            assert box.x1 <= size[0] + 1.0, (size, words)
            assert box.y1 <= size[1] + 1.0, (size, words)
            for other, beside in boxes[:number]:
                wide = min(box.x1, beside.x1) - max(box.x0, beside.x0)
                tall = min(box.y1, beside.y1) - max(box.y0, beside.y0)
                assert wide < 1.0 or tall < 2.0, (size, words, other)


def written(window, monkeypatch):
    """Every text that a whole drawing draws, with its box in pixels."""
    found = []
    draw = mpl.text.Text.draw

    def kept(text, renderer, *rest):
        if text.get_text().strip() and text.get_visible():
            found.append((text.get_text(), text.get_window_extent(renderer)))
        return draw(text, renderer, *rest)

    with monkeypatch.context() as patched:
        patched.setattr(mpl.text.Text, "draw", kept)
        window.figure.canvas.draw()
    return found


def test_no_cell_reaches_into_another():
    for width, height in SIZES:
        found = layout(width / 100.0, height / 100.0, 7)
        cells = [
            *found.panel_cells,
            found.section_cell,
            *found.slider_cells,
            found.table,
            *found.buttons,
            found.strip,
        ]
        for number, (left, bottom, wide, tall) in enumerate(cells):
            for x, y, w, h in cells[:number]:
                across = min(left + wide, x + w) - max(left, x)
                up = min(bottom + tall, y + h) - max(bottom, y)
                assert across < 1e-9 or up < 1e-9, (width, height)


def test_a_saved_figure_is_whole(opened, tmp_path):
    window = opened(f"{SURVEY}/weighted.toml")
    drag(window, "head-collar.length", 0.2)
    onscreen = pixels(window)
    path = tmp_path / "window.png"
    window.figure.savefig(path, dpi=window.figure.dpi)
    saved = (mpl.image.imread(path) * 255.0).round().astype(int)
    assert saved.shape == onscreen.shape
    # lines drawn anew over a kept ground differ at their soft edges (2.0e-4); the smallest text lost makes 4.2e-4
    assert np.mean(np.abs(saved - onscreen) > 8) < 3e-4
    window.figure.savefig(tmp_path / "window.svg")
    assert "weights' length" in (tmp_path / "window.svg").read_text(encoding="utf-8")


def test_a_scale_holds_what_is_needed_and_does_not_flicker():
    edge = 0.0
    for needed in [3.2, 4.9, 5.1, 4.8, 2.2, 1.0, 0.3, 40.0]:
        before, edge = edge, scale(needed, edge)
        assert needed <= edge <= 2.5 * needed or edge == before
    assert scale(4.8, 7.0) == 7.0
    assert scale(0.3, 0.5, (0.1, 0.5, 2.0)) == 0.5
    assert scale(3.0, 0.5, (0.1, 0.5, 2.0)) == 2.0


def test_free_names_are_counted_up(tmp_path):
    wanted = tmp_path / "mine.toml"
    names = [write_next_free(wanted, text).name for text in "abc"]
    assert names == ["mine.toml", "mine-2.toml", "mine-3.toml"]
    assert wanted.read_text(encoding="utf-8") == "a"


def test_the_whole_range_is_a_band_that_a_prediction_would_give_and_is_greyed_when_it_is_of_another_build(
    opened,
):
    """The same samples as a prediction's at the same number; nothing of it is worked out while a slider moves."""
    window = opened(f"{SURVEY}/weighted.toml")
    band, grey = window.panels[0]._whole, mpl.colors.to_rgb(style.colour("grey"))
    assert window.ranging.found is None
    window.ranging.finish()
    (whole,) = fb.sampled([window.snapshot.run], COUNT).builds
    upper, lower = whole.bands["rod_force_upper"].high, whole.bands["rod_force_lower"].low
    widest = float((upper - lower).max())
    np.testing.assert_allclose(window.ranging.found.band.high, upper, atol=0.03 * widest)
    np.testing.assert_allclose(window.ranging.found.band.low, lower, atol=0.03 * widest)
    drawn = band.get_paths()[0].vertices
    assert drawn[:, 1].max() == pytest.approx(window.ranging.found.band.high.max())
    told = window.panels[0]._said[1]
    assert re.match(r"push [\d.]+ to [\d.]+, pull [\d.]+ to [\d.]+; servo ", told.get_text())
    assert tuple(band.get_facecolor()[0][:3]) != grey
    drag(window, "head-collar.length", 1.0, let_go=False)
    window.ranging.step()
    assert tuple(band.get_facecolor()[0][:3]) == grey
    assert " to " not in told.get_text()
    before = window.ranging.found
    hand(window, "button_release_event", 1000.0, 600.0)
    window.ranging.finish()
    assert window.ranging.found is not before
    assert window.ranging.snapshot is window.snapshot
    assert tuple(band.get_facecolor()[0][:3]) != grey
    press(window, "back to the file")
    window.ranging.finish()
    np.testing.assert_allclose(window.ranging.found.band.high, upper, atol=0.03 * widest)


def test_a_release_that_flips_within_the_doubts_is_said_first(opened):
    window = opened("scenarios/tutorial-2kg/weighted.toml")
    assert "too close" not in window.stop._text.get_text()
    window.ranging.finish()
    found = window.ranging.found
    high = found.released[0]
    assert sum(high.values()) == found.samples
    assert 0 < high[window.snapshot.high.release.verdict] < found.samples
    assert "too close to call" in " ".join(window.stop._text.get_text().split())
    assert f" {high[window.snapshot.high.release.verdict]}" in window.panels[1]._said[1].get_text()
    drag(window, "tall-head.length", 0.2, let_go=False)
    assert "too close" not in window.stop._text.get_text()


def test_a_build_that_states_nothing_uncertain_has_no_band():
    sure = fb.explore(read(f"{SURVEY}/plain.toml", EXACT))
    try:
        sure.figure.canvas.draw()
        sure.ranging.finish()
        assert sure.ranging.found is None
        assert sure.ranging.snapshot is sure.base
    finally:
        sure.close()
