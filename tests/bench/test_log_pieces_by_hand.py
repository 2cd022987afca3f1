"""A log taken apart piece by piece: what a cell, a row, a heading, a clock and a unit are read as, by hand."""

from pathlib import Path

import numpy as np
import pytest

from featherbench.bench import logs_text
from featherbench.bench.logs import read_log
from featherbench.bench.logs_columns import factor_of, map_columns, split_heading
from featherbench.bench.logs_text import (
    ReadingsRefused,
    Table,
    file_text,
    is_stamp,
    listed,
    number,
    read_table,
)
from featherbench.bench.logs_time import clock, gaps, has_stamps, put_in_order
from featherbench.scenario.bench_data import LogColumns, LogFormat, LogUnits

FILE = Path("log.csv")


def table_of(*lines, **style):
    return read_table(FILE, "\n".join(lines), LogFormat(**style))


def refusal_of(*lines, **style):
    with pytest.raises(ReadingsRefused) as error:
        table_of(*lines, **style)
    (problem,) = error.value.problems
    return problem


# -- files and cells -------------------------------------------------------------------------------------


def test_a_file_as_large_as_allowed_is_read_and_one_byte_more_is_not(tmp_path, monkeypatch):
    assert logs_text.LARGEST_FILE == 60_000_000
    monkeypatch.setattr(logs_text, "LARGEST_FILE", 10)
    path = tmp_path / "log.csv"
    path.write_bytes(b"1234567890")
    assert file_text(path) == (b"1234567890", "1234567890", [])
    path.write_bytes(b"12345678901")
    with pytest.raises(ReadingsRefused, match="more than 60 MB"):
        file_text(path)


@pytest.mark.parametrize(
    ("data", "text", "said"),
    [
        (b"\xef\xbb\xbft;N", "t;N", 0),
        ("t;\u00b0".encode("utf-16"), "t;\u00b0", 1),
        ("\ufefft;N".encode("utf-16-be"), "t;N", 1),
        (b"t;\xb0", "t;\u00b0", 1),
    ],
)
def test_encodings_are_told(tmp_path, data, text, said):
    path = tmp_path / "log.csv"
    path.write_bytes(data)
    assert file_text(path)[1] == text
    assert len(file_text(path)[2]) == said


