"""What a run of the tests found of the outside checks, kept in a file: the table is made of it without a second run.

`pytest --record FILE` writes it, `python validation/table.py --recorded FILE` reads it. Testers that work side by
side each add a line of their own.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import table
from source import About
from table import Found, Row, Watch

FOLDER = Path(__file__).resolve().parent


class Recorder(Watch):
    """A Watch that also notes which files of checks had their say, and adds all of it to a file at the end."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path
        self.files: set[str] = set()

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Book one report, if it is of an outside check."""
        name = Path(report.nodeid.split("::")[0])
        if name.name in checks() and name.parent.name == FOLDER.name:
            self.files.add(name.name)
            super().pytest_runtest_logreport(report)

    def pytest_sessionfinish(self) -> None:
        """Add one line, in one go: another tester may add its own at the same time."""
        ours = {path.name for path in FOLDER.glob("*.py")}  # not what tests of the table itself book
        own = {
            "rows": [row for row in table.ROWS if row.file in ours],
            "abouts": {file: about for file, about in table.ABOUTS.items() if file in ours},
            "failed": self.failed,
            "skipped": self.skipped,
            "files": sorted(self.files),
        }
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(own, default=lambda value: value.item()) + "\n")


def checks() -> list[str]:
    """Names of the files of outside checks."""
    return sorted(path.name for path in FOLDER.glob("test_*.py"))


def read(path: Path) -> Found:
    """What all testers added, in the order of the files.

    Raises ValueError when it is no record or a file of checks is missing from it: a table must not be of a part.
    """
    try:
        lines = [json.loads(text) for text in path.read_text(encoding="utf-8").splitlines()]
        files = {file for line in lines for file in line["files"]}
        rows = [Row(*row) for line in lines for row in line["rows"]]
        abouts = {
            file: (About(*about) if about else None, text)
            for line in lines
            for file, (about, text) in line["abouts"].items()
        }
        failed = {name for line in lines for name in line["failed"]}
        skipped = {(name, why) for line in lines for name, why in line["skipped"]}
    except (OSError, UnicodeDecodeError, LookupError, TypeError, AttributeError, ValueError) as error:
        raise ValueError(f"{path}: not what pytest --record writes: {error}") from error
    if absent := sorted(set(checks()) - files):
        raise ValueError(
            f"{path}: nothing of {', '.join(absent)} in it. Record the whole run: pytest --record {path}"
        )
    return Found(sorted(rows, key=lambda row: row.file), abouts, sorted(failed), sorted(skipped))
