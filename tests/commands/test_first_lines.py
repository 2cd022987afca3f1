"""A build that must not be run is told so in the first line of every command, and of every file that it writes."""

import io
import json
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from typer.testing import CliRunner

import featherbench.hovering.bias as bias_study
from exact import EXACT_WORDS
from featherbench.cli import app

SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PLAIN, OVER = (str(SURVEY / f"{name}.toml") for name in ("plain", "over"))
READINGS = "readings.toml"
DANGER = ("--set", "bearing.static_rating=10 N")
COMMANDS = {
    "predict": ("predict", PLAIN),
    "compare": ("compare", PLAIN, PLAIN),
    "size": ("size", PLAIN, "--route", "bolt"),
    "wag": ("wag", PLAIN, "--seconds", "4", "--draws", "1"),
    "bias": ("bias", PLAIN, "--draws", "1"),
    "spread": ("spread", PLAIN, "--runs", "16"),
    "sheet": ("sheet", PLAIN, "--runs", "0", "--no-ranking"),
    "match": ("match", PLAIN, READINGS, "--runs", "8"),
    "calibrate": ("calibrate", PLAIN, READINGS, "--free", "scale.inertia", "--use-all", *EXACT_WORDS),
}
SAMPLES = {"predict": 16, "compare": 0, "size": 0}
"""Of those that sample for a page when nobody says how often: one page with ranges is enough."""


def run(*words):
    done = CliRunner().invoke(app, [str(word) for word in words])
    assert done.exit_code == 0, (done.output, done.exception)
    return done


@pytest.fixture(autouse=True)
def few_builds(monkeypatch, tmp_path):
    """Neither the sweep of bias nor what was measured is asked about: two builds, and two readings of a gauge."""
    monkeypatch.setattr(bias_study.bias, "__kwdefaults__", {
        **bias_study.bias.__kwdefaults__, "compensations": np.array([0.0, 0.5]), "phases": np.array([0.0])
    })  # fmt: skip
    monkeypatch.chdir(tmp_path)
    text = '[readings]\ngauge_push = "10.7 +/- 0.15 N"\ngauge_pull = "9.0 +/- 0.15 N"\n'
    (tmp_path / READINGS).write_text(text, encoding="utf-8")


def written(name, tmp_path):
    return ("--write", tmp_path / "fitted.toml") if name == "calibrate" else ()


@pytest.mark.parametrize("name", COMMANDS)
def test_do_not_run_is_the_first_line_of_terminal_page_and_document(name, tmp_path, request):
    if name != "compare":  # one page as it is
        request.getfixturevalue("undrawn")
    page, document = tmp_path / "page.html", tmp_path / "document.json"
    asked = (*COMMANDS[name], *DANGER, *written(name, tmp_path))
    sampled = ("--runs", SAMPLES[name]) if name in SAMPLES else ()
    done = run(*asked, "--report", page, "--json", document, *sampled)
    first = done.stdout.splitlines()[0]
    assert first.startswith("DO NOT RUN: ")
    assert "thrust bearing 0.01" in done.stdout.partition(".\n")[0].replace("\n    ", " ")
    body = page.read_text(encoding="utf-8").partition("<body>")[2].lstrip()
    assert body.startswith('<div class="stop" role="alert">\n<p><strong>DO NOT RUN:</strong> ')
    found = json.loads(document.read_text(encoding="utf-8"))
    assert found["do_not_run"] is True
    assert found["first_lines"][0].startswith("DO NOT RUN: ")
    assert next(iter(found)) == "do_not_run"
    if name == "calibrate":
        assert (tmp_path / "fitted.toml").read_text(encoding="utf-8").startswith("# DO NOT RUN: ")


@pytest.mark.parametrize("name", ["predict", "size", "match", "calibrate", "spread"])
def test_quiet_or_a_document_on_standard_output_still_says_it(name, tmp_path):
    asked = (*COMMANDS[name], *DANGER)
    done = run(*asked, *written(name, tmp_path), "--quiet")
    assert done.stdout == ""
    assert done.stderr.startswith("DO NOT RUN: ")
    if name == "predict":
        done = run(*asked, "--json", "-")
        assert json.loads(done.stdout)["do_not_run"] is True
        assert done.stderr.startswith("DO NOT RUN: ")


@pytest.mark.parametrize("name", COMMANDS)
def test_a_sound_build_has_none(name, tmp_path):
    document = tmp_path / "document.json"
    done = run(*COMMANDS[name], *written(name, tmp_path), "--json", document)
    assert "DO NOT RUN" not in done.output
    assert "WARNING" not in done.output
    found = json.loads(document.read_text(encoding="utf-8"))
    assert (found["do_not_run"], found["first_lines"]) == (False, [])


