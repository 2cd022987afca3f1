"""The page and the table of outside checks: what they must show, escape, count and refuse."""

import ast
import json
import re
import runpy
import subprocess
import sys
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import settings

import record
import table
from listing import listing, readme_lines
from page import build_page
from source import KINDS, OLDER, About
from summary import error, is_miss, said, summary
from table import Row, Watch, check

VALIDATION = Path(table.__file__).parent
FILES = sorted(VALIDATION.glob("test_*.py"))
ROOT = VALIDATION.parent


def _row(case="force, N", expected=2.0, got=2.1, reason="two figures", file="test_a.py", **more):
    """A measured force unless said otherwise."""
    more = {"kind": "measured print", "quantity": "force", **more}
    relative = more.pop("relative", True)
    return Row("a source", "F", case, expected, got, got - expected, 0.1, reason, relative, file, **more)


ABOUT = About(
    "measured print", "a <wind> tunnel", mapping="z is down", uncertainty="2 %", left_out="the first point"
)


def test_page_says_everything_of_a_source_and_escapes_it():
    text = build_page([_row(), _row(got=1.9)], {"test_a.py": (ABOUT, "One.\n\nTwo.")})
    for words in (
        "a &lt;wind&gt; tunnel",
        "z is down",
        "2 %",
        "the first point",
        KINDS["measured print"],
        "test_a.py",
        "bias 0 %, scatter 7.1 %, 2 values",
    ):
        assert words in text
    assert "<wind>" not in text
    assert "http" not in text.replace("http-equiv", "")


def test_a_miss_is_marked_and_counted_where_it_is_and_at_the_top():
    missed = _row(case="power, W", reason="MISS: 5 % low")
    text = build_page([_row(), missed], {"test_a.py": (ABOUT, "")})
    assert text.count('class="miss"') == 2
    assert "2 values checked against the outside, 1 of them missed" in text
    assert text.index("Misses, the largest first") < text.index(KINDS["measured print"])


def test_a_miss_is_what_is_past_its_bar_or_says_so():
    assert is_miss(_row(reason="MISS, 5 % low"))
    assert not is_miss(_row(reason="finite-blade physics missing"))
    assert is_miss(_row(got=2.3, bar=0.14))
    assert is_miss(_row(got=1.7, bar=0.14))
    assert not is_miss(_row(got=2.3, bar=0.16))
    assert is_miss(_row(got=2.3, bar=0.29, relative=False))
    assert not is_miss(_row(got=2.3, bar=0.31, relative=False))


def test_bias_and_scatter_count_every_measured_value_and_each_once():
    """By hand: +10, -10 and, the miss, -30 % give -10 +/- 20 %; how it is judged and a second row change nothing."""
    rows = [
        _row(got=2.2),
        _row(got=1.8, relative=False, kind="measured"),
        _row(got=1.4, reason="MISS, 30 % low"),
        _row(got=9.0, repeats=True),
        _row(got=1.0, expected=1.0, quantity="length"),
    ]
    force, length = summary(rows)
    assert (force.quantity, length.quantity) == ("force", "length")
    assert (force.values, force.misses) == (3, 1)
    assert force.bias == pytest.approx(-0.10)
    assert force.scatter == pytest.approx(0.20)
    assert force.worst == force.worst_miss == pytest.approx(-0.30)
    assert (length.values, length.bias, length.scatter, length.worst_miss) == (1, 0.0, None, None)


def test_errors_that_are_no_shares():
    assert error(_row(got=1.5, absolute=True)) == -0.5
    assert error(_row(expected=-2.0, got=-1.0)) == -0.5  # half as large, whatever the sign
    assert error(_row(expected=0.0)) is None
    assert error(_row(expected=1e-20, got=2e-20, relative=False, kind="program")) is None


def test_measurements_stand_apart_from_what_is_none_and_the_trade_has_no_mean():
    kinds = ["trade", "closed form", "measured", "program", "standard", "measured print"]
    rows = [_row(kind=kind, got=3.0, reason="MISS") for kind in kinds]
    lines = summary(rows)
    assert [one.kind for one in lines] == ["measured", "standard", "program", "closed form", "trade"]
    assert lines[0].values == 2
    assert lines[-1].bias is lines[-1].scatter is None
    assert lines[-1].worst_miss == 0.5


def test_said():
    assert [said(value) for value in (0.194, -0.0262, 0.0, 1e-6, None)] == [
        "+19 %",
        "-2.6 %",
        "0 %",
        "<0.05 %",
        "-",
    ]
    assert said(0.2, True) == "+0.2"


def test_the_text_has_the_summary_first_then_the_misses_then_the_rows():
    rows = [
        _row(case="met"),
        _row(case="missed", got=1.4, reason="MISS"),
        _row(case="worse", got=0.2, reason="MISS"),
    ]
    lines = listing(rows, ["test_a.py::test_b"], [("test_c.py", "no data"), ("test_d.py", "no data")])
    text = "\n".join(lines)
    places = [
        text.index(words)
        for words in (
            "2 of them missed",
            "FAILED",
            "bias  scatter",
            "2 x no data",
            "worse  ",
            "missed  ",
            "met  ",
        )
    ]
    assert places == sorted(places)
    assert all(len(line) <= 100 for line in lines[: lines.index(next(x for x in lines if "MISSES" in x))])


def test_the_readmes_table_is_noticed_when_it_is_no_longer_true():
    (now,) = readme_lines([_row(got=2.2), _row(got=1.8), _row(got=1.4, reason="MISS")])
    assert readme_lines([_row()]) == []  # nothing missed
    assert now == "force | 3 | -10 % | 20 % | -30 %"
    page = "| quantity | values |\n| --- | --- |\n| force  | 3 | -10 %  | 20 % | -30 % |\n"
    assert table.out_of_date([now], page) == []
    assert table.out_of_date([now], page.replace("-10", "-9")) == [now]
    assert table.out_of_date([now], page.replace("force", "power")) == [now]
    # fewer values, without a data set: nothing to compare
    assert table.out_of_date(["force | 2 | -9 % | 20 % | -30 %"], page) == []


