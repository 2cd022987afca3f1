"""The page: self-contained, escaped, complete, with the answer in its first lines."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest

from featherbench.checks import CAUTIONS, Check
from featherbench.report.page import comparison_page, run_page
from featherbench.studies.run import Comparison, Run

VOID = {"meta", "br", "link", "img", "hr", "input"}


class Reader(HTMLParser):
    """Collects elements, attributes and text; notices what is not closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip() and "style" not in self.open[-1:]:
            self.text.append(" ".join(data.split()))


def read(page: str) -> Reader:
    """The page, parsed; every element is closed where it should be."""
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def pages(comparison: Comparison, checks: Sequence[Check]) -> dict[str, str]:
    """Of one run and of a comparison."""
    return {
        "run": run_page(comparison.runs[0], checks, CAUTIONS, "metric", "featherbench predict plain.toml"),
        "comparison": comparison_page(
            comparison, [checks, checks], CAUTIONS, "trade", "featherbench compare plain.toml weighted.toml"
        ),
    }


@pytest.mark.parametrize("which", ["run", "comparison"])
def test_nothing_comes_from_outside(pages: dict[str, str], which: str) -> None:
    page = pages[which]
    assert "://" not in page
    assert "<script" not in page
    assert "@import" not in page
    reader = read(page)
    for tag, name, value in reader.attributes:
        assert name != "src", tag
        assert not name.startswith("on"), name
        if name in ("href", "xlink:href"):
            assert value.startswith("#")
    names = [value for _, name, value in reader.attributes if name == "id"]
    assert len(names) == len(set(names))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(names)


def test_the_first_lines_are_question_and_answer(pages: dict[str, str]) -> None:
    text = read(pages["comparison"]).text
    question = (
        "What changes on the bench from “Survey helicopter, 3 kg: plain blade bolts” to "
        "“Survey helicopter, 3 kg: with brass weights, 9 mm”?"
    )
    assert text[:2] == [question, question]  # the tab's title, and the heading
    assert text[2] == "Largest force on the rod falls from 118 to 12 ozf."
    assert text[3].startswith("Supply current falls from")
    assert text[4].startswith("Let go at 15 deg, the blades stay where they are put")


def test_everything_asked_for_is_there(pages: dict[str, str], comparison: Comparison) -> None:
    for which, page in pages.items():
        text = " ".join(read(page).text)
        for caution in CAUTIONS:
            assert caution in text
        assert "holds +64" in text
        assert "FAILS −38" in text
        assert "rod ball link (limits.rod_ball_link)" in text
        assert "linkage.pitch_link" in text
        assert "air loads on the blade are not in these numbers yet" in text
        assert "0123456789abcdef" in text
        assert f"featherbench {'compare' if which == 'comparison' else 'predict'} plain.toml" in text
        assert page.count("<svg") == 4
    text = " ".join(read(pages["comparison"]).text)
    assert "before" in text
    assert "weighted.toml" in text
    assert comparison.runs[1].scenario.title in text


def test_free_text_is_escaped(plain_run: Run, checks: Sequence[Check]) -> None:
    hostile = "<script>alert(1)</script> <img src=x onerror=y> & \x1b[31m \u202e"
    scenario = SimpleNamespace(
        **{**vars(plain_run.setup.scenario), "title": hostile, "notes": hostile},
    )
    scenario.source = SimpleNamespace(files=(hostile,), digest="0")
    setup = SimpleNamespace(**{**vars(plain_run.setup), "scenario": scenario})
    run = SimpleNamespace(
        **{name: getattr(plain_run, name) for name in plain_run.__dataclass_fields__ if name != "setup"},
        setup=setup,
        scenario=scenario,
        assumed=(SimpleNamespace(key=hostile, value=hostile, why=hostile),),
    )
    run.notes = (hostile,)
    page = run_page(run, checks, [hostile], "metric", hostile)  # type: ignore[arg-type]
    assert "<script" not in page
    assert "<img" not in page
    assert not any(letter in page for letter in "\x1b\u202e")
    read(page)
    assert page.count("&lt;script&gt;") >= 8
