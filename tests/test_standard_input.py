"""A scenario or readings handed in by a pipe, as `-`."""

import json
from pathlib import Path

import pytest

from forked import forked

ROOT = Path(__file__).parents[1]
PLAIN = ROOT / "scenarios" / "survey-3kg" / "plain.toml"
READINGS = ROOT / "scenarios" / "survey-3kg" / "bench" / "plain-readings.toml"
CSV = "quantity;value;unit\ngauge_push;11,9;N\n"
OFF = ("--runs", "0")


def piped(file, *words, folder=ROOT):
    """Run the program with that file as its standard input."""
    code = f"import sys; sys.stdin = open({str(file)!r})\nfrom featherbench.cli import main\nmain()"
    return forked(words, code=code, folder=folder)


def test_a_piped_scenario_is_predicted_as_the_file_is():
    by_pipe = piped(PLAIN, "predict", "-", "--json", "-", *OFF)
    assert by_pipe.returncode == 0, by_pipe.stderr
    by_name = forked(["predict", str(PLAIN), "--json", "-", *OFF])
    found, wanted = (json.loads(done.stdout) for done in (by_pipe, by_name))
    assert found["findings"] == wanted["findings"]
    assert found["scenario"]["files"] == ["-"]


def test_a_base_is_looked_for_where_the_command_is_given(tmp_path):
    variant = PLAIN.with_name("weighted.toml")
    inside = piped(variant, "check", "-", "--quiet", folder=PLAIN.parent)
    assert inside.returncode == 0, inside.stderr
    outside = piped(variant, "check", "-", folder=tmp_path)
    assert outside.returncode == 2
    assert "base" in outside.stderr


def test_a_scenario_that_is_piped_twice_is_read_once():
    both = piped(PLAIN, "compare", "-", "-", "--json", "-", *OFF)
    assert both.returncode == 0, both.stderr
    assert len(json.loads(both.stdout)["runs"]) == 2


@pytest.mark.parametrize("text", [READINGS.read_text(), CSV])
def test_piped_readings_are_read_by_what_is_in_them(text, tmp_path):
    handed = tmp_path / "no-ending"
    handed.write_text(text)
    done = piped(handed, "match", str(PLAIN), "-", "--json", "-", "--runs", "8")
    assert done.returncode == 0, done.stderr
    assert "gauge_push" in done.stdout


def test_one_pipe_is_not_both():
    done = piped(PLAIN, "match", "-", "-")
    assert done.returncode == 2
    assert "standard input, which a scenario was read from" in done.stderr


def test_a_faulty_line_is_named(tmp_path):
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(PLAIN.read_text().replace("blades = 2", "blades = 20", 1))
    done = piped(wrong, "predict", "-")
    assert done.returncode == 2
    assert "rotor.blades" in done.stderr


def test_nothing_in_the_pipe_is_said():
    done = piped("/dev/null", "predict", "-")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    readings = piped("/dev/null", "match", str(PLAIN), "-")
    assert readings.returncode == 2
    assert "empty" in readings.stderr


def test_what_varies_a_file_needs_one(tmp_path):
    """Before the work is done: a variant names its base."""
    variant = tmp_path / "bolt.toml"
    for words in (
        ("size", "-", "--variant"),
        ("calibrate", "-", str(READINGS), "--free", "linkage.slider_friction", "--write"),
    ):
        done = piped(PLAIN, *words, str(variant))
        assert done.returncode == 2
        assert "a scenario read from a file" in done.stderr
    assert not variant.exists()
