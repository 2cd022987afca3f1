"""Processes for a long study when nobody says on what: started at once, awaited when there is work for them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from typing import Any, TypeVar

from featherbench.studies.engines import Engine, EngineError, Lasting, Processes, started, usable_cores
from featherbench.studies.worker_start import end_loading

Result = TypeVar("Result")
RUNS_EACH = 128
"""A worker process starts in about a second of a core, as much as some fifty runs; threads of one gain a third."""


class Coming(Lasting):
    """Processes that nobody asked for: awaited when the first task comes, and threads instead where none will."""

    _awaited = False

    def submit(self, task: Callable[..., Result], /, *given: Any, **named: Any) -> Future[Result]:
        """Have a task done."""
        if not self._awaited:
            self._awaited = True
            try:
                started(self._engine)
            except EngineError:
                self._engine.close()
                self._engine = Engine(ThreadPoolExecutor(self._max_workers), self._max_workers)
        return super().submit(task, *given, **named)

    def close(self) -> None:
        """Let go of what runs them."""
        self._engine.close()
        self._engine.pool.shutdown(wait=True, cancel_futures=True)
        end_loading()


@contextmanager
def coming(runs: int) -> Iterator[Coming | None]:
    """Processes for so many bench runs, none of them awaited yet; None where they are not worth their start, or this
    machine can have none.
    """
    pool, workers = None, min(usable_cores(), runs // RUNS_EACH)
    if workers > 1:
        with suppress(OSError, ImportError):  # no semaphores, no memory to share
            pool = Coming(Processes(workers))
    try:
        yield pool
    finally:
        if pool is not None:
            pool.close()
