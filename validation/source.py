"""What a file of checks rests on, said once beside its checks: a module-level `ABOUT = About(...)`, for the page.

A file without one is shown with its docstring and sorted by the status of its rows.
"""

from __future__ import annotations

from typing import NamedTuple


class About(NamedTuple):
    """One outside source.

    kind: a key of KINDS; title: its short name; citation: where it is found, when the docstring does not say so;
    mapping: signs, axes and scales that differ from ours; uncertainty: of the experiment or the print;
    left_out: what was not used, and why.
    """

    kind: str
    title: str
    mapping: str = ""
    uncertainty: str = ""
    left_out: str = ""
    citation: str = ""


KINDS = {
    "experiment": "Validation: against measurements",
    "print": "Against printed figures: standards, handbooks, worked problems",
    "exact": "Verification: against exact answers and independent programs",
    "trade": "Facts of the trade: common practice, no source",
}
