"""A machine that only computes: without what draws, lays out and tabulates, it predicts, and says what it lacks.

Each runs in a process of its own, in which those libraries cannot be imported; where nothing is to be computed, in one
that is forked from another which has loaded none of them.
"""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from featherbench.libraries import USES
from forked import PROGRAM, forked

ROOT = Path(__file__).parents[1]
PLAIN = "scenarios/survey-3kg/plain.toml"
FOR_SHOW = (
    "matplotlib",
    "pandas",
    "ezdxf",
    "jinja2",
    "PIL",
    "pyarrow",
    "xarray",
    "openpyxl",
    "trimesh",
    "distributed",
)
"""What need not be there: `import` and `find_spec` both find nothing."""
ABSENT = f"import sys; sys.modules.update(dict.fromkeys({FOR_SHOW}))\n"


NONE_LOADED = f"import sys; assert not set({FOR_SHOW}) & set(sys.modules)\n"


def without(code, *arguments):
    done = subprocess.run(
        [sys.executable, "-c", ABSENT + code, *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def typed(*arguments):
    return without(
        "import sys; sys.argv[0] = 'featherbench'\nfrom featherbench.__main__ import main; main()", *arguments
    )


def test_the_libraries_really_cannot_be_imported():
    status, _, said = without("import matplotlib")
    assert (status, "ModuleNotFoundError" in said) == (1, True)


def test_what_is_needed_to_compute_is_what_the_guide_tells_to_install():
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    names = {line.partition(">")[0] for line in declared}
    core = names - set(USES)
    assert core == {"numpy", "scipy", "numba", "pint", "pydantic", "typer", "rich"}
    _, _, told = (ROOT / "DEVELOPERS.md").read_text().partition("then what stays, `pip install ")
    assert set(told.partition("`")[0].split()) == core - {"rich"}  # typer brings it


def test_it_predicts_and_writes_what_needs_no_library(tmp_path):
    csv = tmp_path / "run.csv"
    status, out, said = typed("predict", PLAIN, "--json", "-", "--csv", str(csv), "--runs", "0")
    assert status == 0, said
    assert json.loads(out)["findings"]["rod_force_push"]["value"] > 1.0
    assert csv.read_text().startswith("time [s],")


def test_from_python_it_sizes_and_sweeps():
    status, out, said = without(
        "import featherbench as fb\n"
        f"plain = fb.read({PLAIN!r})\n"
        "print(len(fb.size(plain).alternatives) > 0)\n"
        "swept = fb.sweep(plain, {'rotor.speed': ['9000 rpm', '9500 rpm']}, ['rod_force_push'], jobs=1)\n"
        "print(swept.done, repr(swept))\n"
        "print(fb.as_html(fb.predict(plain))[:4])\n"
        "try:\n    swept.to_frame()\nexcept ImportError as error:\n    print(error)\n"
        "try:\n    fb.figures\nexcept ImportError as error:\n    print(error)\n"
    )
    assert status == 0, said
    lines = out.splitlines()
    assert lines[0] == "True"
    assert lines[1].startswith("2 <Sweep")
    assert lines[2] == "<div"
    assert lines[3].endswith("pandas, which is not installed: pip install pandas")
    assert lines[4].endswith("matplotlib, which is not installed: pip install matplotlib")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("predict", PLAIN, "--report", "page.html"), "pages need jinja2"),
        (("compare", PLAIN, PLAIN, "--figures", "pictures"), "need matplotlib"),
        (("size", PLAIN, "--drawing", "parts.dxf"), "DXF drawings need ezdxf"),
        (("size", PLAIN, "--drawing", "parts.pdf"), "need matplotlib"),
        (("explore", PLAIN), "the window need matplotlib"),
        (("start", "new.toml", "--report", "page.html"), "pages need jinja2"),
    ],
)
def test_what_it_lacks_is_said_before_anything_is_run_or_written(asked, told, tmp_path):
    places = [str(tmp_path / word) if Path(word).suffix in (".html", ".dxf", ".pdf") or word == "new.toml" else word
              for word in asked]  # fmt: skip
    status, out, said = forked(places, code=NONE_LOADED + ABSENT + PROGRAM)
    assert (status, out) == (2, "")
    assert told in said
    assert "pip install" in said
    assert "Traceback" not in said
    assert not list(tmp_path.iterdir())
    assert not (ROOT / "pictures").exists()
