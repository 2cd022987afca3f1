"""The same builds on a dask cluster of two workers on the loopback: by its address, by its executor, worker by worker
lost."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("distributed", reason='needs dask.distributed: pip install ".[cluster]"')

SCRIPT = """
import sys
from pathlib import Path
from distributed import Client, LocalCluster
import featherbench as fb
from conftest import rig_tables

def touchy(run):
    import os
    if round(run.scenario.part["blade"].mass * 1e6) == 5200:
        os._exit(3)
    return run.setup.moments.mass

if __name__ == "__main__":
    rig, out = fb.scenario_of(rig_tables()), Path(sys.argv[1])
    grid = {"rotor.speed": "8000..9000 rpm:6", "part.blade.mass": ["5 g", "6 g", "-1 g"]}
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        address = cluster.scheduler_address.replace("tcp://", "dask://")
        fb.sweep(rig, grid, ["rod_force_static", "release"], executor=address, out=out / "address")
        with Client(cluster) as client:
            fb.sweep(rig, grid, ["rod_force_static", "release"], executor=client.get_executor(), out=out / "executor")
        lost = fb.sweep(rig, {"part.blade.mass": ["5 g", "5.1 g", "5.2 g", "5.3 g"]}, touchy, executor=address)
        lost.to_frame().to_csv(out / "lost.csv")
    fb.sweep(rig, grid, ["rod_force_static", "release"], jobs=1, out=out / "here")
"""


def test_two_workers_give_the_same_bytes_and_a_build_that_kills_them_is_refused(tmp_path):
    import pandas as pd

    script = tmp_path / "study.py"
    script.write_text(SCRIPT, encoding="utf-8")
    env = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[1]), *sys.path]),
        "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
        "DASK_DISTRIBUTED__WORKER__MULTIPROCESSING_METHOD": "forkserver",  # which has loaded dask, once
    }
    done = subprocess.run(
        [sys.executable, str(script), str(tmp_path)], env=env, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr[-3000:]
    here, *others = (
        {file.name: file.read_bytes() for file in (tmp_path / name).iterdir()}
        for name in ("here", "address", "executor")
    )
    assert len(here) == 19
    assert all(other == here for other in others)
    lost = pd.read_csv(tmp_path / "lost.csv", keep_default_na=False)
    assert lost["touchy"].astype(bool).tolist() == [True, True, False, True]
    assert "ended without a word" in lost["refused"][2]
