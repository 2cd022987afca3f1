"""Changes tried one at a time: each by its meaning, what must not be praised, what a build cannot take."""

import importlib
import re
from math import isclose
from pathlib import Path

import numpy as np
import pytest

import featherbench as fb
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.judging.ranking import rank, strength_of
from featherbench.ranking import ordinary
from featherbench.ranking.ordinary import ordinary_changes
from featherbench.render.page import page as page_of
from featherbench.scenario import read
from featherbench.views.rank import rank_view

PLAIN = "scenarios/survey-3kg/plain.toml"
OVER = "scenarios/survey-3kg/over.toml"


@pytest.fixture(scope="module")
def changes():
    return {one.words: one for one in ordinary_changes(build_setup(read(PLAIN)))}


LOOKED_AT = (
    "arm 10 % longer",
    "blades 10 % lighter",
    "blade-bolt M3x12",
    "blade-bolt M3x25",
    "weights that cancel",
    "horn 30 % lighter",
    "rotor speed",
    "play",
)
"""All ordinary changes are tried by the help's example: tests/test_terminal.py. Here those that tests ask about, and
some of every sort.
"""


@pytest.fixture(scope="module")
def found():
    def some(setup):
        return [one for one in ordinary_changes(setup) if any(words in one.words for words in LOOKED_AT)]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(importlib.import_module("featherbench.ranking.ranked"), "ordinary_changes", some)
        return rank(read(PLAIN), count=2)


def _tried(found, words):
    return next(one for one in found.tried if one.change.words == words)


def _blade(scenario):
    """Propeller moment of the parts alone over pitch, N m."""
    curves = static_curves(build_setup(scenario))
    return curves.moment - curves.air


def test_five_per_cent_less_speed_takes_a_tenth_off_what_the_parts_pull(changes):
    before, after = _blade(read(PLAIN)), _blade(changes["rotor speed 5 % less"].scenario)
    strong = np.abs(before) > 0.2 * np.abs(before).max()
    assert np.allclose(after[strong] / before[strong], 0.95**2, rtol=2e-3)


def test_a_longer_servo_arm_leaves_the_rods_force_and_asks_for_more_torque(found):
    longer = _tried(found, "servo arm 10 % longer")
    assert abs(longer.share("force")) < 1e-3
    assert longer.share("swing") < -0.05
    assert longer.gain("hold") < 0.0
    peak = longer.run.value("servo_torque_peak") / found.base.value("servo_torque_peak")
    assert isclose(peak, 1.1, rel_tol=0.04)


def test_a_longer_horn_needs_less_force_and_more_swing(found):
    longer = _tried(found, "pitch horn arm 10 % longer")
    assert isclose(longer.values["force"] / longer.before["force"], 1.0 / 1.1, rel_tol=0.02)
    assert longer.share("swing") > 0.08
    assert longer.cost > 0.15


def test_a_lighter_blade_takes_off_what_it_weighs(changes, found):
    scenario = changes["blades 10 % lighter"].scenario
    assert isclose(scenario.part["blade"].mass, 4.5e-3)
    moved = _tried(found, "blades 10 % lighter").moved("load")
    blade = next(part for part in found.base.setup.assembly.parts if part.name == "blade")
    spin = found.base.scenario.rotor.speed
    assert isclose(moved, -0.1 * float(blade.moments.radial) * spin**2, rel_tol=1e-3)


def test_weights_of_an_amount_come_to_that_compensation(changes):
    for percent in (25, 50, 75):
        setup = build_setup(changes[f"weights that cancel {percent} %"].scenario)
        run = fb.predict(setup.scenario)
        assert isclose(run.value("compensation"), percent / 100.0, abs_tol=0.01)


def test_a_nut_of_another_size_keeps_the_face_it_bears_with(changes):
    before = read(PLAIN).part["lock-nut"]
    words = next(words for words in changes if words.startswith("blade-bolt M4"))
    after = changes[words].scenario.part["lock-nut"]
    from featherbench.ranking.part_changes import _height

    assert after.size == "M4"
    faces = [part.at.normal + _height(part.standard, part.size) / 2.0 for part in (before, after)]
    assert isclose(*faces, abs_tol=1e-9)


def test_what_fails_or_is_not_known_is_never_praised_and_said_first(found):
    spoiled = {one.change.words for one in found.spoiled}
    assert {"blade-bolt M3x12", "blade-bolt M3x25", "weights that cancel 50 %"} <= spoiled
    assert not spoiled & {one.change.words for one in found.praised()}
    view = rank_view(found, fb.bench_checks(found.base), (), "metric", ends=True)
    assert re.search(
        r"DO NOT MAKE THESE CHANGES AS THEY STAND: .*blade-bolt M3x12: fails", view.first.lines[0]
    )
    rows = view.tables[0].rows
    headings = [row.cells[0] for row in rows if row.heads]
    assert headings[:2] == ["Holds", "Not to be made as it stands"]  # a hurried reader copies the row on top
    parted = next(place for place, row in enumerate(rows) if row.cells[0] == headings[1])
    assert [row.stops for row in rows if not row.heads] == [
        place > parted for place, row in enumerate(rows) if not row.heads
    ]
    assert view.tables[-1].remarks[0].startswith("Most for least: horn 30 % lighter")
    assert found.spoiled[0].gain() > found.praised()[0].gain()  # more force taken away, and still not praised


