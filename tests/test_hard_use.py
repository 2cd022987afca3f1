"""Builds that nobody would build: whatever their figures, a prediction is whole and adds up, or is refused in words.

A dozen, three interrupts and a kill in the ordinary run; `python tests/hard_use.py` tries thousands, and of damaged
files, which tests/scenario/test_fuzz.py and tests/bench/test_log_fuzz.py make, a hundred thousand. What once fell is
kept in CORPUS.
"""

import json
import math
import os
import random
import signal
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.scenario import ScenarioError, read
from featherbench.studies import predict
from forked import forked
from hard_use import Count, properties

FILES = [
    f"scenarios/{name}.toml"
    for name in (
        "survey-3kg/plain",
        "survey-3kg/weighted",
        "survey-3kg/over",
        "lifter-6kg/over",
        "scout-1kg/over",
    )
]
USUAL = {
    "rotor.speed": (9000.0, "rpm"),
    "air.density": (1.2, "kg/m^3"),
    "bearing.coefficient": (0.002, ""),
    "bearing.starting_moment": (0.3, "N*mm"),
    "bearing.breakaway_ratio": (1.3, ""),
    "linkage.stiffness": (40.0, "N/mm"),
    "linkage.rod_mass": (4.0, "g"),
    "linkage.servo_arm": (13.0, "mm"),
    "linkage.slider_friction": (0.3, "N"),
    "linkage.slider_load_friction": (0.05, ""),
    "linkage.rod_friction": (0.2, "N"),
    "linkage.damping_ratio": (0.1, ""),
    "linkage.play.rod": (0.05, "mm"),
    "linkage.play.horn": (0.05, "mm"),
    "servo.stall_torque": (0.3, "N*m"),
    "servo.stall_current": (1.5, "A"),
    "servo.rotor_inertia": (0.9, "g*mm^2"),
    "servo.dead_band": (0.4, "deg"),
    "servo.proportional_band": (6.0, "deg"),
    "servo.damping": (4.0, "ms"),
    "servo.drive_rate": (333.0, "Hz"),
    "servo.gear_play": (0.3, "deg"),
    "servo.output_friction": (1.0, "N*mm"),
    "supply.voltage": (6.0, "V"),
    "supply.resistance": (80.0, "mohm"),
    "supply.limit": (4.0, "A"),
    "gauge.stiffness": (30.0, "N/mm"),
    "gauge.sweep": (8.0, "s"),
    "gauge.rate": (10.0, "Hz"),
    "shaking.passing": (1.0, "N*mm"),
    "shaking.unlike": (1.0, "N*mm"),
    "scale.inertia": (1.0, ""),
    "scale.air_moment": (1.0, ""),
}
CORPUS = {
    "blades that a soft gauge cannot hold": ("lifter-6kg/over", {"gauge.stiffness": "0.2 N/mm"}),
    "blades thrown about": ("survey-3kg/plain", {"shaking.unlike": "4 N*m"}),
    "air like water": ("lifter-6kg/over", {"air.density": "20 kg/m^3"}),
    "a sweep of half an hour": ("tutorial-2kg/bolt", {"gauge.sweep": "1809 s"}),
    "a gear of one tooth": ("scout-1kg/plain", {"servo.gear_ratio": 4.43}),
    "a gauge asleep": ("tutorial-2kg/tail", {"gauge.rate": "0.0002 Hz"}),
    "a play of half the stroke": ("survey-3kg/plain", {"linkage.play": {"rod": "6 mm"}}),
}
NOT_HELD = ("current_hold", "motor_current_hold", "hold", "arrival", "charge")
"""Findings that a servo which does not come to rest has none of."""


def tried(file, settings):
    """The refusal's text, or "" for a prediction that is finite and adds up; anything else fails."""
    try:
        run = predict(read(file, settings))
    except ScenarioError as error:
        refused = error
    else:
        refused = None
    if refused is not None:
        assert all(problem.given and problem.expected for problem in refused.problems)
        return str(refused)
    told = {name: one.value for name, one in run.findings.items() if isinstance(one.value, float)}
    assert told["energy_error"] <= 0.01, (file, settings)
    odd = [name for name, value in told.items() if not math.isfinite(value) and not name.startswith(NOT_HELD)]
    assert not odd, (odd, file, settings)
    return ""


@pytest.mark.parametrize("name", CORPUS)
def test_what_once_fell(name):
    file, settings = CORPUS[name]
    tried(f"scenarios/{file}.toml", settings)


def odd_build(number):
    """File and settings of the odd build of this number."""
    chance = random.Random(number)
    settings = {}
    for key in chance.sample(sorted(USUAL), chance.randint(1, 3)):
        usual, unit = USUAL[key]
        value = usual * 10.0 ** chance.gauss(0.0, chance.choice([0.3, 1.0, 2.0]))
        settings[key] = f"{value:.6g} {unit}" if unit else float(f"{value:.6g}")
    return chance.choice(FILES), settings


