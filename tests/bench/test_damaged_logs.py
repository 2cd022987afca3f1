"""Damaged and odd logs: each gives one clear refusal or a stated repair, never a traceback, never silence."""

import numpy as np
import pytest

from featherbench.bench.logs import read_log
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.scenario.bench_data import LogColumns, LogFormat, LogUnits

ROWS = 60


def good_rows(heading="t [s],Force [N],I [A]", delimiter=",", comma=False, rows=ROWS):
    lines = [heading] if heading else []
    for k in range(rows):
        cells = [f"{0.02 * k:.2f}", f"{3.0 * np.sin(0.2 * k):.3f}", f"{0.2 + 0.001 * k:.3f}"]
        if comma:
            cells = [cell.replace(".", ",") for cell in cells]
        lines.append(delimiter.join(cells))
    return lines


def edited(row, text, **how):
    lines = good_rows(**how)
    lines[row] = text
    return lines


def restarted():
    lines = good_rows()
    return lines + lines[1:]


def coarse_clock():
    return ["Uhrzeit;Kraft [N]"] + [
        f"14:03:{20 + k // 10:02d};{np.sin(0.1 * k):.3f}".replace(".", ",") for k in range(80)
    ]


REPAIRED = {
    "semicolons and decimal commas": (good_rows("t [s];Force [N];I [A]", ";", True), "decimal comma"),
    "tabs": (good_rows("t/s\tForce (N)\tI (A)", "\t"), "set apart by tab"),
    "byte order mark": (["\ufefft [s],Force [N],I [A]", *good_rows()[1:]], "60 of 60 rows"),
    "comments": (["# rig 3", "% noon", *good_rows()], "2 comment lines skipped"),
    "preamble": (["Logger model", "Serial 12", *good_rows()], "2 lines before the heading skipped"),
    "units row": (["t,Force,I", "s,N,A", *good_rows()[1:]], "60 of 60 rows"),
    "milliseconds": (["t/ms,Force [N]", *[f"{20 * k},{np.sin(k):.3f}" for k in range(60)]], "1.18 s"),
    "clock times": (
        ["Time,Force [N]", *[f"2020-01-01T12:00:{k * 0.5:06.3f},{np.sin(k):.3f}" for k in range(60)]],
        "29.5 s",
    ),
    "midnight": (
        [
            "Time,Force [N]",
            *[f"{'23:59:' if k < 30 else '00:00:'}{(30 + k) % 60:02d},{np.sin(k):.3f}" for k in range(60)],
        ],
        "midnight",
    ),
    "coarse clock": (coarse_clock(), "spread evenly"),
    "blank cells": (edited(5, "0.08,,0.204"), "line 6: blank"),
    "not a number": (edited(5, "0.08,NaN,0.204"), "line 6: blank"),
    "overload": (edited(9, "0.16,OL,0.208"), "overload"),
    "stray text": (edited(7, "battery low"), "line 8: not a row"),
    "short row": (edited(7, "0.12,1.0"), "too few cells"),
    "long row": (edited(7, "0.12,1.0,0.2,9,9"), "not a row"),
    "cut off in the last line": ([*good_rows()[:-1], "1.1"], "too few cells"),
    "duplicate time": (edited(7, "0.10,1.0,0.2"), "same time as the row before"),
    "one row out of order": (edited(7, "0.07,1.0,0.2"), "out of order"),
    "gap": ([*good_rows()[:20], *good_rows()[35:]], "gap of 0.32 s"),
    "heading again": ([*good_rows()[:20], *good_rows()[:1], *good_rows()[20:]], "heading repeated"),
    "no time in one row": (edited(7, ",1.0,0.2"), "no time, skipped"),
    "extra column": (["t [s],Force [N],Temp [C]", *good_rows()[1:]], "columns not used: Temp [C]"),
    "gauge at its limit": (
        [
            "t [s],Force [N]",
            *[f"{0.02 * k:.2f},{5.0 if 20 < k < 32 else 0.1 * np.sin(k):.3f}" for k in range(60)],
        ],
        "may have been at its limit",
    ),
}


@pytest.mark.parametrize("name", REPAIRED)
def test_repairs_are_said(tmp_path, name):
    lines, said = REPAIRED[name]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    log = read_log(path, LogFormat())
    assert any(said in sentence for sentence in log.said), log.said
    assert np.all(np.diff(log.time) > 0.0)
    assert np.nanmax(np.abs(log.columns["rod_force"])) > 0.5


