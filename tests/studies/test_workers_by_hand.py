"""Where tasks run and what becomes of those that are lost, without a process: by executors that do as they are told."""

import os
import sys
from concurrent.futures import BrokenExecutor, Executor, Future
from types import SimpleNamespace
from typing import ClassVar

import pytest

from featherbench.studies import engines, ensemble
from featherbench.studies.engines import Engine, EngineError, Here, Lasting, engine_for, started, usable_cores
from featherbench.studies.ensemble import Ensemble, run_many


def done(value=None, error=None):
    future = Future()
    if error is None:
        future.set_result(value)
    else:
        future.set_exception(error)
    return future


class Told(Executor):
    """Does what it is handed, but for what `says` gives another future for: says(number of the call, input)."""

    def __init__(self, says=lambda *_: None, **own):
        self.calls, self.says, self.renewed = [], says, 0
        vars(self).update(own)

    def submit(self, task, *given):
        self.calls.append(given[0] if given else None)
        return self.says(len(self.calls), *given) or done(task(*given))

    def renew(self):
        self.renewed += 1


# -- where ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quota", "cores"),
    [("200000 100000", 2), ("250000 100000", 2), ("50000 100000", 1), ("900000 100000", 4), ("max 100000", 4),
     ("", 4), (None, 4)],
)  # fmt: skip
def test_cores_are_what_affinity_and_quota_leave(tmp_path, monkeypatch, quota, cores):
    """Of 4 cores a container may use as many whole ones as its quota pays for, and one at least."""
    file = tmp_path / "cpu.max"
    if quota is not None:
        file.write_text(quota, encoding="ascii")
    monkeypatch.setattr(engines, "QUOTA", file)
    monkeypatch.setattr(
        engines.os, "sched_getaffinity", lambda process: {3, 5, 7, 9} if process == 0 else {0}, False
    )
    assert usable_cores() == cores


