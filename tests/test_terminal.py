"""The program on a terminal and off it: colour, width, levels, completion, in processes of their own; examples."""

import functools
import importlib.metadata
import os
import re
import shlex
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest
from typer.testing import CliRunner

from exact import EXACT_WORDS
from featherbench import cli
from featherbench.cli import app
from featherbench.commands.manual import EXAMPLES
from forked import forked, forked_on_terminal
from once import remembering

ROOT = Path(__file__).parents[1]
PLAIN = "scenarios/survey-3kg/plain.toml"
PROGRAM = [str(Path(sysconfig.get_path("scripts")) / "featherbench")]
"""As it was installed; shells ask it by its name."""
COLOUR = re.compile(r"\x1b\[[0-9;]*m")
FEW = ("--runs", "16")
"""The fewest there may be: how often tolerances are sampled changes no line's length by more than a digit."""
COMMANDS = [command.callback.__name__ for command in app.registered_commands]


def environment(**more):
    dropped = ("NO_COLOR", "FORCE_COLOR", "PYTHONPATH")
    kept = {name: value for name, value in os.environ.items() if name not in dropped}
    return {**kept, "TERM": "xterm-256color", **more}


@functools.cache
def on_terminal(*words, width=100, **more):
    """What a terminal of that width is sent."""
    status, sent = forked_on_terminal(words, env=environment(COLUMNS=str(width), **more))
    assert status == 0
    return sent


@functools.cache
def piped(*words, folder=ROOT, **more):
    return forked(words, folder=folder, env=environment(**more))


def test_what_runs_here_is_what_was_installed():
    """Not the source tree by way of a path: PYTHONPATH would hide a file that is not packed."""
    assert "PYTHONPATH" not in environment()
    assert Path(PROGRAM[0]).is_file()
    version = importlib.metadata.version("featherbench")
    done = subprocess.run([*PROGRAM, "--version"], capture_output=True, text=True, env=environment())
    assert done.stdout.split() == ["featherbench", version] == piped("--version").stdout.split()
    where = "import featherbench\nprint(featherbench.__file__)"
    installed = subprocess.run(
        [sys.executable, "-P", "-c", where], capture_output=True, text=True, env=environment()
    )
    if "PYTHONPATH" not in os.environ:
        assert forked(code=where).stdout == installed.stdout


@pytest.mark.parametrize("words", [("predict", PLAIN), ("predict", "--help"), ("check", PLAIN)])
def test_colour_is_for_terminals_that_want_it(words):
    assert COLOUR.search(on_terminal(*words))
    for more in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        assert not COLOUR.search(on_terminal(*words, **more)), more
    assert not COLOUR.search(piped(*words).stdout)
    assert COLOUR.search(on_terminal(*words, NO_COLOR=""))  # empty means not set, by the convention


def test_colour_says_nothing_that_the_words_do_not():
    plain = on_terminal("predict", PLAIN, NO_COLOR="1").replace("\r", "")
    coloured = COLOUR.sub("", on_terminal("predict", PLAIN)).replace("\r", "")
    keep = [line for line in plain.splitlines() if line.strip()]
    seen = [line for line in coloured.splitlines() if line.strip()]
    assert keep[-20:] == seen[-20:]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_no_line_is_longer_than_the_terminal(width, monkeypatch):
    """In this process, where what is said at three widths is computed once: words are those of one of its own."""
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", str(width))
    for module, name, remembered in remembering():
        monkeypatch.setattr(module, name, remembered)
    said = {}
    for words in (
        ("predict", PLAIN, *FEW),
        ("check", PLAIN),
        ("compare", PLAIN, PLAIN.replace("plain", "weighted"), *FEW),
    ):
        said[words] = CliRunner().invoke(app, words).stdout
        assert len(said[words].splitlines()) > 10
        for line in said[words].splitlines():
            assert len(line) <= width or " " not in line.strip(), line
    assert piped("check", PLAIN, COLUMNS=str(width)).stdout == said[("check", PLAIN)]


def test_the_levels_say_less_and_more():
    quiet, usual, verbose = (piped("predict", PLAIN, *level) for level in (["--quiet"], [], ["--verbose"]))
    assert quiet.stdout == quiet.stderr == ""
    assert usual.stdout
    assert "energy audit" not in usual.stdout
    assert "energy audit" in verbose.stdout
    assert len(verbose.stdout) > len(usual.stdout)
    assert re.search(r"time: .*bench run \d+\.\d+ s", verbose.stderr)


def test_help_is_the_same_in_a_process_of_its_own():
    assert helped("compare") == piped("compare", "--help").stdout


