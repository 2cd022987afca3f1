"""The map of a sweep: what a blank place means."""

from types import SimpleNamespace

import pytest

from featherbench.pictures.sweep_map import _left_blank


@pytest.mark.parametrize(
    ("done", "refused", "said"),
    [
        (100, 7, "blank: cannot be built"),
        (40, 0, "blank: not run yet"),
        (40, 3, "blank: not run yet, or cannot be built"),
    ],
)
def test_what_was_not_run_is_not_said_to_be_what_cannot_be_built(done, refused, said):
    found = SimpleNamespace(done=done, count=100, tally=SimpleNamespace(refused=refused))
    assert " ".join(_left_blank(found).split()) == said
