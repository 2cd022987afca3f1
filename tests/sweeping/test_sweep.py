"""A sweep: the same whatever runs it, whole or to be gone on with, and what is wrong with a build said of it alone."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from featherbench.scenario import ScenarioError, read
from featherbench.studies import predict
from featherbench.studies.engines import EngineError, usable_cores
from featherbench.sweeping import sweep as module
from featherbench.sweeping.folder import MANIFEST, FolderRefused
from featherbench.sweeping.study import Study, packed
from featherbench.sweeping.sweep import sweep
from featherbench.sweeping.values import values

NAMES = ["rod_force_static", "release", "strength", "hover_pitch"]
SPEEDS = "8000..9000 rpm:8"
WORKERS = """
import os, time
def force(run):
    return {"push": run.value("rod_force_push"), "is": run.findings["release"].value}
def touchy(run):
    if round(run.scenario.part["blade"].mass * 1e6) == 5300:
        os._exit(3)
    return run.setup.moments.mass
def slow(run):
    time.sleep(0.05)
    return run.setup.moments.mass
"""


@pytest.fixture(scope="module")
def rig(scenario_of):
    return scenario_of()


@pytest.fixture
def workers(tmp_path, monkeypatch):
    """A module of a user's functions, which worker processes find as well."""
    (tmp_path / "users_own.py").write_text(WORKERS, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(tmp_path), *sys.path]))
    monkeypatch.syspath_prepend(str(tmp_path))
    import users_own

    yield users_own
    del sys.modules["users_own"]


def files_of(folder):
    return {file.name: file.read_bytes() for file in folder.iterdir() if not file.name.startswith(".")}


def test_values_of_each_build_are_those_of_a_prediction_of_it(rig, grid):
    frame = sweep(rig, grid, ["rod_force_push", "release", "current_hold_high", "mass"], jobs=1).to_frame()
    for build, (speed, mass) in enumerate(
        [(s, m) for s in ("8000 rpm", "9000 rpm") for m in ("5 g", "6 g", "-1 g")]
    ):
        row = frame.loc[build]
        if mass == "-1 g":
            assert "part.blade.mass" in row["refused"]
            assert np.isnan(row["rod_force_push [N]"])
            continue
        alone = predict(read(rig, {"rotor.speed": speed, "part.blade.mass": mass})).findings
        assert row["refused"] == ""
        assert row["release"] == alone["release"].value
        for name in ("rod_force_push [N]", "current_hold_high [A]", "mass [kg]"):
            assert row[name] == alone[name.split(" ")[0]].value
        assert row["part.blade.mass [kg]"] == float(mass.split()[0]) * 1e-3


def test_a_users_function_is_given_a_prediction(rig):
    def both(run):
        return {"push": run.value("rod_force_push"), "verdict": run.findings["release"].value}

    frame = sweep(rig, {"rotor.speed": SPEEDS}, both, jobs=1).to_frame()
    alone = predict(read(rig, {"rotor.speed": "9000 rpm"}))
    assert frame["push"].iloc[-1] == alone.value("rod_force_push")
    assert set(frame["verdict"]) <= {"returns", "stays", "runs out"}


def test_the_same_bytes_whatever_runs_it_and_however_many(rig, grid, tmp_path):
    grid = {**grid, "rotor.speed": SPEEDS}
    swept = [sweep(rig, grid, NAMES, jobs=1, out=tmp_path / "one")]
    swept.append(sweep(rig, grid, NAMES, jobs=2, out=tmp_path / "two"))
    with ThreadPoolExecutor(3) as pool:
        swept.append(sweep(rig, grid, NAMES, executor=pool, out=tmp_path / "three"))
    first = files_of(tmp_path / "one")
    assert len(first) == 25  # 24 builds, a file each, and what they belong to
    assert files_of(tmp_path / "two") == first
    assert files_of(tmp_path / "three") == first
    in_memory = sweep(rig, grid, NAMES, jobs=1)
    for one in swept:
        assert one.complete
        assert one.to_frame().equals(in_memory.to_frame())
        assert vars(one.tally) == vars(in_memory.tally)


