"""Every public name says what it is, and one command makes pages of it."""

import ast
import dataclasses
import importlib
import importlib.util
import inspect
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

import featherbench as fb

ROOT = Path(__file__).parents[1]
COMMAND = ".ci/reference.py"
PDOC = pytest.mark.skipif(
    importlib.util.find_spec("pdoc") is None, reason='needs pdoc: pip install ".[docs]"'
)
SENTENCE = 20
"""Letters that a description has at least."""


class Told(HTMLParser):
    """Text of a page, and the ids in it."""

    def __init__(self, page):
        super().__init__()
        self.ids, self.links, self.texts = set(), set(), []
        self.feed(page)
        self.text = " ".join("".join(self.texts).split())

    def handle_starttag(self, _tag, attributes):
        found = dict(attributes)
        self.ids.add(found.get("id"))
        self.links.add(found.get("href"))

    def handle_data(self, data):
        self.texts.append(data)


def described(one):
    """A description that somebody wrote, or None; a dataclass and whatever inherits may have one that nobody did."""
    text = vars(one).get("__doc__") if isinstance(one, type) else getattr(one, "__doc__", None)
    if dataclasses.is_dataclass(one) and (text or "").startswith(f"{one.__name__}("):
        return None
    return text


def text_below(home, name):
    """The text below the assignment of a constant, in this module or the one it is imported from, or None."""
    module = ast.parse(Path(home.__file__).read_text(encoding="utf-8"))
    for statement, below in zip(module.body, [*module.body[1:], None], strict=True):
        if isinstance(statement, ast.ImportFrom) and name in {alias.name for alias in statement.names}:
            return text_below(importlib.import_module(statement.module), name)
        targets = (
            [statement.target] if isinstance(statement, ast.AnnAssign) else getattr(statement, "targets", [])
        )
        if name in {getattr(target, "id", None) for target in targets}:
            written = isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant)
            return below.value.value if written else None
    return None


@pytest.mark.parametrize("name", sorted(set(fb.__all__) | set(dir(fb))))
def test_every_public_name_says_what_it_is(name):
    one = getattr(fb, name)
    home = importlib.import_module(fb._HOMES.get(name, "featherbench"))
    text = described(one) if callable(one) or inspect.ismodule(one) else text_below(home, name)
    assert text is not None, name
    assert len(" ".join(text.split())) >= SENTENCE, name


def test_a_name_without_a_description_would_be_noticed():
    made = dataclasses.make_dataclass("Made", ["x"])
    child = type("Child", (fb.Run,), {})
    assert made.__doc__ == "Made(x)" or made.__doc__.startswith("Made(")
    assert (described(made), described(child), described(lambda: None)) == (None, None, None)
    from featherbench import version

    assert text_below(version, "__version__") is not None
    assert text_below(version, "version") is None


@PDOC
def test_one_command_makes_pages_of_all_public_names(tmp_path):
    done = subprocess.run(
        [sys.executable, str(ROOT / COMMAND), str(tmp_path / "pages")],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""  # pdoc warns of a name that it cannot find
    page = Told((tmp_path / "pages" / "featherbench.html").read_text(encoding="utf-8"))
    assert set(fb.__all__) - {"figures"} <= page.ids
    beside = {link for link in page.links if link and re.fullmatch(r"featherbench/[\w/]+\.html", link)}
    assert len(beside) == 2
    pictures, units = sorted(beside)
    drawn = Told((tmp_path / "pages" / pictures).read_text(encoding="utf-8"))
    assert set(fb.figures.__all__) <= drawn.ids
    assert {"parse", "shown"} <= Told((tmp_path / "pages" / units).read_text(encoding="utf-8")).ids
    for one in (fb.predict, fb.values, fb.Run):  # what is said of them stands there
        first = one.__doc__.split("\n\n")[0].replace("`", "")
        assert " ".join(first.split())[:60] in page.text


def test_the_folder_of_the_pages_is_not_committed_and_the_command_is_the_one_told():
    assert "/.reference/" in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert f"python {COMMAND}" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
