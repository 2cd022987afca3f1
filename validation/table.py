"""One table of every check against an outside source. `python validation/table.py` runs them all and prints it;
`--page FILE.html` writes it, with what is to be said of each source, as one self-contained page. `--recorded FILE`
makes either of what a run of the tests found: `pytest --record FILE`.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import re
import sys
from importlib import metadata
from pathlib import Path
from typing import Any, NamedTuple, TypedDict, Unpack

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see featherbench/cli.py

from source import KINDS, OLDER, About, kind_of_row

ROOT = Path(__file__).resolve().parents[1]
INSTALL = '.venv/bin/python -m pip install ".[test]"'
NEEDED = ("pytest", "hypothesis", "mujoco", "control", "ambiance", "SALib", "sympy", "trimesh")
"""Distributions of the test extra that the checks cannot do without."""


class Row(NamedTuple):
    """One check. status is the code of how the value was come by: see STATUS; file is where it is checked.

    case: what was compared; quantity: of what it is one value, in the summary; kind: a key of KINDS; sigma: the
    source's own standard uncertainty, where it publishes one, relative or not as the tolerance is; bar: what was hoped
    for, where the tolerance holds a miss where it is; absolute: the difference counts as it stands, not as a share;
    repeats: the same measurement is in another row, too.
    """

    source: str
    status: str
    case: str
    expected: float
    got: float
    difference: float
    tolerance: float
    reason: str
    relative: bool
    file: str = ""
    kind: str = "standard"
    quantity: str = ""
    sigma: float | None = None
    bar: float | None = None
    absolute: bool = False
    repeats: bool = False


class More(TypedDict, total=False):
    """What a row may say beyond the least: see Row. relative is True where it is left out."""

    relative: bool
    kind: str
    quantity: str
    sigma: float | None
    bar: float | None
    absolute: bool
    repeats: bool


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
ABOUTS: dict[str, tuple[About | None, str]] = {}
"""Per file of checks: its ABOUT, when it has one, and its docstring."""


def check(
    source: str,
    status: str,
    case: str,
    expected: float,
    got: float,
    tolerance: float,
    reason: str,
    **more: Unpack[More],
) -> None:
    """Book a row, then assert |got - expected| <= tolerance (times |expected| when relative)."""
    difference = float(got) - float(expected)
    caller = sys._getframe(1).f_globals
    file = Path(caller.get("__file__", "")).name
    about = caller.get("ABOUT")
    ABOUTS[file] = (about, caller.get("__doc__") or "")
    relative = more.pop("relative", True)
    kind = more.pop("kind", "") or kind_of_row(status, about)
    quantity = more.pop("quantity", "") or (about.quantity if about else "")
    ROWS.append(
        Row(
            source,
            status,
            case,
            float(expected),
            float(got),
            difference,
            tolerance,
            reason,
            relative,
            file,
            OLDER.get(kind, kind),
            quantity,
            **more,
        )
    )
    allowed = tolerance * (abs(expected) if relative else 1.0)
    assert status in STATUS, f"unknown status code {status}"
    assert ROWS[-1].kind in KINDS, f"unknown kind {kind}"
    assert abs(difference) <= allowed, (
        f"{source}: {case}: expected {expected:g}, got {got:g}, allowed {allowed:g}"
    )


class Found(NamedTuple):
    """What a run of the checks leaves: rows, what is said of their files, what failed and what was not run."""

    rows: list[Row]
    abouts: dict[str, tuple[About | None, str]]
    failed: list[str]
    skipped: list[tuple[str, str]]


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

    def pytest_collectreport(self, report: Any) -> None:
        """A file that cannot be read is a failure, too; one that skips itself says why."""
        if report.failed or report.skipped:
            self.pytest_runtest_logreport(report)


def missing() -> list[str]:
    """What has to be installed before the checks can run."""
    absent = [] if importlib.util.find_spec("featherbench") else ["featherbench"]
    for name in NEEDED:
        try:
            metadata.distribution(name)
        except metadata.PackageNotFoundError:
            absent.append(name)
    return absent


def out_of_date(lines: list[str], readme: str) -> list[str]:
    """Lines of the README's table of misses that are no longer what the checks find; empty when it is true.

    lines: what they should be. A line of other values than here (without the data sets, say) is not compared.
    """
    table = [" | ".join(re.split(r"\s*\|\s*", text.strip(" |"))) for text in readme.splitlines()]
    stale = []
    for text in lines:
        quantity, values = text.split(" | ")[:2]
        same = [one for one in table if one.startswith(f"{quantity} | {values} |")]
        other = [one for one in table if one.startswith(f"{quantity} | ")]
        if (same and text not in same) or not other:
            stale.append(text)
    return stale


def main(arguments: list[str] | None = None) -> int:
    """Run every validation file and print the table, or write the page; 0 when all hold, 1 when one does not, 2 when
    it cannot be run.
    """
    parser = argparse.ArgumentParser(
        description="Check the program against the outside and print every value."
    )
    parser.add_argument(
        "--page", metavar="FILE.html", type=Path, help="write a page instead of printing the table"
    )
    parser.add_argument(
        "--recorded", metavar="FILE", type=Path, help="of a run of pytest --record FILE: checks nothing anew"
    )
    asked = parser.parse_args(arguments)
    if absent := missing():
        print(f"These checks need more than the program needs. Not installed: {', '.join(absent)}.")
        print(f"In the folder of README.md: {INSTALL}")
        return 2
    try:
        found = _compute() if asked.recorded is None else _recorded(asked.recorded)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    from listing import listing, readme_lines
    from page import build_page

    if asked.page is not None:
        asked.page.write_text(build_page(*found), encoding="utf-8")
        print(f"{len(found.rows)} values checked, written to {asked.page}")
    else:
        print("\n".join(listing(found.rows, found.failed, found.skipped)))
    stale = out_of_date(readme_lines(found.rows), (ROOT / "README.md").read_text(encoding="utf-8"))
    for text in stale:
        print(f"README.md does not have this line of the table as it is now: | {text} |")
    return 1 if found.failed or stale else 0


def _compute() -> Found:
    """What all checks find now."""
    import pytest

    print("Checking against outside sources; this takes one to three minutes.", file=sys.stderr, flush=True)
    watch = Watch()
    folder = str(Path(__file__).parent)
    quiet = ["-o", "addopts=--import-mode=importlib", "--rootdir", str(ROOT)]
    quiet += ["-p", "no:terminal", "-p", "no:cacheprovider", "-p", "no:xdist"]
    status = int(pytest.main([folder, *quiet], plugins=[watch]))
    import table  # the module that the checks booked into, when this one runs as a script

    if status and not watch.failed:
        watch.failed.append(f"pytest itself, with status {status}")
    return Found(table.ROWS, table.ABOUTS, watch.failed, watch.skipped)


def _recorded(path: Path) -> Found:
    """What a run of the tests wrote."""
    from record import read

    return Found(*read(path))


if __name__ == "__main__":
    sys.exit(main())