def test_half_a_utf16_text_is_refused(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes("t;N".encode("utf-16")[:-1])
    with pytest.raises(ReadingsRefused, match="broken UTF-16"):
        file_text(path)


@pytest.mark.parametrize(
    ("cell", "point", "comma"),
    [
        ("1.5", 1.5, 1.5), (" -2e-3 ", -2e-3, -2e-3), ("\u22123", -3.0, -3.0), ("1,5", None, 1.5),
        ("1.234,5", None, 1234.5), (".5", 0.5, 0.5), ("5.", 5.0, 5.0), ("+4", 4.0, 4.0),
        ("", None, None), ("x", None, None), ("1 2", None, None), ("1\u00a0", 1.0, 1.0), ("0x10", None, None),
    ],
)  # fmt: skip
def test_numbers_in_cells(cell, point, comma):
    assert (number(cell, False), number(cell, True)) == (point, comma)


def test_clock_times_and_lines_in_words():
    for cell in ("12:30", "12:30:05", "12:30:05.25", "12:30:05,25", "2020-01-02T12:30:05Z", "1.2.20 9:05:01"):
        assert is_stamp(cell), cell
    for cell in ("12", "12.30", "12:3", "noon"):
        assert not is_stamp(cell), cell
    told = [listed(list(range(7, 7 + count))) for count in (1, 2, 3, 5)]
    assert told == ["line 7", "lines 7, 8", "lines 7, 8, 9", "lines 7, 8, 9 and 2 more"]


# -- rows ------------------------------------------------------------------------------------------------


def test_rows_with_words_among_their_numbers_are_no_data():
    """Two lines of notes as wide as the table, with numbers in them, come before its heading."""
    table = table_of("run 3,7,noon", "run 4,8,night", "t,F,I", "0,1.5,2", "1,2.5,3")
    assert table.headings == ["t", "F", "I"]
    assert table.cells == [["0", "1.5", "2"], ["1", "2.5", "3"]]
    assert table.lines == [4, 5]
    assert table.said == ["columns set apart by comma, decimal point", "2 lines before the heading skipped"]
    assert not table.comma


def test_rows_without_any_number_are_no_data_either():
    table = table_of("t;F", "-;-", "-;-", "0;1.5", "1;2.5")
    assert table.lines == [4, 5]
    assert refusal_of("t;F", "0;1.5").expected == "at least two rows of numbers under the heading"


def test_units_may_stand_under_their_headings():
    table = table_of("t|F|note", "[s]|(N)|-", "0|1|2", "1|2|3")
    assert (table.headings, table.units) == (["t", "F", "note"], ["s", "N", "-"])
    assert table_of("t|F", "s|much", "0|1", "1|2").headings == ["s", "much"]
    bare = table_of("0\t1", "1\t2")
    assert (bare.headings, bare.units, bare.lines) == (["", ""], ["", ""], [1, 2])


def test_short_long_and_repeated_rows_by_hand():
    lines = [
        "t;F;I",
        "0;1;2",
        "1;2;3",
        "1;2",
        "2",
        "t;F;I",
        "3;4;5;6",
        "4;5;6;",
        "5;low;7",
        "6;OL;8",
        "7;8;9",
    ]
    table = table_of(*lines)
    kept = ["0 1 2", "1 2 3", "1 2", "4 5 6", "6 OL 8", "7 8 9"]
    assert [" ".join(row).strip() for row in table.cells] == kept
    assert {len(row) for row in table.cells} == {3}
    assert table.lines == [2, 3, 4, 8, 10, 11]
    assert table.said[1:] == [
        "line 6: heading repeated: taken once", "lines 7, 9: not a row of the table: skipped",
        "lines 4, 5: too few cells: the missing ones are taken as not measured",
    ]  # fmt: skip


def test_decimal_marks_are_told_from_most_of_the_numbers():
    comma = table_of("t;F", "0,5;1,5", "1,0;2,5", "1,5;3.5")
    assert comma.comma
    assert comma.said == ["columns set apart by semicolon, decimal comma"]
    assert not table_of("t;F", "0.5;1.5", "1.0;2,5").comma
    assert not table_of("t;F", "5;1", "1;2").comma
    assert table_of("0.5", "1.5", "2.5").headings == [""]  # one column
    assert table_of("t;F", "5;1", "1;2", decimal="comma").comma
    assert table_of("t;F", "5,5;1", "1,5;2", decimal="point", delimiter=";").said == []
    mixed = ["t;F", *["1,5;2"] * 3, *["1.5;2"] * 4]
    assert refusal_of(*mixed).line == 2  # the rarer sort is the odd one
    assert refusal_of("t;F", *["1,5;2"] * 4, *["1.5;2"] * 3).line == 6
    assert not table_of("t;F", "1,5;2", "1,5;2", *["1.5;2"] * 3).comma  # two of one sort are a slip
    assert "both between columns" in refusal_of("t,F", "0,1", "1,2", decimal="comma").given
    assert "both between columns" in refusal_of("t x,F y", "0,5,1,5", "1,5,2,5").given
    assert table_of("t x,F y", "0,5", "1,5", "0,5,1,5").lines == [2, 3]


def test_comments_are_counted_and_tabs_kept():
    table = table_of("# one", "% two", "// three", "sep=;", "t;F", "", ";;", "0;1", "1;2")
    assert table.said[0] == "4 comment lines skipped"
    assert table.lines == [8, 9]
    assert table_of("# one", "t;F", "0;1", "1;2").said[0] == "1 comment line skipped"
    assert table_of("\tF", "0\t1", "1\t2").headings == ["", "F"]
    assert (refusal_of("# one").given, refusal_of("# one").line) == ("only comments", 1)
    assert refusal_of("one").given == "one"


# -- columns, units, clocks ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "split"),
    [
        ("Force [N]", ("Force", "N")), ("Strom (A)", ("Strom", "A")), ("t/ms", ("t", "ms")),
        ("time_ms", ("time", "ms")),
        ("rod_force", ("rod_force", "")), (" t ", ("t", "")), ("I[mA] ", ("I", "mA")), ("n/min-1", ("n/min-1", "")),
    ],
)  # fmt: skip
def test_headings_by_hand(heading, split):
    assert split_heading(heading) == split


def made(*headings, units=None):
    return Table(list(headings), list(units or [""] * len(headings)), [], [], False)


