"""How a check is told: never better than it is, and always the same words."""

import ast
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import featherbench
from featherbench.checks import Check, lacking, times_text, verdict_text, worst_first
from featherbench.checks.check import not_checked, unknown
from featherbench.judging import Judgement, judge
from featherbench.judging.judgement import release_lines
from featherbench.views.first_lines import FirstLines, of_judged


def check(safety, name="thrust bearing at 1.2 x speed"):
    return Check(name, "force", 1.0, safety, "somebody's figure")


@pytest.mark.parametrize(
    ("safety", "words"),
    [
        (1.9, "OK, 1.9 x"),
        (1.0, "OK, nothing to spare"),
        (1.04, "OK, nothing to spare"),
        (31.0, "OK, more than 10 x"),
        (0.6, "FAILS, 0.6 x"),
        (0.96, "FAILS, 0.96 x"),
        (0.9996, "FAILS, 0.999 x"),
        (0.9999999, "FAILS, just below 1 x"),
        (0.004, "FAILS, 0.004 x"),
        (0.0, "FAILS, 0 x"),
    ],
)
def test_margins_are_words(safety, words):
    assert verdict_text(check(safety)) == words


def test_what_could_not_be_made_is_never_a_pass():
    assert verdict_text(unknown("bolt", "force", "state it")) == "unknown: do not run"
    assert verdict_text(not_checked("regulator", "current", "state it")) == "not checked"
    assert verdict_text(Check("rod", "force", 0.0, 5.0, "")) == "OK, no load"
    assert verdict_text(Check("rod", "force", float("nan"), 5.0, "")).startswith("FAILS")


@given(st.floats(min_value=1e-12, max_value=1.0, exclude_max=True))
def test_what_fails_never_reads_as_1_nor_as_0(safety):
    words = times_text(safety)
    number = next(word for word in words.split() if word[0].isdigit())
    assert number not in ("0", "0.0", "0.00")
    assert float(number) < 1.0 or words == "just below 1 x"


def test_the_worst_is_read_first():
    lacking = [not_checked("d", "force", ""), unknown("c", "force", "state it")]
    rows = [check(2.0, "b"), *lacking, check(0.9, "a2"), check(0.5, "a1")]
    assert [one.name for one in worst_first(rows)] == ["a1", "a2", "c", "b", "d"]
    line = judge(rows).lines[0]
    assert line == "DO NOT RUN: 2 checks fail (a1 0.5 x, a2 0.9 x); not known: c (state it)."
    assert judge([check(0.7)]).lines == ("DO NOT RUN: 1 check fails (thrust bearing 0.7 x).",)
    assert judge([check(1.0), not_checked("d", "force", "")]).lines == ()


def test_the_first_line_names_the_worst_and_counts_the_rest():
    """A slip in the speed fails everything: the line must leave room for the remark that finds the slip."""
    seven = [check(0.1 * number, f"a{number}") for number in range(1, 8)]
    (line,) = judge(seven).lines
    assert line.endswith("a6 0.6 x, a7 0.7 x).")  # one more is named, not counted
    (line,) = judge([check(0.75, "last"), *seven]).lines
    assert line.startswith("DO NOT RUN: 8 checks fail (a1 0.1 x, ")
    assert line.endswith("a6 0.6 x, and 2 more).")


def test_one_missing_fact_is_told_once_however_many_checks_it_decides():
    grip = [unknown(f"blade bolt, {what} at 1.2 x speed", "force", "state the grip") for what in "abc"]
    weights = [unknown(f"what holds {what}", "force", f"state {what}.held_by") for what in "uvw"]
    (line,) = judge([*grip, *weights, unknown("pressure in the grip", "stress", "state the grip")]).lines
    assert line == (
        "DO NOT RUN: not known: blade bolt, pressure in the grip (state the grip: it decides 4 checks); what holds u "
        "(state u.held_by); what holds v (state v.held_by); what holds w."
    )
    # builds side by side lack the same fact: still once, and told by how many checks and not by how many builds
    assert lacking([*grip, *grip]) == ["state the grip (it decides 3 checks: blade bolt)"]
    assert lacking(weights[:1]) == ["what holds u (state u.held_by)"]


def test_only_what_is_dangerous_is_stamped_across_a_drawing():
    stamps = [of_judged({"": one}).stamp for one in (
        Judgement((check(0.5),), ()), Judgement((), (), True), Judgement((), (), False, ("Is this meant: 94,000 rpm?",))
    )]  # fmt: skip
    assert stamps == ["DO NOT RUN", "OVER-BALANCED", ""]
    (open_release,) = release_lines({"stays": 0.9, "runs out": 0.1}, {}, 32)
    assert FirstLines((open_release,)).stamp == "CLOSE CALL"  # as written it is not over-balanced
    assert FirstLines((open_release, "WARNING: over-balanced, ...")).stamp == "OVER-BALANCED"


AUTHORS = re.compile(
    r"shigley|budynas|roark|peterson|timoshenko|niemann|leishman|prouty|abbott|johnson", re.I
)


def _texts_of(module):
    """What a module may say: its texts, without the docstrings, in which sources are cited."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    cited = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in cited
    ]


def test_no_author_is_named_to_a_builder():
    """Whoever reads a page knows a handbook, not its author; the citation stands in the docstring beside the law."""
    package = Path(featherbench.__file__).parent
    named = {
        f"{module.relative_to(package)}: {text}"
        for module in package.rglob("*.py")
        if AUTHORS.search(module.read_text(encoding="utf-8"))
        for text in _texts_of(module)
        if AUTHORS.search(text)
    }
    assert named == set()
