"""Compiled kernels do not outlive the laws they were compiled from, and are kept where something can be written."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from featherbench.kernel_cache import KEPT, NOT_KEPT, choose, digest, places

PACKAGE = Path(__file__).parents[1] / "sim" / "featherbench"
LAW = "from featherbench.kernel import kernel\nfrom featherbench.rotor.figures import SIZE\n\n\n@kernel\ndef law():\n"


@pytest.fixture
def package(tmp_path):
    """A package of two laws, figures that one of them has compiled in, and a source with nothing to compile."""
    for room in ("rotor", "plant"):
        (tmp_path / room).mkdir()
    (tmp_path / "rotor" / "law.py").write_text(LAW + "    return SIZE\n")
    (tmp_path / "rotor" / "figures.py").write_text("SIZE = 3\n")
    (tmp_path / "plant" / "law.py").write_text(LAW + "    return 2 * SIZE\n")
    (tmp_path / "plant" / "words.py").write_text("TEXT = 1\n")
    return tmp_path


@pytest.mark.parametrize("source", ["rotor/law.py", "rotor/figures.py", "plant/law.py"])
def test_another_law_or_another_figure_in_it_is_another_folder(package, source):
    before = digest(package)
    with (package / source).open("a") as file:
        file.write("# changed\n")
    assert digest(package) != before


def test_other_sources_do_not_matter(package):
    before = digest(package)
    (package / "plant" / "words.py").write_text("TEXT = 2\n")
    assert digest(package) == before


def test_every_law_of_the_program_counts():
    """A source that compiled without the mark would be left out of the digest, and could go stale."""
    compiling = re.compile(r"^\s*(from|import) numba\b", re.MULTILINE)
    found = [file for file in PACKAGE.rglob("*.py") if compiling.search(file.read_text(encoding="utf-8"))]
    assert found == [PACKAGE / "kernel.py"]


def test_the_folder_asked_for_comes_first_then_the_installation_the_home_and_temporary_files(tmp_path):
    asked = {"NUMBA_CACHE_DIR": str(tmp_path / "asked"), "XDG_CACHE_HOME": str(tmp_path / "home")}
    tried = list(places(tmp_path / "package", asked))
    assert tried[0] == tmp_path / "asked" / "featherbench"
    assert tried[1] == tmp_path / "package" / "__pycache__"
    if sys.platform.startswith("linux"):
        assert tried[2] == tmp_path / "home" / "featherbench"
    assert len(tried) == 4


def test_what_cannot_be_written_is_passed_over(tmp_path):
    blocked = tmp_path / "file"
    blocked.touch()
    kept = choose(iter([blocked, blocked / "deeper", tmp_path / "free"]), "5" * 64)
    assert kept == tmp_path / "free" / f"kernels-{'5' * 20}"
    assert choose(iter([blocked]), "5" * 64) is None


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="no owners here")
def test_a_folder_among_temporary_files_that_others_may_write_to_is_not_trusted(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    mine = tmp_path / "featherbench-1"
    mine.mkdir(mode=0o700)
    assert choose(iter([mine]), "5" * 64)
    mine.chmod(0o777)
    assert choose(iter([mine]), "6" * 64) is None


def test_laws_of_sources_long_gone_are_thrown_away(tmp_path):
    compiled = []
    for number in range(KEPT + 3):
        kept = choose(iter([tmp_path]), f"{number}" * 64)
        compiled.append(kept / "plant" / "law.f-1.py311.nbi")
        compiled[-1].parent.mkdir()
        compiled[-1].touch()
        os.utime(kept, (number, number))
    newest = choose(iter([tmp_path]), f"{KEPT + 2}" * 64)
    assert [file.exists() for file in compiled] == [False, False] + [True] * (KEPT + 1)
    assert newest == compiled[-1].parents[1]


@pytest.fixture(scope="module")
def installation(tmp_path_factory):
    """A copy of the program in which no folder can be made beside the sources, whoever tries."""
    copy = tmp_path_factory.mktemp("installed") / "featherbench"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "__pycache__").touch()
    return copy


def run(installation, code, **environ):
    """Run code on the copy: no home, no cache folder of the user's own, nowhere to write bytecode."""
    nowhere = str(installation / "__pycache__")
    clean = {key: value for key, value in os.environ.items() if not key.startswith(("NUMBA_", "PYTHON"))}
    clean |= dict.fromkeys(("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"), nowhere)
    clean |= {"PYTHONPATH": str(installation.parent), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=clean | environ, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split(), done.stderr


MOMENT = """
import math
import numpy as np
import featherbench.servo.supply
from featherbench.plant.loads import blade_moment
from featherbench.plant.parameters import LoadTable
from numba.core import config
loads = LoadTable(-1.0, 0.5, 0.0, np.tile([5e-6, 1e-6, 0.0, 0.0, 0.0, 0.0], (2, 1)))
print(blade_moment(math.pi / 4, 1000.0, 0.0, loads), blade_moment.stats.cache_path, repr(config.CACHE_DIR))
"""


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A folder of temporary files, as processes are told of it."""
    return dict.fromkeys(("TMPDIR", "TEMP"), str(tmp_path_factory.mktemp("kept")))


@pytest.fixture(scope="module")
def moment(installation, kept):
    """What a process that finds nothing kept says: moment, folder, and the folder of others' compiled functions."""
    return run(installation, MOMENT, **kept)


def test_a_read_only_installation_without_a_home_keeps_its_laws_among_temporary_files(
    installation, kept, moment
):
    (moment, path, asked), said = moment
    assert float(moment) == pytest.approx(-2.0)  # -1000^2 * 4e-6 * sin(45 deg) cos(45 deg)
    assert Path(path).is_relative_to(kept["TMPDIR"])
    assert f"kernels-{digest(installation)[:20]}" in path
    assert list(Path(path).glob("*.nbc"))
    assert asked == "''"  # nobody else's compiled functions have moved
    assert not said


def test_where_nothing_can_be_written_it_still_computes_and_says_so_once(installation):
    nowhere = f"import tempfile; tempfile.tempdir = {str(installation / '__pycache__')!r}\n"
    (moment, path, _), said = run(installation, nowhere + MOMENT)
    assert float(moment) == pytest.approx(-2.0)
    assert path == "None"
    assert said.strip() == NOT_KEPT


def test_a_law_changed_in_one_file_is_not_hidden_by_its_callers_in_another(installation, kept, moment):
    """numba by itself would answer -2 both times: the caller's own file has not changed."""
    (before, first, _), _ = moment
    law = installation / "rotor" / "propeller_moment.py"
    written = law.read_text()
    try:
        law.write_text(written.replace("flat = (moments", "flat = 2.0 * (moments"))
        (after, second, _), _ = run(installation, MOMENT, **kept)
    finally:
        law.write_text(written)
    assert float(before) == pytest.approx(-2.0)
    assert float(after) == pytest.approx(-4.0)
    assert Path(second).is_relative_to(kept["TMPDIR"])
    assert Path(first).parent != Path(second).parent


def test_kept_laws_are_loaded_without_what_only_compiling_needs_and_others_compile_after_them(tmp_path):
    """In the folder asked for. The second run loads; what is then compiled, with an array and its determinant in
    it, finds all of numba.
    """
    kept = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
    loaded = "import sys\nprint('scipy.linalg' in sys.modules, sum(blade_moment.stats.cache_hits.values()))\n"
    solved = (
        "from numba import njit\n"
        "@njit\n"
        "def solved(m):\n    return np.linalg.det(m) + blade_moment(0.0, 1000.0, 0.0, loads)\n"
        "print(solved(2.0 * np.eye(2)))"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], env=kept, capture_output=True, text=True, check=True)
        for code in (MOMENT + loaded, MOMENT + loaded + solved)
    ]
    (first, *before), (second, *after, other) = (run.stdout.splitlines() for run in runs)
    assert first == second
    _, path, asked = first.split()
    assert Path(path).is_relative_to(tmp_path)
    assert asked == repr(str(tmp_path))
    assert float(other) == 4.0
    assert before == ["True 0"]
    assert after == ["False 1"]


def test_asking_for_help_looks_for_no_folder():
    """Neither numba nor a digest of the sources is needed to say what commands there are."""
    code = (
        "import sys, featherbench.cli\n"
        "print(sorted({'numba', 'featherbench.kernel_cache', 'featherbench.kernel'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
