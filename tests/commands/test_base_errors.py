"""A fault in a base is told with the base's file and line, whichever of several files names it."""

from pathlib import Path

from typer.testing import CliRunner

from featherbench.cli import app
from featherbench.scenario import ScenarioError

SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg"


def test_a_fault_in_the_base_of_one_of_several_builds_names_that_base_and_its_line(tmp_path):
    """A metal that nobody knows, found only when the build is put together, after four sound ones."""
    text = (SURVEY / "plain.toml").read_text(encoding="utf-8")
    good = [str(SURVEY / f"{name}.toml") for name in ("plain", "weighted", "over", "worn")]
    variant = tmp_path / "variant.toml"
    variant.write_text('title = "v"\nbase = "base.toml"\n', encoding="utf-8")
    old = '"aluminium 6061"'
    (tmp_path / "base.toml").write_text(text.replace(old, '"unobtainium"', 1), encoding="utf-8")
    done = CliRunner().invoke(app, ["compare", *good, str(variant)])
    assert isinstance(done.exception, ScenarioError)  # which the program's main line prints as it is
    (problem,) = done.exception.problems
    assert problem.key == "part.grip.material"
    assert problem.file == str(tmp_path / "base.toml")
    assert problem.line == text[: text.index(old)].count("\n") + 1
