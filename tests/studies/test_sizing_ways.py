"""All ways to a target in one table, as they are ranked; weights that a build has are kept, replaced or refused."""

import functools
from pathlib import Path

import pytest

from featherbench.checks import bench_checks, run_cautions
from featherbench.checks.load_path import load_path_checks
from featherbench.judging.sizing import size
from featherbench.scenario import ScenarioError, read
from featherbench.views.first_lines import of_sizing
from featherbench.views.size import size_view
from featherbench.workshop.title_block import tolerance_words

SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
WASHERS = [
    {"shape": "screw", "standard": "ISO 4762", "size": "M3x20", "count": 2},
    {"shape": "washer", "standard": "ISO 7089", "size": "M3", "count": 12},
]


@pytest.fixture(scope="module")
def every():
    return size(read(SURVEY / "plain.toml", {"own": WASHERS}))


def table_of(found):
    view = size_view(found, bench_checks(found.run), run_cautions(found.run), "metric")
    return view, next(table for table in view.tables if table.title.startswith("Ways"))


def test_every_route_stands_in_one_table_what_holds_first_and_then_by_load(every):
    assert {one.route for one in every.alternatives} == {"bolt", "arms", "collars", "standard", "own"}
    rank = [(not one.holds, not one.reached, one.load if one.reached else 0.0) for one in every.alternatives]
    assert rank == sorted(rank)
    view, table = table_of(every)
    assert view.tables[0] is table  # which way is what was asked
    assert [column.heading for column in table.columns][1:] == [
        "compensation", "off target", "adds g", "load N", "above mm", "below mm", "strength",
    ]  # fmt: skip
    assert len(table.rows) == len(every.alternatives)


def test_reach_and_strength_are_those_of_the_build_that_is_made(every):
    """Heights by the chosen parts' own solids; strength as `check` finds it of the variant."""
    best, setup = every.best, every.run.setup
    ends = [
        solid.centre[2] + side * solid.size[2] / 2.0
        for part in setup.assembly.parts
        if part.name in best.build.parts
        for solid in part.solids
        for side in (-1.0, 1.0)
    ]
    assert (best.above, best.below) == pytest.approx((max(ends), -min(ends)))
    checks = [one for one in load_path_checks(setup) if one.safety is not None and not one.holding]
    assert best.margin == pytest.approx(min(one.safety for one in checks))
    assert best.margin >= 1.0
    for one in every.alternatives:
        assert one.holds == (one.margin >= 1.0)
        least = 0.0 if one.route == "collars" else 5e-3  # there may be one below alone
        assert least <= one.above <= 16e-3 + 1e-9
        assert 5e-3 < one.below <= 15e-3 + 1e-9


def test_what_does_not_hold_is_said_to_fail_in_the_table(every):
    _, table = table_of(every)
    for one, row in zip(every.alternatives, table.rows, strict=True):
        assert row.cells[-1].startswith("OK, " if one.holds else "FAILS, ")
        assert row.cells[-1].endswith("misses") == (not one.reached)
    bad = [one for one in every.alternatives if not one.holds]
    assert all(any(one.against[0] in said for said in table.remarks) for one in bad[:2])


def test_weights_that_come_off_are_named_in_the_answer():
    found = size(read(SURVEY / "weighted.toml"), "bolt")
    view, _ = size_view(found, bench_checks(found.run), run_cautions(found.run), "metric"), None
    assert "In place of head-collar and nut-collar, which come off, it adds" in " ".join(view.answer)
    shank = found.scenario.part["weight-bolt-shank"]
    assert shank.pieces[-1].from_ + shank.pieces[-1].length == pytest.approx(5e-3)  # the grip's face
    assert not any(name.endswith("collar") for name in found.scenario.part)


def test_weights_that_stay_count_towards_the_target():
    """On arms beside the collars; the plain build's compensation is what the file has."""
    found = size(read(SURVEY / "weighted.toml", {"envelope.target.compensation": 0.95}), weights="keep")
    assert found.taken_off == ()
    assert {"head-collar", "nut-collar"} <= set(found.scenario.part)
    assert found.run.value("compensation") == pytest.approx(0.95, abs=0.01)
    assert {one.route for one in found.alternatives} == {"arms"}
    assert any("bolt: head-collar, nut-collar would come off with the bolt" in note for note in found.notes)
    answer = " ".join(size_view(found, bench_checks(found.run), (), "metric").answer)
    assert "Beside head-collar and nut-collar, which stay, it adds" in answer


RING = {
    "part.blade-bolt.size": "M3x25",
    "part.blade-bolt.under_head": "9 mm",
    "part.collar": {
        "group": "counterweight", "shape": "tube", "axis": "normal", "diameter": "6 mm", "bore": "3.2 mm",
        "length": "4 mm", "at": {"radius": "34 mm", "normal": "7 mm"}, "material": "brass",
        "held_by": "clamped under head",
    },
}  # fmt: skip


def test_a_new_head_rests_on_a_ring_that_stays():
    found = size(read(SURVEY / "plain.toml", RING), "bolt", weights="keep")
    assert found.space.seat_above == pytest.approx(9e-3)
    assert "collar" in found.scenario.part
    head = found.scenario.part["weight-bolt-head"].pieces[0]
    assert head.from_ == pytest.approx(9e-3)
    assert found.run.value("compensation") == pytest.approx(found.best.achieved, abs=1e-9)


def test_a_build_with_weights_is_refused_where_that_was_asked():
    with pytest.raises(ScenarioError) as refused:
        size(read(SURVEY / "weighted.toml"), weights="refuse")
    (problem,) = refused.value.problems
    assert problem.file.endswith("weighted.toml")
    assert problem.line == 22
    assert "head-collar, nut-collar" in problem.given
    assert size(read(SURVEY / "plain.toml"), "arms", weights="refuse").best.reached


@functools.cache
def scaled(step, grade):
    settings = {"limits.balance_grade": grade} | ({"workshop.scale_step": step} if step else {})
    return size(read(SURVEY / "plain.toml", settings), "arms")


def test_what_a_stated_scale_cannot_match_is_not_offered_and_the_first_line_says_so():
    """At 22 mm two sets may differ by 8 mg at G6.3, by 10 at G8.1."""
    found = scaled("0.01 g", "G6.3")
    assert not found.best.holds
    first = of_sizing(found).lines[0]
    assert first.startswith("CANNOT BE BALANCED: matching the sets to G6.3 asks 8")
    assert "workshop.scale_step is 10 mg" in first
    view = size_view(found, bench_checks(found.run), run_cautions(found.run), "metric")
    assert view.answer[0].startswith("Do not make: ")
    _, table = table_of(found)
    assert all(row.cells[-1].endswith("scale too coarse") for row in table.rows)
    for step, grade in (("0.005 g", "G6.3"), ("0.01 g", "G8.1"), ("", "G6.3")):
        held = scaled(step, grade)
        assert held.best.holds, (step, grade)
        assert not of_sizing(held).lines


def test_the_drawing_says_what_the_pocket_scale_leaves_where_none_is_stated():
    text = " ".join(tolerance_words(scaled("", "G6.3")))
    assert "A scale of 10 mg does not show that: it leaves G7" in text
