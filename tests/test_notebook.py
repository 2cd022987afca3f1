"""Results in a notebook: frames with units in SI, and HTML without any call but the one that made the result."""

import inspect
import pickle
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import featherbench as fb
from exact import EXACT
from featherbench.notebook import GIST, OneLine

ROOT = Path(__file__).parents[1]
PLAIN = ROOT / "scenarios" / "survey-3kg" / "plain.toml"
WORN = ROOT / "scenarios" / "survey-3kg" / "worn.toml"
READINGS = ROOT / "scenarios" / "survey-3kg" / "bench" / "plain-readings.toml"
SHORT = {
    "bench.programme": '[{ go = 1.0, hold = "0.6 s" }, { go = -1.0, hold = "0.6 s" }]',
    "gauge.sweep": "2 s",
}


@pytest.fixture(scope="module")
def plain():
    return fb.read(PLAIN, SHORT)


@pytest.fixture(scope="module")
def run(plain):
    return fb.predict(plain)


def in_one_line(*results):
    """As a terminal, a log and a notebook write them, whatever titles hold; with more than the kind in it."""
    for result in results:
        for text in (repr(result), str(result)):
            assert len(text) <= 80
            assert text.isprintable()
            assert re.match(rf"<{type(result).__name__}( '|: )", text)
    return True


def test_every_public_result_is_one_line_of_text():
    kinds = [kind for name in fb.__all__ if inspect.isclass(kind := getattr(fb, name))]
    results = [kind for kind in kinds if not issubclass(kind, Exception)]
    assert {kind.__name__ for kind in results} >= {"Run", "Comparison", "Scenario", "Match", "Sampled"}
    for kind in results:
        assert kind.__repr__ is kind.__str__ is OneLine.__repr__, kind
        assert kind.__name__ in GIST


def test_a_title_of_any_kind_leaves_it_one_line(plain):
    odd = plain.model_copy(update={"title": "it's\n\x1b[31m 'red' " + 60 * "\\\u202e\u00e9"})
    assert in_one_line(odd)
    assert repr(object.__new__(fb.Run)) == "<Run>"  # something half made


def test_a_mistyped_name_is_answered_with_those_near_it(run):
    for wrong in (lambda: run.value("rod_force_pish"), lambda: run.findings["rod_force_pish"]):
        with pytest.raises(KeyError, match="did you mean rod_force_push"):
            wrong()
    with pytest.raises(KeyError, match="did you mean force_loop"):
        run.to_frame("force_lop")
    assert run.findings.get("rod_force_pish") is None
    kept = pickle.loads(pickle.dumps(run.findings))
    assert kept == run.findings
    with pytest.raises(KeyError, match="did you mean mass"):
        kept["maas"]


def test_importing_and_predicting_is_enough_to_be_shown():
    code = (
        "import featherbench as fb; s = fb.read('scenarios/survey-3kg/plain.toml')\n"
        "import sys; assert 'featherbench.render' not in sys.modules\n"
        "print(s._repr_html_()[:4])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.stdout == "<div\n", done.stderr


def test_static_curves_as_a_frame(plain):
    curves = fb.moments(plain)
    assert in_one_line(curves, plain)
    frame = curves.to_frame()
    assert {"pitch [rad]", "moment [N*m]", "moment_blade [N*m]", "rod_force [N]", "servo_angle [rad]"} <= set(
        frame
    )
    groups = [f"moment_{group} [N*m]" for group in (*curves.by_group, "air")]
    np.testing.assert_allclose(frame[groups].sum(axis=1), frame["moment [N*m]"], rtol=1e-9, atol=1e-12)


def test_a_run_as_frames(run):
    course, findings = run.to_frame(), run.to_frame("findings")
    assert in_one_line(run, run.setup)
    assert {"time [s]", "rod_force [N]", "supply_current [A]"} <= set(course)
    assert findings.loc["rod_force_push", "value"] == run.value("rod_force_push")
    assert findings.loc["rod_force_push", "unit"] == "N"
    assert findings.loc["release", "value"] in ("returns", "stays", "runs out")
    assert set(findings.index) == set(run.findings)
    with pytest.raises(KeyError):
        run.to_frame("no such thing")


def test_a_comparison_as_a_frame(run):
    from featherbench.studies import compared

    both = compared([run, run, run])
    assert in_one_line(both)
    frame = both.to_frame()
    assert len(frame) == 2 * len(run.findings)
    assert frame.loc[(2, "mass"), "difference"] == 0.0
    assert frame.loc[(1, "mass"), "unit"] == "kg"


def test_a_spread_as_frames():
    few = {key: value for key, value in EXACT.items() if key not in ("part.blade.mass", "doubt.air_stall")}
    found = fb.spread(fb.read(PLAIN, SHORT | few), runs=16)  # shares ask for over three samples an input
    values, shares = found.to_frame(), found.to_frame("shares")
    assert (values["low"] <= values["high"]).all()
    assert values.loc["rod_force_push", "unit"] == "N"
    assert set(shares.columns) == set(found.to_frame("inputs").index) == {own.key for own in found.inputs}
    assert len(found.to_frame("samples")) == found.done
    assert "lies between" in found._repr_html_()
    assert in_one_line(found)


def test_sampled_tolerances_as_frames(run):
    found = fb.sampled([run, run], 6)
    frame = found.to_frame()
    assert set(frame.index.get_level_values("build")) == {0, 1}
    assert (frame["low"] <= frame["high"]).all()
    assert frame.loc[(0, "rod_force_push"), "unit"] == "N"
    changes = found.to_frame("changes")
    assert np.allclose(changes.loc[(1, "rod_force_push"), ["low", "high"]].astype(float), 0.0)
    assert " to " in found._repr_html_()
    assert in_one_line(found)


def test_bench_data_as_frames(plain):
    data = fb.read_bench_data([str(READINGS)], plain)
    found = fb.match(plain, data, runs=2)
    frame = found.to_frame()
    assert list(frame.index) == [one.name for one in found.quantities]
    assert frame.loc["gauge_push", "unit"] == "N"
    assert found.verdict[:20] in found._repr_html_()
    fitted = fb.calibrate(fb.read(PLAIN, SHORT | EXACT), data, ("linkage.slider_friction",))
    row = fitted.to_frame().loc["linkage.slider_friction"]
    assert row["was"] == plain.linkage.slider_friction
    assert row["low"] <= row["value"] <= row["high"]
    assert "linkage.slider_friction" in fitted._repr_html_()
    assert in_one_line(data, found, fitted)


def test_a_sizing_as_frames(plain):
    found = fb.size(plain)
    pieces, others = found.to_frame(), found.to_frame("alternatives")
    made = found.best.build.made
    np.testing.assert_allclose(pieces["mass [kg]"] * pieces["count"], [one.count * one.mass for one in made])
    assert others.loc[0, "mass [kg]"] == found.best.mass
    assert made[0].name in found._repr_html_()
    assert in_one_line(found)


def test_flights_as_frames():
    worn = fb.read(WORN)
    flown = fb.wag(worn, seconds=1.0, draws=1)
    frame = flown.to_frame()
    assert list(frame)[:2] == ["time [s]", "heading [rad]"]
    assert flown.to_frame("findings").loc["hover_pitch", "unit"] == "rad"
    assert "Wag in hover: " in flown._repr_html_()
    swept = fb.bias(worn, compensations=np.array([0.6]), phases=np.array([0.0]), draws=1)
    assert swept.to_frame().loc[0, "compensation"] == 0.6
    assert "rod_force_hover [N]" in swept.to_frame()
    assert swept._repr_html_().startswith("<div")
    assert in_one_line(flown, swept)
