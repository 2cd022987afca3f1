"""The check command says what is probably a slip before anything else: terminal, page and document."""

import json
from pathlib import Path

from typer.testing import CliRunner

from featherbench.cli import app

PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
SLIP = "linkage.servo_arm = 140 mm? Usual is 4.1 to 46 mm"


def checked(*words):
    done = CliRunner().invoke(app, ["check", str(PLAIN), *words])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_remarks_come_first_on_the_terminal():
    lines = [line for line in checked("--set", "linkage.servo_arm=14 cm").splitlines() if line.strip()]
    assert lines[0].startswith(f"Is this meant: {SLIP}")


def test_a_build_that_is_meant_has_none(tmp_path):
    page = tmp_path / "c.html"
    assert "meant" not in checked("--report", str(page))
    assert "Is this meant" not in page.read_text(encoding="utf-8")
    assert json.loads(checked("--json", "-"))["builds"][0]["remarks"] == []


def test_page_and_document_have_them_too(tmp_path):
    page = tmp_path / "c.html"
    checked("--set", "linkage.servo_arm=14 cm", "--report", str(page))
    text = page.read_text(encoding="utf-8").replace("\u00a0", " ")
    assert SLIP in text
    assert text.index(SLIP) < text.index("blades at")
    (build,) = json.loads(checked("--set", "linkage.servo_arm=14 cm", "--json", "-"))["builds"]
    assert build["remarks"][0].startswith(SLIP)
