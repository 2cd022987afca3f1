"""The rank command end to end: its words, document, page, refusals."""

import json

from typer.testing import CliRunner

from featherbench import OutputRefused
from featherbench.cli import app

PLAIN = "scenarios/survey-3kg/plain.toml"


def _run(*words):
    return CliRunner().invoke(app, ["rank", *(str(word) for word in words)])


def test_own_changes_are_tried_alone_and_written_everywhere(tmp_path):
    page, target, rows = tmp_path / "rank.html", tmp_path / "rank.json", tmp_path / "rank.csv"
    own = ("--set", "rotor.speed=9500 rpm", "--set", "linkage.servo_arm=12 mm", "--only-set", "--runs", "2")
    result = _run(PLAIN, *own, "--report", page, "--json", target, "--csv", rows)
    assert result.exit_code == 0, result.output
    words = " ".join(result.output.split())
    assert "Most for least: rotor.speed=9500 rpm: " in words
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["most_for_least"] == "rotor.speed=9500 rpm"
    tried = {one["words"]: one for one in document["tried"]}
    force = tried["rotor.speed=9500 rpm"]["figures"]["force"]
    assert force["unit"] == "N"
    assert force["low"] <= force["change"] <= force["high"] < 0.0
    arm = tried["linkage.servo_arm=12 mm"]["figures"]
    assert abs(arm["force"]["change"]) < 1e-3 * arm["force"]["before"]
    assert arm["swing"]["change"] > 0.05
    assert "<svg" in page.read_text(encoding="utf-8")
    assert rows.read_text(encoding="utf-8").splitlines()[0].startswith("tried,measure,before,after")
    assert isinstance(_run(PLAIN, *own, "--json", target).exception, OutputRefused)


def test_ranked_by_holding_current_the_servo_comes_first():
    own = ("--set", "rotor.speed=9800 rpm", "--set", "linkage.servo_arm=11 mm", "--only-set", "--runs", "0")
    result = _run(PLAIN, *own, "--by", "hold", "--json", "-")
    assert json.loads(result.stdout)["tried"][0]["words"] == "linkage.servo_arm=11 mm"


def test_what_cannot_be_is_refused_before_anything_runs():
    result = _run(PLAIN, "--set", "rotor.sped=9500 rpm", "--set", "linkage.servo_arm=12 kg")
    assert result.exit_code == 2
    assert "rotor.sped" in str(result.exception or result.output) + result.output
    assert "servo_arm" in result.output
    assert _run(PLAIN, "--by", "colour").exit_code == 2
    assert _run(PLAIN, "--only-set").exit_code == 2
