"""Spreads beside figures and changes: decimals, ranges, words for what is not sure, bands in pictures."""

import io
import json
from dataclasses import replace
from types import SimpleNamespace

import pytest
from rich.cells import cell_len
from rich.console import Console
from shown import comparison_document, json_text, print_comparison, print_run, run_document

from featherbench.numerals import UNMOVED, range_text, row_texts, spread_decimals
from featherbench.pictures.bench import force_figure, moments_figure
from featherbench.sampling.inputs import Input
from featherbench.sampling.sampled import Band, BuildSpread, Interval, Sampled
from featherbench.views.cases import cases_of
from featherbench.views.findings_table import findings_table
from featherbench.views.sampled_notes import sampled_note, unsure_outcomes


def build_spread(run, share):
    """Every number of a run is unsure by `share` downwards and twice as much upwards."""
    intervals = {
        name: Interval(
            one.value - share * abs(one.value),
            one.value + 2.0 * share * abs(one.value),
        )
        for name, one in run.findings.items()
        if isinstance(one.value, float)
    }
    force, moment = run.statics.rod_force, run.statics.moment
    curves = {"rod_force_upper": force + 1.0, "rod_force_lower": force - 1.0, "moment": moment}
    return BuildSpread(
        intervals=intervals,
        outcomes={"release": {"returns": 0.25, "stays": 0.75}, "release_low": {"stays": 1.0}},
        pitch=run.statics.pitch,
        bands={
            name: Band(curve - 0.1 * abs(curve), curve + 0.1 * abs(curve)) for name, curve in curves.items()
        },
        done=64,
        refused=0,
        refusal="",
    )


@pytest.fixture
def sampled(comparison):
    builds = tuple(build_spread(run, 0.02) for run in comparison.runs)
    changes = {
        one.name: Interval(one.difference - 0.2, one.difference + 0.2)
        for one in comparison.changes[0]
        if one.difference is not None
    }
    own = Input("rotor.speed", 1000.0, 1050.0, "rotation")
    return Sampled(builds, (changes,), (own,), 64, 0, True)


def rows_of(comparison, sampled, system="metric"):
    """By label: the cells, and the ranges of value before, value after and change."""
    table = findings_table(cases_of(comparison.runs, sampled), system, sampled)
    return {row.cells[0]: Told(row) for row in table.rows if not row.heads}


class Told:
    """A row of a comparison of two."""

    def __init__(self, row):
        _, before, after, change, _, _ = row.cells
        self.cells, self.changes = (before, after), (change,)
        ranges = row.ranges or ("",) * 6
        self.spreads, self.change_spreads = (ranges[1], ranges[2]), (ranges[3],)


def printed(width):
    stream = io.StringIO()
    return Console(file=stream, width=width, highlight=False), stream


def test_decimals_follow_the_uncertainty():
    assert spread_decimals([0.288], "force", "metric") == 2
    assert spread_decimals([0.0288], "force", "metric") == 3
    assert spread_decimals([14.2, 15.1], "force", "metric") == 0
    assert spread_decimals([14.2, 1.08], "force", "metric") == 1  # so that the narrower one shows, too
    assert spread_decimals([0.0, 0.0], "force", "metric") is None
    assert spread_decimals([0.0288], "force", "trade") == 2  # 0.10 ozf
    assert row_texts([11.2767], "force", "metric", places=2)[0] == ["11.28"]


def test_ranges_need_not_be_even_and_may_be_none():
    assert range_text(10.986, 11.562, "force", "metric", 2) == "10.99 to 11.56"
    assert range_text(-0.004, 0.2, "force", "metric", 2, sign=True) == "0.00 to +0.20"
    assert range_text(1.0, 1.0, "force", "metric", 2) == UNMOVED


def test_rows_carry_ranges_in_the_decimals_of_their_cells(comparison, sampled):
    row = rows_of(comparison, sampled)["largest push"]
    value = comparison.runs[0].value("rod_force_push")
    places = len(row.cells[0]) - row.cells[0].index(".") - 1
    assert row.spreads[0] == f"{0.98 * value:.{places}f} to {1.04 * value:.{places}f}"
    low, high = row.change_spreads[0].split(" to ")
    assert float(low) <= float(row.changes[0]) <= float(high)
    share = rows_of(comparison, sampled)["the same, of stall torque"]
    assert float(share.spreads[0].split(" to ")[0]) < float(share.cells[0])  # both in per cent
    assert rows_of(comparison, sampled)["blades, high side"].spreads == ("in 16 of 64", "in 48 of 64")
    assert rows_of(comparison, None)["largest push"].spreads == ("", "")


def test_a_sure_change_gives_unsure_figures_no_more_digits(comparison, sampled):
    """Builds that share their doubts: each figure is unsure by newtons, their difference by hundredths."""
    unsure = tuple(
        replace(build, intervals={"rod_force_push": Interval(6.58, 13.16)}) for build in sampled.builds
    )
    change = {"rod_force_push": Interval(-2.413, -2.351)}
    row = rows_of(comparison, replace(sampled, builds=unsure, changes=(change,)))["largest push"]
    assert row.spreads == ("6.6 to 13.2", "6.6 to 13.2")
    assert all(len(cell.partition(".")[2]) == 1 for cell in row.cells)
    assert row.change_spreads == ("-2.413 to -2.351",)
    assert len(row.changes[0].partition(".")[2]) == 3


