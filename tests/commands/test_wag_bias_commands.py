"""The wag and bias commands end to end: words, documents, pages, refusals."""

import json
import os
import re
import signal
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from featherbench import OutputRefused
from featherbench.cli import app
from featherbench.hovering import bias_robust, hover_draws
from featherbench.judging import biasing
from featherbench.scenario import read
from featherbench.studies.ensemble import run_many

WORN = "scenarios/survey-3kg/worn.toml"
FLOWN = ("--seconds", "5", "--draws", "4", "--seed", "2")
"""Four draws in which play shows, as in 8 to 11 of a dozen; the gyro is set once for all that is said of them."""


def _run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_wag_says_verdict_thresholds_and_window(tmp_path):
    page = tmp_path / "wag.html"
    result = _run("wag", WORN, *FLOWN, "--report", page, "--verbose")
    assert result.exit_code == 0, result.output
    words = " ".join(result.output.split())
    assert "Wag in hover: the tail keeps hunting, because of play" in words
    assert "overlaps the hover band" in words
    for option in ("--visible-heading", "--visible-travel", "--seconds"):
        assert option in words
    text = page.read_text(encoding="utf-8")
    assert "<svg" in text
    assert "http://" not in text.replace("http://www.w3.org", "")


def test_wag_document_is_pure_and_in_si():
    result = _run("wag", WORN, *FLOWN, "--json", "-", "--quiet")
    document = json.loads(result.stdout)
    assert document["findings"]["wag_heading"]["unit"] == "rad"
    assert 0.004 < document["findings"]["wag_heading"]["value"] < 0.02
    assert document["findings"]["share_visible"]["value"] >= 0.5
    assert len(document["draws"]) == 4
    assert {"without", "quiet", "of", "left"} == set(document["causes"][0])


def test_a_larger_visible_wag_changes_the_verdict():
    result = _run("wag", WORN, *FLOWN, "--visible-heading", "20 deg", "--visible-travel", "500 mm")
    assert "Wag in hover: quiet" in " ".join(result.output.split())


def test_no_gyro_and_no_quantity_are_refused_in_words(tmp_path):
    bare = tmp_path / "bare.toml"
    text = Path("scenarios/survey-3kg/plain.toml").read_text(encoding="utf-8")
    bare.write_text(text.split("[aircraft]")[0], encoding="utf-8")
    result = _run("wag", bare)
    assert result.exit_code == 2
    assert "gyro" in result.output
    assert "Traceback" not in result.output
    assert _run("wag", WORN, "--visible-heading", "3 mm").exit_code == 2
    assert _run("bias", bare).exit_code == 2


def test_bias_prints_its_choice_and_writes_the_sweep(tmp_path):
    target, page = tmp_path / "bias.json", tmp_path / "bias.html"
    result = _run(
        "bias", WORN, "--json", target, "--report", page, "--margin", "1.2", "--draws", "2", "--verbose"
    )
    assert result.exit_code == 0, result.output
    words = " ".join(result.output.split())
    assert "Aim for a compensation of" in words
    assert "Play shows in" in words
    assert "chosen anew in 2 draws of air, loop and play" in words
    assert "--margin" in words
    assert "the checks below are of the build as written, not of the one to aim for" in words
    assert "so many times heavier where it stands, not taller" in words
    told = [line for line in result.output.splitlines() if re.match(r" +\d\.\d\d ", line)]
    assert len(told) >= 42  # the other phases, too
    assert sum("<-" in line for line in told) == 1
    document = json.loads(target.read_text(encoding="utf-8"))
    assert len(document["sweep"]) >= 42
    assert document["findings"]["bias_seat_ratio"]["value"] >= 1.2
    text = page.read_text(encoding="utf-8")
    assert "<svg" in text
    assert text.count('<tr><th scope="row">') >= 28  # the other phases, too
    assert isinstance(_run("bias", WORN, "--json", target).exception, OutputRefused)


def _interrupting(after):
    """run_many whose own process is sent an interrupt once so many results are there."""

    def run(*args, progress=None, **options):
        def told(done, of):
            if done == after:  # which what a shell starts in the background would ignore
                signal.signal(signal.SIGINT, signal.default_int_handler)
                os.kill(os.getpid(), signal.SIGINT)
            if progress is not None:
                progress(done, of)

        return run_many(*args, progress=told, **options)

    return run


@pytest.mark.parametrize("after", [1, 5])
def test_an_interrupt_after_a_few_builds_chooses_nothing(monkeypatch, after):
    monkeypatch.setattr("featherbench.hovering.bias.run_many", _interrupting(after))
    result = _run("bias", WORN, "--draws", "2")
    assert result.exit_code == 130
    words = " ".join(result.output.split())
    (flown,) = re.findall(r"interrupted: (\d+) of 42 builds were flown, too few to choose from", words)
    assert after <= int(flown) < 42
    for told in ("Aim for", "<-", "less weight", "Choose", "DO NOT RUN"):
        assert told not in words


@pytest.mark.parametrize("command", ["bias", "wag"])
def test_an_interrupt_while_the_gyro_is_set_is_no_smaller_number_of_draws(monkeypatch, command):
    monkeypatch.setattr(hover_draws, "run_many", _interrupting(2))
    result = _run(command, WORN, "--draws", "3", "--seed", "7")  # which no other test has flown to its end
    assert result.exit_code == 130
    assert "draws" not in result.output
    assert "Aim for" not in result.output


def test_an_interrupt_while_wag_is_flown_judges_nothing(monkeypatch):
    monkeypatch.setattr("featherbench.hovering.wag.run_many", _interrupting(1))
    result = _run("wag", WORN, "--draws", "3", "--seed", "7")
    assert result.exit_code == 130
    assert "Play shows" not in result.output


def test_an_interrupt_when_all_is_flown_leaves_the_choice_and_says_no_less_than_all_draws(monkeypatch):
    monkeypatch.setattr(bias_robust, "run_many", _interrupting(1))
    found = biasing.bias(read(WORN), compensations=np.array([0.0, 0.5]), phases=np.zeros(1), draws=2)
    assert found.interrupted
    assert found.chosen is not None
    assert found.choices == ()
