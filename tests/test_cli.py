"""The command line from end to end: what is printed where, what is written, and how a run ends."""

import csv
import importlib
import io
import json
import math
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import NamedTuple

import jsonschema
import pytest

import featherbench.studies
from featherbench import cli
from featherbench.sampling.sampled import sampled
from featherbench.scenario import read
from forked import forked
from once import remembering

ROOT = Path(__file__).parents[1]
BUILDS = ROOT / "scenarios" / "survey-3kg"
PLAIN, WEIGHTED = str(BUILDS / "plain.toml"), str(BUILDS / "weighted.toml")
READINGS = str(BUILDS / "bench" / "plain-readings.toml")
SHIPPED = sorted(ROOT.glob("scenarios/*/*.toml"))


class Done(NamedTuple):
    """How a command ended, and what it said where."""

    status: int
    out: str
    err: str


@pytest.fixture
def command(request, monkeypatch, capsys, compiled):  # noqa: ARG001  # first, or a line says that it compiles
    """Run the program in this process, as `featherbench WORDS` would; what was computed for one test is not for the
    next, unless nothing may compute.
    """
    for module, name, remembered in remembering():
        if "no_computing" not in request.fixturenames:
            monkeypatch.setattr(module, name, remembered)

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["featherbench", *map(str, words)])
        try:
            cli.main()
            status = 0
        except SystemExit as ended:
            status = ended.code or 0
        return Done(status, *capsys.readouterr())

    return run


HOMES = (
    "judging.sizing",
    "sizing",
    "sampling.spread",
    "fitting.match",
    "fitting.calibrate",
    "hovering.bias",
    "hovering.wag",
)
"""Modules of the studies that commands start, each by the function of its name."""


@pytest.fixture
def no_computing(monkeypatch):
    """Any study that starts is an error."""

    def started(*_arguments, **_options):
        raise AssertionError("computed before the targets were checked")

    for name in ("predict", "compare"):
        monkeypatch.setattr(featherbench.studies, name, started)
    homes = [importlib.import_module(f"featherbench.{home}") for home in HOMES]  # all, before one is changed
    for home in homes:
        monkeypatch.setattr(home, home.__name__.rpartition(".")[2].replace("sizing", "size"), started)