@pytest.mark.parametrize("width", [60, 80, 100])
def test_text_shows_ranges_within_the_width(comparison, sampled, width):
    console, stream = printed(width)
    print_comparison(comparison, [[], []], [], "metric", console, True, sampled)
    print_run(
        comparison.runs[0],
        [],
        [],
        "metric",
        console,
        True,
        replace(sampled, builds=sampled.builds[:1], changes=()),
    )
    text = stream.getvalue()
    assert max(cell_len(line) for line in text.splitlines()) <= width
    assert "64 bench runs of each build" in " ".join(text.split())
    ranges = [row.spreads[0] for row in rows_of(comparison, sampled).values() if " to " in row.spreads[0]]
    assert ranges
    assert f"({rows_of(comparison, sampled)['largest push'].spreads[0]})" in text


def test_the_change_stays_at_eighty_columns(comparison, sampled):
    console, stream = printed(80)
    print_comparison(comparison, [[], []], [], "metric", console, False, sampled)
    assert rows_of(comparison, sampled)["largest push"].change_spreads[0] in stream.getvalue()


def test_notes_say_what_the_ranges_are_and_what_went_wrong(comparison, sampled, scenario_of):
    note = sampled_note(comparison.runs, sampled)
    assert "95 %" in note
    said = [text for _, text in unsure_outcomes(cases_of(comparison.runs, sampled))]
    assert any("stay put in 48, return to centre in 16 of 64 samples." in text for text in said)
    worse = replace(sampled.builds[1], done=20, refused=3, refusal="servo.travel: too little")
    short = replace(sampled, builds=(sampled.builds[0], worse), complete=False)
    note = sampled_note(comparison.runs, short)
    assert "(20 bench runs of each build" in note
    assert "Interrupted before all 64 were done" in note
    assert "servo.travel" in note
    none = "No tolerance is stated and every doubt is taken out: no spread can be given."
    exact = SimpleNamespace(scenario=scenario_of())
    assert sampled_note([exact], None) == none
    doubtful = SimpleNamespace(scenario=scenario_of(doubt={"air_moment": 0.1}))
    assert sampled_note([doubtful], None) == ""


def test_documents_gain_low_and_high_and_nothing_else_changes(comparison, sampled):
    bare = comparison_document(comparison, [[], []], [], seed=1)
    full = json.loads(json_text(comparison_document(comparison, [[], []], [], seed=1, sampled=sampled)))
    change = full["changes"][0]["findings"]["rod_force_push"]
    assert change["low"] < change["difference"] < change["high"]
    push = full["runs"][0]["findings"]["rod_force_push"]
    assert (push["low"], push["high"]) == sampled.builds[0].intervals["rod_force_push"]
    assert full["runs"][1]["findings"]["release"]["outcomes"] == {"returns": 0.25, "stays": 0.75}
    assert full["spread"]["asked"] == 64
    one = replace(sampled, builds=sampled.builds[:1], changes=())
    alone = run_document(comparison.runs[0], [], [], sampled=one)
    assert alone["findings"]["rod_force_push"]["low"] == push["low"]
    del full["spread"]
    unsure, _ = (line for line in full["first_lines"] if line not in bare["first_lines"])
    assert unsure.startswith(
        'Too close to call: released at speed on the high side, the blades of "before" stay put in 48'
    )
    full["first_lines"] = bare["first_lines"]
    for part in (*full["runs"], *full["changes"]):
        for one in part["findings"].values():
            for key in ("low", "high", "outcomes"):
                one.pop(key, None)
    assert full == json.loads(json_text(bare))


def test_pictures_draw_the_bands_beside_the_friction_band(comparison, sampled):
    cases = cases_of(comparison.runs, sampled)
    plain = cases_of(comparison.runs)
    for draw, per_case in ((force_figure, 2), (moments_figure, 1)):
        bare = sum(len(ax.collections) for ax in draw(plain, "metric").axes)
        figure = draw(cases, "metric")
        assert sum(len(ax.collections) for ax in figure.axes) == bare + per_case * len(cases)
        edged = [one for ax in figure.axes for one in ax.collections if one.get_linewidth()[0] > 0.0]
        assert len(edged) == per_case * len(cases)
    ax = force_figure(cases[:1], "trade").axes[0]
    assert any("95 %" in text.get_text() for text in ax.texts)
    band = next(one for one in ax.collections if one.get_linewidth()[0] > 0.0)
    lowest = 1.1 * (comparison.runs[0].statics.rod_force - 1.0).min()
    assert band.get_paths()[0].vertices[:, 1].min() == pytest.approx(lowest / 0.278, rel=1e-3)


def test_python_draws_the_bands_on_request(comparison, sampled):
    from featherbench.pictures import results as result_figures

    bare = len(result_figures.force(comparison).axes[0].collections)
    assert len(result_figures.force(comparison, sampled=sampled).axes[0].collections) == bare + 4
    with pytest.raises(ValueError, match="sampled is of 2 builds"):
        result_figures.moments(comparison.runs[0], sampled=sampled)
