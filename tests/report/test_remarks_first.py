"""Slips of typing stand in the first lines, below what forbids to run, and forbid nothing themselves."""

from dataclasses import replace

from featherbench.judging.judgement import Judgement
from featherbench.render.front import front_table
from featherbench.slips import HEAD
from featherbench.views.first_lines import of_judged
from featherbench.views.view import POINT, Column, Row, Table, View

SLIP = f"{HEAD}: linkage.servo_arm = 140 mm? Usual is 4.1 to 46 mm at this tip radius."


def test_a_slip_forbids_nothing_and_stamps_nothing():
    first = of_judged({"": Judgement((), (), remarks=(SLIP,))})
    assert first.lines == (SLIP,)
    assert not first.do_not_run
    assert first.stamp == ""
    assert first.document()["remarks"] == [SLIP]


def test_it_comes_after_the_warning_and_tells_the_build():
    first = of_judged({"plain": Judgement((), ()), "over": Judgement((), (), True, (SLIP,))})
    assert first.lines[0].startswith("WARNING: over: over-balanced")
    assert first.lines[1].startswith(f"{HEAD}: over: linkage.servo_arm = 140 mm?")
    assert first.stamp == "OVER-BALANCED"
    assert len(first.remarks) == 1


def test_a_phone_shows_changes_that_may_be_made_and_leaves_the_others_to_the_line_above() -> None:
    rows = (
        Row(("Holds",), heads=True),
        *(Row((name, "1")) for name in ("a", "b")),
        Row(("Not to be made as it stands",), heads=True),
        Row(("c", "0.1"), stops=True),
    )
    table = Table("Changes", (Column(), Column("force", POINT)), rows)
    shown = front_table(View("x", tables=(table,)))
    assert shown is not None
    assert [row["spare"] for row in shown["rows"]] == [False, False, False, True, True]
    only = front_table(View("x", tables=(replace(table, rows=rows[3:]),)))
    assert only is not None
    assert [row["spare"] for row in only["rows"]] == [False, False]