def test_shards_together_are_the_whole(rig, grid, tmp_path):
    grid = {**grid, "rotor.speed": SPEEDS}
    sweep(rig, grid, NAMES, jobs=1, out=tmp_path / "whole")
    parts = [sweep(rig, grid, NAMES, jobs=1, out=tmp_path / "parts", shard=(n, 3)) for n in (3, 1, 2)]
    assert [part.done for part in parts] == [8, 8, 8]
    assert files_of(tmp_path / "parts") == files_of(tmp_path / "whole")
    assert sweep(rig, grid, NAMES, jobs=1, out=tmp_path / "parts").done == 24


@pytest.mark.parametrize("shard", [(0, 3), (4, 3), (1, 0)])
def test_a_shard_that_is_none_is_refused(rig, grid, shard):
    with pytest.raises(ValueError, match=r"from 1/|1/0"):
        sweep(rig, grid, NAMES, jobs=1, shard=shard)


def test_an_interrupt_keeps_what_is_done_and_the_rest_is_done_later(rig, tmp_path, monkeypatch):
    def interrupt(done, total):
        assert total == 8
        if done == 3:
            raise KeyboardInterrupt

    part = sweep(rig, {"rotor.speed": SPEEDS}, NAMES, jobs=1, out=tmp_path / "a", progress=interrupt)
    assert not part.complete
    assert part.done == len(files_of(tmp_path / "a")) - 1 == 3
    run, count = [], module.Runner.run
    monkeypatch.setattr(module.Runner, "run", lambda self, work: count(self, run_through(work, run)))
    whole = sweep(rig, {"rotor.speed": SPEEDS}, NAMES, jobs=1, out=tmp_path / "a")
    assert whole.complete
    assert len(run) == 5
    sweep(rig, {"rotor.speed": SPEEDS}, NAMES, jobs=1, out=tmp_path / "b")
    assert files_of(tmp_path / "a") == files_of(tmp_path / "b")


def run_through(work, seen):
    for one in work:
        seen.append(one)
        yield one


SCRIPT = """
import sys
import featherbench as fb
from conftest import rig_tables
if __name__ == "__main__":
    fb.sweep(fb.scenario_of(rig_tables()), {"rotor.speed": "8000..9000 rpm:30"}, ["rod_force_static", "release"],
             jobs=int(sys.argv[2]), out=sys.argv[1])
"""


