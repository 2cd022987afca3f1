"""Studies on other executors: every task and result can go to another process, and comes to the same there."""

import os
import pickle
import signal
import subprocess
import sys
import time
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

from exact import EXACT
from featherbench.studies import coming as coming_module
from featherbench.studies.coming import RUNS_EACH, coming
from featherbench.studies.engines import EngineError, Lasting, Processes, Sent, engine_for
from featherbench.studies.ensemble import IN_FLIGHT, run_many


class Elsewhere(Executor):
    """Runs a task as another process would: on copies, out of bytes; counts what is on its way."""

    _max_workers = 2

    def __init__(self):
        self.handed_in = self.most = 0

    def submit(self, task, *given):
        self.handed_in += 1
        task, given = pickle.loads(pickle.dumps((task, given)))
        future = Future()
        future.set_result(pickle.loads(pickle.dumps(task(*given))))
        return future


@pytest.fixture(scope="module")
def rig(scenario_of):
    return scenario_of(part={"blade": {"mass": "5.6 +/- 0.2 g"}}, servo={"dead_band": "0.3 +/- 0.05 deg"})


def test_spread_and_sampled_elsewhere(rig):
    from featherbench.sampling.sampled import sampled
    from featherbench.sampling.spread import spread
    from featherbench.studies import predict

    elsewhere = Elsewhere()
    here, there = spread(rig, runs=16), spread(rig, runs=16, executor=elsewhere)
    assert elsewhere.handed_in == 16
    assert there.samples == here.samples
    assert {name: one.shares for name, one in there.findings.items()} == {
        name: one.shares for name, one in here.findings.items()
    }
    run = predict(rig)
    assert (
        sampled([run], 4, executor=Elsewhere()).builds[0].intervals == sampled([run], 4).builds[0].intervals
    )


def test_rank_elsewhere(rig):
    from featherbench import rank, read

    slower = {"slower": read(rig, {"rotor.speed": "8500 rpm"})}
    here, there = (
        rank(rig, slower, ordinary=False, count=2, executor=executor) for executor in (None, Elsewhere())
    )
    assert [one.values for one in there.tried] == [one.values for one in here.tried]
    assert [one.ranges for one in there.tried] == [one.ranges for one in here.tried]


def test_match_elsewhere():
    import featherbench as fb

    plain = fb.read(fb.example("survey-3kg/plain"))
    data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    here, there = (fb.match(plain, data, runs=3, executor=executor) for executor in (None, Elsewhere()))
    assert there.to_frame().equals(here.to_frame())


def test_wag_and_bias_elsewhere():
    import featherbench as fb

    worn = fb.read(fb.example("survey-3kg/worn"))
    wags = [fb.wag(worn, draws=2, seconds=2.0, executor=executor) for executor in (None, Elsewhere())]
    assert wags[0].findings == wags[1].findings
    sweep = {"compensations": np.array([0.0, 0.5]), "phases": np.array([0.0]), "draws": 2}
    swept = [fb.bias(worn, **sweep, executor=executor) for executor in (None, Elsewhere())]
    # as texts: a turn that floats the blades nowhere is nan, which is not even itself
    assert [str(vars(point)) for point in swept[0].points] == [str(vars(point)) for point in swept[1].points]
    assert swept[0].choices == swept[1].choices


def test_a_few_tasks_a_worker_are_handed_in_at_a_time():
    class Slow(Executor):
        _max_workers = 3

        def __init__(self):
            self.open = []

        def submit(self, task, *given):
            future = Future()
            self.open.append((future, task, given))
            assert len(self.open) <= 3 * IN_FLIGHT
            if len(self.open) == 3 * IN_FLIGHT or given[0] == 99:
                for one, own, what in self.open:
                    one.set_result(own(*what))
                self.open = []
            return future

    assert run_many(abs, list(range(100)), executor=Slow()).results == {
        number: number for number in range(100)
    }


def test_a_worker_that_dies_is_said_in_words():
    class Dead(Executor):
        def submit(self, *_):
            future = Future()
            future.set_exception(BrokenExecutor())
            return future

    with pytest.raises(EngineError, match="out of memory"):
        run_many(abs, [1], executor=Dead())


def touchy(given):
    """Takes its process along: a "poison" each time, an "unlucky" file once."""
    kind, value = given
    if kind == "poison":
        os._exit(3)
    if kind == "unlucky" and not os.path.exists(value):
        with open(value, "x", encoding="utf-8"):
            pass
        os._exit(3)
    return value


def test_what_was_lost_with_a_worker_is_run_again_and_what_kills_them_is_refused_alone(tmp_path):
    work = [("plain", number) for number in range(9)]
    work[4], work[6] = ("unlucky", str(tmp_path / "once")), ("poison", 0)
    kept = {}
    with engine_for(None, 2) as engine:
        done = run_many(
            touchy, work, executor=Lasting(engine), refused=lambda why: why, keep=kept.__setitem__
        )
        assert done.complete
        assert kept == done.results
        assert "twice" in done.results[6]
        assert {index: done.results[index] for index in range(9) if index != 6} == {
            **{index: index for index in (0, 1, 2, 3, 5, 7, 8)},
            4: str(tmp_path / "once"),
        }
        with pytest.raises(EngineError, match=r"run 1 of 3: .* twice"):
            run_many(touchy, [("plain", 0), ("poison", 0), ("plain", 2)], executor=Lasting(engine))


