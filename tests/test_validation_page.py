"""The page and the table of outside checks: what they must show, escape, count and refuse."""

import ast
from pathlib import Path

import pytest

import table
from page import bias_and_scatter, build_page, is_miss
from source import KINDS, About
from table import Row, Watch, check

VALIDATION = Path(table.__file__).parent


def _row(
    quantity="force, N",
    expected=2.0,
    got=2.1,
    reason="two figures",
    status="F",
    file="test_a.py",
    relative=True,
):
    return Row("a source", status, quantity, expected, got, got - expected, 0.1, reason, relative, file)


ABOUT = About(
    "experiment", "a <wind> tunnel", mapping="z is down", uncertainty="2 %", left_out="the first point"
)


def test_page_says_everything_of_a_source_and_escapes_it():
    text = build_page([_row(), _row(got=1.9)], {"test_a.py": (ABOUT, "One.\n\nTwo.")})
    for said in (
        "a &lt;wind&gt; tunnel",
        "z is down",
        "2 %",
        "the first point",
        KINDS["experiment"],
        "test_a.py",
    ):
        assert said in text
    assert "<wind>" not in text
    assert "Bias, scatter" in text
    assert "http" not in text.replace("http-equiv", "")


def test_a_miss_is_marked_and_counted_where_it_is_and_at_the_top():
    missed = _row(quantity="power, W", reason="STATED MISS: 5 % low")
    text = build_page([_row(), missed], {"test_a.py": (ABOUT, "")})
    assert text.count('class="miss"') == 2
    assert "2 values checked against the outside, 1 of them misses" in text
    assert not is_miss(_row(reason="finite-blade physics missing"))


def test_a_file_without_about_is_sorted_by_status_and_named_after_itself():
    rows = [_row(status="D", file="test_exact_thing.py"), _row(status="F", file="test_printed_thing.py")]
    text = build_page(rows, {})
    assert text.index("printed thing") < text.index("exact thing")
    assert KINDS["exact"] in text
    assert KINDS["print"] in text


def test_failed_and_skipped_checks_are_shown():
    text = build_page([_row()], {}, ["test_a.py::test_b"], [("test_c.py", "needs the data folder emps")])
    assert "1 checks failed" in text
    assert "test_a.py::test_b" in text
    assert "needs the data folder emps" in text


def test_bias_and_scatter():
    bias, scatter, number = bias_and_scatter([_row(got=2.2), _row(got=1.8), _row(got=9.0, relative=False)])
    assert (bias, number) == (pytest.approx(0.0), 2)
    assert scatter == pytest.approx(0.1 * 2**0.5)
    assert bias_and_scatter([_row(expected=0.0)]) is None


def test_check_books_its_file_and_refuses_what_is_off(monkeypatch):
    monkeypatch.setattr(table, "ROWS", [])
    monkeypatch.setattr(table, "ABOUTS", {})
    check("s", "D", "q", 1.0, 1.05, 0.1, "why")
    assert table.ROWS[0].file == Path(__file__).name
    with pytest.raises(AssertionError, match=r"expected 1, got 1\.2"):
        check("s", "D", "q", 1.0, 1.2, 0.1, "why")
    with pytest.raises(AssertionError):
        check("s", "D", "q", 1.0, float("nan"), 0.1, "why")
    with pytest.raises(AssertionError, match="status"):
        check("s", "X", "q", 1.0, 1.0, 0.1, "why")


def test_watch_notes_failures_and_skips():
    class Report:
        nodeid = "validation/test_a.py::test_b"
        failed, skipped = False, True
        longrepr = ("file", 1, "Skipped: no data")

    watch = Watch()
    watch.pytest_runtest_logreport(Report())
    assert watch.skipped == [("test_a.py::test_b", "no data")]
    assert watch.failed == []


@pytest.mark.parametrize("path", sorted(VALIDATION.glob("test_*.py")), ids=lambda path: path.name)
def test_every_about_is_of_a_known_kind_and_every_file_says_what_it_rests_on(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "About":
            said = {word.arg: ast.literal_eval(word.value) for word in node.keywords}
            assert said["kind"] in KINDS
            assert said["title"]