def test_on_its_page_all_that_must_not_be_made_is_marked(found):
    page = page_of(
        rank_view(found, fb.bench_checks(found.base), (), "metric", ends=True), "featherbench rank"
    )
    rows = re.findall(r'<tr(?: class="([^"]*)")?><th scope="row">([^<]*)', page)
    spoiled = {one.change.words for one in found.spoiled}
    told = [("fails" in classes, label.replace("\u00a0", " ") in spoiled) for classes, label in rows]
    assert sum(bad for _, bad in told) > 3
    assert all(marked == bad for marked, bad in told)


def test_a_build_that_runs_to_full_pitch_by_the_change_is_not_praised():
    plain, over = read(PLAIN), read(OVER)
    tried = rank(plain, {"too much": over}, ordinary=False, count=0).tried[0]
    assert tried.runs_out
    assert not tried.holds
    back = rank(over, {"less": plain}, ordinary=False, count=0).tried[0]
    assert not back.runs_out


def test_a_bolt_that_is_its_own_weight_takes_the_other_changes():
    found = [
        one.words
        for one in ordinary_changes(build_setup(read("scenarios/tutorial-2kg/over.toml")))
        if one.scenario
    ]
    assert "servo arm 10 % shorter" in found
    assert "weights 25 % heavier, as they stand" in found


def test_a_build_without_bellcrank_play_or_bought_bolt_says_why_not(tmp_path):
    text = Path(PLAIN).read_text(encoding="utf-8")
    text = re.sub(r"lever_(in|out) = .*\n", "", text)
    text = re.sub(r"play = \{.*\n", "", text)
    path = tmp_path / "bare.toml"
    path.write_text(text, encoding="utf-8")
    refused = {
        one.words: one.refused for one in ordinary_changes(build_setup(read(path))) if not one.scenario
    }
    assert "no bellcrank" in refused["bellcrank rod arm 10 % longer"]
    assert "no play" in refused["half the play in the linkage"]


def test_a_change_that_the_linkage_cannot_reach_is_left_out_with_its_reason():
    own = read(PLAIN)
    short = own.model_copy(update={"linkage": own.linkage.model_copy(update={"servo_arm": 2e-3})})
    result = rank(own, {"an arm of 2 mm": short}, ordinary=False, count=0)
    assert not result.tried
    assert "servo" in result.left_out[0].refused


def test_ranges_are_of_the_change_from_the_same_draws(found):
    horn = _tried(found, "horn 30 % lighter")
    low, high = horn.ranges["force"]
    assert low <= horn.moved("force") <= high
    assert high - low < 0.4 * abs(horn.moved("force"))  # the air's doubt, which both share, is ten times that
    again = rank(read(PLAIN), {"h": horn.change.scenario}, ordinary=False, count=2).tried[0]
    assert np.allclose(again.ranges["force"], horn.ranges["force"], atol=1e-9)


def test_an_interrupt_keeps_what_is_done():
    def stop(done, _):
        if done == 3:
            raise KeyboardInterrupt

    found = rank(read(PLAIN), count=1, progress=stop)
    assert not found.complete
    assert 1 <= len(found.tried) < 25
    view = rank_view(found, fb.bench_checks(found.base), (), "metric")
    assert view.first.lines[0].startswith("INTERRUPTED")


def test_a_base_that_fails_does_not_let_the_same_fault_count_against_a_change():
    fast = {"rotor.speed": "13000 rpm"}
    base = read(PLAIN, fast)
    assert strength_of(fb.predict(base), True).bad
    other = read(PLAIN, {**fast, "linkage.servo_arm": "13 mm"})
    found = rank(base, {"arm": other}, ordinary=False, count=0)
    assert found.tried[0].holds
    view = rank_view(found, fb.bench_checks(found.base), (), "metric", ends=True)
    assert view.first.do_not_run


def test_every_ordinary_change_moves_its_own_key_only(changes):
    base = read(PLAIN)
    for one in changes.values():
        if one.scenario is None or not one.settings:
            continue
        tables = {own.key.split(".")[0] for own in one.settings}
        for name in ("rotor", "blade", "part", "linkage", "servo", "bearing", "supply"):
            if name not in tables:
                assert getattr(one.scenario, name) == getattr(base, name), one.words
    assert ordinary.SLOWER == 0.05
