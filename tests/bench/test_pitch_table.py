"""A table written by hand: what a fish scale, a protractor and a spreadsheet make of it, and what is left out."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.pitch_table import is_pitch_table
from featherbench.bench.readings import read_bench_data
from featherbench.fitting.data import spot_count, spot_residuals
from featherbench.fitting.model import bench_model

GERMAN = "\ufeffWinkel [deg];Kraft [N];Richtung\r\n-10;-3,4;auf\r\n10;4,2;auf\r\n10;3,1;ab\r\n"
ENGLISH = 'pitch (deg),"push, up [ozf]","push, down [ozf]"\n12,15.1,12.0\n-12,-11,\n'


@pytest.fixture
def table(tmp_path, scenario_of):
    def read(text, **changes):
        file = tmp_path / "hand.csv"
        file.write_text(text, encoding="utf-8", newline="")
        return read_bench_data([file], scenario_of(**changes))

    return read


def forces(data):
    return {name: round(one.value, 3) for name, one in data.readings.items()}


def test_a_spreadsheet_with_semicolons_and_decimal_commas(table):
    data = table(GERMAN)
    read = {"force at -10 deg, rising": -3.4, "force at 10 deg, rising": 4.2, "force at 10 deg, falling": 3.1}
    assert forces(data) == read
    (one,) = (one for one in data.readings.values() if one.value == pytest.approx(3.1))
    assert (one.pitch, one.rising) == (pytest.approx(np.deg2rad(10.0)), False)


def test_directions_as_columns_and_units_of_the_trade(table):
    data = table(ENGLISH)
    assert forces(data)["force at 12 deg, rising"] == pytest.approx(15.1 * 0.278014, abs=1e-3)
    assert forces(data)["force at 12 deg, falling"] == pytest.approx(12.0 * 0.278014, abs=1e-3)
    assert len(data.readings) == 3  # an empty cell is no reading


def test_push_and_pull_are_of_two_signs(table):
    data = table("angle [deg]\tpush [N]\tpull [N]\n8\t2.5\t-\n-8\t-\t1.9\n")
    assert forces(data) == {"force at 8 deg": 2.5, "force at -8 deg": -1.9}
    assert any("no direction" in said for said in data.said)


def test_the_sticks_throw_is_a_share_of_the_range(table):
    rig = {"rotor": {"pitch_range": ["-20 deg", "24 deg"]}}
    data = table("stick [%],force [N]\n50,4.0\n-100,-7\n", **rig)
    assert forces(data) == {"force at 12 deg": 4.0, "force at -20 deg": -7.0}
    assert any("by the stick" in said for said in data.said)


def test_what_was_read_twice_is_a_repeat(table):
    (one,) = table("pitch [deg],force [N]\n5,2.0\n5,2.2\n").readings.values()
    assert (one.value, one.repeats) == (pytest.approx(2.1), 2)
    assert one.scatter == pytest.approx(0.1)


def test_bad_rows_are_named_by_number_and_text(table):
    data = table("# by hand\npitch [deg];force [N]\n5;about 2\n;3\n80;4\n6;2,5\n")
    assert forces(data) == {"force at 6 deg": 2.5}
    said = " ".join(data.said)
    assert 'line 3: "about 2" is no number' in said
    assert 'line 4 left out, no angle in it: ";3"' in said
    assert 'line 5 left out, beyond the pitch range: "80;4"' in said


@pytest.mark.parametrize(
    "text", ["pitch,force [N]\n5,2\n", "pitch [deg],force\n5,2\n", "pitch [N],force [N]\n5,2\n"]
)
def test_a_missing_or_wrong_unit_is_refused(table, text):
    with pytest.raises(ReadingsRefused) as error:
        table(text)
    assert "hand.csv" in str(error.value)


def test_a_log_with_time_is_no_table_by_hand():
    assert not is_pitch_table("time [s],pitch [deg],force [N]\n0,1,2\n")
    assert not is_pitch_table("quantity,value,unit\ngauge_push,4,N\n")


def test_an_error_of_the_gauge_is_shared_by_all_its_readings(table, scenario_of):
    """Every reading 0.1 N low, the gauge good to 0.1 N (standard): one unit of its error, hardly any of theirs."""
    gauge = {"uncertainty": "0.2 N", "sweep": "1.5 s", "rate": "200 Hz"}
    rows = "".join(f"{pitch},0,rising\n{pitch},0,falling\n" for pitch in range(-12, 13, 4))
    data = table("pitch [deg],force [N],direction\n" + rows, gauge=gauge)
    model, _ = bench_model(scenario_of(gauge=gauge), data, smooth=True)
    there, names = model.at((), ()), tuple(data.readings)
    low = {name: replace(data.readings[name], value=there.spots[name] - 0.1) for name in names}
    *own, error = spot_residuals(replace(model, data=replace(data, readings=low)), there, names)
    assert len(own) + 1 == spot_count(model, names)
    assert error == pytest.approx(1.0, abs=0.1)
    assert np.abs(own).max() < 0.2


def test_a_row_that_ends_before_the_column_of_directions_has_none(table):
    """The direction stands last and is left out of one row: that force is of either direction."""
    data = table("angle [deg];force [N];direction\n-10;-3.4;up\n10;4.2;down\n12;4.0\n14;5.0;up\n")
    assert sorted(str(one.rising) for one in data.readings.values()) == ["False", "None", "True", "True"]
