"""A pin in double shear, bent between the plates that it joins: EN 1993-1-8:2005, 3.13.

The rules of table 3.10 were read in an extract of the standard (pages 36 and 37); the moment, F/8 (b + 4c + 2a), in a
printed calculation to the same clause. The worked figures are from that sheet, from a second one for a bridge pin, and
from a calculator's example: none is the standard's own.
"""

from math import pi

from featherbench.checks.fasteners import round_modulus
from featherbench.checks.pin import pin_moment
from source import About
from table import check

ABOUT = About(
    kind="print",
    title="Pin in bending, EN 1993-1-8",
    mapping="b: the inner plate, here the blade root; a: each outer plate, here a cheek of the grip; c: the gap on "
    "each side. A pin that is taken out again may use 0.8 of yield on the elastic modulus, one that stays 1.5",
    uncertainty="Printed to two or three figures",
    left_out="One sheet's thicknesses could not be read: its sum of lengths is worked back from the moment, so that "
    "row checks the section and the strengths alone",
)
CLAUSE = "EN 1993-1-8:2005, 3.13"


def test_moment_of_a_clevis_joint():
    """Three plates of 10 mm, 5 mm between them, 100 kN: 625 kN mm (printed as kNm, a slip of the unit)."""
    source = f"{CLAUSE}: example of a clevis joint calculator, structolution.com"
    got = pin_moment(100e3, 10e-3, 10e-3, 5e-3)
    check(source, "FOUND-2", "moment in the pin, N m", 625.0, got, 1e-9, "exact in the example's figures")


def test_each_length_counts_by_its_own_factor():
    """1, 2 and 4 eighths: an inner plate alone gives F b/8, a cheek twice that of its thickness, a gap four times."""
    force = 1000.0
    for name, lengths, factor in (
        ("inner plate", (3e-3, 0.0, 0.0), 1.0),
        ("outer plates", (0.0, 3e-3, 0.0), 2.0),
        ("gaps", (0.0, 0.0, 3e-3), 4.0),
    ):
        expected = force * 3e-3 * factor / 8.0
        got = pin_moment(force, *lengths)
        check(
            f"{CLAUSE}: formula", "FOUND-2", f"share of the {name}, N m", expected, got, 1e-12, "arithmetic"
        )


def test_a_pin_of_16_mm():
    """d 16, S235: W 402.124 mm^3, M_Ed 27.1 N m at 10 kN, M_Rd,ser 76 N m."""
    source = f"{CLAUSE}: printed pin sheet, scribd.com document 406810866"
    modulus = round_modulus(16e-3)
    check(source, "FOUND", "section modulus, mm^3", 402.124, modulus * 1e9, 2e-6, "six figures")
    allowed = 0.8 * modulus * 235e6
    check(source, "FOUND", "replaceable pin may bear, N m", 76.0, allowed, 7e-3, "two figures")
    lengths = 21.7e-3  # b + 4c + 2a, worked back
    check(
        source,
        "D",
        "moment in the pin, N m",
        27.1,
        pin_moment(10e3, lengths, 0.0, 0.0),
        2e-3,
        "three figures",
    )


def test_shear_of_a_pin():
    """0.6 f_u A / 1.25 in one plane: 35 kN for d 16, f_u 360; and 1084 kN for a bridge pin with factor 1.3."""
    from featherbench.checks.fasteners import SHEAR_SHARE

    area = pi / 4.0 * 16e-3**2
    source = f"{CLAUSE}: printed pin sheet, scribd.com document 406810866"
    check(
        source, "FOUND", "one plane bears, kN", 35.0, SHEAR_SHARE * 360e6 * area / 1.25e3, 8e-3, "two figures"
    )
    source = f"{CLAUSE}: bridge pin sheet, scribd.com document 152399749"
    got = SHEAR_SHARE * 460e6 * 5104e-6 / 1.3e3
    check(source, "FOUND", "one plane bears, kN", 1084.0, got, 5e-4, "four figures")