def test_odd_builds_are_whole_or_refused():
    refused = [tried(*odd_build(number)) for number in range(12)]
    assert not all(refused), "all were refused: nothing was tried"


PREDICTED = ("predict", FILES[3], "--runs", "16")
"""Of a build that no process has computed beforehand."""
ENDS = {signal.SIGINT: (0, 130, -signal.SIGINT), signal.SIGKILL: (0, -signal.SIGKILL)}
"""Of an interrupt also the signal's own end: at the very last, all written, python takes its handler away."""


HEEDED = "import signal\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
"""What a shell starts in the background ignores Ctrl-C."""


def asked_of(folder):
    """Words of a prediction with all its files."""
    words = [*PREDICTED, "--json", str(folder / "a.json"), "--csv", str(folder / "a.csv")]
    return [*words, "--report", str(folder / "a.html")]


def ended_by(stop, moment, folder):
    """A prediction with all its files, sent `stop` after so many seconds: what it ended with, and said. Its process has
    loaded beforehand what computes; what draws, writes and talks to a terminal it loads within that time.
    """
    sent = f"sleep {moment:.3f}; kill -{int(stop)} $PPID 2>/dev/null" if stop is not None else ":"
    code = (
        f"{HEEDED}import subprocess\nfrom featherbench.__main__ import main\n"
        f"subprocess.Popen(['sh', '-c', {sent!r}], start_new_session=True)\n"
        "try:\n    main()\nfinally:\n    signal.signal(signal.SIGINT, signal.SIG_DFL)  # as python does at its end"
    )
    began = time.monotonic()
    done = forked(asked_of(folder), code=code)
    return done.returncode, done.stderr, time.monotonic() - began


def ended_from_the_start_by(stop, moment, folder):
    """The same of an interpreter that has loaded nothing yet."""
    # python's own start is not the program's: only from here on an interrupt is its own business
    code = f"{HEEDED}from featherbench.__main__ import main\nprint('up', flush=True)\nmain()"
    with subprocess.Popen(
        [sys.executable, "-c", code, *asked_of(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as run:
        assert run.stdout.readline() == "up\n"
        time.sleep(moment)
        run.send_signal(stop)
        _, said = run.communicate(timeout=300.0)
    return run.returncode, said


def stopped(stop, moment, folder, by=ended_by):
    """A prediction stopped at this moment has ended as it should and left nothing half-written."""
    status, said, *_ = by(stop, moment, folder)
    assert status in ENDS[stop], (moment, status, said)
    assert "Traceback" not in said, said
    for name, end in (("a.html", "</html>"), ("a.csv", "\n")):
        if (folder / name).exists():
            assert (folder / name).read_text(encoding="utf-8").rstrip(" ").endswith(end), (moment, name)
    if (folder / "a.json").exists():
        json.loads((folder / "a.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def long(tmp_path_factory):
    """s that the prediction takes when nothing stops it."""
    status, said, taken = ended_by(None, 0.0, tmp_path_factory.mktemp("whole"))
    assert status == 0, said
    return taken


@pytest.mark.skipif(os.name == "nt", reason="other signals there")
@pytest.mark.parametrize(("stop", "times"), [(signal.SIGINT, 2), (signal.SIGKILL, 1)])
def test_whatever_stops_it_at_whatever_moment_nothing_is_left_half_written(stop, times, tmp_path, long):
    chance = random.Random(int(stop))
    for number in range(times):
        folder = tmp_path / str(number)
        folder.mkdir()
        stopped(stop, chance.uniform(0.0, 1.1 * long), folder)


@pytest.mark.skipif(os.name == "nt", reason="other signals there")
def test_an_interrupt_while_it_loads_ends_it_too(tmp_path):
    stopped(signal.SIGINT, random.uniform(0.0, 1.0), tmp_path, ended_from_the_start_by)


def test_what_falls_in_a_long_run_is_counted_and_kept_whole(tmp_path):
    @given(number=st.integers(0, 10**6))
    def planted(tmp_path, number):
        (tmp_path / "case").write_text(str(number))
        assert number < 1000, "planted"

    count = Count("planted", 400, tmp_path / "kept")
    properties(count, 1, planted)
    assert count.fell >= 1
    assert count.tried >= 400 or count.fell == 5
    kept = next((tmp_path / "kept").iterdir())
    assert (kept / "case").read_text() == "1000", "the least that falls"
    assert "planted" in (kept / "said.txt").read_text()

    @given(number=st.integers(0, 9))
    def fine(number):
        assert number < 10

    sound = Count("sound", 60, tmp_path / "kept")
    properties(sound, 1, fine)
    assert sound.fell == 0
    assert sound.tried >= 10
