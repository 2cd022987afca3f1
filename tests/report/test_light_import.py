"""What a short command loads: nothing that draws, lays out or compiles."""

from __future__ import annotations

import subprocess
import sys

import featherbench.report


def test_writing_a_file_loads_nothing_heavy() -> None:
    code = (
        "import sys; from featherbench.report import write_whole, OutputRefused; "
        "print(sorted({'matplotlib', 'jinja2', 'rich', 'numpy', 'numba', 'pint', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_text_and_json_load_nothing_that_draws() -> None:
    code = (
        "import sys; from featherbench.report import print_run, json_text, csv_text; "
        "print(sorted({'matplotlib', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_public_name_is_where_it_is_said_to_be() -> None:
    for name in featherbench.report.__all__:
        assert callable(getattr(featherbench.report, name))
    assert set(featherbench.report.__all__) == set(featherbench.report._HOMES)
