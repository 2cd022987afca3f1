"""Rows of results as files of other programs, read back by their own libraries; readings from a workbook."""

import io

import numpy as np
import pandas as pd
import pytest

import featherbench as fb
from featherbench.bench.workbook import workbook_text

INSTALL = 'pip install ".[test]"'
openpyxl = pytest.importorskip("openpyxl", reason=INSTALL)
xarray = pytest.importorskip("xarray", reason=INSTALL)
SHORT = {"bench.programme": '[{ go = 1.0, hold = "0.6 s" }, { go = -1.0, hold = "0.6 s" }]'}


@pytest.fixture(scope="module")
def plain():
    return fb.read(fb.example("survey-3kg/plain"), SHORT)


@pytest.fixture(scope="module")
def run(plain):
    return fb.predict(plain)


def test_each_column_holds_one_kind_of_value(run):
    found = fb.frame(run, "findings")
    assert found["value"].dtype == np.float64
    assert all(isinstance(text, str) for text in (*found["value_text"], *found["unit"], *found["finding"]))
    rows = found.set_index("finding")
    assert rows.loc["rod_force_push", "value"] == run.value("rod_force_push")
    assert np.isnan(rows.loc["release", "value"])
    assert rows.loc["release", "value_text"] == run.findings["release"].value
    both = fb.frame(fb.compare(run.scenario, run.scenario))
    assert {"build", "finding", "before", "before_text"} <= set(both)


def test_units_are_in_names_or_attributes(run):
    named, apart = fb.frame(run, "force_loop"), fb.frame(run, "force_loop", units="attrs")
    assert "pitch [rad]" in named
    assert apart.attrs["units"]["pitch"] == "rad"
    np.testing.assert_array_equal(named["pitch [rad]"], apart["pitch"])
    with pytest.raises(ValueError, match="names"):
        fb.frame(run, units="inside")
    with pytest.raises(TypeError):
        fb.frame(3)


def test_parquet_reads_back_the_same(run, tmp_path):
    pytest.importorskip("pyarrow", reason=INSTALL)
    file = fb.export(run, tmp_path / "run.parquet", units="attrs")
    back = pd.read_parquet(file)
    assert back.attrs["units"]["rod_force"] == "N"
    np.testing.assert_array_equal(back["rod_force"], run.curves["run"].columns["rod_force"])


def test_netcdf_has_units_as_attributes(run, tmp_path):
    with xarray.open_dataset(fb.export(run, tmp_path / "loop.nc", "force_loop"), decode_times=False) as back:
        assert back["pitch"].attrs["units"] == "rad"
        np.testing.assert_array_equal(back["pitch"], run.curves["force_loop"].columns["pitch"])
    with xarray.open_dataset(fb.export(run, tmp_path / "findings.nc", "findings")) as back:
        assert "rod_force_push" in [str(name) for name in back["finding"].values]


def test_a_workbook_holds_numbers_and_no_formulas(tmp_path):
    frame = pd.DataFrame({"part": ["=1+1", "collar"], "mass [kg]": [0.0012, float("nan")]})
    sheet = openpyxl.load_workbook(fb.export(frame, tmp_path / "parts.xlsx")).active
    found = [[cell.value for cell in row] for row in sheet]
    assert found == [
        ["part", "mass [kg]"],
        ["=1+1", 0.0012],
        ["collar", None],
    ]
    assert sheet["A2"].data_type == "s"


def test_a_spreadsheet_set_to_the_comma_gets_semicolons(run, tmp_path):
    file = fb.export(run, tmp_path / "run.csv", "force_loop", decimal=",")
    back = pd.read_csv(file, sep=";", decimal=",")
    np.testing.assert_allclose(back["pitch [rad]"], run.curves["force_loop"].columns["pitch"])
    assert "," in file.read_text().splitlines()[1]


def test_what_cannot_be_written_is_refused(run, tmp_path):
    there = tmp_path / "there.csv"
    there.write_text("mine")
    with pytest.raises(fb.OutputRefused):
        fb.export(run, there)
    assert there.read_text() == "mine"
    assert fb.export(run, there, force=True) == there
    for wrong in ({"path": tmp_path / "run.doc"}, {"path": tmp_path / "run.csv", "decimal": "."[:0]}):
        with pytest.raises(ValueError, match=r"\.parquet|decimal"):
            fb.export(run, **wrong)


def workbook(rows, path):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


def test_readings_from_a_workbook_are_those_of_its_csv(plain, tmp_path):
    rows = [
        ["quantity", "value", "unit", "uncertainty"],
        ["gauge_push", 11.93, "N", 0.1],
        ["meter_hold", 0.4, "A", None],
    ]
    file = workbook(rows, tmp_path / "readings.xlsx")
    found = fb.read_bench_data([file], plain)
    assert found.readings["gauge_push"].value == pytest.approx(11.93)
    assert found.readings["gauge_push"].uncertainty == pytest.approx(0.1)
    assert found.readings["meter_hold"].line == 3
    text = "\n".join(
        ";".join("" if cell is None else str(cell).replace(".", ",") for cell in row) for row in rows
    )
    comma = tmp_path / "readings.csv"
    comma.write_text(text)
    assert fb.read_bench_data([comma], plain).readings["gauge_push"].value == pytest.approx(11.93)


def test_a_log_from_a_workbook(plain, tmp_path):
    times = np.arange(0.0, 20.0, 0.1)
    rows = [["time [s]", "force [N]"], *([float(t), float(np.sin(t))] for t in times)]
    (log,) = fb.read_bench_data([workbook(rows, tmp_path / "log.xlsx")], plain).logs
    np.testing.assert_allclose(log.time, times - times[0], atol=1e-9)
    assert any("first sheet" in said for said in log.said)


@pytest.mark.parametrize("data", [b"PK\x03\x04 cut off", b"no workbook", b"PK\x05\x06" + bytes(18)])
def test_a_damaged_workbook_is_refused_in_words(data, plain, tmp_path):
    file = tmp_path / "readings.xlsx"
    file.write_bytes(data)
    with pytest.raises(fb.ScenarioError, match="workbook"):
        fb.read_bench_data([file], plain)


def test_an_empty_sheet_has_no_rows():
    stream = io.BytesIO()
    openpyxl.Workbook().save(stream)
    assert workbook_text(stream.getvalue()).strip() == ""