def test_a_task_is_taken_apart_once_a_process():
    one, other = Sent.of(Counted()), Sent.of(Counted())
    assert [one(1), one(1), other(1), Sent(one.packed)(1)] == [1, 2, 3, 4]
    assert pickle.loads(pickle.dumps(one)) == one


class Counted:
    """Counts what it is given."""

    count = 0

    def __call__(self, given):
        self.count += given
        return self.count


def test_calibrate_elsewhere():
    import featherbench as fb

    # but for two doubts, which are fitted along, nothing is uncertain: with a dozen the fit takes longer, no other way
    free, along = ("linkage.slider_friction", "scale.inertia"), ("doubt.air_stall", "linkage.horn_arm")
    known = {key: value for key, value in EXACT.items() if key not in (*free, *along)}
    plain = fb.read(fb.example("survey-3kg/plain"), known)
    data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    elsewhere = Elsewhere()
    here, there = (fb.calibrate(plain, data, free, executor=executor) for executor in (None, elsewhere))
    assert elsewhere.handed_in > 10
    assert there.to_frame().equals(here.to_frame())
    assert there.fitted.evaluations == here.fitted.evaluations
    assert there.aside == here.aside
    assert there.notes == here.notes


def test_size_elsewhere():
    import featherbench as fb

    plain = fb.read(fb.example("survey-3kg/plain"))
    elsewhere = Elsewhere()
    here, there = (fb.size(plain, "standard", executor=executor) for executor in (None, elsewhere))
    assert elsewhere.handed_in == len(here.alternatives)
    assert there.alternatives == here.alternatives
    assert there.scenario == here.scenario


def test_spread_on_processes(rig):
    from featherbench.sampling.spread import spread

    with ProcessPoolExecutor(2, mp_context=get_context("forkserver")) as pool:
        assert spread(rig, runs=16, executor=pool).samples == spread(rig, runs=16).samples


class Several(Elsewhere):
    """Takes several inputs as one task."""

    takes_several = True


def test_short_runs_go_to_other_processes_several_at_a_time():
    several, one = Several(), Elsewhere()
    numbers = [float(number) for number in range(100)]
    told, kept = [], {}
    done = run_many(
        abs,
        numbers,
        executor=several,
        together=5,
        known={3: 3.0},
        keep=kept.__setitem__,
        progress=lambda *counts: told.append(counts),
    )
    assert done.results == dict(enumerate(numbers))
    assert kept == {index: number for index, number in enumerate(numbers) if index != 3}
    assert told == [(count, 100) for count in range(2, 101)]
    # whole fives at first, single ones at last, so that no worker is left with five while the others have none
    assert 99 / 5 < several.handed_in < 60
    assert run_many(abs, numbers, executor=one, together=5).results == done.results
    assert one.handed_in == 100


@pytest.mark.parametrize("kind", ["unlucky", "poison"])
def test_several_at_a_time_lose_no_run_with_a_worker(tmp_path, kind):
    work = [("plain", number) for number in range(40)]
    work[5] = (kind, str(tmp_path / "once"))
    with engine_for(None, 2) as engine:
        done = run_many(touchy, work, executor=Lasting(engine), refused=lambda _: "died", together=4)
    expected = {index: given[1] for index, given in enumerate(work)}
    assert done.results == expected | ({5: "died"} if kind == "poison" else {})


def test_processes_that_nobody_asked_for_come_with_the_first_task(monkeypatch):
    monkeypatch.setattr(coming_module, "usable_cores", lambda: 2)
    with coming(2 * RUNS_EACH - 1) as pool:
        assert pool is None
    with coming(2 * RUNS_EACH) as pool:
        assert pool._max_workers == 2
        assert pool.submit(os.getpid).result() != os.getpid()
    monkeypatch.setattr(coming_module, "usable_cores", lambda: 1)
    with coming(100 * RUNS_EACH) as pool:
        assert pool is None


def test_threads_take_the_place_of_processes_that_do_not_come(monkeypatch):
    class Unmade(Processes):
        def submit(self, *_):
            raise BrokenExecutor("no process here")

    def cannot(_):
        raise OSError("no semaphores")

    monkeypatch.setattr(coming_module, "usable_cores", lambda: 2)
    monkeypatch.setattr(coming_module, "Processes", Unmade)
    with coming(2 * RUNS_EACH) as pool:
        assert pool.submit(os.getpid).result() == os.getpid()
        assert run_many(abs, [-1.0, -2.0], executor=pool, together=8).results == {0: 1.0, 1: 2.0}
    monkeypatch.setattr(coming_module, "Processes", cannot)
    with coming(2 * RUNS_EACH) as pool:
        assert pool is None


WAITS = """
import sys, time
from featherbench.studies.engines import engine_for
if __name__ == "__main__":
    with engine_for(None, 2) as engine:
        print(engine.submit(__import__("os").getpid).result(), flush=True)
        time.sleep(60.0)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="asks for a process by its number")
def test_workers_end_with_a_process_that_is_killed(tmp_path):
    script = tmp_path / "waits.py"
    script.write_text(WAITS, encoding="utf-8")
    waiting = subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True)
    worker = int(waiting.stdout.readline())
    os.kill(worker, 0)
    waiting.send_signal(signal.SIGKILL)
    waiting.wait()
    waiting.stdout.close()
    for _ in range(100):
        try:
            os.kill(worker, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    os.kill(worker, signal.SIGKILL)
    pytest.fail("a worker outlived the process that it worked for")
