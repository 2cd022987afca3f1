"""The example scenarios that come with the program, wherever it was installed."""

from __future__ import annotations

import contextlib
import difflib
import functools
import importlib.metadata
from pathlib import Path

from featherbench.scenario.problems import Problem, ScenarioError, shown_value

FOLDER = "scenarios"
"""Name of their folder, in the checkout and where they are copied to."""
_INSTALLED = f"share/featherbench/{FOLDER}/"
_COPY = "featherbench examples"


@functools.cache
def shipped() -> Path | None:
    """The folder of the examples: of the checkout, or of the installation this module is from; None without."""
    package = Path(__file__).parents[1]
    checkout = package.parents[1]
    if (
        package.parent.name == "sim"
        and (checkout / "pyproject.toml").is_file()
        and (checkout / FOLDER).is_dir()
    ):
        return checkout / FOLDER
    beside = package.parent / _INSTALLED  # where pip install --target leaves them
    if beside.is_dir():
        return beside
    for found in importlib.metadata.distributions(name="featherbench"):
        with contextlib.suppress(OSError):
            mine = Path(str(found.locate_file("featherbench"))).resolve() == package.resolve()
            for file in (found.files or []) if mine else []:
                _, there, inner = file.as_posix().partition(_INSTALLED)
                whole = Path(str(file.locate())).resolve()
                if there and whole.is_file():
                    return whole.parents[inner.count("/")]
    return None


def shipped_files() -> dict[str, Path]:
    """Every example file by its name within the folder, such as "survey-3kg/plain.toml"; empty without any."""
    folder = shipped()
    if folder is None:
        return {}
    found = (
        file for file in sorted(folder.rglob("*.*")) if file.is_file() and "__pycache__" not in file.parts
    )
    return {file.relative_to(folder).as_posix(): file for file in found}


def example(name: str) -> Path:
    """Path of a file of the examples that come with the program; ".toml" may be left out.

    The machines and readings in them are invented. Raises ScenarioError for a name that is none, with those near it.

    >>> import featherbench as fb
    >>> fb.read(fb.example("survey-3kg/plain")).rotor.blades
    2
    >>> fb.example("survey-3kg/bench/plain-gauge.csv").name
    'plain-gauge.csv'
    """
    files = shipped_files()
    asked = str(name).replace("\\", "/").removeprefix(f"{FOLDER}/")
    for one in (asked, f"{asked}.toml"):
        if one in files:
            return files[one]
    short = {file.removesuffix(".toml"): file for file in files}
    near = difflib.get_close_matches(asked, short, 3, 0.5)
    builds = [file for file in short if file.count("/") == 1]
    expected = (
        "an example: " + ", ".join(near or builds) if files else "an installation that has its examples"
    )
    raise ScenarioError([Problem("example", None, "", shown_value(name), expected)])


def copy_hint(path: Path) -> str:
    """What to say of a missing file that is one of the examples by its name; else nothing."""
    parts = path.as_posix().split("/")
    if FOLDER in parts and "/".join(parts[parts.index(FOLDER) + 1 :]) in shipped_files():
        return f"; {_COPY} copies the examples into the folder you are in"
    return ""
