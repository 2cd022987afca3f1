"""Standard hardware: dimensions, masses against a published weight chart, stress areas.

Sources. Dimensions: engineeringhardware.com (ISO 4762), bd_warehouse 0.4.0 tables (ISO 4032, ISO 7089),
fasten.it (DIN 985). Masses: a fastener distributor's DIN 912 chart,
fullerkr.com/collections/din-912-weight-chart (FOUND); DIN 985 masses fasten.it (FOUND). Stress
areas: ISO 898-1 tables as printed by slsbearings.com and engineeringtoolbox.com d_2026 (FOUND).
"""

import pytest

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import nut_pieces, screw_pieces, stress_area, washer_pieces
from featherbench.assembly.shapes import coaxial
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="standard hardware, sizes and masses",
    uncertainty="Masses printed to 0.1 g for M3 and M4",
    left_out="The M2 masses cannot belong to a head of 3.8 x 2 mm: only their slope is held to",
)

STEEL = 7850.0
CHART = "DIN 912 (ISO 4762) weight chart, fullerkr.com"
LENGTHS = (5, 6, 8, 10, 12, 16, 20)
MASSES = {  # g each
    "M2": (0.195, 0.215, 0.255, 0.295, 0.355, 0.415, 0.495),
    "M2.5": (0.375, 0.405, 0.465, 0.525, 0.585, 0.705, 0.825),
    "M3": (0.7, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4),
    "M4": (None, 1.5, 1.7, 1.8, 2.0, 2.3, 2.7),
}
GATED = {"M3": (8, 0.08), "M4": (6, 0.08), "M2.5": (10, 0.12)}


def grams(pieces):
    return 1e3 * coaxial(pieces, "normal", STEEL).mass


DIMENSIONS = [  # quantity, status, our table, its field, mm for M2, M2.5, M3, M4
    ("ISO 4762 pitch", "FOUND", tables.THREADS, "pitch", (0.4, 0.45, 0.5, 0.7)),
    ("ISO 4762 head diameter, plain", "FOUND", tables.ISO_4762, "diameter", (3.8, 4.5, 5.5, 7.0)),
    ("ISO 4762 head height", "FOUND", tables.ISO_4762, "height", (2.0, 2.5, 3.0, 4.0)),
    ("ISO 4762 socket", "FOUND", tables.ISO_4762, "socket", (1.5, 2.0, 2.5, 3.0)),
    ("ISO 4762 socket depth", "FOUND", tables.ISO_4762, "depth", (1.0, 1.1, 1.3, 2.0)),
    ("ISO 4032 across flats", "RAN", tables.ISO_4032, "across_flats", (4.0, 5.0, 5.5, 7.0)),
    ("ISO 4032 height", "RAN", tables.ISO_4032, "height", (1.6, 2.0, 2.4, 3.2)),
    ("ISO 7089 bore", "RAN", tables.ISO_7089, "bore", (2.2, 2.7, 3.2, 4.3)),
    ("ISO 7089 outside", "RAN", tables.ISO_7089, "diameter", (5.0, 6.0, 7.0, 9.0)),
    ("ISO 7089 nominal thickness", "MEM", tables.ISO_7089, "thickness", (0.3, 0.5, 0.5, 0.8)),
    ("ISO 4017 across flats", "RAN", tables.ISO_4017, "across_flats", (4.0, 5.0, 5.5, 7.0)),
    ("ISO 4017 head height, nominal", "RAN", tables.ISO_4017, "height", (1.4, 1.7, 2.0, 2.8)),
]
EXACT = "exact: a table"
ROUNDED = "the standard rounds to 3 figures"


@pytest.mark.parametrize(("quantity", "status", "table", "field", "expected"), DIMENSIONS)
def test_dimensions(quantity, status, table, field, expected):
    for size, value in zip(MASSES, expected, strict=True):
        got = getattr(table[size], field)
        check("Hardware dimensions", status, f"{quantity}, {size}, mm", value, got, 1e-12, EXACT)


@pytest.mark.parametrize("size", ["M3", "M4"])
def test_din_985_dimensions(size):
    expected = {"M3": (5.5, 2.4, 3.7, 4.0), "M4": (7.0, 2.9, 4.7, 5.0)}[size]
    for name, value, got in zip(tables.LockNut._fields, expected, tables.DIN_985[size], strict=True):
        check("Hardware dimensions", "FOUND", f"DIN 985 {name}, {size}, mm", value, got, 1e-12, EXACT)


@pytest.mark.parametrize("size", list(GATED))
def test_screw_masses(size):
    shortest, tolerance = GATED[size]
    reason = (
        "two-figure chart; no chamfers, thread as a cylinder"
        if size != "M2.5"
        else "chart light on its heads"
    )
    for length, mass in zip(LENGTHS, MASSES[size], strict=True):
        if mass is not None and length >= shortest:
            got = grams(screw_pieces("ISO 4762", f"{size}x{length}"))
            check(CHART, "FOUND", f"{size}x{length}, g", mass, got, tolerance, reason)


def test_m2_screws_miss_the_chart_and_only_their_slope_is_gated():
    """The chart's M2 row cannot hold a 3.8 x 2 mm head, 0.163 g by itself: a miss, reported, not tuned."""
    screws = [screw_pieces("ISO 4762", f"M2x{length}") for length in LENGTHS]
    ours = [grams(screw) for screw in screws]
    slope = (ours[-1] - ours[0]) / 15.0
    check(CHART, "FOUND", "M2 slope, g/mm", 0.020, slope, 0.003, "chart rounds to 5 mg", relative=False)
    check(CHART, "DER", "M2 head alone, g", 0.163, grams(screws[0][1:]), 4e-3, "three figures")
    for length, mine, chart in zip(LENGTHS, ours, MASSES["M2"], strict=True):
        reason = "MISS, reported: the chart leaves 0.095 g for the head; weigh M2"
        check(CHART, "FOUND", f"M2x{length}, g", chart, mine, 0.35, reason)


@pytest.mark.parametrize(
    ("size", "table", "low", "high"),
    [("M3", 0.5, 0.388, 0.646), ("M4", 1.0, 0.741, 1.278), ("M5", 1.4, 0.0, 9.9)],
)
def test_lock_nut_masses(size, table, low, high):
    got = grams(nut_pieces("DIN 985", size))
    check("DIN 985 masses, fasten.it", "FOUND", f"{size}, g", table, got, 0.25, "collar and insert estimated")
    assert low < got < high


PLAIN = {"M2": (0.144, 0.037), "M2.5": (0.280, 0.089), "M3": (0.388, 0.120), "M4": (0.818, 0.308)}


@pytest.mark.parametrize("size", PLAIN)
def test_plain_nuts_and_washers(size):
    nut, washer = PLAIN[size]
    source = "Plain nuts and washers by hand from the dimensions"
    got = grams(nut_pieces("ISO 4032", size))
    check(source, "DER", f"ISO 4032 nut {size}, g", nut, got, 4e-3, "three figures")
    got = grams(washer_pieces("ISO 7089", size))
    check(source, "DER", f"ISO 7089 washer {size}, g", washer, got, 0.015, "two to three figures")


@pytest.mark.parametrize(("size", "printed"), [("M2", 2.07), ("M2.5", 3.39), ("M3", 5.03), ("M4", 8.78)])
def test_stress_areas(size, printed):
    """As printed; loads are in `test_iso_898_loads.py`."""
    status = "FOUND" if size in ("M3", "M4") else "DER"
    area = 1e6 * stress_area(size)
    check("ISO 898-1 stress areas", status, f"{size}, mm^2", printed, area, 5e-3, ROUNDED)