def test_a_comparison_says_which_build():
    done = run("compare", PLAIN, OVER, "--set", "bearing.static_rating=1000 N")  # enough for the bolts alone
    first = done.stdout.replace("\n    ", " ").splitlines()[0]
    assert first.startswith("DO NOT RUN: after: 1 check fails (thrust bearing 0.9")
    assert "WARNING: after: over-balanced, released at speed, these blades run to full pitch." in (
        done.stdout.replace("\n    ", " ")
    )
    done = run("predict", OVER)
    assert done.stdout.startswith("WARNING: over-balanced")  # it holds, and shows what too much weight does


def test_cautions_take_two_lines_and_the_whole_text_when_asked():
    lines = run("predict", PLAIN).stdout.splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith("CAUTION: "))
    assert len(lines) - start == 2
    assert all(len(line) < 80 for line in lines[start:])
    everything = run("predict", PLAIN, "--verbose").stdout
    assert "never for anything that carries a person" in " ".join(everything.split())
    assert "km/h" in everything


def test_sampled_builds_that_fail_are_counted_in_a_line_of_their_own(tmp_path):
    load = json.loads(run("predict", PLAIN, "--json", "-").stdout)["findings"]["centrifugal_load"]["value"]
    document = tmp_path / "spread.json"
    # just enough for the build as written: about half of what its tolerances allow is not
    tight = f"bearing.static_rating={1.0001 * 1.44 * load:.6f} N"
    done = run("spread", PLAIN, "--runs", "32", "--set", tight, "--json", document)
    worse, first = done.stdout.replace("\n    ", " ").splitlines()[:2]
    assert worse.startswith(
        "DO NOT RUN: 1 check fails at the worse end of your tolerances (thrust bearing 0.9"
    )
    found = json.loads(document.read_text(encoding="utf-8"))
    assert found["do_not_run"] is True
    count = int(first.removeprefix("DO NOT RUN: ").split()[0])
    assert 0 < count < 32
    assert f"{count} of 32 sampled builds fail within tolerances and doubts (thrust bearing {count})" in first
    assert "OK, nothing to spare" not in first
    done = run("spread", PLAIN, "--runs", "16", *DANGER)
    lines = done.stdout.replace("\n    ", " ").splitlines()
    assert lines[0].startswith("DO NOT RUN: 1 check fails (thrust bearing 0.01")
    assert lines[1].startswith("DO NOT RUN: 16 of 16 sampled builds fail")


def test_what_fails_is_not_to_be_made_and_its_files_say_so(tmp_path):
    variant, drawings = tmp_path / "v.toml", {kind: tmp_path / f"d.{kind}" for kind in ("svg", "pdf", "dxf")}
    for number, (_, path) in enumerate(drawings.items()):
        more = ("--variant", variant) if not number else ()
        done = run(*COMMANDS["size"], *DANGER, "--drawing", path, *more)
        words = " ".join(done.stdout.split())
        assert "Do not make: turned bolt and nut" in words
        assert "Make:" not in words
        assert "Not to be made as it is" in words
    assert variant.read_text(encoding="utf-8").startswith("# DO NOT RUN: 1 check fails (thrust bearing")
    svg = drawings["svg"].read_text(encoding="utf-8")
    assert ">DO NOT RUN<" in svg
    assert ">DO NOT RUN: 1 check fails (thrust bearing" in svg
    document = ezdxf.read(io.StringIO(drawings["dxf"].read_text(encoding="utf-8")))
    texts = [one.dxf.text for one in document.modelspace().query('TEXT[layer=="DO-NOT-RUN"]')]
    assert texts[0] == "DO NOT RUN"
    assert texts[1].startswith("DO NOT RUN: 1 check fails (thrust bearing")
    assert not document.audit().errors
    sound = tmp_path / "sound.dxf"
    words = " ".join(run(*COMMANDS["size"], "--drawing", sound).stdout.split())
    assert "Make, with nothing to spare in strength: turned bolt and nut" in words
    assert "DO-NOT-RUN" not in sound.read_text(encoding="utf-8")


def test_strict_counts_a_load_path_that_is_not_known(monkeypatch):
    from featherbench import checks
    from featherbench.checks.check import unknown

    lacking = (unknown("what holds the weight", "force", "state part.weight.held_by"),)
    monkeypatch.setattr(checks, "bench_checks", lambda _run: lacking)
    done = CliRunner().invoke(app, ["predict", PLAIN, "--strict", "--verbose"])
    assert done.exit_code == 1
    assert done.stdout.startswith("DO NOT RUN: not known: what holds the weight (state part.weight.held_by).")
    assert "unknown: do not run" in done.stdout
    assert "state part.weight.held_by" in " ".join(done.stdout.split())
