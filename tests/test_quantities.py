"""Units at the door: what is read, what is refused and how, and that metric and trade input mean the same."""

import functools
import math
import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench import unit_lookup
from featherbench.quantities import KINDS, QuantityError, parse, shown, text

READ = [
    ("6.4 g", "mass", 6.4e-3, 0.0),
    ("6.4g", "mass", 6.4e-3, 0.0),
    ("6.4 +/- 0.05 g", "mass", 6.4e-3, 0.05e-3),
    ("6.4 ± 0.05 g", "mass", 6.4e-3, 0.05e-3),
    ("6.4 +- 0.05 g", "mass", 6.4e-3, 0.05e-3),
    ("6.4 g +/- 1 %", "mass", 6.4e-3, 0.064e-3),
    ("-6.4 mm +/- 1 %", "length", -6.4e-3, 0.064e-3),
    ("6.4 g +/- 50 mg", "mass", 6.4e-3, 0.05e-3),
    ("1e-3 m", "length", 1e-3, 0.0),
    ("+.5 mm", "length", 0.5e-3, 0.0),
    ("\u22120.5 mm", "length", -0.5e-3, 0.0),
    ("20 thou", "length", 0.508e-3, 0.0),
    ('0.75"', "length", 19.05e-3, 0.0),
    ("0.75 inch", "length", 19.05e-3, 0.0),
    ("3/16 in", "length", 3 / 16 * 0.0254, 0.0),
    ("25 degC", "temperature", 298.15, 0.0),
    ("25 °C +/- 2 degC", "temperature", 298.15, 2.0),
    ("77 degF +/- 9 degF", "temperature", 298.15, 5.0),
    ("8400 rpm", "rotation", 8400 * math.tau / 60, 0.0),
    ("140 rev/s", "rotation", 140 * math.tau, 0.0),
    ("50400 deg/s", "rotation", 140 * math.tau, 0.0),
    ("50 1/s", "frequency", 50.0, 0.0),
    ("50 per second", "frequency", 50.0, 0.0),
    ("0.333 kHz", "frequency", 333.0, 0.0),
    ("26 deg", "angle", math.radians(26), 0.0),
    ("26°", "angle", math.radians(26), 0.0),
    ("80 mohm", "resistance", 0.08, 0.0),
    ("80 m\u2126", "resistance", 0.08, 0.0),
    ("120 \u00b5H", "inductance", 120e-6, 0.0),
    ("120 uH", "inductance", 120e-6, 0.0),
    ("70 GPa", "pressure", 70e9, 0.0),
    ("0.9 g mm²", "inertia", 0.9e-9, 0.0),
    ("0.9 g*mm**2", "inertia", 0.9e-9, 0.0),
    ("3 kgf*cm", "moment", 3 * 9.80665e-2, 0.0),
    ("1/2 in", "length", 12.7e-3, 0.0),
    ('7/16"', "length", 7 / 16 * 0.0254, 0.0),
    ("1 1/2 in", "length", 38.1e-3, 0.0),
    ("1-1/2 in", "length", 38.1e-3, 0.0),
    ("-1 1/2 in", "length", -38.1e-3, 0.0),
    ("12,000 rpm", "rotation", 12000 * math.tau / 60, 0.0),
    ("12 000 rpm", "rotation", 12000 * math.tau / 60, 0.0),
    ("12\u202f000 rpm", "rotation", 12000 * math.tau / 60, 0.0),
    ("12,000 +/- 1,000 rpm", "rotation", 12000 * math.tau / 60, 1000 * math.tau / 60),
    ("12,5 mm", "length", 12.5e-3, 0.0),
    ("0,500 mm", "length", 0.5e-3, 0.0),
    (",5 mm", "length", 0.5e-3, 0.0),
    ("6,4 +/- 0,05 g", "mass", 6.4e-3, 0.05e-3),
    ("1,234.5 g*mm", "moment of mass", 1.2345e-3, 0.0),
    ("1.234,5 g*mm", "moment of mass", 1.2345e-3, 0.0),
    ("1,234,567 Pa", "stress", 1234567.0, 0.0),
    ("1 234,5 N/m", "stiffness", 1234.5, 0.0),
    ("3 kg-cm", "moment", 3 * 9.80665e-2, 0.0),
    ("3 kg*cm", "moment", 3 * 9.80665e-2, 0.0),
    ("3 kg.cm", "moment", 3 * 9.80665e-2, 0.0),
    ("3 kgcm", "moment", 3 * 9.80665e-2, 0.0),
    ("3 kgf.cm", "moment", 3 * 9.80665e-2, 0.0),
    ("45 oz-in", "moment", 45 * 0.45359237 / 16 * 9.80665 * 0.0254, 0.0),
    ("45 oz*in", "moment", 45 * 0.45359237 / 16 * 9.80665 * 0.0254, 0.0),
    ("45 ozin", "moment", 45 * 0.45359237 / 16 * 9.80665 * 0.0254, 0.0),
    ("45 kg*cm", "moment of mass", 0.45, 0.0),
    ("32 Ncm", "moment", 0.32, 0.0),
    ("5 ms", "time", 5e-3, 0.0),
    ("2 min", "time", 120.0, 0.0),
    ("0.5", "ratio", 0.5, 0.0),
    (0.5, "ratio", 0.5, 0.0),
]


