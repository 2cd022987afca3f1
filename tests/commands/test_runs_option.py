"""--runs of predict, compare and size: spreads in text, document, page and pictures; when they are made; refusals."""

import importlib
import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from exact import EXACT_WORDS
from featherbench.cli import app
from featherbench.scenario import ScenarioError

FOLDER = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PLAIN, WEIGHTED = str(FOLDER / "plain.toml"), str(FOLDER / "weighted.toml")
RANGE = re.compile(r"\(?-?\d+\.\d+ to -?\d+\.\d+\)?")


def _run(*words):
    result = CliRunner().invoke(app, words)
    assert result.exit_code in (0, 2), result.output
    return result


@pytest.fixture(scope="module")
def compared(tmp_path_factory):
    folder = tmp_path_factory.mktemp("compared")
    words = ["--runs", "16", "--json", str(folder / "c.json"), "--report", str(folder / "c.html")]
    with pytest.MonkeyPatch.context() as patched:  # the one kind that is read
        patched.setattr("featherbench.render.gallery.KINDS", ("svg",))
        patched.setattr("featherbench.pictures.motion.can_move", lambda: False)
        result = _run("compare", PLAIN, WEIGHTED, *words, "--figures", str(folder / "drawn"), "--verbose")
    assert result.exit_code == 0
    return folder, result.stdout


def test_compare_shows_ranges_of_figures_and_changes(compared):
    folder, text = compared
    assert len(RANGE.findall(text)) > 30
    assert "16 bench runs of each build, sample set 0" in " ".join(text.split())
    document = json.loads((folder / "c.json").read_text(encoding="utf-8"))
    before, after = (run["findings"]["centrifugal_load"] for run in document["runs"])
    change = document["changes"][0]["findings"]["centrifugal_load"]
    assert change["low"] < change["difference"] < change["high"]
    assert change["high"] - change["low"] < 0.2 * (before["high"] - before["low"])
    assert document["runs"][0]["findings"]["release"]["outcomes"] == {"returns": 1.0}
    assert after["low"] < after["value"] < after["high"]


def test_the_page_and_its_pictures_show_them(compared):
    folder, _ = compared
    page = (folder / "c.html").read_text(encoding="utf-8")
    assert page.count('class="spread"') > 100
    assert "16 bench runs of each build" in page
    assert "hold 95 % of what tolerances and doubts allow" in page
    assert "95 % band" in page
    assert "95 % band" in (folder / "drawn" / "moments.svg").read_text(encoding="utf-8")


@pytest.mark.usefixtures("undrawn")
def test_predict_samples_for_a_page_as_for_its_text(monkeypatch, tmp_path):
    samples = importlib.import_module("featherbench.sampling.sampled")
    assert samples.COUNT == 64
    monkeypatch.setattr(samples, "COUNT", 16)  # what is looked at is when, not how often
    page, document = tmp_path / "p.html", tmp_path / "p.json"
    text = _run("predict", WEIGHTED, "--report", str(page), "--json", str(document)).stdout
    assert len(RANGE.findall(text)) > 3
    assert "16 bench runs, sample set 0" in page.read_text(encoding="utf-8")
    assert json.loads(document.read_text(encoding="utf-8"))["spread"]["runs"] == 16
    none = tmp_path / "none.html"
    _run("predict", WEIGHTED, "--report", str(none), "--runs", "0")
    assert 'class="spread"' not in none.read_text(encoding="utf-8")


def test_the_seed_decides_and_is_told():
    # that the same seed says the same again is looked at where samples are made: studies/test_sampled.py
    three, four = (
        _run("predict", WEIGHTED, "--runs", "16", "--seed", seed, "--verbose").stdout for seed in "34"
    )
    assert RANGE.findall(three) != RANGE.findall(four)
    assert "16 bench runs, sample set 3" in " ".join(three.split())


@pytest.mark.usefixtures("undrawn")
def test_without_tolerances_the_page_says_so(tmp_path):
    page = tmp_path / "p.html"
    result = _run("predict", PLAIN, *EXACT_WORDS, "--report", str(page), "--runs", "16")
    assert "no tolerance is stated and every doubt is taken out: no spread can be given." in result.stderr
    written = page.read_text(encoding="utf-8")
    assert "No tolerance is stated and every doubt is taken out: no spread can be given." in written


def test_too_few_runs_are_refused_before_anything_runs():
    for command in (("predict", PLAIN), ("compare", PLAIN, WEIGHTED), ("size", PLAIN)):
        result = _run(*command, "--runs", "5")
        assert result.exit_code == 2
        assert result.stdout == ""
        assert "--runs 5: expected 0, or 16 or more" in result.stderr


def test_an_impossible_tolerance_is_refused_in_words():
    words = ["predict", PLAIN, "--set", "part.grip.mass=5.2 +/- 6 g", "--runs", "16"]
    refused = CliRunner().invoke(app, words).exception
    assert isinstance(refused, ScenarioError)
    assert "part.grip.mass" in str(refused)


@pytest.mark.usefixtures("undrawn")
def test_size_shows_them_on_its_page(tmp_path):
    page = tmp_path / "s.html"
    _run("size", PLAIN, "--report", str(page), "--runs", "16", "--quiet")
    assert page.read_text(encoding="utf-8").count('class="spread"') > 100
