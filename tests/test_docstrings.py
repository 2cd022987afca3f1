"""What the docstrings of public functions show is what happens; it works on the shipped scenarios, in any folder."""

import doctest
import inspect
import types

import pytest

import featherbench as fb
from featherbench import quantities
from once import once

WITHOUT = {
    "Bias",
    "Calibration",
    "Comparison",
    "Match",
    "Run",
    "Sampled",
    "Scenario",
    "Sizing",
    "Spread",
    "Wag",
}
"""Classes: what makes them has the example."""
OPENS_A_WINDOW = {"explore"}
"""Not where tests are run."""


def shown():
    """Every public function, and those of the modules that are public."""
    found = [quantities.parse, quantities.shown]
    for name in fb.__all__:
        one = getattr(fb, name)
        if isinstance(one, types.ModuleType):
            found += [getattr(one, inner) for inner in one.__all__]
        elif inspect.isfunction(one):
            found.append(one)
    return found


def examples(function):
    finder = doctest.DocTestFinder(recurse=False)
    globs = dict(vars(inspect.getmodule(function)))
    return [test for test in finder.find(function, function.__name__, globs=globs) if test.examples]


EXAMPLES = [test for function in shown() for test in examples(function)]
REMEMBERED = {name: once(getattr(fb, name)) for name in ("predict", "compare", "size", "bias")}
"""What most examples begin with: worked out for the first that asks, which may be its own."""


@pytest.mark.usefixtures("few_beside")
@pytest.mark.parametrize("test", EXAMPLES, ids=lambda test: test.name)
def test_the_example_runs(test, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    for name, remembered in REMEMBERED.items():
        monkeypatch.setattr(fb, name, remembered)
    said = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.REPORT_ONLY_FIRST_FAILURE)
    result = runner.run(test, out=said.append)
    assert result.attempted > 0
    assert result.failed == 0, "".join(said)


def test_every_public_function_at_the_front_door_has_an_example():
    functions = {name for name in fb.__all__ if inspect.isfunction(getattr(fb, name))}
    assert functions
    assert functions <= {test.name for test in EXAMPLES} | OPENS_A_WINDOW
    classes = {name for name in fb.__all__ if inspect.isclass(getattr(fb, name))}
    assert classes >= WITHOUT
