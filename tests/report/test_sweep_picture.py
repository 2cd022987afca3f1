"""The map of a sweep: what a blank place means, what its axes are called, that no word of it is cut."""

from types import SimpleNamespace

import pytest

from featherbench.pictures.spread import LONGEST, _in_lines
from featherbench.pictures.sweep_map import _left_blank, _named, map_figure
from featherbench.scenario import read
from featherbench.sweeping.sweep import sweep
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


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("rotor.speed", "rotor speed, rpm"),
        ("rotor.pitch_range.1", "rotor pitch range high end, rpm"),
        ("part.stud-bolt.pieces.0.length", "stud-bolt pieces no. 1 length, rpm"),
    ],
)
def test_an_axis_says_which_entry_of_a_list_it_is(key, said):
    assert _named(key, "rpm") == said


def test_no_word_on_a_map_is_cut():
    plain = read("scenarios/survey-3kg/plain.toml")
    varied = {"rotor.pitch_range.1": ["26 deg", "27 deg", "28 deg"], "rotor.speed": ["9000 rpm", "10000 rpm"]}
    figure = map_figure(sweep(plain, varied, values=["rod_force_static"], jobs=1), "metric")
    figure.draw_without_rendering()
    (ax,) = figure.axes
    room, whole = ax.get_window_extent(), figure.bbox
    on_bands = [text for text in ax.texts if text.get_text().replace(".", "").isdigit()]
    assert on_bands
    for text in on_bands:
        box = text.get_window_extent()
        assert room.x0 <= box.x0 < box.x1 <= room.x1
        assert room.y0 <= box.y0 < box.y1 <= room.y1
    for text in (ax.xaxis.label, ax.yaxis.label, *ax.get_xticklabels(), *ax.get_yticklabels()):
        box = text.get_window_extent()
        assert whole.x0 <= box.x0 < box.x1 <= whole.x1


@pytest.mark.parametrize(
    "key", ["blade.mass", "part.nut-collar-outer.pieces.0.across_flats", "doubt.bearing_coefficient"]
)
def test_a_key_is_named_whole(key):
    told = _in_lines(key)
    assert told.replace("\n", "") == key.removeprefix("part.")
    assert max(map(len, told.split("\n"))) <= LONGEST