@pytest.mark.parametrize(("count", "cores"), [(6, 6), (None, 1)])
def test_without_affinity_the_cores_of_the_machine_count(tmp_path, monkeypatch, count, cores):
    monkeypatch.setattr(engines, "QUOTA", tmp_path / "none")
    monkeypatch.delattr(engines.os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(engines.os, "cpu_count", lambda: count)
    assert usable_cores() == cores


def test_one_job_is_this_process_and_hands_errors_on():
    with engine_for(None, 1) as engine:
        assert type(engine) is Here
        assert (engine.workers, engine.own) == (1, False)
        assert engine.submit(max, 3, 5).result(timeout=1) == 5
        assert isinstance(engine.submit(int, "x").exception(timeout=1), ValueError)

        def stopped():
            raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            engine.submit(stopped)


@pytest.mark.parametrize(("own", "workers"), [({"_max_workers": 7}, 7), ({"_max_workers": None}, 5), ({}, 5)])
def test_an_executor_of_the_callers_says_how_many_it_has(monkeypatch, own, workers):
    monkeypatch.setattr(engines, "usable_cores", lambda: 5)
    pool = Told(**own)
    with engine_for(pool) as engine:
        assert (engine.pool, engine.workers, engine.own) == (pool, workers, False)
        engine.stop()
        assert engine.submit(abs, -3).result() == 3
    with pytest.raises(EngineError, match="start it anew"):
        engine.renew()
    assert pool.renewed == 0


class Started(Engine):
    """Stands for processes; notes what becomes of it."""

    own = True

    def __init__(self, workers):
        super().__init__(Told(), workers)
        self.closed = 0

    def close(self):
        self.closed += 1


def test_as_many_processes_as_cores_or_as_jobs_and_closed_whatever_happens(monkeypatch):
    made = []
    monkeypatch.setattr(engines, "Processes", lambda workers: made.append(Started(workers)) or made[-1])
    monkeypatch.setattr(engines, "usable_cores", lambda: 3)
    with engine_for() as engine:
        assert engine is made[0]
        assert engine.workers == 3
        assert engine.pool.calls == [None]  # asked whether it stands, before anything else
        assert engine.closed == 0
    assert engine.closed == 1
    with pytest.raises(ZeroDivisionError), engine_for(None, 2) as engine:
        raise ZeroDivisionError
    assert (engine.workers, engine.closed) == (2, 1)
    monkeypatch.setattr(engines, "usable_cores", lambda: 1)
    with engine_for() as engine:
        assert type(engine) is Here
    for jobs in (0, -1):
        with pytest.raises(EngineError, match=f"{jobs} jobs: at least 1 is needed"), engine_for(None, jobs):
            pass
    assert len(made) == 2


@pytest.mark.parametrize(("lost", "asked"), [(0, 1), (1, 2), (4, 5)])
def test_a_cluster_is_asked_again_while_a_worker_of_it_begins(monkeypatch, lost, asked):
    slept = []
    monkeypatch.setattr(engines.time, "sleep", slept.append)
    pool = Told(lambda number, *_: done(error=RuntimeError("gone")) if number <= lost else None)
    started(Engine(pool, 2))
    assert len(pool.calls) == asked
    assert slept == [1.0] * lost


def test_a_cluster_is_given_up_after_five_tries_and_processes_after_one(monkeypatch):
    monkeypatch.setattr(engines.time, "sleep", lambda _: None)
    pool = Told(lambda *_: done(error=RuntimeError("x" * 300)))
    with pytest.raises(EngineError) as lost:
        started(Engine(pool, 2))
    assert str(lost.value) == f"no worker answers (RuntimeError: {'x' * 200})"
    assert len(pool.calls) == 5
    monkeypatch.setitem(sys.modules, "__main__", SimpleNamespace(__file__="study.py"))
    with pytest.raises(EngineError) as lost:  # a cluster's workers start no script anew
        started(Engine(pool, 2), tries=1)
    assert "__main__" not in str(lost.value)
    own = Started(2)
    own.pool.says = lambda *_: done(error=RuntimeError("died"))
    for script, hint in (("study.py", True), (None, False)):
        monkeypatch.setitem(sys.modules, "__main__", SimpleNamespace(__file__=script))
        own.pool.calls.clear()
        with pytest.raises(EngineError, match="no worker answers") as lost:
            started(own)
        assert ("stands under  if __name__" in str(lost.value)) is hint
        assert len(own.pool.calls) == 1


def test_an_engine_serves_as_an_executor():
    engine = Started(4)
    lasting = Lasting(engine)
    assert lasting._max_workers == 4
    assert lasting.submit(pow, 2, 5).result() == 32
    assert lasting.submit(int, "11", base=2).result() == 3
    with pytest.raises(EngineError, match="start it anew"):
        lasting.renew()


def test_a_worker_is_ending_once_it_is_told_so(monkeypatch):
    event = SimpleNamespace(is_set=lambda: event.told, told=False)
    ignored = []
    monkeypatch.setattr(engines.signal, "signal", lambda *given: ignored.append(given))
    monkeypatch.setattr(engines, "_ending", None)
    assert engines.is_ending() is False
    engines._begin(event)
    assert engines.is_ending() is False
    event.told = True
    assert engines.is_ending() is True
    # a keyboard interrupt is for the process that waits
    assert ignored == [(engines.signal.SIGINT, engines.signal.SIG_IGN)]


@pytest.mark.parametrize(
    ("ways", "way"),
    [(["fork", "spawn", "forkserver"], "forkserver"), (["spawn"], "spawn"), (["fork", "spawn"], "spawn")],
)
def test_processes_are_started_afresh_and_told_to_end(monkeypatch, ways, way):
    """By a server where there is one; renewed they are others, which hear of the same end."""
    made, event = [], SimpleNamespace(told=0)
    event.set = lambda: setattr(event, "told", event.told + 1)

    class Pool(Told):
        def __init__(self, workers, **how):
            super().__init__()
            self.made, self.shut = (workers, how), []
            made.append(self)

        def shutdown(self, **how):
            self.shut.append(how)

    monkeypatch.setattr(engines.multiprocessing, "get_all_start_methods", lambda: ways)
    context = SimpleNamespace(Event=lambda: event)
    monkeypatch.setattr(
        engines.multiprocessing, "get_context", lambda asked: context if asked == way else None
    )
    monkeypatch.setattr(engines, "ProcessPoolExecutor", Pool)
    loading = []
    monkeypatch.setattr(engines, "begin_to_load", loading.append)
    engine = engines.Processes(3)
    assert loading == [context] * (
        way == "forkserver"
    )  # what workers are forked from loads the program meanwhile
    assert (engine.workers, engine.own, engine.pool) == (3, True, made[0])
    assert made[0].made == (3, {"mp_context": context, "initializer": engines._begin, "initargs": (event,)})
    engine.renew()
    assert made[0].shut == [{"wait": False, "cancel_futures": True}]
    assert engine.pool is made[1]
    assert made[1].made == made[0].made
    assert event.told == 0
    engine.stop()
    assert (event.told, made[1].shut) == (1, [])
    engine.close()
    assert (event.told, made[1].shut) == (2, [{"wait": True, "cancel_futures": True}])
    assert engines.ready() == os.getpid()


class Cluster:
    """A client of two machines, of 4 and 2 cores, as a cluster's package has it."""

    cores: ClassVar[dict[str, int]] = {"one": 4, "two": 2}

    def __init__(self, address, timeout, set_as_default):
        if address != "tcp://192.0.2.7:8786":
            raise OSError("nobody there")
        assert (timeout, set_as_default) == ("10s", False)
        self.open = True

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.open = False

    def ncores(self):
        return self.cores

    def get_executor(self, pure):
        assert pure is False
        return Told(client=self)


def test_a_cluster_is_asked_by_its_schedulers_address(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", SimpleNamespace(Client=Cluster))
    with engine_for("dask://192.0.2.7:8786") as engine:
        assert (engine.workers, engine.own) == (6, False)
        assert engine.pool.calls == [None]  # asked whether it stands
        assert engine.pool.client.open
    assert not engine.pool.client.open
    for address, said in (
        ("192.0.2.7:8786", 'an address such as "dask://'),
        ("dask://192.0.2.8:1", "192.0.2.8:1 does not answer: nobody there"),
    ):
        with pytest.raises(EngineError, match=said), engine_for(address):
            pass
    monkeypatch.setattr(Cluster, "cores", {})
    with pytest.raises(EngineError, match="has no workers yet"), engine_for("dask://192.0.2.7:8786"):
        pass
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(EngineError, match="needs the package distributed"),
        engine_for("dask://192.0.2.7:8786"),
    ):
        pass


# -- one task after another ------------------------------------------------------------------------------


def test_results_come_by_index_in_order_and_are_kept_and_told_as_they_come():
    kept, told = [], []
    found = run_many(
        lambda value: value**2, [3, 4, 5], executor=Told(), known={1: "known"},
        keep=lambda *given: kept.append(given), progress=lambda *given: told.append(given),
    )  # fmt: skip
    assert list(found.results.items()) == [(0, 9), (1, "known"), (2, 25)]
    assert sorted(kept) == [(0, 9), (2, 25)]
    assert told == [(2, 3), (3, 3)]
    assert found.complete
    assert found.all_or_stop() == [9, "known", 25]
    assert run_many(abs, [], executor=Told()) == Ensemble({}, 0, False)
    assert run_many(abs, [-1, -2]).results == {0: 1, 1: 2}  # threads where nothing is said


def test_threads_of_its_own_are_ended_whatever_happens(monkeypatch):
    shut = []

    class Threads(ensemble.ThreadPoolExecutor):
        def shutdown(self, wait=True, *, cancel_futures=False):
            shut.append((self._max_workers, wait, cancel_futures))
            super().shutdown(wait, cancel_futures=cancel_futures)

    monkeypatch.setattr(ensemble, "ThreadPoolExecutor", Threads)
    monkeypatch.setattr(ensemble, "usable_cores", lambda: 3)
    run_many(abs, [1])
    with pytest.raises(ZeroDivisionError):
        run_many(lambda value: 1 // value, [0])
    assert shut == [(3, True, True)] * 2


def test_what_was_broken_off_is_not_handed_on_as_if_it_were_whole():
    assert not Ensemble({0: 1}, 2, True).complete
    for part in (Ensemble({0: 1}, 2, True), Ensemble({0: 1, 1: 2}, 2, True)):
        with pytest.raises(KeyboardInterrupt):
            part.all_or_stop()


@pytest.mark.parametrize(
    ("own", "most"), [({"_max_workers": 2}, 8), ({}, 256), ({"_max_workers": None}, 256)]
)
def test_four_tasks_a_worker_are_on_their_way(monkeypatch, own, most):
    """Of 64 workers where nobody says how many."""
    waited = []
    monkeypatch.setattr(
        ensemble, "wait", lambda flying, **_: waited.append(len(flying)) or SimpleNamespace(done=set(flying))
    )
    assert run_many(abs, list(range(300)), executor=Told(**own)).results == {n: n for n in range(300)}
    assert max(waited) == min(most, 300)
    assert waited[0] == most


def test_an_interrupt_keeps_what_came_to_its_end_beside_it(monkeypatch):
    """Five are handed in: one is done, one has failed, one waits, one was called off, one is at it."""
    running, told = [], []

    class Busy(Future):
        """Not done, and not to be called off either; who asks it would wait for it."""

        def cancel(self):
            return False

        def exception(self, *_):
            raise AssertionError("asked of what is not done")

    def says(number, *_):
        if number == 1:
            return done("first")
        if number == 2:
            return done(error=ValueError())
        if number == 5:
            return Busy()
        running.append(Future())
        if number == 4:
            running[-1].cancel()
        return running[-1]

    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(ensemble, "wait", interrupted)
    kept = {}
    found = run_many(
        abs,
        [0, 1, 2, 3, 4],
        executor=Told(says),
        keep=kept.__setitem__,
        progress=lambda *given: told.append(given),
    )
    assert found == Ensemble({0: "first"}, 5, True)
    assert kept == {0: "first"}
    assert told == []  # nobody waits for it any more
    assert all(one.cancelled() for one in running)


def test_an_error_calls_off_what_is_on_its_way():
    waiting = Future()
    pool = Told(lambda _, value: waiting if value == 2 else None)
    with pytest.raises(ZeroDivisionError):
        run_many(lambda value: 1 // value, [2, 0], executor=pool)
    assert waiting.cancelled()


def test_what_a_dead_worker_took_along_is_run_again_alone_and_in_order():
    """The third call breaks; what was done beside it is kept, the rest comes again one at a time."""
    pool = Told(lambda number, _: done(error=BrokenExecutor()) if number in (2, 3) else None, _max_workers=1)
    order = []
    found = run_many(lambda value: order.append(value) or -value, [10, 20, 30, 40], executor=pool)
    assert found.results == {0: -10, 1: -20, 2: -30, 3: -40}
    assert (order.count(10), order.count(40)) == (1, 1)
    assert order[-2:] == [20, 30]
    assert pool.renewed == 1


def test_a_worker_that_dies_as_a_task_is_handed_in_is_replaced():
    def says(number, _):
        if number == 2:
            raise BrokenExecutor

    pool = Told(says, _max_workers=1)
    assert run_many(abs, [-1, -2, -3], executor=pool).results == {0: 1, 1: 2, 2: 3}
    assert pool.renewed == 1


def test_an_input_that_takes_its_worker_along_twice_is_refused_or_said():
    def deadly(_, value):
        return done(error=BrokenExecutor()) if value == 7 else None

    pool = Told(deadly)
    found = run_many(abs, [1, 7, 2], executor=pool, refused=lambda why: why)
    assert found.results == {0: 1, 1: f"{ensemble.DIED} (BrokenExecutor)", 2: 2}
    assert pool.renewed == 2
    with pytest.raises(EngineError, match="run 1 of 3: "):
        run_many(abs, [1, 7, 2], executor=Told(deadly))
