"""How the program ends on a machine that is not as it should be: never in a traceback, never as if a check failed."""

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from featherbench import __main__, cli
from featherbench.bench.believed import BenchTest

PLAIN = str(Path(__file__).parents[1] / "scenarios" / "survey-3kg" / "plain.toml")
LONG = 300 * "a"


def ended(words, tmp_path, redirect="", **changed):
    """Status and standard error of `python -m featherbench WORDS` in a shell."""
    line = " ".join([f'exec "{sys.executable}" -m featherbench', *(f'"{word}"' for word in words), redirect])
    done = subprocess.run(
        ["sh", "-c", line], cwd=tmp_path, env=os.environ | changed, capture_output=True, text=True
    )
    return done.returncode, done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full: a full disk cannot be had here")
def test_a_full_disk_behind_the_output_is_no_failed_check(tmp_path):
    status, said = ended(["check", PLAIN], tmp_path, ">/dev/full")
    assert status == 2
    assert said.startswith("stopped: No space left on device")


def test_closed_streams_are_written_into_nothing(tmp_path):
    assert ended(["check", PLAIN], tmp_path, ">&-")[0] == 0
    assert ended(["check", "none.toml"], tmp_path, ">&- 2>&-") == (2, "")


def test_a_working_folder_that_is_gone_is_told(tmp_path):
    (tmp_path / "gone").mkdir()
    line = f'cd gone && rmdir ../gone && exec "{sys.executable}" -m featherbench check plain.toml'
    done = subprocess.run(["sh", "-c", line], cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


@pytest.fixture
def program(monkeypatch, capsys):
    def run(*words, main=cli.main):
        monkeypatch.setattr(sys, "argv", ["featherbench", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            main()
        return left.value.code, capsys.readouterr().err

    return run


def test_names_longer_than_the_file_system_allows_are_told(program, tmp_path):
    (tmp_path / "variant.toml").write_text(f'base = "{LONG}.toml"\n')
    status, said = program("check", tmp_path / "variant.toml")
    assert status == 2
    assert "existing scenario file" in said
    status, said = program("predict", PLAIN, "--json", f"{LONG}.json")
    assert status == 2
    assert "no usable file name: File name too long" in said


def test_another_program_s_file_is_not_quoted(program, tmp_path):
    (tmp_path / "secrets").write_text("root:x:0:0\n")
    (tmp_path / "variant.toml").write_text('base = "secrets"\n')
    status, said = program("check", tmp_path / "variant.toml")
    assert status == 2
    assert "secrets, line 1" in said
    assert "root:x" not in said


def test_a_drawing_engine_that_is_not_there_is_named(program, monkeypatch):
    def refuse():
        raise ValueError("Key backend: 'nonsense' is not a valid value for backend")

    monkeypatch.setenv("MPLBACKEND", "nonsense")
    monkeypatch.setattr(cli, "app", refuse)
    assert program() == (2, "MPLBACKEND=nonsense names nothing that can draw here: unset it\n")


def test_a_fault_of_the_program_says_that_it_is_one(monkeypatch, capsys):
    def fault():
        raise ZeroDivisionError("division by zero")

    def left(status):
        raise SystemExit(status)

    monkeypatch.setattr(cli, "app", fault)
    monkeypatch.setattr(os, "_exit", left)
    with pytest.raises(SystemExit) as ended_with:
        cli.main()
    assert ended_with.value.code == 3
    said = capsys.readouterr().err
    assert "fault of the program itself" in said
    assert "ZeroDivisionError: division by zero" in said
    monkeypatch.setenv(cli.SHOW_FAULTS, "1")
    with pytest.raises(ZeroDivisionError):
        cli.main()


def test_an_interrupt_while_loading_ends_as_quietly_as_later(program, monkeypatch):
    class Interrupting:
        def find_spec(self, name, *_rest):
            if name == "featherbench.cli":
                raise KeyboardInterrupt

    monkeypatch.delitem(sys.modules, "featherbench.cli")
    monkeypatch.setattr(sys, "meta_path", [Interrupting(), *sys.meta_path])
    assert program("--help", main=__main__.main) == (130, "interrupted\n")


@pytest.mark.parametrize("command", ["predict", "compare"])
def test_what_fails_is_told_first_where_the_bench_test_is_refused(program, command):
    """A linkage of rubber lets over-balanced blades run past all that is known; the nylon bolt is no less nylon."""
    over = str(Path(PLAIN).parents[1] / "lifter-6kg" / "over.toml")
    files = [over] if command == "predict" else [over, PLAIN]
    soft, nylon = "linkage.stiffness=0.4 N/mm", "part.blade-bolt.material=nylon"
    status, said = program(command, *files, "--set", soft, "--set", nylon)
    assert status == 2
    assert said.startswith("DO NOT RUN: not known: blade bolt,")
    assert "past the pitch range" in said


def test_a_refused_bench_test_keeps_its_build_on_the_way_from_another_process(scenario_of):
    refusal = BenchTest("gauge test", "gauge.sweep", scenario_of()).refused("1", "2")
    again = pickle.loads(pickle.dumps(refusal))
    assert str(again) == str(refusal)
    assert again.scenario.rotor == refusal.scenario.rotor


def _made_of_an_interrupt():
    try:
        raise KeyboardInterrupt
    except KeyboardInterrupt:
        raise RuntimeError("Error calling __set_name__") from None  # hidden from a reader, not lost


@pytest.mark.parametrize(
    "fault",
    [_made_of_an_interrupt, lambda: exec('raise ValueError("Error building model: KeyboardInterrupt: ")')],
    ids=["behind it", "in its words"],
)
def test_an_interrupt_that_a_library_turned_into_an_error_of_its_own_is_one(program, monkeypatch, fault):
    monkeypatch.setattr(cli, "app", fault)
    assert program("check") == (130, "interrupted\n")


def test_any_other_fault_is_none(program, monkeypatch):
    left = []
    monkeypatch.setattr(cli, "app", lambda: {}["no such key"])
    monkeypatch.setattr(cli, "_leave", lambda status: (left.append(status), sys.exit(status)))
    status, said = program("check")
    assert status == left[0] == 3
    assert "stopped by a fault of the program itself" in said
