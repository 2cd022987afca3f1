"""Tables of forces by hand from several days and at several rotor speeds, in one fit: each at its own speed."""

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data
from featherbench.bench.sessions import at_one_speed, base_speed, by_speed
from featherbench.bench.setup import build_setup
from featherbench.fitting.calibrate import calibrate
from featherbench.fitting.simulated import with_values

HEADS = "pitch [deg];force rising [N];force falling [N];rotor speed [rpm]"
PITCHES = (-19, -12, -5, 0, 5, 12, 19)
RPM = 2.0 * np.pi / 60.0


def table_of(scenario, file, speed, more=1.0):
    """What a person reads of a build at a speed, in rpm, to a hundredth of a newton; `more` of the force."""
    run = run_gauge(build_setup(with_values(scenario, ("rotor.speed",), (speed * RPM,))))
    rows = []
    for pitch in PITCHES:
        up, down = (more * np.interp(np.deg2rad(pitch), run.pitch, way) for way in (run.up, run.down))
        rows.append(f"{pitch};{up:.2f};{down:.2f};{speed:g}")
    file.write_text("\n".join([HEADS, *rows]), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def plain(scenario_of):
    return scenario_of(gauge={"sweep": "2 s", "uncertainty": "0.06 N", "rate": "50 Hz"})


@pytest.fixture(scope="module")
def heavier(plain):
    return with_values(plain, ("scale.inertia",), (1.06,))


@pytest.fixture(scope="module")
def files(plain, heavier, tmp_path_factory):
    folder, full = tmp_path_factory.mktemp("days"), float(plain.rotor.speed) / RPM
    return {
        name: table_of(heavier, folder / f"{name}.csv", share * full)
        for name, share in (("monday", 1.0), ("friday", 1.0), ("slow", 0.75))
    }


def test_each_table_keeps_its_own_readings_and_its_speed(plain, files):
    data = read_bench_data([files["monday"], files["friday"], files["slow"]], plain)
    forces = [one for one in data.readings.values() if one.pitch is not None]
    assert len(forces) == 3 * 2 * len(PITCHES)
    assert {one.file for one in forces} == {"monday.csv", "friday.csv", "slow.csv"}
    assert "force at 12 deg, rising (slow.csv)" in data.readings
    base = base_speed(data, 1.0)
    assert base == pytest.approx(float(plain.rotor.speed), rel=1e-4)
    ((ratio, names),) = by_speed(data, base).items()
    assert ratio == pytest.approx(0.75, rel=1e-3)
    assert {data.readings[name].file for name in names} == {"slow.csv"}


def test_one_prediction_is_held_against_one_speed_only(plain, files):
    data = at_one_speed(read_bench_data([files["monday"], files["slow"]], plain), float(plain.rotor.speed))
    assert {one.file for one in data.readings.values() if one.pitch is not None} == {"monday.csv"}
    assert any("slow.csv left out" in said and "--set rotor.speed" in said for said in data.said)


def test_other_quantities_of_a_second_day_are_refused_with_what_to_do(plain, tmp_path):
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text('[readings]\nmeter_hold = "0.4 A"\n', encoding="utf-8")
    with pytest.raises(ReadingsRefused, match="calibrate with one file, then the file that this writes"):
        read_bench_data([tmp_path / "one.toml", tmp_path / "two.toml"], plain)


def test_two_speeds_find_the_planted_inertia(plain, files):
    data = read_bench_data([files["monday"], files["slow"]], plain)
    done = calibrate(plain, data, ("scale.inertia",), keep_aside=False)
    (value,), (low,), (high,) = done.fitted.values, done.fitted.low, done.fitted.high
    assert low <= 1.06 <= high
    assert value == pytest.approx(1.06, abs=0.02)
    assert done.after < 1.0
    assert any("2 rotor speeds" in note for note in done.notes)


@pytest.mark.usefixtures("values_only")
def test_a_table_at_another_speed_taken_for_full_speed_would_not_fit(plain, files, tmp_path):
    """The wrong answer that must not pass: the slow table without its speed."""
    text = files["slow"].read_text(encoding="utf-8").splitlines()
    bare = tmp_path / "bare.csv"
    bare.write_text("\n".join(row.rpartition(";")[0] for row in text), encoding="utf-8")
    done = calibrate(
        plain, read_bench_data([files["monday"], bare], plain), ("scale.inertia",), keep_aside=False
    )
    assert done.after > 4.0
    assert any("force of bare.csv smaller than that of monday.csv" in note for note in done.notes)
