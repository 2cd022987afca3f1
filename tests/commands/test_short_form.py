"""What every command prints by default: at most 25 lines, warnings first, cautions last, on every shipped build."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.cells import cell_len
from typer.testing import CliRunner

from featherbench.cli import app
from featherbench.render.brief import MOST_LINES
from featherbench.scenario import read
from featherbench.studies import Run
from plain_words import relapses

ROOT = Path(__file__).parents[2]
SHIPPED = sorted(
    path.relative_to(ROOT).as_posix()
    for path in (ROOT / "scenarios").glob("*/*.toml")
    if path.parent.name != "bench"
)
SURVEY = "scenarios/survey-3kg"
PLAIN, WEIGHTED, OVER, WORN = (f"{SURVEY}/{name}.toml" for name in ("plain", "weighted", "over", "worn"))
TUTORIAL = "scenarios/tutorial-2kg"
ROD = (
    "--mass",
    "2.3 +/- 0.01 g",
    "--period",
    "0.94 +/- 0.003 s",
    "--cord-length",
    "300 mm",
    "--spacing",
    "10 mm",
)
ASKED = {
    "check several": (
        "check",
        PLAIN,
        WEIGHTED,
        OVER,
        WORN,
        f"{SURVEY}/tight.toml",
        f"{SURVEY}/loud-gyro.toml",
    ),
    "compare": ("compare", PLAIN, WEIGHTED),
    "compare with ranges": ("compare", PLAIN, WEIGHTED, "--runs", "16"),
    "compare many": ("compare", PLAIN, WEIGHTED, OVER, WORN, f"{SURVEY}/tight.toml"),
    "compare what must not run": ("compare", PLAIN, WEIGHTED, "--set", "bearing.static_rating=10 N"),
    "predict with ranges": ("predict", OVER, "--runs", "16"),
    "size": ("size", PLAIN, "--route", "bolt"),
    "wag": ("wag", WORN, "--seconds", "4", "--draws", "1"),
    "spread": ("spread", PLAIN, "--runs", "16"),
    "sweep": ("sweep", WEIGHTED, "--vary", "rotor.speed=9000..14000 rpm:3", "--jobs", "1"),
    "sheet": ("sheet", PLAIN, "--runs", "16"),
    "match": ("match", PLAIN, f"{SURVEY}/bench/plain-readings.toml", "--runs", "8"),
    "rank": ("rank", PLAIN, "--set", "rotor.speed=9500 rpm", "--only-set", "--runs", "0"),
    "swing": ("swing", "compound"),
    "swing with readings": ("swing", "bifilar", *ROD),
}


@pytest.fixture(autouse=True)
def _eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")


def shown(*words: str) -> list[str]:
    """Lines that a command prints."""
    done = CliRunner().invoke(app, list(words))
    assert done.exit_code == 0, done.output
    assert not relapses(done.stdout)
    return done.stdout.splitlines()


def fits(lines: list[str]) -> None:
    """At most 25 lines, the two of the cautions last."""
    assert len(lines) <= MOST_LINES == 25, "\n".join(lines)
    assert lines[-2].startswith("CAUTION: ")
    assert lines[-1].endswith("never man-carrying.")
    assert any("--verbose" in line for line in lines)


ELSEWHERE = {"start", "examples", "keys", "explore", "bias", "calibrate"}
"""What prints no study, opens a window, or is shown whole by the README and read there."""


def test_no_command_is_left_out() -> None:
    commands = {one.callback.__name__ for one in app.registered_commands if one.callback}
    assert {words[0] for words in ASKED.values()} | ELSEWHERE == commands


@pytest.mark.parametrize("name", ASKED)
def test_every_command_answers_in_25_lines(name: str) -> None:
    lines = shown(*ASKED[name])
    fits(lines)
    if "must not run" in name:
        assert lines[0].startswith("DO NOT RUN: before: 1 check fails (thrust bearing 0.01")
        assert any("FAILS, 0.01" in line for line in lines)
        assert not any(line.startswith("Next: does") for line in lines)


def test_every_shipped_build_is_predicted_in_25_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Even if all that was assumed mattered, which takes most words; what really does takes half a second a build."""

    def everything(run: Run) -> tuple[str, ...]:
        return tuple(one.key for one in run.assumed)

    monkeypatch.setattr("featherbench.sampling.assumptions.assumptions_that_matter", everything)
    for name in SHIPPED:
        lines = shown("predict", name)
        fits(lines)
        told = " ".join(" ".join(lines).split())
        for word in ("largest push", "released", "worst check", "figures assumed"):
            assert word in told, (name, word)
        if name.endswith("over.toml"):
            assert lines[0].startswith("WARNING: over-balanced")


def test_what_matters_of_what_was_assumed_is_named_and_stated_it_is_not() -> None:
    told = " ".join(" ".join(shown("predict", PLAIN)).split())
    assert "of them matter: blade.polar" in told
    assert "bearing.coefficient" in told.split("of them matter: ")[1].split(";")[0]
    stated = " ".join(" ".join(shown("predict", PLAIN, "--set", "bearing.coefficient=0.0013")).split())
    assert "bearing.coefficient" not in stated


@pytest.mark.parametrize("words", [("predict", PLAIN), ("compare", PLAIN, WEIGHTED), ("check", PLAIN)])
def test_sixty_columns_lose_nothing_that_warns(
    words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = shown(*words, "--set", "bearing.static_rating=10 N")
    assert max(cell_len(line) for line in lines) <= 60
    assert lines[0].startswith("DO NOT RUN: ")
    assert "thrust bearing 0.01" in " ".join(" ".join(lines).split())


def test_sixty_columns_keep_the_figures_that_matter_beside_a_warning_and_long_titles(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = shown("compare", PLAIN, OVER, "--runs", "16")
    assert lines[0].startswith("WARNING: after: over-balanced")
    told = {line.split("  ")[0] for line in lines}
    figures = ("largest push", "largest pull", "holding high end", "holding low end")
    assert {"worst check", "released at speed", *figures} <= told
    titles = [line for line in lines if line.startswith(("before: ", "after:  "))]
    assert titles == [
        "before: Survey helicopter, 3 kg: plain blade bolts",
        "after:  ... brass collars, over-balanced",
    ]
    push = next(line for line in lines if line.startswith("largest push"))
    assert push.count(" to ") == 2  # before and after on one line, each with its range
    three = shown("compare", PLAIN, WEIGHTED, OVER, "--runs", "16")
    starts = [line.split()[0] for line in three if " to " in line and not line.startswith((" ", "W"))]
    assert [name for name in starts if name in ("before", "weighted", "over")] == [
        "before",
        "weighted",
        "over",
    ]
    for found in (lines, three):
        assert len(found) <= MOST_LINES
        assert max(cell_len(line) for line in found) <= 60


def test_sixty_columns_keep_where_a_sweep_reaches_its_most_beside_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    two = ("--vary", "rotor.speed=9000, 10000 rpm", "--vary", "linkage.horn_arm=8, 10 mm")
    lines = shown("sweep", WEIGHTED, *two, "--jobs", "1", "--values", "rod_force_push, hover_pitch")
    heads = [line.split() for line in lines if {"least", "most"} & set(line.split()) and "at" in line.split()]
    assert heads == [["least", "at"], ["most", "at"]]


def test_the_shipped_builds_are_all_tried() -> None:
    assert len(SHIPPED) >= 17
    assert {read(ROOT / name).title for name in SHIPPED}