def test_killed_at_a_random_moment_and_gone_on_with_it_comes_to_the_same_bytes(rig, tmp_path):
    script = tmp_path / "study.py"
    script.write_text(SCRIPT, encoding="utf-8")
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[1]), *sys.path])}
    words = [sys.executable, str(script), str(tmp_path / "killed"), "2"]
    running = subprocess.Popen(words, env=env, start_new_session=True)
    moment = np.random.default_rng().uniform(0.0, 0.5)
    deadline = time.monotonic() + 120.0
    while len(list((tmp_path / "killed").glob("chunk-*"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.01)
    time.sleep(moment)
    os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    before = files_of(tmp_path / "killed")
    assert len(before) >= 3
    grid = {"rotor.speed": "8000..9000 rpm:30"}
    sweep(rig, grid, ["rod_force_static", "release"], jobs=1, out=tmp_path / "killed")
    sweep(rig, grid, ["rod_force_static", "release"], jobs=1, out=tmp_path / "whole")
    after = files_of(tmp_path / "whole")
    assert {name: data for name, data in after.items() if name in before} == before
    assert files_of(tmp_path / "killed") == after


def test_a_build_that_takes_its_worker_along_is_refused_alone(rig, workers):
    masses = [f"{mass} g" for mass in (5.1, 5.2, 5.3, 5.4, 5.5)]
    frame = sweep(rig, {"part.blade.mass": masses}, workers.touchy, jobs=2).to_frame()
    died = frame["refused"] != ""
    assert frame["part.blade.mass [kg]"][died].tolist() == [5.3e-3]
    assert frame["refused"][died].str.contains("ended without a word").all()
    assert frame["touchy"][~died].notna().all()


def test_a_build_on_which_the_function_fails_is_refused_alone(rig):
    def heavy(run):
        return 1.0 / (run.setup.scenario.part["blade"].mass > 5.5e-3)

    frame = sweep(rig, {"part.blade.mass": ["6 g", "5 g", "7 g"]}, heavy, jobs=1).to_frame()
    assert (frame["refused"] != "").tolist() == [False, True, False]
    assert frame["refused"][1].startswith("the function failed on it: ZeroDivisionError: ")


def test_a_function_that_fails_on_every_build_is_said_before_any_is_kept(rig, tmp_path):
    with pytest.raises(ValueError, match="KeyError: \"no 'rod_force'; did you mean"):
        sweep(rig, {"rotor.speed": SPEEDS}, lambda run: run.findings["rod_force"], jobs=1, out=tmp_path / "a")
    assert not (tmp_path / "a").exists()


def test_a_function_that_changes_its_mind_is_said_of_the_build(rig):
    def moody(run):
        return 1.0 if run.scenario.rotor.speed < 900.0 else "fast"

    frame = sweep(rig, {"rotor.speed": ["8000 rpm", "9000 rpm"]}, moody, jobs=1).to_frame()
    assert "not what it gave of the first build" in frame["refused"].iloc[1]


def test_a_function_that_other_processes_cannot_find_is_refused_in_words(rig, monkeypatch):
    monkeypatch.setattr("featherbench.sweeping.study.find_spec", lambda _: None)
    with pytest.raises(ValueError, match=r"<lambda> cannot be sent .* install cloudpickle, or use jobs=1"):
        packed(Study(rig.source.tree, (), lambda _: 1.0))


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"base": {"servo.damping": "2 ms"}}, "base"),
        ({"grid": {"rotor.speed": "8000..9001 rpm:8"}}, "grid"),
        ({"grid": {"rotor.speed": "8000..9000 rpm:9"}}, "grid"),
        ({"names": ["rod_force_static"]}, "set of values"),
        ({"names": lambda _: 1.0}, "set of values"),
        ({"program": "0.0.9 abc"}, "version of the program"),
    ],
)
def test_a_folder_of_something_else_is_never_gone_on_with(rig, tmp_path, monkeypatch, change, what):
    def run(base, grid, names):
        return sweep(base, grid, names, jobs=1, out=tmp_path / "kept")

    run(rig, {"rotor.speed": SPEEDS}, ["release"])
    before = files_of(tmp_path / "kept")
    if "program" in change:
        monkeypatch.setattr(module, "program_digest", lambda: change["program"])
    with pytest.raises(FolderRefused, match=f"another {what}: name a new folder"):
        run(
            read(rig, change.get("base")),
            change.get("grid", {"rotor.speed": SPEEDS}),
            change.get("names", ["release"]),
        )
    assert files_of(tmp_path / "kept") == before


