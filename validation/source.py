"""What a file of checks rests on, said once beside its checks: a module-level `ABOUT = About(...)`, for the page.

A file without one is shown with its docstring; its rows are sorted by their status.
"""

from __future__ import annotations

from typing import NamedTuple


class About(NamedTuple):
    """One outside source.

    kind: a key of KINDS, of the rows that do not say otherwise; title: its short name; citation: where it is found,
    when the docstring does not say so; mapping: signs, axes and scales that differ from ours; uncertainty: of the
    experiment or the print; left_out: what was not used, and why; quantity: what its rows are of, in the summary.
    """

    kind: str
    title: str
    mapping: str = ""
    uncertainty: str = ""
    left_out: str = ""
    citation: str = ""
    quantity: str = ""


KINDS = {
    "measured": "Measurements, read as they were logged",
    "measured print": "Measurements, from a printed table",
    "standard": "Standards, handbooks and worked examples in print",
    "program": "Independent programs",
    "closed form": "Closed forms: answers that anyone can work out",
    "trade": "Facts of the trade: common practice, no source",
}
MEASURED = ("measured", "measured print")
OLDER = {"experiment": "measured print", "print": "standard", "exact": "closed form"}
"""Words that files may still use for a kind."""
WORKED_OUT = {"D", "DER"}
"""Statuses of values that need no print and no experiment."""


def kind_of_row(status: str, about: About | None) -> str:
    """Of a row that does not say: by its status where that decides, else what its file says of itself."""
    if about is not None and about.kind == "trade":
        return "trade"
    if status == "RAN":
        return "program"
    if status in WORKED_OUT:
        return "closed form"
    return OLDER.get(about.kind, about.kind) if about is not None else "standard"
