"""What comes out goes in: floats in SI and quantities with units, from a program and never from a file."""

import numpy as np
import pint
import pytest

import featherbench as fb

PLAIN = fb.example("survey-3kg/plain")
UNITS = pint.UnitRegistry()


def test_what_a_scenario_holds_can_be_handed_back():
    plain = fb.read(PLAIN)
    same = {
        "rotor.speed": plain.rotor.speed,
        "rotor.pitch_range": plain.rotor.pitch_range,
        "rotor.coning": np.float64(plain.rotor.coning),
        "blade.chord": np.array(plain.blade.chord),
        "blade.root": plain.blade.root,
        "blade.axis_at": plain.blade.axis_at,
    }
    again = fb.read(PLAIN, same)
    assert again.rotor == plain.rotor
    assert again.blade == plain.blade
    assert again.source.place("rotor.speed") == ("--set", None)


@pytest.mark.parametrize(
    "amount", [(9000.0, "rpm"), (150.0, "revolution/second"), (54000.0, "degree/second")]
)
def test_a_pint_quantity_says_its_own_unit(amount):
    quantity = UNITS.Quantity(*amount)
    assert fb.read(PLAIN, {"rotor.speed": quantity}).rotor.speed == pytest.approx(300.0 * np.pi)


@pytest.mark.parametrize(
    ("key", "amount"), [("rotor.speed", (150.0, "hertz")), ("blade.chord", (27.0, "gram"))]
)
def test_a_quantity_of_another_kind_is_refused(key, amount):
    """To pint itself a frequency is a rotation, 2 pi too slow."""
    with pytest.raises(fb.ScenarioError, match=r"needs (a|rpm)"):
        fb.read(PLAIN, {key: UNITS.Quantity(*amount)})


def test_one_value_stands_for_every_radius():
    for given in ("27 mm", 0.027, UNITS.Quantity(27.0, "mm")):
        assert fb.read(PLAIN, {"blade.chord": given}).blade.chord == [(0.0, pytest.approx(0.027))]


def test_a_whole_number_and_a_typed_number_still_need_their_unit():
    for given in (9000, "9000", "9000.0"):
        with pytest.raises(fb.ScenarioError, match="needs a unit"):
            fb.read(PLAIN, {"rotor.speed": given})
    for given in (float("nan"), float("inf"), -900.0):
        with pytest.raises(fb.ScenarioError):
            fb.read(PLAIN, {"rotor.speed": given})


def test_a_mistyped_key_is_answered_with_one_near_it():
    with pytest.raises(fb.ScenarioError, match="did you mean speed"):
        fb.read(PLAIN, {"rotor.sped": 942.0})
