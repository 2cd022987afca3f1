"""What the commands write and tell, from Python."""

import json
import tomllib
import warnings

import pytest

import featherbench as fb
from featherbench import retired
from featherbench.commands.tolerances import LEAST
from featherbench.notebook_cells import FEWEST
from featherbench.scenario import from_tables
from forked import forked

PLAIN = "scenarios/survey-3kg/plain.toml"


@pytest.fixture(scope="module")
def plain():
    return fb.read(PLAIN)


@pytest.fixture(scope="module")
def run(plain):
    return fb.predict(plain)


@pytest.fixture(scope="module")
def sized(plain):
    return fb.size(plain)


def test_dir_shows_what_is_public_and_all_of_it_is_there():
    assert dir(fb) == sorted(fb.__all__)
    for name in fb.__all__:
        assert getattr(fb, name) is not None


def test_a_mistyped_name_is_answered_with_those_near_it():
    with pytest.raises(AttributeError, match="did you mean predict"):
        fb.predikt  # noqa: B018
    with pytest.raises(KeyError, match="did you mean rod_force_push"):
        fb.label("rod_force_pish")
    with pytest.raises(KeyError, match="did you mean readings"):
        fb.schema("reading")
    with pytest.raises(fb.ScenarioError, match=r"rotor\.speed|speed"):
        fb.read(PLAIN, {"rotor.sped": "9000 rpm"})


def test_document_and_table_are_those_of_the_command(run, tmp_path):
    csv = tmp_path / "run.csv"
    done = forked(["predict", PLAIN, "--json", "-", "--csv", str(csv), "--runs", "0"])
    assert done.returncode == 0, done.stderr
    wanted, found = json.loads(done.stdout), fb.document(run)
    assert json.loads(json.dumps(found))["findings"] == wanted["findings"]
    assert found["format"] == wanted["format"]
    assert found["curves"] == wanted["curves"]
    assert fb.csv(run) == csv.read_text()


def test_a_page_is_whole_and_a_file_is_not_overwritten(run, tmp_path):
    page = fb.page(run, units="trade")
    assert page.startswith("<!")
    assert "<svg" in page
    assert "ozf" in page
    file = fb.write(tmp_path / "page.html", page)
    with pytest.raises(fb.OutputRefused):
        fb.write(file, "other")
    assert file.read_text() == page
    with pytest.raises(TypeError):
        fb.page(3)


def test_a_page_has_the_ranges_that_the_command_gives_and_the_cautions(run):
    page = fb.page(run, runs=16, seed=3)
    assert "16 bench runs, sample set 3" in page
    assert "95 % range" in page
    assert "Model aircraft only" in page or "never man-carrying" in page.split('id="cautions"')[1]
    bare = fb.page(run, runs=0)
    assert "95 % range" not in bare
    assert "fb.sampled([run]) says how sure each is" in bare
    with pytest.raises(ValueError, match="expected 0, or 16 or more"):
        fb.page(run, runs=FEWEST - 1)
    assert FEWEST == LEAST  # one bar for programs and for people


@pytest.mark.usefixtures("undrawn")
def test_a_page_of_a_sizing_is_of_both_builds(sized):
    page = fb.page(sized, runs=16)
    assert "16 bench runs of each build" in page
    assert "before" in page


def test_starter_is_a_scenario():
    assert from_tables(tomllib.loads(fb.starter("mine"))).title == "mine"


def test_sized_weights_are_drawn_and_written_as_a_variant(sized, tmp_path):
    found = sized
    sheets = fb.drawing(found)
    assert len(sheets) == 2
    assert all(b"<svg" in sheet for sheet in sheets)
    assert fb.drawing(found, "dxf")[0].startswith(b"  0\nSECTION")
    with pytest.raises(ValueError, match="dxf"):
        fb.drawing(found, "step")
    target = tmp_path / "sized.toml"
    fb.write(target, fb.variant(found, target))
    again = fb.predict(fb.read(target))
    assert again.value("compensation") == pytest.approx(found.run.value("compensation"), rel=1e-9)
    with pytest.raises(TypeError):
        fb.variant(again, target)


def test_a_swung_part_is_what_the_command_says():
    given = {"mass": "6.4 +/- 0.02 g", "period": "0.71 s", "cord_length": "400 mm", "spacing": "40 mm"}
    words = [word for name, text in given.items() for word in (f"--{name.replace('_', '-')}", text)]
    done = forked(["swing", "bifilar", *words, "--json", "-"])
    assert done.returncode == 0, done.stderr
    found = fb.swing("bifilar", **given)
    assert f"{found.inertia:.6e}"[:7] in {f"{value:.6e}"[:7] for value in numbers(json.loads(done.stdout))}
    for wrong in (
        ("bifilar", given | {"mass": "6.4 mm"}),
        ("bifilar", given | {"mass": "0 g"}),
        ("compound", given),
        ("two cords", given),
    ):
        with pytest.raises(ValueError, match=r"g|compound|swing"):
            fb.swing(wrong[0], **wrong[1])


def numbers(node):
    if isinstance(node, dict):
        node = list(node.values())
    if isinstance(node, list):
        return [value for inner in node for value in numbers(inner)]
    return [node] if isinstance(node, float) else []


def test_a_retired_name_works_and_says_what_to_write(monkeypatch):
    monkeypatch.setitem(retired.RETIRED, "forecast", retired.Retired("predict", "0.2", "0.4"))
    with pytest.warns(
        DeprecationWarning, match=r"featherbench\.forecast is called predict since 0\.2"
    ) as said:
        assert fb.forecast is fb.predict
    assert said[0].filename == __file__
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert fb.predict is not None
    assert not set(retired.RETIRED) & set(fb.__all__)
