"""The spread command: document, page and text of one small spread; refusals in words."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from featherbench.cli import app

SCENARIO = str(Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "weighted.toml")


def _run(*words):
    return CliRunner().invoke(app, ["spread", *words])


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("spread")
    words = ["--runs", "96", "--json", str(folder / "s.json"), "--report", str(folder / "s.html")]
    result = _run(SCENARIO, "--bearing", *words, "--keep", str(folder / "kept.jsonl"), "--verbose")
    assert result.exit_code == 0, result.output
    return folder, result.output


def test_the_document_holds_intervals_and_shares(written):
    document = json.loads((written[0] / "s.json").read_text(encoding="utf-8"))
    push = document["findings"]["rod_force_push"]
    assert push["low"] < push["high"]
    assert push["unit"] == "N"
    assert set(push["shares"]) == set(document["shares"]) == set(document["spread"]["inputs"])
    assert document["spread"]["inputs"]["part.blade.mass"]["unit"] == "kg"
    assert document["spread"]["complete"] is True
    assert sum(document["findings"]["release"]["outcomes"].values()) == pytest.approx(1.0)
    assert document["seed"] == 0
    assert document["checks"]


def test_the_page_is_self_contained_and_ranked(written):
    page = (written[0] / "s.html").read_text(encoding="utf-8")
    assert page.count("<svg") == 2
    assert "http" not in page.split("</head>")[1].replace("http://www.w3.org", "")
    assert page.index("bearing.coefficient") < page.index("part.grip.mass")
    assert "<script src" not in page


def test_the_text_answers_first_and_names_what_matters(written):
    output = written[1]
    assert "The largest push on the rod lies between" in output
    assert "What matters most: doubt.air_stall" in output
    assert "from what the model does not know (mostly doubt.air_stall" in " ".join(output.split())
    assert "every value is equally" in " ".join(output.split())
    assert "Cautions" in output


def test_a_kept_file_is_gone_on_from_and_belongs_to_its_seed(written):
    kept = str(written[0] / "kept.jsonl")
    again = _run(SCENARIO, "--bearing", "--runs", "96", "--keep", kept, "--quiet")
    assert again.exit_code == 0
    # quiet but for what must be seen: some of the samples, over-balanced, run to full pitch
    assert all(line.startswith("WARNING: ") for line in again.output.splitlines()), again.output
    other = _run(SCENARIO, "--bearing", "--runs", "96", "--keep", kept, "--seed", "1")
    assert other.exit_code == 2
    assert "another seed" in other.output


def test_refusals():
    assert _run(SCENARIO, "--units", "furlongs").exit_code == 2
    assert _run(SCENARIO, "--runs", "3").exit_code == 2
    result = CliRunner().invoke(app, ["spread", SCENARIO, "--set", "nonsense"])
    assert result.exit_code == 2
    assert "KEY.PATH=VALUE" in result.output
