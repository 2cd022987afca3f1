"""What a terminal or a pipe gets: the answer first, tables that never wrap, no control characters."""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Sequence
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console
from shown import print_comparison, print_run

from featherbench.checks import CAUTIONS, Check
from featherbench.numerals import decimals, numeral, percent, row_texts
from featherbench.plain_text import plain
from featherbench.render.columns import Column, blocks, fitted, lines
from featherbench.render.printing import print_heading, print_list, wrapped
from featherbench.studies.prediction import compared
from featherbench.studies.run import Comparison, Run
from featherbench.views.cases import cases_of
from featherbench.views.findings_table import findings_table

HOSTILE = "<script>alert(1)</script> [bold]loud[/bold] [/] \x1b[31mred\x1b]0;t\x07 \u202eturned\r\nnext ü"


def printed(width: int = 80) -> tuple[Console, io.StringIO]:
    """A console that is a pipe of this width, and what comes out of it."""
    stream = io.StringIO()
    return Console(file=stream, width=width, highlight=False), stream


def with_title(run: Run, title: str) -> Run:
    """The same run under another title."""
    scenario = SimpleNamespace(**{**vars(run.setup.scenario), "title": title})
    setup = SimpleNamespace(**{**vars(run.setup), "scenario": scenario})
    return dataclasses.replace(run, setup=setup)  # type: ignore[arg-type]


def test_the_answer_comes_first(comparison: Comparison, checks: Sequence[Check]) -> None:
    console, stream = printed(100)
    print_comparison(comparison, [checks, checks], CAUTIONS, "trade", console)
    text = stream.getvalue().splitlines()
    assert text.pop(0) == (
        "DO NOT RUN: before and after: 1 check fails (supply current against the regulator 0.6 x)."
    )
    assert text[0] == "Largest force on the rod falls from 118 to 12 ozf."
    assert text[1].startswith("Supply current falls from 2.2")
    assert "stay put; before, they returned as far as 0 deg." in text[2]


def test_units_follow_the_system(plain_run: Run, checks: Sequence[Check]) -> None:
    found = {}
    for system in ("metric", "trade"):
        console, stream = printed()
        print_run(plain_run, checks, CAUTIONS, system, console)
        found[system] = stream.getvalue()
    assert "Largest force on the rod: 33 N (push)" in found["metric"]
    assert "Largest force on the rod: 118 ozf (push)" in found["trade"]
    assert " ozf*in" in found["trade"]
    assert " N\n" not in found["trade"]


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("verbose", [False, True])
def test_no_line_is_wider_than_the_terminal(
    comparison: Comparison, checks: Sequence[Check], width: int, verbose: bool
) -> None:
    console, stream = printed(width)
    print_comparison(comparison, [checks, checks], CAUTIONS, "trade", console, verbose)
    print_run(comparison.runs[0], checks, CAUTIONS, "metric", console, verbose)
    many = compared([comparison.runs[0], comparison.runs[1], comparison.runs[0], comparison.runs[1]])
    print_comparison(many, [checks] * 4, CAUTIONS, "metric", console, verbose)
    assert max(cell_len(line) for line in stream.getvalue().splitlines()) <= width


def test_the_key_table_is_whole_at_eighty_columns(comparison: Comparison, checks: Sequence[Check]) -> None:
    console, stream = printed(80)
    print_comparison(comparison, [checks, checks], CAUTIONS, "trade", console)
    (line,) = [line for line in stream.getvalue().splitlines() if "loop width" in line]
    assert line.split() == [
        "loop",
        "width,",
        "twice",
        "the",
        "friction",
        "10.7",
        "10.7",
        "0.0",
        "0",
        "%",
        "ozf",
    ]


def test_a_pipe_gets_no_escapes_and_a_failed_check_is_said_in_letters(
    plain_run: Run, checks: Sequence[Check]
) -> None:
    console, stream = printed()
    print_run(plain_run, checks, CAUTIONS, "metric", console)
    assert "\x1b" not in stream.getvalue()
    assert "FAILS, 0.6 x" in stream.getvalue()
    assert "Not checked, data missing: rod ball link" in stream.getvalue()