REFUSED = {
    "empty": (b"", "an empty file"),
    "binary": (b"\x00\x01\x02" * 40, "a binary file"),
    "comments only": (b"# nothing\n# here\n", "only comments"),
    "prose": (b"the gauge showed\nrather a lot\n", "at least two rows"),
    "commas twice": (
        "\n".join(["t [s],Force [N]", *[f"{k},5,{k % 3},25" for k in range(50)]]).encode(),
        "a comma both between columns and in numbers",
    ),
    "mixed decimals": (
        "\n".join(["t [s];Force [N]", *[f"{k};{k % 3}{'.' if k % 2 else ','}5" for k in range(50)]]).encode(),
        "others with a decimal point",
    ),
    "no time": (("\n".join(["Force [N],I [A]", *["1.0,0.2", "2.0,0.3"] * 20])).encode(), "no column of time"),
    "no unit": (("\n".join(["t [s],Force", *good_rows()[1:]]).replace(",0.2", "")).encode(), "has no unit"),
    "wrong unit": ("\n".join(["t [s],Force [mm],I [A]", *good_rows()[1:]]).encode(), 'unit "mm"'),
    "two forces": (
        "\n".join(["t [s],Force 1 [N],Force 2 [N]", *good_rows()[1:]]).encode(),
        "several columns",
    ),
    "restart": ("\n".join(restarted()).encode(), "time runs backward"),
    "stuck": (
        "\n".join(["t [s],Force [N]", *[f"{k},1.25" for k in range(50)]]).encode(),
        "in every row",
    ),
    "too short": ("\n".join(good_rows(rows=8)).encode(), "8 usable rows"),
    "mostly blank": (
        "\n".join(["t [s],Force [N]", *[f"{k},{'' if k % 9 else k}" for k in range(90)]]).encode(),
        "numbers in 90 rows",
    ),
    "a clock that never ticks": (
        "\n".join(["t [s],Force [N]", *[f"1.0,{k % 7}" for k in range(50)]]).encode(),
        "never ticks",
    ),
    "clock times that never tick": (
        "\n".join(["Time,Force [N]", *[f"12:00:00,{k % 7}" for k in range(50)]]).encode(),
        "never ticks",
    ),
    "a cell without end": ("\n".join([*good_rows(), "y" * 140_000]).encode(), "more than 100,000 characters"),
    "a unit that is no number": (
        "\n".join(["t [s],Force [nan],I [A]", *good_rows()[1:]]).encode(),
        'unit "nan"',
    ),
    "a time in no number": ("\n".join(["t [nan],Force [N],I [A]", *good_rows()[1:]]).encode(), 'unit "nan"'),
    "nothing of use": (
        "\n".join(["t [s],Temp [C],Hum [%]", *good_rows()[1:]]).encode(),
        "a column of force or current",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refusals_name_file_and_cure(tmp_path, name):
    data, given = REFUSED[name]
    path = tmp_path / "log.csv"
    path.write_bytes(data)
    with pytest.raises(ReadingsRefused) as error:
        read_log(path, LogFormat())
    text = str(error.value)
    assert given in text
    assert "log.csv" in text
    assert len(error.value.problems) == 1
    assert error.value.problems[0].expected


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(ReadingsRefused):
            read_log(path, LogFormat())


def test_a_restart_is_located(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(restarted()))
    with pytest.raises(ReadingsRefused) as error:
        read_log(path, LogFormat())
    assert error.value.problems[0].line == ROWS + 2


def test_values_come_in_si_with_the_sign_of_a_push(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["a,b,c", *good_rows()[1:]]))
    style = LogFormat(
        columns=LogColumns(time="a", rod_force="b", supply_current="c"),
        units=LogUnits(time="ms", rod_force="ozf", supply_current="mA"),
        push="negative",
    )
    log = read_log(path, style)
    assert log.time[-1] == pytest.approx(59 * 0.02e-3)
    assert log.columns["rod_force"][5] == pytest.approx(
        -0.2780138509 * 2.524, rel=1e-6
    )  # 1 ozf, exact by definition
    assert log.columns["supply_current"][0] == pytest.approx(0.2e-3)


def test_a_mapped_column_that_is_missing_is_named_with_what_is_there(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(good_rows()))
    with pytest.raises(ReadingsRefused, match=r'Forse.*\n?.*did you mean|did you mean "Force') as error:
        read_log(path, LogFormat(columns=LogColumns(rod_force="Forse [N]")))
    assert "log.columns.rod_force" in str(error.value)


def test_a_log_without_time_runs_at_its_stated_rate(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["Force [N]", *[f"{np.sin(k):.3f}" for k in range(50)]]))
    log = read_log(path, LogFormat(sample_rate="100 Hz"))
    assert log.interval == pytest.approx(0.01)
    assert log.test == "gauge"


def test_a_log_that_no_test_is_compared_by_is_refused(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["t [s],Drehzahl [rpm]", *[f"{k},{9000 + k}" for k in range(50)]]))
    with pytest.raises(ReadingsRefused, match="rotor_speed of a gauge test"):
        read_log(path, LogFormat())
