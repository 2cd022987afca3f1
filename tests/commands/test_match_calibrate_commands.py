"""The match and calibrate commands from outside: documents, pages, variants, refusals and exit statuses."""

import json
from pathlib import Path
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from featherbench.cli import app
from featherbench.commands.calibrate import _write_variants
from featherbench.scenario import ScenarioError, read

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PLAIN, BENCH = str(ROOT / "plain.toml"), ROOT / "bench"


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def matched(tmp_path_factory):
    folder = tmp_path_factory.mktemp("match")
    done = run("match", PLAIN, BENCH / "plain-gauge.csv", BENCH / "plain-readings.toml", "--runs", 8,
               "--json", folder / "m.json", "--report", folder / "m.html", "--verbose")  # fmt: skip
    assert done.exit_code == 0, done.output
    return done.output, json.loads((folder / "m.json").read_text()), (folder / "m.html").read_text()


def test_match_document_has_what_the_interface_names(matched):
    _, document, _ = matched
    push = document["match"]["gauge_push"]
    assert {"simulated", "measured", "u_simulated", "u_measured", "e_n", "unit"} <= set(push)
    spread = 2.0 * (push["u_simulated"] ** 2 + push["u_measured"] ** 2) ** 0.5
    assert push["e_n"] == pytest.approx((push["simulated"] - push["measured"]) / spread)
    assert document["series"]["rod_force (log 1)"]["unit"] == "N"
    assert document["complete"] is True


def test_match_says_what_was_skipped_and_shows_the_series(matched):
    output, _, page = matched
    assert "not a row of the table" in output
    assert "E_n" in output
    assert "<svg" in page
    assert "src=" not in page
    assert "<script src" not in page


@pytest.mark.usefixtures("few_beside")
def test_calibrate_writes_a_variant_and_never_over_one(tmp_path):
    target = tmp_path / "fitted.toml"
    words = ("calibrate", PLAIN, BENCH / "plain-readings.toml", "--free", "scale.inertia", "--write", target)
    done = run(*words, "--json", "-")
    assert done.exit_code == 0, done.output
    document = json.loads(done.stdout)
    found = document["calibrate"]["scale.inertia"]
    assert found["low"] < found["value"] < found["high"]
    assert found["identified"] is False  # where the blade stalls is not known well enough for that
    assert (
        document["improved"]["doubt.air_stall"]["after"] < document["improved"]["doubt.air_stall"]["before"]
    )
    assert "rotor.speed" not in document["improved"]  # as it was read
    assert read(target).scale.inertia == pytest.approx(found["value"], rel=1e-4)
    before = target.read_bytes()
    again = run(*words, "--force")
    assert again.exit_code != 0
    assert target.read_bytes() == before


@pytest.mark.usefixtures("few_beside", "values_only")
def test_two_builds_are_fitted_together_and_each_gets_its_variant(tmp_path):
    """The shipped readings of both builds in one go: each file's line says whose they are."""
    for name in ("plain", "weighted"):
        text = (BENCH / f"{name}-readings.toml").read_text(encoding="utf-8")
        (tmp_path / f"{name}-read.toml").write_text(f'build = "{ROOT / name}.toml"\n{text}', encoding="utf-8")
    target = tmp_path / "fitted.toml"
    words = ("calibrate", PLAIN, tmp_path / "plain-read.toml", tmp_path / "weighted-read.toml", "--use-all",
             "--free", "scale.inertia", "--write", target, "--report", tmp_path / "c.html")  # fmt: skip
    done = run(*words, "--json", tmp_path / "c.json")
    assert done.exit_code == 0, done.output
    document = json.loads((tmp_path / "c.json").read_text())
    assert set(document["builds"]) == {"plain.toml", "weighted.toml"}
    assert "plain.toml and weighted.toml were fitted together" in " ".join(done.output.split())
    assert "Builds fitted together" in (tmp_path / "c.html").read_text()
    found = document["calibrate"]["scale.inertia"]["value"]
    for file, base in (("fitted.toml", "plain"), ("fitted-weighted.toml", "weighted")):
        again = read(tmp_path / file)
        assert again.scale.inertia == pytest.approx(found, rel=1e-4)
        assert again.source.files[1].endswith(f"{base}.toml")
    (tmp_path / "fitted.toml").unlink()
    assert run(*words, "--force").exit_code != 0  # the other build's is there
    assert not (tmp_path / "fitted.toml").exists()


def test_a_fit_that_stays_far_off_is_not_handed_on(tmp_path):
    done = SimpleNamespace(fitted=SimpleNamespace(interrupted=False), after=9.0)
    target = tmp_path / "fitted.toml"
    (said,) = _write_variants(done, tmp_path / "plain.toml", target, (), False, {})
    assert said == "no variant written: the fit is still 3.0 x the instruments' uncertainty off"
    assert not target.exists()


def test_what_may_be_freed_is_listed():
    done = run("calibrate", PLAIN, "--list")
    assert done.exit_code == 0
    assert "linkage.slider_friction" in done.output
    assert "scale.air_moment" in done.output


def test_calibrate_without_data_is_refused():
    done = run("calibrate", PLAIN)
    assert done.exit_code == 2


def test_a_missing_log_is_refused_in_words():
    done = run("match", PLAIN, "none.csv")
    assert isinstance(done.exception, ScenarioError)  # main() turns it into a message and status 2
    assert "no such file" in str(done.exception)
