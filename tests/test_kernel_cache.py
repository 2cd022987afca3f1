"""Compiled kernels do not outlive the laws they were compiled from."""

import subprocess
import sys
import textwrap

import pytest

from featherbench.kernel_cache import STAMP, discard_outdated


@pytest.fixture
def package(tmp_path):
    for room in ("rotor", "plant"):
        (tmp_path / room / "__pycache__").mkdir(parents=True)
        (tmp_path / room / "law.py").write_text("from numba import njit\n")
        (tmp_path / room / "words.py").write_text("TEXT = 1\n")
    return tmp_path


def compiled(package):
    """Leaves the traces of a compile and says where."""
    traces = [package / room / "__pycache__" / "law.f-1.py311.nbi" for room in ("rotor", "plant")]
    for trace in traces:
        trace.write_text("compiled")
    return traces


def test_a_changed_law_in_one_room_clears_all_rooms(package):
    assert discard_outdated(package)  # nothing is known about what may lie there
    traces = compiled(package)
    assert not discard_outdated(package)
    assert all(trace.exists() for trace in traces)
    (package / "rotor" / "law.py").write_text("from numba import njit  # another law\n")
    assert discard_outdated(package)
    assert not any(trace.exists() for trace in traces)
    assert not discard_outdated(package)


def test_other_sources_do_not_matter(package):
    discard_outdated(package)
    traces = compiled(package)
    (package / "plant" / "words.py").write_text("TEXT = 2\n")
    assert not discard_outdated(package)
    assert all(trace.exists() for trace in traces)


def test_a_cache_without_a_stamp_is_not_trusted(package):
    traces = compiled(package)
    assert discard_outdated(package)
    assert not any(trace.exists() for trace in traces)
    assert (package / "plant" / "__pycache__" / STAMP).exists()


def test_numba_by_itself_would_keep_the_old_law(tmp_path):
    """Why this is needed; should numba ever follow calls into other files, this fails and the module can go."""
    package = tmp_path / "pair"
    for room in ("servo", "plant"):
        (package / room).mkdir(parents=True)
        (package / room / "__init__.py").touch()
    (package / "__init__.py").touch()
    law = package / "servo" / "law.py"
    kernel = "from numba import njit\n\n\n@njit(cache=True)\ndef law(x):\n    return x + {}\n"
    law.write_text(kernel.format("1.0"))
    (package / "plant" / "user.py").write_text(
        textwrap.dedent(
            """
            from numba import njit

            from pair.servo.law import law


            @njit(cache=True)
            def user(x):
                return law(x)
            """
        )
    )

    def result():
        code = "from pair.plant.user import user; print(user(0.0))"
        run = subprocess.run(
            [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
        )
        return float(run.stdout)

    assert result() == 1.0
    discard_outdated(package)
    assert result() == 1.0
    law.write_text(kernel.format("2.0"))
    assert result() == 1.0  # stale
    assert discard_outdated(package)
    assert result() == 2.0
