"""What a result shows in a notebook: the answer, escaped, with nothing fetched and no colours of its own."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html.parser import HTMLParser

import pytest

import featherbench as fb
from featherbench.checks import Check
from featherbench.notebook_cells import as_html, piece
from featherbench.render.notebook import MOST_NOTES, element
from featherbench.studies.run import Comparison, Run

VOID = {"br", "img", "meta", "link"}


class Tags(HTMLParser):
    """Collects tags and text, and sees to it that what is opened is closed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.words: list[str] = []
        self.feed(html)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list) -> None:  # noqa: ARG002
        self.seen.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def checked(html: str) -> str:
    """The words of an element that is a fragment by itself, in the notebook's own colours."""
    tags = Tags(html)
    assert html.startswith("<div")
    assert not set(tags.seen) & {"script", "style", "link", "img", "iframe", "html", "body"}
    assert not re.search(r"https?:|url\(|src=|href=|#[0-9a-f]{3}", html)
    assert set(re.findall(r"background:(\w+)", html)) <= {"none"}
    return " ".join(tags.words)


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch, checks: Sequence[Check]) -> None:
    """The stand-in run has no parts to check: its checks are given."""
    monkeypatch.setattr("featherbench.notebook_cells.bench_checks", lambda _run: checks)


@pytest.mark.usefixtures("judged")
def test_what_forbids_to_run_it_comes_first(comparison: Comparison) -> None:
    for result in (comparison.runs[0], comparison):
        words = checked(result._repr_html_())
        assert words.startswith("DO NOT RUN: ")
        assert "supply current against the regulator 0.6 x" in words.split(".  ")[0]


@pytest.mark.usefixtures("judged")
def test_a_run_and_a_comparison_say_their_answer(comparison: Comparison) -> None:
    words = checked(comparison.runs[0]._repr_html_())
    assert "Largest force on the rod" in words
    assert "largest push" in words
    words = checked(comparison._repr_html_())
    assert "before" in words
    assert "after" in words
    assert "Largest force on the rod falls" in words


@pytest.mark.usefixtures("judged")
def test_units_are_those_asked_for(plain_run: Run) -> None:
    assert "ozf" in checked(as_html(plain_run, "trade"))
    assert "ozf" not in checked(as_html(plain_run))
    with pytest.raises(ValueError, match="metric"):
        as_html(plain_run, "imperial")


def test_what_people_wrote_is_escaped(scenario_of) -> None:
    scenario = scenario_of(title="<script>alert(1)</script> & co", notes="a\x1b[31m <b>red</b> note")
    html = scenario._repr_html_()
    words = checked(html)
    assert "<script>alert(1)</script> & co" in words
    assert "\x1b" not in html
    assert "&lt;b&gt;red" in html


def test_a_scenario_shows_its_parts_and_their_masses(scenario_of) -> None:
    words = checked(scenario_of()._repr_html_())
    assert "grip" in words
    assert "5.40 g" in words


def test_static_curves_show_force_at_the_ends(setup_of) -> None:
    from featherbench.bench.statics import static_curves

    words = checked(static_curves(setup_of())._repr_html_())
    assert "-24 deg" in words
    assert "26 deg" in words


def test_many_notes_and_rows_are_cut_and_counted() -> None:
    shown = piece(
        "t", rows=tuple((f"row {k}", "1") for k in range(50)), notes=tuple(f"note {k}" for k in range(20))
    )
    words = checked(element(shown))
    assert f"... and {20 - MOST_NOTES} more" in words
    assert "row 49" not in words


def test_what_is_no_result_is_refused() -> None:
    with pytest.raises(TypeError, match="dict is no result"):
        as_html({})


def test_it_is_offered_at_the_front_door() -> None:
    assert fb.as_html is as_html


@pytest.mark.parametrize("what", ["run", "comparison", "sizing"])
def test_a_cell_says_whether_it_holds_together_and_how_to_hear_how_sure_it_is(what: str) -> None:
    plain = fb.read(fb.example("survey-3kg/plain"))
    made = {
        "run": lambda: fb.predict(plain),
        "comparison": lambda: fb.compare(plain, fb.read(fb.example("survey-3kg/weighted"))),
        "sizing": lambda: fb.size(plain, "bolt"),
    }
    words = checked(as_html(made[what]()))
    assert re.search(r"Checks: the worst of \d+ is \w+", words)
    assert re.search(r"fb\.sampled\(.+\) says how sure each is", words)