def helped(name):
    """Help of a command as it is printed off a terminal: in this process, which has loaded what draws its frames."""
    done = CliRunner().invoke(app, [name, "--help"], prog_name="featherbench")
    assert done.exit_code == 0
    return done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_help_has_one_example_and_says_how_it_may_end(name):
    shown = helped(name)
    assert EXAMPLES[name].splitlines()[0].rstrip("\\ ") in shown
    assert len(re.findall(r"^ Example\b", shown, re.MULTILINE)) == 1
    assert ("featherbench examples puts scenarios/ where you are" in shown) == (
        "scenarios/" in EXAMPLES[name]
    )
    assert "Exit status" in shown
    assert f"featherbench {name}" in EXAMPLES[name]


SHORT = {
    **dict.fromkeys(("predict", "compare", "spread"), FEW),
    "match": ("--runs", "8"),
    "rank": ("--runs", "0"),
    "sheet": (*FEW, *EXACT_WORDS[:-2]),
    "wag": ("--draws", "1"),
}
"""How often tolerances are sampled, and what is doubted, is no matter of examples: the fewest there may be."""
ELSEWHERE = {"explore", "bias", "calibrate"}
"""One opens a window: test_explore_command.py. One sweeps many flights, one fits a log: test_readme.py types them."""


def test_the_example_of_a_fit_is_a_line_of_the_readme():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert " ".join(EXAMPLES["calibrate"].replace("\\\n", " ").split()) in readme.splitlines()


@pytest.fixture
def typed(monkeypatch, capsys):
    """Run the program with these words, in this process: what a process of its own would load anew is no matter of what
    examples do, nor is what another example has computed. Exit status, standard output, standard error.
    """
    for module, name, remembered in remembering():
        monkeypatch.setattr(module, name, remembered)

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["featherbench", *words])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        return ended.value.code or 0, *capsys.readouterr()

    return run


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in ELSEWHERE])
def test_each_example_runs_as_shown(name, tmp_path, monkeypatch, typed, request):
    """With few frames of what moves, and but one page with its pictures: how those look is looked at elsewhere."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("featherbench.pictures.motion.EACH", 3)
    if name != "start":
        request.getfixturevalue("undrawn")
    if "scenarios/" in EXAMPLES[name]:
        assert typed("examples")[0] == 0  # as the help says
    program, *words = shlex.split(EXAMPLES[name].replace("\\\n", " "))
    assert program == "featherbench"
    status, said, err = typed(*words, *SHORT.get(name, ()))
    assert status == 0, err
    assert said
    for option in ("--report", "--csv", "--write", "--variant", "--drawing", "--figures"):
        if option in words:
            assert (tmp_path / words[words.index(option) + 1]).exists()


def completed(line, shell="bash", folder=ROOT):
    """What the shell is offered for the last word of a line."""
    words = line.split(" ")
    more = (
        {"COMP_WORDS": line, "COMP_CWORD": str(len(words) - 1)}
        if shell == "bash"
        else {"_TYPER_COMPLETE_ARGS": line, "_TYPER_COMPLETE_FISH_ACTION": "get-args"}
    )
    return piped(folder=folder, _FEATHERBENCH_COMPLETE=f"complete_{shell}", **more).stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_complete_commands_files_keys_and_names(shell):
    offered = completed("featherbench pre", shell)
    assert "predict" in offered
    offered = completed("featherbench predict scenarios/survey-3kg/p", shell)
    assert "scenarios/survey-3kg/plain.toml" in offered
    assert "make_logs" not in offered
    if shell != "bash":  # what is offered is no matter of the shell, how it is handed over is
        return
    offered = completed(f"featherbench predict {PLAIN} --set rotor.s", shell)
    assert "rotor.speed=" in offered
    offered = completed(f"featherbench predict {PLAIN} --set part.blade-bolt.u", shell)
    assert "part.blade-bolt.under_head=" in offered
    offered = completed(f"featherbench size {PLAIN} --route s", shell)
    assert "standard" in offered
    offered = completed(f"featherbench calibrate {PLAIN} --free linkage.s", shell)
    assert "linkage.slider_friction" in offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_can_be_shown(shell):
    done = piped(_FEATHERBENCH_COMPLETE=f"source_{shell}")
    assert done.returncode == 0
    assert "_FEATHERBENCH_COMPLETE" in done.stdout


@pytest.mark.parametrize("width", ["0", "-3", "wide", ""])
def test_a_width_that_is_none_is_taken_for_none(width):
    """In 0 columns nothing at all was printed."""
    shown = piped("check", PLAIN, COLUMNS=width).stdout
    assert "weighs" in shown
    assert shown == piped("check", PLAIN).stdout