def really(*words, **options):
    """Run the program in an interpreter of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "featherbench", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        **options,
    )
    return Done(done.returncode, done.stdout, done.stderr)


def strict_json(text):
    """Parsed JSON; NaN and infinity, which JSON does not know, are refused."""

    def refuse(word):
        raise AssertionError(f"{word} in JSON")

    return json.loads(text, parse_constant=refuse)


def numbers(node):
    """Every number of a document."""
    inner = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    for value in inner:
        yield from numbers(value)
    if isinstance(node, int | float) and not isinstance(node, bool):
        yield node


# -- help, version, start, check ---------------------------------------------------------------------------


def test_help_names_every_command_and_version_says_it():
    helped = really("--help")
    assert helped.status == 0
    for name in (
        "start",
        "examples",
        "check",
        "predict",
        "compare",
        "explore",
        "size",
        "bias",
        "wag",
        "spread",
        "sheet",
        "match",
        "calibrate",
        "swing",
    ):
        assert name in helped.out
    assert really("--version") == Done(0, f"featherbench {featherbench.__version__}\n", "")


def test_help_loads_nothing_heavy():
    heavy = ("numpy", "scipy", "numba", "matplotlib", "pandas", "pint", "pydantic", "jinja2")
    code = (
        "import sys\nfrom featherbench import cli\nsys.argv = ['featherbench', '--help']\n"
        "try:\n    cli.main()\nexcept SystemExit:\n    pass\n"
        f"import os; print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr)\n"
        "print(os.environ['OPENBLAS_NUM_THREADS'], file=sys.stderr)"
    )
    unset = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=unset)
    assert "Usage" in done.stdout
    assert done.stderr.split() == ["[]", "1"]  # set before numpy can have read it


OF_STATISTICS = ("scipy.optimize", "scipy.linalg", "scipy.special", "scipy.stats", "scipy.constants")
IDLE = ("pandas", "pint", "matplotlib", "jinja2", "rich.markdown", "trimesh", "ezdxf")


@pytest.mark.parametrize(
    ("runs", "idle"), [("0", OF_STATISTICS + IDLE), ("16", IDLE)], ids=["figures", "ranges"]
)
def test_a_prediction_loads_nothing_that_it_does_not_use(runs, idle):
    """Each of these takes longer to load than one bench run to compute; only ranges, drawn from a scrambled sequence,
    need those of statistics.
    """
    asked = ["predict", WEIGHTED, "--runs", runs]
    code = (
        "import sys\nfrom featherbench import cli\nsys.argv[0] = 'featherbench'\n"
        "try:\n    cli.main()\nexcept SystemExit:\n    pass\n"
        f"print([name for name in {idle!r} if name in sys.modules], file=sys.stderr)"
    )
    sampled([featherbench.studies.predict(read(WEIGHTED))], 16)  # compiled by now: compiling does load some
    done = subprocess.run([sys.executable, "-c", code, *asked], capture_output=True, text=True, check=True)
    assert "N" in done.stdout
    assert ("95 %" in done.stdout) == (runs != "0")
    assert done.stderr.splitlines()[-1] == "[]"


def test_the_list_of_commands_is_whole_and_draws_no_frames():
    code = (
        "import sys\nfrom featherbench import cli\nsys.argv = ['featherbench', '--help']\n"
        "try:\n    cli.main()\nexcept SystemExit:\n    pass\nprint('rich' in sys.modules, file=sys.stderr)"
    )
    narrow = {**os.environ, "COLUMNS": "60"}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=narrow
    )
    assert done.stderr.split() == ["False"]
    assert "..." not in done.stdout.partition("Commands:")[2]
    assert "which tolerance matters." in " ".join(done.stdout.split())


def test_what_start_writes_passes_check(command, tmp_path):
    begun = command("start", tmp_path / "my build")
    written = tmp_path / "my build.toml"
    assert begun.status == 0
    assert f"featherbench check '{written}'" in begun.out
    checked = command("check", written)
    assert (checked.status, checked.err) == (0, "")
    assert "my build" in checked.out
    assert "Not stated: " in checked.out
    text = written.read_text(encoding="utf-8")
    again = command("start", written)
    assert again.status == 2
    assert "--force" in again.err
    assert written.read_text(encoding="utf-8") == text
    written.write_text("changed", encoding="utf-8")
    assert command("start", written, "--force").status == 0
    assert written.read_text(encoding="utf-8") == text


def test_check_explains_what_it_can_and_refuses_the_rest_together(command, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text('title = "b"\n[rotor]\nblades = "two"\n', encoding="utf-8")
    done = command("check", PLAIN, bad, tmp_path / "missing.toml", "--units", "trade")
    assert done.status == 2
    assert "Parts of one blade assembly" in done.out
    assert "ozf" in done.out
    assert f"{bad}, line 3: rotor.blades" in done.err
    assert "missing.toml" in done.err
    assert command("check").status == 2


def test_the_schema_accepts_every_shipped_scenario(command):
    schema = strict_json(command("check", "--schema").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for path in SHIPPED:
        validator.validate(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_check_accepts_every_shipped_scenario(command, path):
    checked = command("check", path)
    assert (checked.status, checked.err) == (0, "")


# -- predict and compare -----------------------------------------------------------------------------------


def test_a_prediction_is_printed_in_the_units_asked_for(command):
    metric = command("predict", PLAIN)
    trade = command("predict", PLAIN, "--units", "trade")
    assert metric.status == trade.status == 0
    assert metric.err == trade.err == ""
    assert " N\n" in metric.out
    assert " ozf\n" in trade.out
    assert " N\n" not in trade.out
    assert "CAUTION: " in metric.out
    assert "Traceback" not in metric.out
    verbose = command("predict", PLAIN, "--verbose")
    assert len(verbose.out.splitlines()) > len(metric.out.splitlines())
    assert command("predict", PLAIN, "--quiet") == Done(0, "", "")


def test_json_to_standard_output_is_pure(command):
    done = command("predict", PLAIN, "--json", "-", "--seed", "7")
    document = strict_json(done.out)
    assert (done.status, done.err) == (0, "")
    assert (document["tool"], document["version"], document["seed"]) == ("featherbench", "0.1.0", 7)
    assert document["format"] == 1
    assert document["scenario"]["files"] == [PLAIN]
    assert document["findings"]["rod_force_push"]["unit"] == "N"
    assert document["findings"]["release"]["value"] in ("returns", "stays", "runs out")
    assert {"force_loop", "moments", "run"} <= set(document["curves"])
    for curves in document["curves"].values():
        assert set(curves["columns"]) == set(curves["units"])
        assert len({len(column) for column in curves["columns"].values()}) == 1
    for check in document["checks"]:
        fixed = {"name", "demand", "allowable", "unit", "margin", "source", "verdict"}
        assert set(check) == fixed | {"safety", "section", "load_path"}
    assert all(set(item) == {"key", "value", "why"} for item in document["assumed"])
    assert document["cautions"]
    assert all(math.isfinite(value) for value in numbers(document))


def test_json_is_the_same_every_time_and_in_every_process(command):
    words = ("predict", PLAIN, "--runs", "16", "--json", "-")
    once = command(*words).out
    remembering()[0][2].known.clear()
    assert command(*words, "--units", "trade").out == once
    assert really(*words).out == once


def test_a_comparison_holds_all_runs_and_their_changes(command, tmp_path):
    table = tmp_path / "run.csv"
    done = command("compare", PLAIN, WEIGHTED, "--json", "-", "--csv", table)
    document = strict_json(done.out)
    assert done.status == 0
    assert done.err == f"wrote {table}\n"
    plain, weighted = document["runs"]
    change = document["changes"][0]["findings"]["rod_force_push"]
    assert change["before"] == plain["findings"]["rod_force_push"]["value"]
    assert change["after"] == weighted["findings"]["rod_force_push"]["value"]
    assert change["difference"] == pytest.approx(change["after"] - change["before"])
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert rows[0][:2] == ["build", "time [s]"]
    assert {row[0] for row in rows[1:]} == {"before", "after"}
    assert len({len(row) for row in rows}) == 1


def test_settings_lie_over_the_scenario(command):
    def load(*words):
        document = strict_json(command("predict", PLAIN, "--json", "-", *words).out)
        return document["findings"]["centrifugal_load"]["value"]

    slow = load("--set", "rotor.speed=4000 rpm", "--set", "blade.swing=clamped")
    fast = load("--set", "rotor.speed = 8000 rpm", "--set", 'blade.swing="clamped"')
    assert fast == pytest.approx(4.0 * slow, rel=1e-12)


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ("rotor.speed", "KEY.PATH=VALUE"),
        ("=5", "KEY.PATH=VALUE"),
        ("rotor.speed=8000", "needs a unit"),
        ("rotor.sped=8000 rpm", "did you mean speed?"),
        ("bench.programme.9.go=1", "0 to 2"),
    ],
)
@pytest.mark.usefixtures("no_computing")
def test_settings_that_fit_nowhere_are_refused(command, setting, words):
    done = command("predict", PLAIN, "--set", setting)
    assert (done.status, done.out) == (2, "")
    assert "--set" in done.err
    assert words in done.err


def test_strict_turns_a_failed_check_into_a_status(command):
    failing = ["--set", "limits.rod_ball_link=1 N", "--quiet"]
    assert command("predict", PLAIN, *failing).status == 0
    assert command("predict", PLAIN, *failing, "--strict").status == 1
    assert command("compare", PLAIN, WEIGHTED, *failing, "--strict").status == 1
    shown = command("predict", PLAIN, "--set", "limits.rod_ball_link=1 N", "--strict")
    assert shown.status == 1
    assert "FAILS" in shown.out


# -- files -------------------------------------------------------------------------------------------------


def test_files_are_written_whole_and_never_over_others(command, tmp_path):
    page, document, table = (tmp_path / name for name in ("a.html", "a.json", "a.csv"))
    words = ["predict", PLAIN, "--report", page, "--json", document, "--csv", table, "--runs", "16"]
    done = command(*words)
    assert done.status == 0
    assert done.err.splitlines() == [f"wrote {path}" for path in (document, table, page)]
    assert "largest push" in done.out
    assert page.read_text(encoding="utf-8").rstrip().endswith("</html>")
    findings = strict_json(document.read_text(encoding="utf-8"))["findings"]
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert rows[0][0] == "time [s]"
    assert len(rows) > 100
    assert sorted(os.listdir(tmp_path)) == ["a.csv", "a.html", "a.json"]
    for path in (page, document, table):
        path.write_text("mine", encoding="utf-8")
    again = command(*words)
    assert (again.status, again.out) == (2, "")
    assert "--force" in again.err
    assert {path.read_text(encoding="utf-8") for path in (page, document, table)} == {"mine"}
    assert command(*words, "--force", "--quiet") == Done(0, "", "")
    assert strict_json(document.read_text(encoding="utf-8"))["findings"] == findings


COMMANDS = [
    ["predict", PLAIN],
    ["compare", PLAIN, WEIGHTED],
    ["explore", PLAIN],
    ["size", PLAIN],
    ["bias", PLAIN],
    ["wag", PLAIN],
    ["spread", PLAIN],
    ["match", PLAIN, READINGS],
    ["calibrate", PLAIN, READINGS],
]
named_by_first = pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])


@named_by_first
@pytest.mark.usefixtures("no_computing")
def test_targets_are_refused_before_anything_is_computed(command, tmp_path, words):
    taken = tmp_path / "taken.html"
    taken.write_text("mine", encoding="utf-8")
    for option in ("--report", "--json"):
        for target, says in [
            (tmp_path / "none" / "a.html", "no folder"),
            (tmp_path, "is a folder"),
            (taken, "--force"),
        ]:
            done = command(*words, option, target)
            assert (done.status, done.out) == (2, "")
            assert says in done.err
    twice = command(*words, "--report", tmp_path / "a", "--json", tmp_path / "." / "a")
    assert twice.status == 2
    assert "asked for twice" in twice.err
    over_input = command(*words, "--report", PLAIN, "--force")
    assert over_input.status == 2
    assert "one of the input files" in over_input.err
    assert taken.read_text(encoding="utf-8") == "mine"
    assert os.listdir(tmp_path) == ["taken.html"]


@named_by_first
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "no such file"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"", "title"),
        (b"[rotor\n", "line 1"),
        (b'title = "x"\nbase = "bad.toml"\n', "lead back"),
        (b'title = "x"\n[rotor]\nspeed = "9 kg"\n', "rotor.speed"),
    ],
)
def test_bad_files_are_refused_in_words_by_every_command(command, tmp_path, words, content, says):
    bad = tmp_path / "bad.toml"
    if content is not None:
        bad.write_bytes(content)
    done = command(*(str(bad) if word == PLAIN else word for word in words))
    assert (done.status, done.out) == (2, "")
    assert "bad.toml" in done.err
    assert says in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize(
    ("key", "value", "named"),
    [
        ("linkage.servo_arm", "3 mm", "pitch_range = "),
        ("bearing.kind", "ball", "kind = "),
        ("part.blade-bolt.size", "M30x16", "size = "),
        ("servo.stall_current", "0.3 A", "[servo]"),
    ],
)
def test_what_cannot_be_built_is_refused_where_it_was_typed(command, tmp_path, key, value, named):
    table, _, name = key.rpartition(".")
    head, heading, rest = Path(PLAIN).read_text(encoding="utf-8").partition(f"[{table}]")
    bad = tmp_path / "bad.toml"
    bad.write_text(
        head + heading + re.sub(f"^{name} = .*$", f'{name} = "{value}"', rest, count=1, flags=re.MULTILINE),
        encoding="utf-8",
    )
    done = command("predict", bad)
    assert (done.status, done.out) == (2, "")
    (number,) = re.findall(rf"^{re.escape(str(bad))}, line (\d+): ", done.err, flags=re.MULTILINE)
    assert bad.read_text(encoding="utf-8").splitlines()[int(number) - 1].startswith(named)


@pytest.mark.parametrize(
    "words",
    [
        ["furnish"],
        ["predict"],
        ["compare", PLAIN],
        ["predict", PLAIN, "--units", "furlongs"],
        ["predict", PLAIN, "--seed", "x"],
        ["predict", PLAIN, "--loud"],
    ],
)
def test_wrong_usage_has_status_two(command, words):
    done = command(*words)
    assert (done.status, done.out) == (2, "")
    assert "Usage" in done.err
    assert "Traceback" not in done.err


# -- ends --------------------------------------------------------------------------------------------------


HEEDED = "import os, signal, sys\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
"""A child of a shell's background job ignores Ctrl-C; these tests are about one that heeds it."""