@pytest.mark.parametrize(
    ("headings", "roles"),
    [
        (("t [s]", "Force [N]"), {"time": 0, "rod_force": 1}),
        (("[s]", "[N]", "[A]"), {"time": 0, "rod_force": 1, "supply_current": 2}),
        (("Zeit", "Kraft", "Strom", "Drehzahl", "Winkel"),
         {"time": 0, "rod_force": 1, "supply_current": 2, "rotor_speed": 3, "pitch": 4}),
        # of two that may be it, the one whose unit is of the kind
        (("t [s]", "load [N]", "load [mm]"), {"time": 0, "rod_force": 1}),
    ],
)  # fmt: skip
def test_columns_are_known_by_their_names_or_units(headings, roles):
    assert map_columns(FILE, made(*headings), LogFormat()) == roles


def test_what_is_said_of_columns():
    table = made("t [s]", "Force [N]", "", "Temp")
    map_columns(FILE, table, LogFormat())
    assert table.said == [
        'column "t [s]" taken as time (by its name)', 'column "Force [N]" taken as rod force (by its name)',
        "columns not used: number 3, Temp",
    ]  # fmt: skip
    stated = LogFormat(columns=LogColumns(rod_force="b"))
    assert map_columns(FILE, made("x", "B [N]"), stated) == {"rod_force": 1}
    with pytest.raises(ReadingsRefused, match="more than one column"):
        map_columns(FILE, made("b", "B [N]"), stated)
    with pytest.raises(ReadingsRefused, match="no such column"):
        map_columns(FILE, made("a", "c"), stated)
    with pytest.raises(ReadingsRefused, match='"t", "x"'):
        map_columns(FILE, made("t", "x"), LogFormat())


@pytest.mark.parametrize(
    ("role", "heading", "under", "stated", "factor"),
    [
        ("time", "t", "", None, 1.0), ("time", "ms", "", None, 1e-3), ("time", "t/ms", "", None, 1e-3),
        ("time", "t [s]", "ms", None, 1e-3), ("time", "t [s]", "ms", "min", 60.0),
        ("rod_force", "F [g]", "", None, 9.80665e-3), ("rod_force", "F [kg]", "", None, 9.80665),
        ("rod_force", "F", "oz", None, 0.278013851), ("supply_current", "mA", "", None, 1e-3),
        ("supply_current", "Amps", "", None, 1.0), ("rotor_speed", "rpm", "", None, np.pi / 30.0),
        ("rotor_speed", "n [1/min]", "", None, np.pi / 30.0), ("pitch", "pitch [\u00b0]", "", None, np.pi / 180.0),
    ],
)  # fmt: skip
def test_units_by_hand(role, heading, under, stated, factor):
    style = LogFormat() if stated is None else LogFormat(units=LogUnits(**{role: stated}))
    table = made(heading, units=[under])
    assert factor_of(FILE, table, role, 0, style) == pytest.approx(factor)
    weighed = heading.split("[")[-1][:-1] in ("g", "kg") or under == "oz"
    assert bool(table.said) == (weighed or heading == "t")
    if weighed:
        assert "the weight of it" in table.said[0]


@pytest.mark.parametrize("role", ["rod_force", "supply_current", "rotor_speed", "pitch"])
def test_only_time_is_taken_to_be_in_seconds_without_a_unit(role):
    """Whatever else has none is refused by its key, and nothing is said to have been taken as anything."""
    table = made("x")
    with pytest.raises(ReadingsRefused) as error:
        factor_of(FILE, table, role, 0, LogFormat())
    (problem,) = error.value.problems
    assert (problem.key, problem.given) == (f"log.units.{role}", 'column "x" has no unit')
    assert table.said == []
    assert factor_of(FILE, table, "time", 0, LogFormat()) == 1.0
    assert table.said == ["time has no unit: taken as seconds"]


def test_a_unit_of_another_kind_is_refused_by_its_name():
    with pytest.raises(ReadingsRefused) as error:
        factor_of(FILE, made("F [mm]"), "rod_force", 0, LogFormat())
    (problem,) = error.value.problems
    assert problem.given == 'unit "mm" of column "F [mm]"'


def clocked(*cells):
    return Table(["t"], [""], [[cell] for cell in cells], list(range(2, 2 + len(cells))), False)


