"""README and DEVELOPERS say what is so: blocks run, files are there, commands and options are those of the program."""

import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
import typer

from exact import EXACT
from featherbench import cli
from featherbench.cli import app
from featherbench.hovering import bias as bias_study
from featherbench.scenario import read
from forked import forked
from once import remembering

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
LESSON = (ROOT / "scenarios" / "tutorial-2kg" / "tutorial.md").read_text(encoding="utf-8")
PAGES = {"README.md": README, "DEVELOPERS.md": DEVELOPERS, "tutorial.md": LESSON}
MOST_LINES = 250
pytestmark = pytest.mark.usefixtures("ranges_by_default")  # what a reader sees
MADE_BY_USER = {
    "report.html",
    "my-build.toml",
    "FILE.html",
    "checks.html",
    "before.toml",
    "after.toml",
    ".reference/",
    ".hard_use/",
}
TUTORIAL = "Ten minutes: from first measurement to finished bolt"
EXACT_WORDS = tuple(
    word
    for key, value in EXACT.items()
    if key != "linkage.slider_friction"  # which is what is fitted
    for word in ("--set", f"{key}={value}")
)
TESTED_OTHERWISE = {"Quick start", "How far to trust it"}
FEWEST = {"wag": ("--draws", "1", "--seconds", "4"), "calibrate": EXACT_WORDS}
"""Of commands whose answer is not shown: how often they fly, and what is doubted, is no matter of whether their line
runs.
"""
SPOKEN_OF = (0.0, 0.5, 0.6, 0.7, 1.1)
"""Amounts of weight that the tutorial tells of, and the next on either side of the one to aim for: of those between,
the lighter load the rod more, and the heavier run to full pitch as these do. Each is flown at all phases, in all draws.
"""


def section(title):
    """Text of a section of the README, or the whole tutorial."""
    if title == TUTORIAL:
        return LESSON.split("\n## ")[0]
    return README.split(f"\n## {title}\n")[1].split("\n## ")[0]


def blocks(text, language):
    return re.findall(rf"^```{language}\n(.*?)^```$", text, flags=re.DOTALL | re.MULTILINE)


def commands():
    """The program's commands with their options."""
    group = typer.main.get_command(app)
    return {
        name: {option for parameter in command.params for option in parameter.opts}
        for name, command in group.commands.items()
    }


def test_the_quick_start_is_two_lines_to_paste():
    text = section("Quick start")
    assert text.count("```") == 4
    first, second = blocks(text, "sh")
    for block in (first, second):
        assert block.count("\n") == 1
        assert "\\" not in block
        assert block.startswith("python3 -m venv .venv && .venv/bin/python -m pip install ")
    assert ".venv/bin/featherbench compare" in first
    assert second.endswith("&& .venv/bin/python -m pytest -n 2\n")


@pytest.mark.skipif(shutil.which("bash") is None, reason="the script is for bash")
def test_the_script_of_the_gates_runs_the_second_block():
    shown = subprocess.run(
        ["bash", ROOT / ".ci" / "run", "--show"], capture_output=True, text=True, check=True
    )
    assert shown.stdout == blocks(section("Quick start"), "sh")[1]


def test_the_shown_scenario_is_one(tmp_path):
    (whole,) = blocks(section("What you enter"), "toml")
    (variant,) = blocks(LESSON.split("\n## ")[1], "toml")
    base = tmp_path / "plain.toml"
    shutil.copy(ROOT / "scenarios" / "survey-3kg" / "plain.toml", base)
    shown = tmp_path / "shown.toml"
    shown.write_text(f'title = "as shown"\nbase = "plain.toml"\n{whole}', encoding="utf-8")
    changed = tmp_path / "changed.toml"
    changed.write_text(variant, encoding="utf-8")
    assert read(shown).blade == read(base).blade
    part = read(changed).part["head-collar"]
    assert part.group == "counterweight"
    for table in tomllib.loads(whole).values():
        assert table


class Block(NamedTuple):
    """A fenced block: its language, its text, and the line before it."""

    language: str
    text: str
    before: str


def fenced(text):
    """Every block in order."""
    found = re.findall(r"([^\n]*)\n+```(\w+)\n(.*?)^```$", text, flags=re.DOTALL | re.MULTILINE)
    return [Block(language, inside, before.strip()) for before, language, inside in found]


def file_to_write(block):
    """Name of the file that the reader is asked to write a block into, if so."""
    asked = re.search(r"into `([\w-]+\.toml)`:$", block.before)
    return asked[1] if asked and block.language == "toml" else None


def worded(text):
    """Lines without the spaces between their words."""
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """What the reader has: a copy of scenarios/, and a terminal of eighty columns."""
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def typed(monkeypatch, capsys):
    """Run a line as typed; the words it prints, standard error after standard output. What one line computes the next
    need not: each of a lesson begins with the same build.
    """
    for module, name, remembered in remembering():
        monkeypatch.setattr(module, name, remembered)

    def run(line):
        program, *words = shlex.split(line)
        assert program == "featherbench"
        monkeypatch.setattr(sys, "argv", [program, *words])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        out, err = capsys.readouterr()
        assert not ended.value.code, err
        return out + err

    return run


@pytest.fixture
def amounts_spoken_of(monkeypatch):
    """A sweep of these alone: a third of the flights."""
    shipped = bias_study.bias.__kwdefaults__
    assert all(np.isclose(shipped["compensations"], amount).any() for amount in SPOKEN_OF)
    fewer = {**shipped, "compensations": np.array(SPOKEN_OF)}
    monkeypatch.setattr(bias_study.bias, "__kwdefaults__", fewer)