@pytest.mark.parametrize(("given_text", "kind", "value", "tolerance"), READ)
def test_texts_are_read_into_si(given_text, kind, value, tolerance):
    measured = parse(given_text, kind)
    assert measured.value == pytest.approx(value, rel=1e-13, abs=0.0)
    assert measured.tolerance == pytest.approx(tolerance, rel=1e-12, abs=0.0)


REFUSED = [
    ("6.4", "mass", "needs a unit"),
    (6.4, "mass", "needs a unit"),
    (0, "length", "needs a unit"),
    ("5 +/- 1", "length", "needs a unit"),
    (True, "length", "as text with its unit"),
    (None, "length", "as text with its unit"),
    ([1, "mm"], "length", "as text with its unit"),
    ({}, "length", "as text with its unit"),
    ("", "length", "number first"),
    ("mm 5", "length", "number first"),
    ("nan mm", "length", "finite"),
    ("-inf mm", "length", "finite"),
    ("1e999 mm", "length", "too large"),
    ("5 mm +/- 1e999 mm", "length", "too large"),
    ("5 N", "mass", 'needs a mass, and "N" is a force'),
    ("3 oz", "force", "ozf"),
    ("3 kg", "force", "kgf"),
    ("3 kg/cm", "stiffness", "kgf"),
    ("3 kg*cm/deg", "angular stiffness", "kgf"),
    ("140 Hz", "rotation", "rpm, rad/s, deg/s or rev/s"),
    ("140 1/s", "rotation", "rpm"),
    ("50 rpm", "frequency", "Hz, kHz"),
    ("20 mil", "length", "thou"),
    ("20 mils", "angle", "thou"),
    ("12 N*m", "angular stiffness", "is a moment"),
    ("12,500 mm", "length", "may mean 12500 or 12.500"),
    ("-1,500 mm", "length", "may mean -1500 or -1.500"),
    ("1,2,3 mm", "length", "one number"),
    ("1.2.3 mm", "length", "one number"),
    ("12,00,000 rpm", "rotation", "one number"),
    ("5 mm +/- -1 mm", "length", "negative"),
    ("5 mm +/- 1", "length", "tolerance needs a unit"),
    ("5 mm +/- 1 g", "length", "is a mass"),
    ("5 mm +/-", "length", "number first"),
    ("25 degC +/- 2 %", "temperature", "% "),
    ("5 furlongs", "length", "not known"),
    ("5 %", "length", "% "),
    ("5 m**9**9**9", "length", "not known"),
    ("5 m^-", "length", "not known"),
    ("5 __import__", "length", "not known"),
    ("5 Quantity", "length", "not known"),
    ("5 mm mm mm", "length", "no kind"),
    ("5 degC*m", "length", "not known"),
    ("3/0 mm", "length", "not known"),
    ("9" * 500 + " mm", "length", "characters"),
]


@pytest.mark.parametrize(("given_value", "kind", "words"), REFUSED)
def test_refusals_say_why_and_end_with_an_example(given_value, kind, words):
    with pytest.raises(QuantityError) as refused:
        parse(given_value, kind)
    assert words in str(refused.value)
    assert str(refused.value).endswith(f'for example "{KINDS[kind].example}"')


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_and_display_unit_is_of_its_kind(kind):
    value = parse(KINDS[kind].example, kind).value
    for system in ("metric", "trade"):
        number, unit = shown(value, kind, system)
        assert parse(f"{number!r} {unit}", kind).value == pytest.approx(value, rel=1e-13)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ("ratio", "temperature")])
