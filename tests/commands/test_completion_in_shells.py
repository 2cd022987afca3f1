"""Tab in real shells: hostile file names and part names run nothing and are not offered, what is harmless is."""

import json
import os
import pty
import select
import shutil
import subprocess
import sysconfig
import time

import pytest

SCRIPTS = sysconfig.get_path("scripts")
MARK = "ran-by-tab"
RUNS = f"$(touch {MARK})"
"""Run by a shell that takes it for more than text."""
HOSTILE = [
    RUNS,
    f"\\{RUNS}",
    f"`touch {MARK}`",
    f'"{RUNS}"',
    f"';touch {MARK};'",
    f"x;touch {MARK}",
    f"))'{RUNS}",
]
PATIENCE = 60.0


def needs(shell):
    return pytest.mark.skipif(
        shutil.which(shell) is None, reason=f"needs the shell: install the system package {shell}"
    )


SHELLS = [pytest.param(shell, marks=needs(shell)) for shell in ("bash", "zsh", "fish")]


@pytest.fixture
def trap(tmp_path):
    """A folder of harmless files beside hostile ones, and a scenario with hostile part names."""
    for number, name in enumerate(HOSTILE):
        (tmp_path / f"{name}{number}.toml").write_text("")
    (tmp_path / "plain-1.toml").write_text("")
    parts = [*HOSTILE, "blade-bolt", "Stück"]
    tables = [f"[part.{json.dumps(name, ensure_ascii=False)}]\nshape = 'point'\n" for name in parts]
    (tmp_path / "build.toml").write_text("\n".join(tables), encoding="utf-8")
    return tmp_path


def environment(folder):
    kept = {
        name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "BASH_ENV", "ENV")
    }
    return {**kept, "PATH": f"{SCRIPTS}{os.pathsep}{os.environ['PATH']}", "HOME": str(folder), "TERM": "dumb"}


def run(words, folder):
    done = subprocess.run(
        words,
        cwd=folder,
        env=environment(folder),
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    assert not done.stderr, done.stderr
    return done.stdout


def tab_in_bash(line, folder):
    words = line.split(" ")
    script = (
        'eval "$(_FEATHERBENCH_COMPLETE=source_bash featherbench)"\n'
        f'COMP_WORDS=("$@"); COMP_CWORD={len(words) - 1}; _featherbench_completion featherbench\n'
        "printf '%s\\n' \"${COMPREPLY[@]}\""
    )
    return run(["bash", "--norc", "-c", script, "bash", *words], folder)


def tab_in_fish(line, folder):
    script = "_FEATHERBENCH_COMPLETE=source_fish featherbench | source; complete -C $argv[1]"
    return run(["fish", "--no-config", "-c", script, line], folder)


def tab_in_zsh(line, folder):
    """What its line editor shows: only there do its completion functions run as they do for a person."""
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(folder)
        os.execvpe("zsh", ["zsh", "-f", "-i"], environment(folder))
    os.write(
        terminal,
        b"autoload -U compinit; compinit -u -D; LISTMAX=9999\n"
        b'eval "$(_FEATHERBENCH_COMPLETE=source_zsh featherbench)"; PROMPT="re"ady\n',
    )
    until(terminal, b"ready")  # its line editor takes keys once it has shown its prompt
    os.write(terminal, line.encode() + b'\t\x15print -r -- do""ne\n')
    shown = until(terminal, b"done")
    os.close(terminal)
    os.waitpid(child, 0)
    return shown.decode(errors="replace")


def until(terminal, word):
    sent, end = b"", time.monotonic() + PATIENCE
    while word not in sent:
        ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
        assert ready, sent
        sent += os.read(terminal, 1 << 16)
    return sent


TAB = {"bash": tab_in_bash, "zsh": tab_in_zsh, "fish": tab_in_fish}


@pytest.mark.parametrize("shell", SHELLS)
def test_a_hostile_file_name_is_neither_run_nor_offered(shell, trap):
    offered = TAB[shell]("featherbench predict ", trap)
    assert not (trap / MARK).exists()
    assert "plain-1.toml" in offered
    assert "touch" not in offered


@pytest.mark.parametrize("shell", SHELLS)
def test_a_hostile_part_name_is_neither_run_nor_offered(shell, trap):
    offered = TAB[shell]("featherbench predict build.toml --set part.", trap)
    assert not (trap / MARK).exists()
    assert "part.blade-bolt." in offered
    assert "touch" not in offered