def test_an_interrupt_of_sampling_writes_what_is_done_and_ends_with_130(tmp_path):
    page = tmp_path / "page.html"
    code = (
        f"{HEEDED}from featherbench import cli\nfrom featherbench.commands.terminal import Work\n"
        "stop = lambda self, done, total: done == 5 and os.kill(os.getpid(), signal.SIGINT)\n"
        "Work.count = stop\n"
        f"sys.argv = ['featherbench', 'spread', {PLAIN!r}, '--verbose', '--runs', '64', '--report', "
        f"{str(page)!r}]\ncli.main()"
    )
    done = forked(code=code)
    assert done.returncode == 130
    assert done.stderr.splitlines()[-1] == "interrupted"
    assert "of 64 runs" in " ".join(done.stdout.split())
    assert "Traceback" not in done.stderr
    assert page.exists()


def test_an_interrupt_that_comes_while_an_object_is_thrown_away_is_not_lost():
    """Python drops what is raised there."""
    code = HEEDED + (
        "import time\nfrom featherbench import cli\n"
        "class Thrown:\n    def __del__(self):\n        os.kill(os.getpid(), signal.SIGINT)\n        time.sleep(0)\n"
        "def app():\n    Thrown()\n    until = time.monotonic() + 20.0\n"
        "    while time.monotonic() < until:\n        pass\n    print('never noticed')\n"
        "cli.app = app\ncli.main()"
    )
    done = forked(code=code)
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr.splitlines()[-1] == "interrupted"