@given(value=st.floats(-1e6, 1e6).filter(lambda value: value == 0.0 or abs(value) > 1e-6))
def test_metric_and_trade_input_agree(kind, value):
    readings = []
    for system in ("metric", "trade"):
        number, unit = shown(value, kind, system)
        readings.append(parse(f"{number!r} {unit}", kind).value)
    assert readings[0] == pytest.approx(readings[1], rel=1e-12, abs=0.0)
    assert readings[0] == pytest.approx(value, rel=1e-12, abs=0.0)


@given(value=st.floats(0.01, 1e4), share=st.floats(0.0, 50.0))
def test_a_tolerance_means_the_same_in_per_cent_and_in_units(value, share):
    in_units = parse(f"{value!r} +/- {value * share / 100!r} g", "mass")
    in_share = parse(f"{value!r} g +/- {share!r} %", "mass")
    assert in_share.value == in_units.value
    assert in_share.tolerance == pytest.approx(in_units.tolerance, rel=1e-9, abs=1e-300)


@given(st.text(max_size=40), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused(given_text, kind):
    try:
        measured = parse(given_text, kind)
    except QuantityError:
        return
    assert math.isfinite(measured.value)
    assert measured.tolerance >= 0.0


UNITS_IN_PINT = {
    "inch": "m", "foot": "m", "thou": "m", "ounce": "kg", "pound": "kg", "gram": "kg", "ounce_force": "N",
    "pound_force": "N", "kilogram_force": "N", "gram_force": "N", "degree": "rad", "revolution": "rad",
    "rpm": "rad/s", "psi": "Pa", "bar": "Pa", "knot": "m/s", "mph": "m/s", "minute": "s", "hour": "s",
}  # fmt: skip


@functools.cache
def theirs():
    """The registry that pint comes with, which it takes a fifth of a second to read."""
    return pint.UnitRegistry()


@pytest.mark.parametrize("name", UNITS_IN_PINT)
def test_own_units_agree_with_the_registry_of_pint(name):
    ours = unit_lookup.registry()
    expected = theirs().Quantity(1.0, name).to(UNITS_IN_PINT[name]).magnitude
    assert ours.Quantity(1.0, name).to_root_units().magnitude == pytest.approx(expected, rel=1e-14)


def test_no_unit_is_defined_twice(caplog):
    registry = unit_lookup.registry.__wrapped__()
    assert registry.Quantity(1.0, "thou").to_root_units().magnitude == pytest.approx(25.4e-6)
    assert not caplog.records


def test_many_threads_may_read_their_first_text_at_once():
    code = """
import sys, threading
from featherbench.quantities import parse
sys.setswitchinterval(1e-6)
start, wrong = threading.Barrier(8), []
def work():
    start.wait()
    try:
        assert parse("25 degC", "temperature").value == 298.15
        assert abs(parse("20 thou", "length").value - 508e-6) < 1e-12
    except BaseException as error:
        wrong.append(error)
threads = [threading.Thread(target=work) for _ in range(8)]
[thread.start() for thread in threads]
[thread.join() for thread in threads]
assert not wrong, wrong
"""
    subprocess.run([sys.executable, "-c", code], check=True)


def test_text_keeps_sign_and_zero_and_avoids_exponents():
    assert text(0.0, "length") == "0 mm"
    assert text(-0.0, "force", "trade") == "0 ozf"
    assert text(-0.3, "force") == "-0.3 N"
    assert text(879.645943005142, "rotation") == "8400 rpm"
    assert text(0.01905, "length", "trade") == "0.75 in"
    assert text(298.15, "temperature") == "25 degC"
    assert text(0.0064, "mass", "trade") == "6.4 g"
    assert text(0.93, "ratio") == "0.93"
    assert text(1 / 3, "force", digits=2) == "0.33 N"
    with pytest.raises(ValueError, match="metric"):
        shown(1.0, "length", "imperial")


def test_pint_is_not_imported_before_the_first_text():
    code = "import sys, featherbench.scenario; assert not {'pint', 'matplotlib'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True)


def test_the_table_of_usual_units_is_what_pint_makes_of_them():
    """To the last digit: a figure typed wrong there would be a silent factor on everything."""
    usual = unit_lookup._usual()
    assert {"mm", "g", "rpm", "ozf*inch", "degC", ""} <= set(usual)
    for name, known in usual.items():
        assert known == unit_lookup._looked_up(name), name


def test_every_unit_that_the_program_shows_is_a_usual_one():
    shown_in = {unit for kind in KINDS.values() for unit in (kind.si, kind.metric, kind.trade)}
    assert shown_in <= set(unit_lookup._usual())