@pytest.mark.usefixtures("amounts_spoken_of", "undrawn")
@pytest.mark.parametrize("title", [TUTORIAL, "Commands"])
def test_what_is_to_be_typed_runs_and_prints_what_is_shown(title, folder, typed):
    printed, ran, compared = [], 0, 0
    for block in fenced(section(title)):
        if name := file_to_write(block):
            (folder / name).write_text(block.text, encoding="utf-8")
        elif block.language == "sh":
            lines = block.text.splitlines()
            if title != TUTORIAL:
                lines = [f"{line} {shlex.join(FEWEST.get(line.split()[1], ()))}" for line in lines]
            printed = worded("".join(typed(line) for line in lines))
            ran += 1
        elif block.language == "text":
            rest = iter(printed)
            for line in worded(block.text):
                assert line in rest, f"{line!r} is not printed, or not in this order"
                compared += 1
    assert ran > 0
    assert compared > 25 or title != TUTORIAL


def test_every_line_to_be_typed_is_tested():
    titles = re.findall(r"^## (.*)$", README, flags=re.MULTILINE)
    lines = {title: "".join(blocks(section(title), "sh")) for title in titles}
    assert {title for title, text in lines.items() if text} == {"Commands", TUTORIAL} | TESTED_OTHERWISE
    assert "```sh" not in "".join(LESSON.split("\n## ")[1:])


def test_the_readme_is_short():
    assert README.count("\n") <= MOST_LINES


def test_the_files_to_type_are_shipped():
    home = ROOT / "scenarios" / "tutorial-2kg"
    asked = {name: block for block in fenced(section(TUTORIAL)) if (name := file_to_write(block))}
    assert set(asked) == {"tail.toml", "before.toml", "finished.toml", "after.toml"}
    for name, block in asked.items():
        (shipped,) = home.rglob(name)
        assert tomllib.loads(shipped.read_text(encoding="utf-8")) == tomllib.loads(block.text)


def test_the_tutorials_files_are_what_the_program_writes(folder, typed):
    home = ROOT / "scenarios" / "tutorial-2kg"
    typed("featherbench start first.toml")
    assert (folder / "first.toml").read_text(encoding="utf-8") == (home / "first.toml").read_text(
        encoding="utf-8"
    )
    copied = folder / "scenarios" / "tutorial-2kg"
    (copied / "bolt.toml").unlink()
    typed(f"featherbench size {copied}/tail.toml --route bolt --variant {copied}/bolt.toml --quiet")
    assert (copied / "bolt.toml").read_text(encoding="utf-8") == (home / "bolt.toml").read_text(
        encoding="utf-8"
    )


def test_the_shown_python_runs():
    (code,) = blocks(section("From Python"), "python")
    done = forked(code=code)
    assert done.returncode == 0, done.stderr
    assert re.match(r"[\d.]+ N\n(returns|stays|runs out)\n", done.stdout)


def test_the_table_of_commands_is_the_program():
    listed = re.findall(r"^\| `(\w+)", section("Commands"), flags=re.MULTILINE)
    assert sorted(listed) == sorted(commands())


@pytest.mark.parametrize("name", PAGES)
def test_options_named_are_options(name):
    known = {option for options in commands().values() for option in options}
    known |= {option for parameter in typer.main.get_command(app).params for option in parameter.opts}
    # of every program; validation/table.py; .ci/run; ruff; hypothesis in pytest; pip
    others = {"--help", "--page", "--show", "--check", "--hypothesis-profile", "--no-deps"}
    for program in ("validation/mutation.py", "tests/hard_use.py"):
        others |= set(re.findall(r'"(--[a-z]+)"', (ROOT / program).read_text(encoding="utf-8")))
    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", PAGES[name]))
    assert named <= known | others


@pytest.mark.parametrize("name", PAGES)
def test_files_named_are_there(name):
    missing = [path for path in paths(PAGES[name]) if not there(path)]
    assert missing == []


def test_a_file_that_is_not_there_is_noticed():
    assert paths("see `plant/chain.py` and `plant/chains.py`") == ["plant/chain.py", "plant/chains.py"]
    assert there("plant/chain.py")
    assert not there("plant/chains.py")
    assert not there("nowhere/")


def paths(text):
    """What looks like a file or folder of this project: in backticks, or in the drawn way through."""
    text = re.sub(r"^(```sh\n.*?^```\n+)```text\n.*?^```$", r"\1", text, flags=re.DOTALL | re.MULTILINE)
    drawn = " ".join(re.findall(r"[a-z_]+/[\w./]*", " ".join(blocks(text, "text"))))
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.DOTALL | re.MULTILINE)
    ticked = [word for span in re.findall(r"`([^`]+)`", prose) for word in span.split()]
    words = [*ticked, *drawn.split()]
    return [
        word
        for word in words
        if re.fullmatch(r"\.?[\w-][\w./-]*", word)
        and ("/" in word or word.endswith((".py", ".toml", ".md", ".html")))
        and not word.startswith(".venv/")
        and word not in MADE_BY_USER
        and "SOURCE" not in word
    ]


def there(path):
    """Whether a path stands at the root, in the package, or (a bare name) beside a shipped scenario."""
    homes = [ROOT, ROOT / "sim" / "featherbench", *(ROOT / "scenarios").glob("*/")]
    return any((home / path).exists() for home in homes)
