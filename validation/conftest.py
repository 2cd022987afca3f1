"""What all checks against outside sources share: no example of a property is timed."""

import os
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see featherbench/cli.py

import hypothesis
import pytest

# no check depends on how busy the machine is
hypothesis.settings.register_profile("untimed", deadline=None, max_examples=40)
hypothesis.settings.load_profile("untimed")


def pytest_addoption(parser):
    parser.addoption(
        "--record",
        metavar="FILE",
        type=Path,
        help="write what the outside checks find, for `python validation/table.py --recorded FILE`",
    )


def pytest_configure(config):
    """Each tester keeps its own rows and adds them at its end; who hands out the tests has none."""
    path = config.getoption("--record")
    if path is None:
        return
    tester = hasattr(config, "workerinput")
    if path.exists() and not tester:
        raise pytest.UsageError(f"--record {path}: there is a file of that name; give another")
    if tester or not config.getoption("numprocesses", None):
        from record import Recorder

        config.pluginmanager.register(Recorder(path))