def test_a_file_that_the_base_names_counts_as_the_base(tables, tmp_path):
    from featherbench.scenario import scenario_of

    rows = "\n".join(f"{a},{0.1 * a},0.02,0" for a in range(-20, 21, 2))
    (tmp_path / "polar.csv").write_text(f"alpha,c_l,c_d,c_m\n{rows}\n", encoding="utf-8")
    scenario = scenario_of(tables(blade={"polar": "polar.csv"}), folder=tmp_path)
    sweep(scenario, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept")
    (tmp_path / "polar.csv").write_text(
        f"alpha,c_l,c_d,c_m\n{rows.replace('0.02', '0.03')}\n", encoding="utf-8"
    )
    with pytest.raises(FolderRefused, match="another base"):
        sweep(scenario, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept")


def test_other_folders_and_damaged_files_are_said(rig, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "holiday.txt").write_text("sun", encoding="utf-8")
    with pytest.raises(FolderRefused, match="holds other files: name a new folder"):
        sweep(rig, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "mine")
    sweep(rig, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept")
    shard = next((tmp_path / "kept").glob("chunk-*"))
    shard.write_bytes(shard.read_bytes()[:20])
    with pytest.raises(
        FolderRefused, match=f"{shard.name} cannot be read .* delete it, and run the same again"
    ):
        sweep(rig, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept")
    shard.unlink()
    assert sweep(rig, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept").complete
    (tmp_path / "kept" / MANIFEST).write_text("{}", encoding="utf-8")
    with pytest.raises(FolderRefused, match="not of a sweep that this program kept"):
        sweep(rig, {"rotor.speed": SPEEDS}, ["mass"], jobs=1, out=tmp_path / "kept")


@pytest.mark.parametrize(
    ("grid", "said"),
    [
        ({"rotor.sped": SPEEDS}, "did you mean|speed"),
        ({"rotor.speed": "8000..9000:5"}, "rpm"),
        ({"rotor.speed": [8000, 9000]}, "needs a unit"),
        ({"rotor.speed": "8000..9000 g:3"}, 'needs rpm, and "g" is a mass'),
        ({"part.nothing.mass": "1..2 g:3"}, "part.nothing"),
    ],
)
def test_what_no_build_can_be_is_refused_before_any_is_run(rig, tmp_path, grid, said):
    with pytest.raises(ScenarioError, match=said):
        sweep(rig, grid, NAMES, jobs=1, out=tmp_path / "a")
    assert not (tmp_path / "a").exists()


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["rod_force_psh"], "did you mean rod_force_push"),
        (["wag_heading"], "no finding of a bench run"),
        ([], "no values"),
        ("rod_force", "did you mean"),
    ],
)
def test_a_value_that_no_run_gives_is_refused_with_near_names(rig, names, said):
    with pytest.raises(ValueError, match=said):
        sweep(rig, {"rotor.speed": SPEEDS}, names, jobs=1)


def test_a_base_that_was_changed_past_the_checks_is_refused(rig):
    other = rig.model_copy(update={"rotor": rig.rotor.model_copy(update={"speed": 1200.0})})
    with pytest.raises(ScenarioError, match="changed after it was read"):
        sweep(other, {"servo.damping": "1..3 ms:3"}, NAMES, jobs=1)
    assert sweep(read(rig, {"rotor.speed": 1200.0}), {"servo.damping": ["1 ms"]}, NAMES, jobs=1).complete


def test_scipy_finds_a_weight_by_the_values_alone(rig, weight):
    """The height of a pair of weights at which the mass pull is two thirds cancelled, as a root of the values."""
    from scipy.optimize import brentq

    from featherbench.scenario import from_tables

    base = from_tables({**tables_of(rig), "part": {**tables_of(rig)["part"], **weight(0.6, 6.0)}})

    def left(height):
        build = read(base, {"part.weight.at.normal": float(height)})
        return values(build, ["compensation"])["compensation"] - 2.0 / 3.0

    height = brentq(left, 4e-3, 3e-2, xtol=1e-9)
    found = predict(read(base, {"part.weight.at.normal": float(height)}))
    assert found.value("compensation") == pytest.approx(2.0 / 3.0, abs=1e-5)


def tables_of(scenario):
    return scenario.source.tree.raw


def test_an_engine_that_is_none_is_said(rig, monkeypatch):
    """Ten seconds a cluster is waited for, as is looked at here, are not waited out."""
    with contextlib.suppress(ImportError):
        import distributed

        def soon(address, *, timeout, client=distributed.Client, **more):
            assert timeout == "10s"
            return client(address, timeout="0.3s", **more)

        monkeypatch.setattr(distributed, "Client", soon)
    for executor in ("cluster", "dask://127.0.0.1:1"):
        with pytest.raises(EngineError, match=r"an address such as|does not answer|needs the package"):
            sweep(rig, {"rotor.speed": SPEEDS}, NAMES, executor=executor)
    with pytest.raises(EngineError, match="at least 1"):
        sweep(rig, {"rotor.speed": SPEEDS}, NAMES, jobs=0)


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="no affinity on this system")
def test_no_more_workers_than_the_affinity_allows():
    mine = os.sched_getaffinity(0)
    try:
        os.sched_setaffinity(0, {min(mine)})
        assert usable_cores() == 1
    finally:
        os.sched_setaffinity(0, mine)
