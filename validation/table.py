"""One table of every check against an outside source. `python validation/table.py` runs them all and prints it;
`--page FILE.html` writes it, with what is to be said of each source, as one self-contained page.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any, NamedTuple


class Row(NamedTuple):
    """One check. status is the code of how the value was come by: see STATUS; file is where it is checked."""

    source: str
    status: str
    quantity: str
    expected: float
    got: float
    difference: float
    tolerance: float
    reason: str
    relative: bool
    file: str = ""


STATUS = {
    "F": "read at the address given",
    "FOUND": "read at the address given",
    "F2": "read second-hand, in a reproduction of the primary source",
    "FOUND-2": "read second-hand, in a reproduction of the primary source",
    "RAN": "produced by a general-purpose library from the registry",
    "D": "derived from stated inputs; anyone can repeat it",
    "DER": "derived from stated inputs; anyone can repeat it",
    "C": "the source exists, the number in it was not read",
    "M": "from memory, not seen in any text",
    "MEM": "from memory, not seen in any text",
    "trade": "common practice, no source",
}

ROWS: list[Row] = []
ABOUTS: dict[str, tuple[Any, str]] = {}
"""Per file of checks: its ABOUT, when it has one, and its docstring."""


def check(
    source: str,
    status: str,
    quantity: str,
    expected: float,
    got: float,
    tolerance: float,
    reason: str,
    *,
    relative: bool = True,
) -> None:
    """Book a row, then assert |got - expected| <= tolerance (times |expected| when relative)."""
    difference = float(got) - float(expected)
    caller = sys._getframe(1).f_globals
    file = Path(caller.get("__file__", "")).name
    ABOUTS[file] = (caller.get("ABOUT"), caller.get("__doc__") or "")
    ROWS.append(
        Row(
            source,
            status,
            quantity,
            float(expected),
            float(got),
            difference,
            tolerance,
            reason,
            relative,
            file,
        )
    )
    allowed = tolerance * (abs(expected) if relative else 1.0)
    assert status in STATUS, f"unknown status code {status}"
    assert abs(difference) <= allowed, (
        f"{source}: {quantity}: expected {expected:g}, got {got:g}, allowed {allowed:g}"
    )


def lines(rows: list[Row]) -> list[str]:
    """The rows as text, grouped by source."""
    out: list[str] = []
    last = ""
    for row in sorted(rows, key=lambda one: one.source):
        if row.source != last:
            out += ["", row.source]
            last = row.source
        allowed = f"{row.tolerance:.2g}" + (" rel" if row.relative else " abs")
        out.append(
            f"  {row.status:8s} {row.quantity[:58]:58s} {row.expected:13.6g} {row.got:13.6g} "
            f"{row.difference:+11.2e}  {allowed:12s} {row.reason}"
        )
    return out


class Watch:
    """Notes, as a pytest plugin, what failed and what was not run."""

    def __init__(self) -> None:
        self.failed: list[str] = []
        self.skipped: list[tuple[str, str]] = []

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Book one report of pytest."""
        name = report.nodeid.rsplit("/", 1)[-1]
        if report.failed:
            self.failed.append(name)
        if report.skipped:
            self.skipped.append((name, str(report.longrepr[2]).removeprefix("Skipped: ")))


def main(arguments: list[str] | None = None) -> int:
    """Run every validation file and print the table, or write the page; the exit status is pytest's."""
    import pytest

    parser = argparse.ArgumentParser(
        description="Check the program against the outside and print every value."
    )
    parser.add_argument(
        "--page", metavar="FILE.html", type=Path, help="write a page instead of printing the table"
    )
    page = parser.parse_args(arguments).page
    folder = Path(__file__).parent
    watch = Watch()
    status = pytest.main([str(folder), "-q", "--no-header"], plugins=[watch])
    import table

    if page is not None:
        from page import build_page

        page.write_text(build_page(table.ROWS, table.ABOUTS, watch.failed, watch.skipped), encoding="utf-8")
        print(f"{len(table.ROWS)} values checked, written to {page}")
        return int(status)
    print("\nstatus   quantity".ljust(70) + "expected           got  difference  tolerance    reason for it")
    print("\n".join(lines(table.ROWS)))
    print(f"\n{len(table.ROWS)} values checked. Status codes:")
    for code, meaning in STATUS.items():
        print(f"  {code:8s} {meaning}")
    return int(status)


if __name__ == "__main__":
    sys.exit(main())
