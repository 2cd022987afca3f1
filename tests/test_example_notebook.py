"""The example notebook: its cells run one after another, what they end in shows itself, and what it tells is so."""

import ast
import json
from pathlib import Path

import matplotlib as mpl
import matplotlib.pyplot as plt
import pytest

import featherbench as fb
from featherbench.scenario.shipped import shipped_files

NAME = "tutorial-2kg/notebook.ipynb"
NOTEBOOK = Path(__file__).parents[1] / "scenarios" / NAME


def notebook():
    return json.loads(NOTEBOOK.read_text(encoding="utf-8"))


def run(source, space):
    """What a cell ends in, as a notebook would show it."""
    parsed = ast.parse(source)
    last = parsed.body.pop() if isinstance(parsed.body[-1], ast.Expr) else None
    exec(compile(parsed, NAME, "exec"), space)
    return None if last is None else eval(compile(ast.Expression(last.value), NAME, "eval"), space)


@pytest.fixture(scope="module")
def cells():
    """Names that the cells leave behind, and what each shows, by its id."""
    mpl.use("Agg")
    space, shown = {"__name__": "__main__"}, {}
    for cell in notebook()["cells"]:
        if cell["cell_type"] == "code":
            shown[cell["id"]] = run("".join(cell["source"]), space)
    yield space, shown
    plt.close("all")


def test_it_is_a_notebook_without_results():
    """By the format's own description, version 4.5: what each cell must have."""
    found = notebook()
    assert (found["nbformat"], found["nbformat_minor"]) == (4, 5)
    assert len({cell["id"] for cell in found["cells"]}) == len(found["cells"])
    for cell in found["cells"]:
        extra = {"execution_count", "outputs"} if cell["cell_type"] == "code" else set()
        assert set(cell) == {"cell_type", "id", "metadata", "source"} | extra
        assert (cell.get("outputs", []), cell.get("execution_count")) == ([], None)
        assert all(line.endswith("\n") for line in cell["source"][:-1])


def test_it_comes_with_the_program():
    assert NAME in shipped_files()
    assert fb.example(NAME).read_bytes() == NOTEBOOK.read_bytes()


def test_what_a_cell_ends_in_shows_itself(cells):
    _, shown = cells
    assert "<table" in shown["read"]._repr_html_()
    assert shown["picture"].axes[0].lines
    assert shown["sweep"] is not None
    assert {"before", "after", "share"} <= set(shown["compare"].columns)
    assert len(shown["frame"]) == 20


def test_the_first_answer_is_wrong_as_it_says_and_the_second_may_be_built(cells):
    space, shown = cells
    least, best = space["least"], space["best"]
    assert "runs out" in (shown["least"]["release"], shown["least"]["release_low"])
    assert least.fun < best.fun < space["force"](3e-3)
    names = ["rod_force_static", "release", "release_low", "load_path"]
    found = fb.values(space["with_head"](best.x), names)
    assert "runs out" not in (found["release"], found["release_low"])
    assert found["load_path"] == "holds"
    assert best.fun == found["rod_force_static"]  # nothing added to it


def test_the_second_answer_lies_at_the_edge_as_it_says(cells):
    space, shown = cells
    taller = fb.values(space["with_head"](space["best"].x + 1e-4), ["release", "release_low"])
    assert "runs out" in taller.values()
    assert 0.0 < shown["sure"]["runs out"] < 1.0
    assert space["low"] < space["high"]
