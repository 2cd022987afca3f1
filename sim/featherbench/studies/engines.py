"""What tasks run on: this process, processes of this machine, or an executor of the caller's; how many at a time.

Half of a bench run is Python, which holds the interpreter: threads gain little over one core, so tasks go to processes.
They are started afresh, never forked from a process that may have threads, and Ctrl-C is for the process that waits for
them: it tells them to stop, and they end after the build that they are at.
"""

from __future__ import annotations

import functools
import multiprocessing
import os
import pickle
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from featherbench.studies.worker_start import begin_to_load, end_with_parent

Result = TypeVar("Result")
DASK = "dask://"
INSTALL = "pip install distributed"
TRIES = 5
"""Seconds a cluster is given to have a worker again."""
QUOTA = Path("/sys/fs/cgroup/cpu.max")


class EngineError(RuntimeError):
    """Nothing runs there; the message is for the person who chose it."""


def usable_cores() -> int:
    """Cores that this process may use: of its affinity, and of its container's quota."""
    here = hasattr(os, "sched_getaffinity")
    count = len(os.sched_getaffinity(0)) if here else os.cpu_count() or 1
    try:
        quota, period = QUOTA.read_text(encoding="ascii").split()
        return max(1, min(count, int(quota) // int(period)))
    except (OSError, ValueError):  # no such file, or "max"
        return count


class Engine:
    """Where tasks run. workers: how many at a time; own: whether it was made for the study, and may be made anew."""

    own = False

    def __init__(self, pool: Executor, workers: int) -> None:
        """pool: what takes the tasks."""
        self.pool, self.workers = pool, workers

    def submit(self, task: Callable[..., Result], *given: Any) -> Future[Result]:
        """Have a task done."""
        return self.pool.submit(task, *given)

    def renew(self) -> None:
        """Begin with other workers, after some died."""
        raise EngineError("the executor lost its workers: start it anew and run the same again")

    def stop(self) -> None:
        """Tell the workers to end what they are at."""

    def close(self) -> None:
        """Let go of what was made for the study."""


class Lasting(Executor):
    """An engine as the executor that a study takes: where workers die, `renew` begins with others."""

    takes_several = True
    """Several inputs may be handed in as one task."""

    def __init__(self, engine: Engine) -> None:
        """engine: where it runs."""
        self._engine, self._max_workers = engine, engine.workers

    def submit(self, task: Callable[..., Result], /, *given: Any, **named: Any) -> Future[Result]:
        """Have a task done."""
        return self._engine.submit(functools.partial(task, **named) if named else task, *given)

    def renew(self) -> None:
        """Begin with other workers. Raises EngineError where they are not the study's own."""
        self._engine.renew()


@dataclass(frozen=True)
class Sent:
    """A task that is much to send, as bytes: a worker takes them apart once, however many inputs it gets."""

    packed: bytes

    @classmethod
    def of(cls, task: Callable[[Any], Any]) -> Sent:
        """task: a function of a module, or what is made of such, on plain data."""
        return cls(pickle.dumps(task))

    def __call__(self, given: Any) -> Any:
        """What the task makes of one input."""
        return _taken_apart(self.packed)(given)


@functools.lru_cache(maxsize=4)
def _taken_apart(packed: bytes) -> Callable[[Any], Any]:
    task: Callable[[Any], Any] = pickle.loads(packed)
    return task


class Here(Engine):
    """This very process, one task at a time, done as it is handed in."""

    def __init__(self) -> None:
        """Nothing to start."""
        self.workers = 1

    def submit(self, task: Callable[..., Result], *given: Any) -> Future[Result]:
        """Do it now. A keyboard interrupt passes through."""
        future: Future[Result] = Future()
        try:
            future.set_result(task(*given))
        except Exception as error:
            future.set_exception(error)
        return future


class Processes(Engine):
    """Processes of this machine, made for a study and ended with it."""

    own = True

    def __init__(self, workers: int) -> None:
        """workers: how many."""
        ways = multiprocessing.get_all_start_methods()
        self._context: Any = multiprocessing.get_context("forkserver" if "forkserver" in ways else "spawn")
        if "forkserver" in ways:
            begin_to_load(self._context)
        self.workers = workers
        self._ending = self._context.Event()
        self.pool = self._made()

    def _made(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self.workers, mp_context=self._context, initializer=_begin, initargs=(self._ending,)
        )

    def renew(self) -> None:
        """Begin with other processes."""
        self.pool.shutdown(wait=False, cancel_futures=True)
        self.pool = self._made()

    def stop(self) -> None:
        """Tell the processes to end after the build that they are at."""
        self._ending.set()

    def close(self) -> None:
        """End the processes."""
        self._ending.set()
        self.pool.shutdown(wait=True, cancel_futures=True)


_ending: Any = None
"""In a worker process: set when it is to end."""


def _begin(ending: Any) -> None:
    """First thing in a worker process."""
    global _ending
    _ending = ending
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=end_with_parent, daemon=True).start()


def is_ending() -> bool:
    """Whether this worker process was told to stop."""
    return _ending is not None and _ending.is_set()


def ready() -> int:
    """The process that says so: a task that asks nothing but a worker that has this program."""
    return os.getpid()


@contextmanager
def engine_for(executor: Executor | str | None = None, jobs: int | None = None) -> Iterator[Engine]:
    """Somewhere to run, for as long as it is wanted.

    executor: one of `concurrent.futures` or of a cluster's client, or "dask://HOST:PORT"; None: `jobs` processes of
    this machine, by default as many as there are cores to use, 1 this process itself. Raises EngineError.
    """
    if isinstance(executor, str):
        with _client(executor) as engine:
            yield engine
        return
    if executor is not None:
        yield Engine(executor, getattr(executor, "_max_workers", None) or usable_cores())
        return
    count = usable_cores() if jobs is None else jobs
    if count < 1:
        raise EngineError(f"{count} jobs: at least 1 is needed")
    engine = Here() if count == 1 else Processes(count)
    try:
        if engine.own:
            started(engine)
        yield engine
    finally:
        engine.close()


def started(engine: Engine, tries: int = TRIES) -> None:
    """Raises EngineError, in words, where no worker answers. A cluster is asked again: while a worker of it is lost and
    another begins, what asks for nothing is lost with them.
    """
    try:
        engine.submit(ready).result()
    except Exception as error:
        if tries > 1 and not engine.own:
            time.sleep(1.0)
            return started(engine, tries - 1)
        hint = ""
        if engine.own and getattr(sys.modules["__main__"], "__file__", None):
            hint = (
                '; in a script, what starts a study stands under  if __name__ == "__main__":  (or use jobs=1)'
            )
        raise EngineError(f"no worker answers ({type(error).__name__}: {str(error)[:200]}){hint}") from None


@contextmanager
def _client(address: str) -> Iterator[Engine]:
    """A cluster by its scheduler's address."""
    if not address.startswith(DASK):
        raise EngineError(f'{address}: an address such as "dask://192.0.2.7:8786" is needed')
    try:
        from distributed import Client
    except ImportError:
        raise EngineError(f"{address} needs the package distributed: {INSTALL}") from None
    try:
        client = Client(f"tcp://{address.removeprefix(DASK)}", timeout="10s", set_as_default=False)
    except Exception as error:
        raise EngineError(f"{address} does not answer: {error}") from None
    with client:
        cores = sum(client.ncores().values())
        if not cores:
            raise EngineError(f"{address} has no workers yet: start some, then run the same again")
        engine = Engine(client.get_executor(pure=False), cores)
        started(engine)
        yield engine