def test_a_build_in_a_part_of_its_own_gets_its_own_figures(comparison: Comparison) -> None:
    # what "differs" among all builds is known of the one that is shown
    many = compared([*comparison.runs, *comparison.runs, comparison.runs[0]])
    limits = (0.5, 0.5, 0.5, 0.5, 0.8)
    rows = [[Check("supply current against the regulator", "current", 0.4, one, "", "")] for one in limits]
    rows[0].append(Check("rod ball link", "force", 11.0, 22.0, ""))
    console, stream = printed(200)
    print_comparison(many, rows, CAUTIONS, "metric", console)
    (line,) = [one for one in stream.getvalue().splitlines() if one.startswith("supply current against")]
    assert line.split()[-2:] == ["differs", "A"]
    console, stream = printed(60)
    print_comparison(many, rows, CAUTIONS, "metric", console)
    told = stream.getvalue().split("Checks: allowed over demanded")[1].split("\n\n")
    parts = [part for part in told if "\nsupply current against" in part]
    assert [part.split("\nsupply current against")[1].split("\n")[0].split()[-2] for part in parts] == [
        "0.500",
        "0.500",
        "0.800",
    ]
    assert ["demand" in part for part in parts] == [False, False, True]
    link = [next(line for line in part.splitlines() if line.startswith("rod ball link")) for part in parts]
    assert [line.split()[-2:] for line in link] == [["22.0", "N"], ["-", "-"], ["-", "-"]]


def test_free_text_cannot_act_on_the_terminal(plain_run: Run, checks: Sequence[Check]) -> None:
    console, stream = printed()
    print_run(with_title(plain_run, HOSTILE), checks, [HOSTILE], "metric", console)
    text = stream.getvalue()
    assert "[bold]loud[/bold] [/]" in text
    assert "<script>alert(1)</script>" in text
    assert not any(letter in text for letter in "\x1b\x07\r\u202e")


@given(st.text(max_size=60))
def test_plain_text_is_one_printable_line(text: str) -> None:
    shown = plain(text)
    assert len(shown.splitlines()) <= 1
    assert not any(ord(letter) < 32 or 127 <= ord(letter) < 160 for letter in shown)
    assert plain(shown) == shown


def test_a_long_text_is_cut() -> None:
    assert plain("abcdefghij", 6) == "abcd.."


@settings(max_examples=50)
@given(st.lists(st.floats(1e-6, 1e6), min_size=1, max_size=4))
def test_the_largest_number_shows_three_figures(values: list[float]) -> None:
    places = decimals(values)
    shown = numeral(max(values), places)
    assert float(shown) == pytest.approx(max(values), rel=5.1e-3, abs=0.51e-6)
    assert places <= 6


def test_numbers_as_people_write_them() -> None:
    assert row_texts([0.0, 0.938], "ratio", "metric")[0] == ["0.000", "0.938"]
    assert row_texts([None, 1.5], "current", "metric")[0] == ["-", "1.50"]
    assert numeral(-0.0004, 2) == "0.00"
    assert numeral(-0.0004, 2, sign=True) == "0.00"
    assert numeral(0.5, 1, sign=True) == "+0.5"
    assert percent(-0.904) == "-90 %"
    assert percent(None) == ""


def test_a_share_is_one_of_size(comparison: Comparison) -> None:
    rows = {row.cells[0]: row.cells for row in findings_table(cases_of(comparison.runs), "metric").rows}
    low, high = rows["propeller moment, low end"], rows["propeller moment, high end"]
    assert float(low[1]) > 0.0 > float(high[1])
    assert low[4] == high[4] == "-94 %"
    assert float(high[3]) > 0.0