def test_an_interrupt_ends_quietly_and_writes_nothing(tmp_path):
    code = (
        f"{HEEDED}import featherbench.studies as studies\nfrom featherbench import cli\n"
        "studies.predict = lambda *a, **k: os.kill(os.getpid(), signal.SIGINT)\n"
        f"sys.argv = ['featherbench', 'predict', {PLAIN!r}, '--json', {str(tmp_path / 'a.json')!r}]\ncli.main()"
    )
    done = forked(code=code)
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr.splitlines()[-1] == "interrupted"
    assert "Traceback" not in done.stderr
    assert os.listdir(tmp_path) == []


def test_a_reader_that_stops_reading_loses_no_file(tmp_path):
    reading, writing = os.pipe()
    os.close(reading)
    page = tmp_path / "a.json"
    done = subprocess.run(
        [sys.executable, "-m", "featherbench", "predict", PLAIN, "--json", page, "--runs", "0"],
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, f"wrote {page}\n")
    assert strict_json(page.read_text(encoding="utf-8"))["findings"]


def test_a_terminal_that_lacks_letters_shows_what_it_can(tmp_path):
    named = tmp_path / "variant.toml"
    named.write_text(f'title = "größer →"\nbase = {json.dumps(PLAIN)}\n', encoding="utf-8")
    done = forked(["check", named], env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (0, "")
    assert "gr??er ?" in done.stdout


def test_a_first_use_says_that_it_compiles(command, monkeypatch):
    monkeypatch.setattr("featherbench.plant.compiled.is_compiled", lambda: False)
    done = command("predict", PLAIN, "--json", "-")
    assert strict_json(done.out)
    assert done.err.startswith("first use on this machine: compiling")
    assert command("predict", PLAIN, "--quiet") == Done(0, "", "")
