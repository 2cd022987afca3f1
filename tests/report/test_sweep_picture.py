"""The map of a sweep: what a blank place means."""

from types import SimpleNamespace

import pytest

from featherbench.pictures.sweep_map import _left_blank
from featherbench.views.swept.answer import _shortly


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


@pytest.mark.parametrize(
    ("typed", "said"),
    [("9272.72727272727 rpm", "9272.7 rpm"), ("2 mm", "2 mm"), ("12000 rpm", "12000 rpm"), (0.1 + 0.2, "0.3"),
     ("steel", "steel"), ("1e-06 kg", "1e-06 kg"), ("NACA 0012", "NACA 0012")],
)  # fmt: skip
def test_where_a_value_is_reached_is_told_in_no_more_digits_than_tell(typed, said):
    assert _shortly(typed) == said