def test_points_stand_under_one_another() -> None:
    column = Column("", ("1.25", "100", "-3.5", "stays", "+0.0"), "point").aligned()
    at = {cell.index(".") for cell in column.cells if "." in cell}
    assert len(at) == 1
    assert column.cells[1].rstrip().endswith("100")
    assert len(column.cells[1].rstrip()) == at.pop()


def headings(columns: Sequence[Column], width: int) -> list[str]:
    """Headings of the columns that fit."""
    return lines(fitted(columns, width))[0][0].split()


def test_words_are_wrapped_then_columns_give_way_in_order() -> None:
    columns = [
        Column("", ("a label of some length",), shrinks=True),
        Column("one", ("1",)),
        Column("two", ("2",), gives_way=2),
        Column("three", ("3",), gives_way=1),
    ]
    assert headings(columns, 80) == headings(columns, 33) == ["one", "two", "three"]
    assert headings(columns, 30) == ["one", "two"]
    assert headings(columns, 23) == ["one"]
    assert lines(fitted(columns, 33))[1] == [["a label of some   1    2    3", "  length"]]


def test_what_does_not_fit_follows_below_under_the_same_labels() -> None:
    columns = [
        Column("", ("first", "second")),
        *(Column(name, ("12.5", "3.25"), "point") for name in "abcdef"),
    ]
    tables = [lines(block) for block in blocks(columns, 30)]
    assert [head[0].split() for head, _ in tables] == [["a", "b", "c"], ["d", "e", "f"]]
    assert all([row[0].split()[0] for row in rows] == ["first", "second"] for _, rows in tables)


words = st.text("ab c\u00e9\u4e2d.", min_size=0, max_size=40)


@settings(max_examples=60)
@given(st.lists(st.tuples(words, words, words), min_size=1, max_size=4), st.integers(60, 120))
def test_a_table_loses_nothing_and_stays_aligned(rows: list[tuple[str, str, str]], width: int) -> None:
    labels, verdicts, remarks = zip(*rows, strict=True)
    numbers = tuple(f"{number}.5" for number in range(len(rows)))
    columns = [
        Column("", labels, shrinks=True),
        Column("value", numbers, "point"),
        Column("verdict", verdicts, shrinks=True),
        Column("remark", remarks, shrinks=True),
    ]
    made = blocks(columns, width)
    assert all(cell_len(line) <= width for block in made for row in lines(block)[1] for line in row)
    # where a table goes on below, the labels stand there again
    once = [made[0], *(block[1:] for block in made[1:])]
    shown = [line for block in once for row in lines(block)[1] for line in row]
    wanted = sorted("".join("".join(cell.split()) for row in rows for cell in row))
    numerals = [line for line in shown if ".5" in line]
    assert len(numerals) >= len(rows)
    got = sorted(letter for line in shown for letter in line if not letter.isspace() and letter not in "5.")
    assert [one for one in wanted if one not in "5."] == [one for one in got if not one.isdigit()]


def test_a_heading_and_a_list_wrap_at_words() -> None:
    console, stream = printed(60)
    print_heading(console, "a heading that is longer than what a narrow terminal has room for")
    print_list(console, "Notes", ["one remark that is rather longer than sixty characters, so that it wraps"])
    text = stream.getvalue()
    assert max(len(line) for line in text.splitlines()) <= 60
    assert " ".join(text.split()).endswith(
        "Notes - one remark that is rather longer than sixty characters, so that it wraps"
    )


@pytest.mark.parametrize("width", range(40, 100))
def test_no_line_begins_with_the_unit_of_the_number_before_it(width: int) -> None:
    said = (
        "Largest force on the rod falls from 9.8 to 3.2 N, a drop of 4.1 to 7.3 N with all doubts. Weights of 1.04 g, "
        "20.3 mm long; strength 1.2 x, at 11200 rpm from -15 deg, in 0.12 s with 0.43 A: 75 % of it."
    )
    lines = wrapped(Console(width=width), said, 4)
    assert " ".join(line.strip() for line in lines) == said
    assert [line for line in lines if re.match(r"\s*(N|A|g|mm|deg|x|s|rpm|%)\b", line)] == []
