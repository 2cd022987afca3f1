"""What a short command loads: nothing that draws, lays out or compiles."""

from __future__ import annotations

import subprocess
import sys

from featherbench.render.gallery import PAINTERS, painter


def test_writing_a_file_loads_nothing_heavy() -> None:
    code = (
        "import sys; from featherbench.render.files import write_whole; "
        "print(sorted({'matplotlib', 'jinja2', 'rich', 'numpy', 'numba', 'pint', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_text_and_json_load_nothing_that_draws() -> None:
    code = (
        "import sys; import featherbench.views.bench, featherbench.render.terminal, featherbench.render.document; "
        "print(sorted({'matplotlib', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_kind_of_picture_has_its_painter() -> None:
    for kind in PAINTERS:
        assert callable(painter(kind))