def test_failed_and_skipped_checks_are_shown():
    text = build_page([_row()], {}, ["test_a.py::test_b"], [("test_c.py", "needs the data folder emps")])
    assert "1 checks failed" in text
    assert "test_a.py::test_b" in text
    assert "1 x needs the data folder emps" in text


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
    with pytest.raises(AssertionError, match="kind"):
        check("s", "D", "q", 1.0, 1.0, 0.1, "why", kind="guess")


def test_a_row_is_of_its_own_kind_its_statuss_or_its_files(monkeypatch):
    monkeypatch.setattr(table, "ROWS", [])
    monkeypatch.setattr(table, "ABOUTS", {})
    for status, more in (("F", {}), ("RAN", {}), ("DER", {}), ("F", {"kind": "program"})):
        check("s", status, "q", 1.0, 1.0, 0.1, "why", **more)
    assert [row.kind for row in table.ROWS] == ["measured print", "program", "closed form", "program"]


def test_watch_notes_failures_and_skips():
    class Report:
        nodeid = "validation/test_a.py::test_b"
        failed, skipped = False, True
        longrepr = ("file", 1, "Skipped: no data")

    watch = Watch()
    watch.pytest_runtest_logreport(Report())
    assert watch.skipped == [("test_a.py::test_b", "no data")]
    assert watch.failed == []


def _record(folder, *lines):
    path = folder / "rows.jsonl"
    path.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    return path


def _line(rows=(), files=(), **more):
    return {"rows": rows, "abouts": {}, "failed": [], "skipped": [], "files": list(files), **more}


def test_two_testers_write_what_the_table_reads(tmp_path):
    """The real thing, of a few files: what is booked by each tester comes back, once."""
    path, files = tmp_path / "rows.jsonl", ["test_goodman.py", "test_euler_column.py"]
    command = [sys.executable, "-m", "pytest", "-n", "2", "-p", "no:cacheprovider", "--record", path]
    command += [VALIDATION / name for name in files]
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
    with pytest.raises(ValueError, match=r"nothing of .*test_atmosphere\.py"):
        record.read(path)
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(_line(files=set(record.checks()) - set(files))) + "\n")
    found = record.read(path)
    assert {row.file for row in found.rows} == set(found.abouts) == set(files)
    assert found.abouts["test_goodman.py"][0].title == "Goodman's line, preloaded bolt"
    assert len({row.case for row in found.rows if row.file == "test_goodman.py"}) == 6
    assert (found.failed, found.skipped) == ([], [])


def test_rows_are_not_written_over(tmp_path):
    path, profile = tmp_path / "rows.jsonl", settings.get_current_profile_name()
    path.touch()
    beside = runpy.run_path(str(VALIDATION / "conftest.py"))
    settings.load_profile(profile)
    with pytest.raises(pytest.UsageError, match="there is a file of that name"):
        beside["pytest_configure"](SimpleNamespace(getoption=lambda *_: path))


def test_a_record_with_a_failure_or_of_another_table_than_the_readmes_ends_with_1(tmp_path, capsys):
    whole = {"files": record.checks()}
    failed = _record(tmp_path, _line(**whole, failed=["test_a.py::test_b"]))
    assert table.main(["--recorded", str(failed)]) == 1
    assert "test_a.py::test_b" in capsys.readouterr().out
    new = _record(tmp_path, _line([_row(quantity="weight of a feather")], **whole))
    assert table.main(["--recorded", str(new)]) == 0
    missed = _row(got=3.0, reason="a MISS", quantity="weight of a feather")
    assert table.main(["--recorded", str(_record(tmp_path, _line([missed], **whole)))]) == 1
    assert (
        "README.md does not have this line of the table as it is now: | weight of a"
        in capsys.readouterr().out
    )


@pytest.mark.parametrize("text", ["", "{", "[]\n", '{"rows": 1}\n'])
def test_what_is_no_record_of_the_whole_gets_words(tmp_path, capsys, text):
    path = tmp_path / "rows.jsonl"
    path.write_text(text, encoding="utf-8")
    assert table.main(["--recorded", str(path)]) == 2
    assert str(path) in capsys.readouterr().err
    assert table.main(["--recorded", str(tmp_path / "none")]) == 2


def test_what_the_checks_need_is_in_the_test_extra():
    extra = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    names = {re.match(r"[\w-]+", one)[0] for one in extra["project"]["optional-dependencies"]["test"]}
    assert set(table.NEEDED) <= names


def test_without_what_it_needs_it_says_what_to_install(capsys, monkeypatch):
    monkeypatch.setattr(table, "NEEDED", ("pytest", "no-such-package"))
    assert table.main([]) == 2
    shown = capsys.readouterr().out
    assert "Not installed: no-such-package." in shown
    assert 'pip install ".[test]"' in shown


def test_a_python_with_nothing_installed_gets_words_too():
    done = subprocess.run(
        [sys.executable, "-E", "-S", VALIDATION / "table.py"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2, done.stderr
    assert done.stdout.startswith(
        "These checks need more than the program needs. Not installed: featherbench, pytest,"
    )
    assert done.stderr == ""


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_about_is_of_a_known_kind_and_every_file_says_what_it_rests_on(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "About":
            words = {word.arg: word.value for word in node.keywords}
            assert ast.literal_eval(words["kind"]) in {*KINDS, *OLDER}
            assert ast.literal_eval(words["title"])