def test_clocks_by_hand():
    assert clock(clocked("0", "x", "2.5"), 0, 1e-3) == pytest.approx([0.0, np.nan, 2.5e-3], nan_ok=True)
    night = clocked("23:59:58", "", "00:00:01,5")
    assert np.diff(clock(night, 0, None)[[0, 2]]) != pytest.approx(
        [3.5]
    )  # a blank hides the step: not counted on
    night = clocked("23:59:58", "00:00:01,5", "00:00:02")
    assert np.diff(clock(night, 0, None)) == pytest.approx([3.5, 0.5])
    assert night.said == ["line 3: the clock passes midnight, counted on"]
    day = clocked("01.02.2020 23:59:58", "02.02.2020 00:00:01.5")
    assert np.diff(clock(day, 0, None)) == pytest.approx([3.5])
    assert day.said == []
    assert np.diff(clock(clocked("2/1/2020 10:00:00", "2/1/2020 10:00:02"), 0, None)) == pytest.approx([2.0])
    assert np.diff(clock(clocked("10:00", "10:01"), 0, None)) == pytest.approx([60.0])
    assert has_stamps(clocked("10:00", "", "x", "10:01", "10:02"), 0)
    assert not has_stamps(clocked("10:00", "1.5"), 0)
    assert not has_stamps(clocked(""), 0)


def ordered(times):
    said = []
    time, rows = put_in_order(FILE, np.array(times, dtype=float), list(range(2, 2 + len(times))), said)
    return time.tolist(), rows.tolist(), said


def test_times_are_put_in_order_by_hand():
    assert ordered([5.0, 6.0, 8.0]) == ([0.0, 1.0, 3.0], [0, 1, 2], [])
    assert ordered([5.0, np.nan, 8.0]) == ([0.0, 3.0], [0, 2], ["line 3: no time, skipped"])
    assert ordered([np.nan, 8.0])[1] == [1]
    many = [float(k) for k in range(10)]
    swapped = [*many[:4], 5.0, 4.0, *many[6:]]
    assert ordered(swapped) == (
        many,
        [0, 1, 2, 3, 5, 4, 6, 7, 8, 9],
        ["line 7: out of order, sorted by time"],
    )
    doubled = [*many[:4], 3.0, *many[4:]]
    assert ordered(doubled)[1:] == (
        [0, 1, 2, 3, 5, 6, 7, 8, 9, 10],
        ["line 6: the same time as the row before, skipped"],
    )
    with pytest.raises(ReadingsRefused) as error:
        ordered([*many, *many])
    assert error.value.problems[0].line == 12
    with pytest.raises(ReadingsRefused):
        ordered([3.0, 2.0, 4.0, 3.5, 5.0, 4.5])  # two of six are no slip


def test_a_coarse_clock_is_spread_by_hand():
    """Two full seconds of four rows and the end of one before them: rows a quarter of a second apart."""
    time, rows, said = ordered([7, 7, 8, 8, 8, 8, 9, 9, 9, 9])
    assert time == pytest.approx([0.25 * k for k in range(10)])
    assert rows == list(range(10))
    assert said == ["several rows share each time stamp (a clock of 1 s): spread evenly within it"]


def test_gaps_by_hand():
    """Usual step 1 s: four seconds are a gap, three and a half are not."""
    assert gaps(np.array([0.0, 1.0, 2.0, 6.0, 7.0, 10.5, 11.5])) == [(2.0, 4.0)]
    assert gaps(np.array([1.0])) == []


def logged(tmp_path, lines, **style):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    return read_log(path, LogFormat(**style))


def test_a_log_of_twenty_rows_is_the_shortest(tmp_path):
    rows = ["t [s],F [N],I [A]", *[f"{k},{k % 7},{k % 5}" for k in range(20)]]
    log = logged(tmp_path, rows)
    assert (len(log.time), log.test, log.interval) == (20, "servo", 1.0)
    assert log.said[0] == "20 of 20 rows read, 19 s"
    assert logged(tmp_path, rows, test="gauge").test == "gauge"
    turned = logged(tmp_path, rows, push="negative")
    assert turned.columns["rod_force"] == pytest.approx(-log.columns["rod_force"])
    with pytest.raises(ReadingsRefused, match="19 usable rows"):
        logged(tmp_path, rows[:-1])
    holes = ["t [s],F [N]", *[f"{k + 9 * (k // 5)},{k % 7}" for k in range(30)]]
    said = logged(tmp_path, holes).said
    assert sum("gap of 10 s" in one for one in said) == 3
    assert "and 2 more gaps" in said
