"""Strengths of the metals that a turned part may be made of, against least values and handbooks printed elsewhere.

Sources: EN 10025-2 table 7, as reprinted at readle.co.uk, steel grades to Eurocodes (FOUND-2); ASTM A276, annealed, in
dealers' sheets at gsalloy.com (304) and australwright.com.au (304 and 316) (FOUND-2); T. A. Philpot, Mechanics of
Materials, table D.1b (FOUND); EN 10088-3 for 1.4301 and 1.4401, ASTM B777 table 2 (both from memory, MEM: the tables
were looked for and not found).
"""

import pytest

from featherbench.assembly.material_strengths import METALS
from featherbench.assembly.materials import MATERIALS
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="strength of metals",
    mapping="Yield and ultimate strength that the load path is reckoned with",
    uncertainty="Least values are what a bar of that name is sold with; one that was never tested may be weaker",
    left_out="Sheets of cold-drawn stainless up to 12.7 mm print 310 and 620 MPa: not counted on, since a bar does not "
    "say how it was drawn",
    quantity="strength of metals",
)
MPA = 1e6
EN_10025 = "EN 10025-2 table 7, S235"
A276 = "ASTM A276, annealed"
EN_10088 = "EN 10088-3, solution annealed bar"
B777 = "ASTM B777 table 2, class 1"
PHILPOT = "Philpot, table D.1b"

ROWS = [
    ("steel", "yield_strength", EN_10025, "FOUND-2", 235.0),
    ("steel", "ultimate", EN_10025, "FOUND-2", 360.0),
    ("stainless 304", "yield_strength", A276, "FOUND-2", 205.0),
    ("stainless 304", "ultimate", A276, "FOUND-2", 515.0),
    ("stainless 316", "yield_strength", A276, "FOUND-2", 205.0),
    ("stainless 316", "ultimate", A276, "FOUND-2", 515.0),
    ("stainless 304", "yield_strength", EN_10088, "MEM", 190.0),
    ("stainless 304", "ultimate", EN_10088, "MEM", 500.0),
    ("stainless 316", "yield_strength", EN_10088, "MEM", 200.0),
    ("stainless 316", "ultimate", EN_10088, "MEM", 500.0),
    ("stainless 304", "yield_strength", PHILPOT + " (18-8)", "FOUND", 248.0),
    ("titanium 6Al-4V", "yield_strength", PHILPOT, "FOUND", 827.0),
    ("aluminium 6061", "yield_strength", PHILPOT, "FOUND", 276.0),
    ("tungsten alloy class 1", "yield_strength", B777, "MEM", 517.0),
    ("tungsten alloy class 1", "ultimate", B777, "MEM", 758.0),
]


@pytest.mark.parametrize(("name", "which", "source", "status", "value"), ROWS)
def test_no_strength_is_above_what_was_read(name, which, source, status, value):
    """As printed, or on the safe side of it where another print says less."""
    got = getattr(METALS[name], which) / MPA
    reason = "as printed"
    if got < 0.999 * value:
        reason = (
            f"MISS of {100 * (1 - got / value):.0f} % on the safe side: another print says less, and counts"
        )
    case = f"{which.replace('_', ' ').replace('ultimate', 'ultimate strength')} of {name}, MPa"
    check(source, status, case, value, got, 0.25 if got < value else 1e-9, reason)
    assert got <= value


@pytest.mark.parametrize("name", list(METALS))
def test_each_metal_has_a_row_of_its_own(name):
    """No strength for a name that has no density; each breaks above where it yields, and says where it is from."""
    metal = METALS[name]
    assert name in MATERIALS
    assert metal.yield_strength < metal.ultimate
    assert metal.words
    assert metal.citation
    assert metal.status.split(",")[0] in {"FOUND", "MEM"}
