"""The examples come with the program, whether it runs from a checkout or was installed somewhere."""

import importlib.metadata
import importlib.util
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import featherbench as fb
from featherbench.render.files import OutputExists, OutputRefused, write_folder
from featherbench.scenario.shipped import shipped_files

ROOT = Path(__file__).parents[2]
PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check"]


def listed():
    """Files that the wheel takes along, by the table that says so."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"][
        "data-files"
    ]
    assert all(len(patterns) == 1 for patterns in table.values())
    assert all(folder == f"share/featherbench/{pattern[:-4]}" for folder, (pattern,) in table.items())
    return {file for (pattern,) in table.values() for file in ROOT.glob(pattern)}


def test_every_file_of_the_examples_is_taken_along():
    """A new folder of examples that nobody lists would be missing from an installation only."""
    there = {
        file for file in (ROOT / "scenarios").rglob("*") if file.is_file() and "__pycache__" not in file.parts
    }
    assert listed() == there
    taken = {file.relative_to(ROOT / "scenarios").as_posix(): file.read_bytes() for file in there}
    assert {name: file.read_bytes() for name, file in shipped_files().items()} == taken


@pytest.mark.parametrize(
    "name", ["survey-3kg/plain", "survey-3kg/plain.toml", "scenarios/survey-3kg/plain.toml"]
)
def test_an_example_is_found_from_any_folder(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shown = ROOT / "scenarios" / "survey-3kg" / "plain.toml"
    assert fb.example(name).parts[-3:] == shown.parts[-3:]
    assert fb.example(name).read_bytes() == shown.read_bytes()  # of an installation it is a copy
    assert fb.read(fb.example(name)).rotor.blades == 2


def test_a_mistyped_example_is_answered_with_names_near_it():
    with pytest.raises(fb.ScenarioError, match="survey-3kg/plain"):
        fb.example("survey-3g/plain")
    with pytest.raises(fb.ScenarioError, match="an example: "):
        fb.example("../pyproject")


def test_a_missing_example_is_met_with_the_command_that_brings_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(fb.ScenarioError, match="featherbench examples copies the examples"):
        fb.read("scenarios/survey-3kg/plain.toml")
    with pytest.raises(fb.ScenarioError) as other:
        fb.read("scenarios/mine.toml")
    assert "featherbench examples" not in str(other.value)


def test_a_folder_is_made_whole_or_not_at_all(tmp_path):
    target = tmp_path / "copied"
    with pytest.raises(OutputRefused):
        write_folder(target, {"good.toml": b"1", "bad\0.toml": b"2"})
    assert list(tmp_path.iterdir()) == []
    target.mkdir()
    write_folder(target, {"inner/good.toml": b"1"})
    assert (target / "inner" / "good.toml").read_bytes() == b"1"
    with pytest.raises(OutputExists):
        write_folder(target, {"inner/good.toml": b"3", "new.toml": b"4"})
    assert [file.name for file in target.rglob("*.toml")] == ["good.toml"]
    assert (target / "inner" / "good.toml").read_bytes() == b"1"
    with pytest.raises(OutputRefused, match="no folder"):
        write_folder(tmp_path / "none" / "copied", {"good.toml": b"1"})


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """A wheel of this tree; nothing is fetched."""
    try:
        modern = int(importlib.metadata.version("setuptools").split(".")[0]) >= 77
    except importlib.metadata.PackageNotFoundError:
        modern = False
    if not modern or importlib.util.find_spec("pip") is None:
        pytest.skip("no pip, or no setuptools of the tests' own, to build a wheel with")
    folder = tmp_path_factory.mktemp("wheel")
    tree = folder / "tree"
    tree.mkdir()
    for name in ("sim", "scenarios"):
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, tree / name)
    offline = ["--no-deps", "--no-index", "--no-build-isolation"]
    done = subprocess.run(
        [*PIP, "wheel", *offline, "--wheel-dir", str(folder), str(tree)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    shutil.rmtree(tree)
    return next(folder.glob("*.whl"))


@pytest.mark.parametrize("way", ["--prefix", "--target"])
def test_an_installation_brings_its_examples_and_copies_them_out(wheel, way, tmp_path):
    installed = tmp_path / "installed"
    offline = ["--ignore-installed", "--no-deps", "--no-index", "--no-compile"]
    pip = [*PIP, "install", *offline, way, str(installed), str(wheel)]
    done = subprocess.run(pip, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (package,) = (file.parent for file in installed.rglob("featherbench/__init__.py"))
    environ = {**os.environ, "PYTHONPATH": str(package.parent)}

    def run(*words):
        return subprocess.run(
            [sys.executable, *words], cwd=tmp_path, env=environ, capture_output=True, text=True, check=False
        )

    found = run("-c", "import featherbench as fb; print(fb.__file__, fb.example('survey-3kg/plain'))")
    assert found.returncode == 0, found.stderr
    assert all(Path(name).is_relative_to(installed) for name in found.stdout.split())
    copied = run("-m", "featherbench", "examples")
    assert copied.returncode == 0, copied.stderr
    inside = {
        file.relative_to(tmp_path / "scenarios").as_posix() for file in (tmp_path / "scenarios").rglob("*.*")
    }
    assert inside == set(shipped_files())
    assert fb.read(tmp_path / "scenarios" / "survey-3kg" / "worn.toml").rotor.blades == 2
    again = run("-m", "featherbench", "examples")
    assert again.returncode == 2
    assert "exists" in again.stderr
