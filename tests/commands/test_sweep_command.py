"""The sweep command: what it prints and writes, and what it refuses."""

import json
import re

import pandas as pd
import pytest
from typer.testing import CliRunner

from featherbench.cli import app
from featherbench.scenario import ScenarioError

WEIGHTED = "scenarios/survey-3kg/weighted.toml"
SPEEDS = ("--vary", "rotor.speed=9000..15000 rpm:4")
LENGTHS = ("--vary", "part.head-collar.length=2 mm, 4 mm, 0 mm")


@pytest.fixture(autouse=True)
def at_root(monkeypatch, request):
    monkeypatch.chdir(request.config.rootpath)


def run(*words):
    return CliRunner().invoke(app, ["sweep", WEIGHTED, *map(str, words)])


@pytest.fixture(scope="module")
def kept(tmp_path_factory, request):
    """A sweep of two keys with everything that it writes."""
    folder = tmp_path_factory.mktemp("swept")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(request.config.rootpath)
        done = run(
            *SPEEDS, *LENGTHS, "--jobs", 1, "--out", folder / "study", "--csv", folder / "all.csv",
            "--json", folder / "all.json", "--report", folder / "page.html", "--figures", folder / "map",
        )  # fmt: skip
    return folder, done


def test_what_must_not_be_run_and_what_cannot_be_is_said_first(kept):
    _, done = kept
    assert done.exit_code == 0, done.output
    lines = done.output.splitlines()
    assert lines[0].startswith("DO NOT RUN 4 of 8 builds: what holds blades or weights on fails in 4.")
    assert any(line.startswith("WARNING: over-balanced") for line in lines[:3])
    assert any(
        line.startswith("CANNOT BE: 4 of 12 builds; first build 2: part.head-collar.length") for line in lines
    )
    assert len(lines) <= 25 + len([line for line in lines if line.startswith("wrote")])


def test_every_form_holds_the_same_builds(kept):
    folder, _ = kept
    table = pd.read_csv(folder / "all.csv", comment="#")
    assert len(table) == 12
    assert (table["refused"].notna() & (table["refused"] != "")).sum() == 4
    document = json.loads((folder / "all.json").read_text(encoding="utf-8"))
    told = document["sweep"]
    assert (told["done"], told["refused"], told["complete"]) == (12, 4, True)
    force = told["values"]["rod_force_static"]
    assert force["least"]["value"] == pytest.approx(table["rod_force_static [N]"].min(), rel=1e-6)
    assert table.loc[table["build"] == force["most"]["build"], "rod_force_static [N]"].iloc[
        0
    ] == pytest.approx(force["most"]["value"], rel=1e-6)
    assert told["counts"]["load_path"] == table["load_path"].value_counts().to_dict()
    assert sorted(file.name for file in (folder / "map").iterdir()) == ["map.png", "map.svg"]
    page = (folder / "page.html").read_text(encoding="utf-8")
    assert "DO NOT RUN 4 of 8 builds" in page
    drawn = (folder / "map" / "map.svg").read_text(encoding="utf-8")
    for words in (">fails", ">strength", "to full pitch", "blank: cannot", "rotor speed, rpm"):
        assert words in drawn


def test_the_same_command_goes_on_and_another_is_refused(kept):
    folder, _ = kept
    again = run(*SPEEDS, *LENGTHS, "--out", folder / "study")
    assert again.exit_code == 0
    assert "8 builds run, 4 refused." in again.output
    other = run(*SPEEDS, *LENGTHS, "--out", folder / "study", "--set", "servo.damping=2 ms")
    assert other.exit_code == 2
    assert "holds a sweep of another base: name a new folder" in other.output


def test_a_table_of_builds_and_values_by_name(tmp_path):
    (tmp_path / "builds.csv").write_text(
        "rotor.speed,part.head-collar.material\n9000 rpm,brass\n9500 rpm,steel\n", encoding="utf-8"
    )
    done = run(
        "--table",
        tmp_path / "builds.csv",
        "--values",
        "mass,release",
        "--jobs",
        1,
        "--csv",
        tmp_path / "a.csv",
    )
    assert done.exit_code == 0, done.output
    assert done.output.startswith("NOT CHECKED: whether these builds hold together")
    table = pd.read_csv(tmp_path / "a.csv", comment="#")
    assert table["mass [kg]"][0] > table["mass [kg]"][1]  # brass is heavier than steel
    assert table["part.head-collar.material"].tolist() == ["brass", "steel"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say what to vary"),
        (("--vary", "rotor.speed"), "expected KEY.PATH=A..B:N"),
        (("--vary", "rotor.speed=9000..9500:3"), "rpm"),
        (("--vary", "rotor.sped=9000..9500 rpm:3"), "rotor.sped"),
        ((*SPEEDS, *SPEEDS), "said twice"),
        ((*SPEEDS, "--set", "rotor.speed=9000 rpm"), "either --set or --vary"),
        ((*SPEEDS, "--values", "rod_force_psh"), "did you mean rod_force_push"),
        ((*SPEEDS, "--shard", "4/3"), "expected K/N"),
        ((*SPEEDS, "--jobs", "2", "--executor", "dask://127.0.0.1:1"), "one of them"),
        ((*SPEEDS, "--executor", "127.0.0.1:8786"), "an address such as"),
        ((*SPEEDS, "--table", "builds.csv"), "say what to vary"),
        (("--table", "nowhere.csv"), "nowhere.csv: cannot be read"),
        (("--table", WEIGHTED), "nothing in row|other columns|expected"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_words(words, said):
    done = run(*words)
    refused = done.exit_code == 2 or isinstance(done.exception, ScenarioError)  # which main() ends with 2
    assert refused, done.output
    assert re.search(said, done.output + str(done.exception))
