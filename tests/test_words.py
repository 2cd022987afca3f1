"""Everything a reader may be shown is in the builder's own words: texts in the sources, README, tutorial, examples."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from plain_words import FORBIDDEN, relapses

ROOT = Path(__file__).parents[1]
TYPED = ("unit_table.py",)
"""What people may type, in every spelling."""
SOURCES = sorted((ROOT / "sim").rglob("*.py"))
PAGES = [
    ROOT / "README.md",
    *sorted((ROOT / "scenarios").rglob("*.md")),
    *sorted((ROOT / "scenarios").rglob("*.toml")),
]
WORDS_OF_FILES = ("runs out", "sustained limit cycle from play")
"""What files have always held; `told` says it to a person."""


def texts(source: str) -> Iterator[tuple[int, str]]:
    """Line and text of what a module may show: strings that are no docstrings, formatted numbers as "1"."""
    tree = ast.parse(source)
    nodes = list(ast.walk(tree))
    silent = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    formatted = [node for node in nodes if isinstance(node, ast.JoinedStr)]
    inside = {id(part) for node in formatted for part in ast.walk(node) if part is not node}
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent | inside:
            yield node.lineno, node.value
        elif isinstance(node, ast.JoinedStr) and id(node) not in inside:
            yield node.lineno, "".join(_shown(part) for part in node.values)


def _shown(part: ast.expr) -> str:
    if isinstance(part, ast.Constant):
        return str(part.value)
    spec = part.format_spec if isinstance(part, ast.FormattedValue) else None
    return "1%" if spec is not None and ast.unparse(spec).rstrip("'\"").endswith("%") else "1"


def test_no_text_in_the_sources_falls_back() -> None:
    found = [
        f"{module.relative_to(ROOT)}:{line}: {one}"
        for module in SOURCES
        if module.name not in TYPED
        for line, text in texts(module.read_text(encoding="utf-8"))
        if text not in WORDS_OF_FILES
        for one in relapses(text)
    ]
    assert found == []


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_page_falls_back(page: Path) -> None:
    assert relapses(page.read_text(encoding="utf-8")) == []


def test_a_relapse_is_noticed() -> None:
    module = (
        'def f(x):\n    """47%, runs away."""\n    return f"{x:.0%} of them", "they run away", "is wanted"\n'
    )
    said = [one for _, text in texts(module) for one in relapses(text)]
    assert len(said) == 3, said
    for text in ("40% less", "holds 10 x", "0.5 inch", "a seat ratio of 2", "blades that are let go"):
        assert relapses(text), text
    for text in (
        "40 % less",
        "0.5 in",
        "12 of 12 draws",
        "let go so that it turns",
        "the blades run to full pitch",
    ):
        assert not relapses(text), text
    assert all(instead for instead in FORBIDDEN.values())
