"""Which functions of the program each test reaches, and how long it takes: a pytest plugin of the mutation run.

Calls only are traced, so a run takes little longer than without. What a fixture reached when it was made counts for
each test that asks for it. Compiled laws call each other unseen; with NUMBA_DISABLE_JIT=1 they are seen, too, and then
MUTATION_LIMIT gives up a test after so many seconds of CPU.

MUTATION_MAP names the file to write, MUTATION_PACKAGE the folder of the program.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

PACKAGE = os.environ.get("MUTATION_PACKAGE", "") + os.sep
LIMIT = float(os.environ.get("MUTATION_LIMIT", "0"))


class Reach:
    """What is being reached now, and what each fixture and each test reached."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.now: set[str] = set()
        self.fixtures: dict[int, set[str]] = {}
        self.tests: dict[str, dict[str, Any]] = {}
        self.passed: set[str] = set()
        self.failed: set[str] = set()

    def trace(self, frame: FrameType, _event: str, _argument: object) -> None:
        """Note a call of a function of the program."""
        code = frame.f_code
        if code.co_filename.startswith(PACKAGE):
            self.now.add(code.co_filename[len(PACKAGE) :] + "::" + code.co_qualname)


reach = Reach()


def function_of(name: str) -> str:
    """The named function a call belongs to: file and qualified name, without what is defined inside it."""
    return name.split(".<locals>")[0]


def pytest_sessionstart() -> None:
    """Trace this thread and those to come."""
    threading.settrace(reach.trace)
    sys.settrace(reach.trace)


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef: pytest.FixtureDef[Any]) -> Iterator[None]:
    """Keep what making this fixture reaches apart."""
    before, reach.now = reach.now, set()
    try:
        return (yield)
    finally:
        reach.fixtures[id(fixturedef)] = reach.now
        reach.now = before


def _give_up(*_: object) -> None:
    raise TimeoutError("longer than MUTATION_LIMIT")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Note what this test reaches, by itself and by its fixtures."""
    reach.now = set()
    sys.settrace(reach.trace)
    start = time.process_time()
    if LIMIT:
        signal.signal(signal.SIGPROF, _give_up)
        signal.setitimer(signal.ITIMER_PROF, LIMIT, 0.3)
    try:
        return (yield)
    finally:
        if LIMIT:
            signal.setitimer(signal.ITIMER_PROF, 0)
        names = set(reach.now)
        for definitions in getattr(item, "_fixtureinfo").name2fixturedefs.values():  # noqa: B009
            for definition in definitions:
                names |= reach.fixtures.get(id(definition), set())
        functions = sorted({function_of(name) for name in names})
        reach.tests[item.nodeid] = {"seconds": round(time.process_time() - start, 3), "functions": functions}


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Only tests that pass are of use."""
    if report.failed:
        reach.failed.add(report.nodeid)
    elif report.when == "call" and report.passed:
        reach.passed.add(report.nodeid)


def pytest_sessionfinish() -> None:
    """Write the map."""
    sys.settrace(None)
    good = reach.passed - reach.failed
    Path(os.environ["MUTATION_MAP"]).write_text(
        json.dumps({name: kept for name, kept in reach.tests.items() if name in good}), encoding="utf-8"
    )
