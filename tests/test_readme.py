"""README and DEVELOPERS say what is so: blocks run, files are there, commands and options are those of the program."""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import typer

from featherbench.cli import app
from featherbench.scenario import read

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PAGES = {"README.md": README, "DEVELOPERS.md": DEVELOPERS}
MADE_BY_USER = {"report.html", "my-build.toml", "FILE.html"}


def section(title):
    """Text of a section of the README."""
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
    assert second.endswith("&& .venv/bin/python -m pytest\n")


@pytest.mark.skipif(shutil.which("bash") is None, reason="the script is for bash")
def test_the_script_of_the_gates_runs_the_second_block():
    shown = subprocess.run(
        ["bash", ROOT / ".ci" / "run", "--show"], capture_output=True, text=True, check=True
    )
    assert shown.stdout == blocks(section("Quick start"), "sh")[1]


def test_the_shown_scenario_is_one(tmp_path):
    whole, variant = blocks(section("What you enter"), "toml")
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


def test_the_shown_python_runs():
    (code,) = blocks(section("From Python"), "python")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    assert re.match(r"[\d.]+ N\n(returns|stays|runs out)\n", done.stdout)


def test_the_table_of_commands_is_the_program():
    listed = re.findall(r"^\| `(\w+)", section("Commands"), flags=re.MULTILINE)
    assert sorted(listed) == sorted(commands())


@pytest.mark.parametrize("name", PAGES)
def test_options_named_are_options(name):
    known = {option for options in commands().values() for option in options}
    others = {"--help", "--page", "--show", "--check"}  # of every program; validation/table.py; .ci/run; ruff
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
