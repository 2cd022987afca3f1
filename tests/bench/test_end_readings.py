"""Currents, breakout, released blades and rotor speed in a table written by hand: where they count, and where not."""

import numpy as np
import pytest

from featherbench.bench.end_readings import verdict_of
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data

TABLE = (
    "pitch [deg];force rising [N];breakout force [N];current moving [mA];current holding [A];released;"
    "rotor speed [rpm]\n"
    "26;4,2;;310;0,28;;8990\n"
    "15,6;3,0;;;;back to centre;9010\n"
    "0;;0,9;;;;\n"
    "0;;1,1;;;;\n"
    "-14,4;-2,5;;;;stays put;\n"
    "-24;-4,0;;290;0,25;;\n"
)


@pytest.fixture
def table(tmp_path, scenario_of):
    def read(text, **changes):
        file = tmp_path / "hand.csv"
        file.write_text(text, encoding="utf-8")
        return read_bench_data([file], scenario_of(**changes))

    return read


def test_every_kind_is_read_under_the_name_of_its_finding(table):
    found = table(TABLE).readings
    assert {name: one.value for name, one in found.items() if one.pitch is None} == {
        "meter_peak_high": pytest.approx(0.31),
        "current_hold_high": pytest.approx(0.28),
        "meter_peak_low": pytest.approx(0.29),
        "current_hold_low": pytest.approx(0.25),
        "rod_force_breakout": pytest.approx(1.0),
        "release": "returns",
        "release_low": "stays",
        "rotor_speed": pytest.approx(9000.0 * np.pi / 30.0),
    }
    assert found["rod_force_breakout"].repeats == 2
    assert found["rod_force_breakout"].scatter == pytest.approx(0.1)
    assert sum(one.pitch is not None for one in found.values()) == 4


def test_what_cannot_be_compared_is_named_by_line_and_left_out(table):
    data = table(
        "pitch [deg],force [N],breakout [N],current holding [A],released\n"
        "10,2.0,1.0,0.2,perhaps\n0,0.5,,,returns\n9,2,,,returns\n"
    )
    assert [one.kind for one in data.readings.values()].count("force") == len(data.readings) - 1 == 3
    said = " ".join(data.said)
    assert 'line 2: "1.0" left out, the force to start moving is compared at zero pitch only' in said
    assert (
        'line 2: "0.2" left out, a current is compared at the ends of the range only, -24 deg and 26 deg'
        in said
    )
    assert 'line 2: "perhaps" left out, it is not returns to centre, stays put or runs to full pitch' in said
    assert 'line 3: "returns" left out, blades released at zero pitch tell nothing' in said
    assert "line 4: released at 9 deg, the prediction releases at 15.6 deg" in said


def test_a_meter_that_shows_the_idle_current_has_it_taken_off(table):
    data = table(TABLE, meter={"zero_idle": False})
    assert data.readings["current_hold_high"].value == pytest.approx(0.27)
    assert any("idle current, 0.01 A, is taken off" in one for one in data.said)
    assert not any("idle" in one for one in table(TABLE).said)


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("current [A]", "moving or holding"),
        ("current holding", "without a unit"),
        ("breakout", "without a unit"),
        ("current holding [N]", "current"),
    ],
)
def test_a_heading_that_leaves_something_open_is_refused(table, heading, words):
    with pytest.raises(ReadingsRefused) as error:
        table(f"pitch [deg],force [N],{heading}\n26,4,1\n")
    assert words in str(error.value)


def test_a_table_without_forces_or_without_anything(table):
    assert list(table("pitch [deg],current holding [A]\n26,0.3\n").readings) == ["current_hold_high"]
    with pytest.raises(ReadingsRefused, match="no row"):
        table("pitch [deg],current holding [A]\n26,\n")


@pytest.mark.parametrize(
    ("words", "verdict"),
    [
        ("Return to centre", "returns"),
        ("stay put", "stays"),
        ("ran to full pitch", "runs out"),
        ("runs out", "runs out"),
        ("stays or returns", None),
        ("", None),
    ],
)
def test_what_blades_did_in_a_persons_words(words, verdict):
    assert verdict_of(words) == verdict
