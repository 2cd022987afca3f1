"""check says, before anything runs, what of the load path fails or is not known."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from featherbench.cli import app

PLAIN = str(Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml")
NYLON = "part.blade-bolt.material=nylon"


def _check(*words):
    return CliRunner().invoke(app, ["check", PLAIN, *words])


def test_a_bolt_of_nylon_is_told_first_and_what_to_state():
    said = _check("--set", NYLON, "--verbose")
    assert said.exit_code == 0
    assert said.stdout.lstrip().startswith("DO NOT RUN: not known:")
    assert "do not run before it is known" in said.stdout


def test_the_document_and_the_page_say_so_too(tmp_path):
    page, document = tmp_path / "page.html", tmp_path / "check.json"
    assert _check("--set", NYLON, "--report", str(page), "--json", str(document)).exit_code == 0
    assert json.loads(document.read_text(encoding="utf-8"))["builds"][0]["do_not_run"] is True
    body = page.read_text(encoding="utf-8").split("<body>")[1]
    assert body.index("DO NOT RUN") < body.index("<h1>")


@pytest.mark.parametrize("words", [(), ("--units", "trade")])
def test_a_sound_build_is_not_told_so(words):
    assert "DO NOT RUN" not in _check(*words).stdout


def test_of_two_builds_it_says_which(tmp_path):
    nylon = tmp_path / "nylon.toml"
    nylon.write_text(
        f'title = "Nylon"\nbase = {json.dumps(PLAIN)}\n[part.blade-bolt]\nmaterial = "nylon"\n',
        encoding="utf-8",
    )
    document = tmp_path / "check.json"
    said = _check(str(nylon), "--json", str(document)).stdout
    assert said.startswith("DO NOT RUN: build 2: not known: ")
    assert "build 2: Nylon" in said
    found = json.loads(document.read_text(encoding="utf-8"))
    assert found["do_not_run"] is True
    assert [one["do_not_run"] for one in found["builds"]] == [False, True]
