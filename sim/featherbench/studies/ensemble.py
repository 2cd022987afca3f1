"""One runner under every study that asks many runs: parallel, with progress, interruptible, order-independent.

Work goes through a `concurrent.futures.Executor`: threads by default, since the kernels release the GIL; any other
executor (processes, a cluster client's) drives the same study unchanged: tasks are functions of modules on
plain data. A few tasks a worker are handed in at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Generic, TypeVar

from featherbench.studies.engines import EngineError, usable_cores

Input = TypeVar("Input")
Result = TypeVar("Result")
IN_FLIGHT = 4
"""Tasks a worker that are handed in at a time."""
MANY = 64
"""Workers of an executor that does not say how many it has."""


LOST = "a worker process ended without a word (out of memory?): run the same again, with fewer --jobs"


@dataclass(frozen=True)
class Ensemble(Generic[Result]):
    """results: by index of the input; missing where the work was interrupted. interrupted: whether it was."""

    results: dict[int, Result]
    count: int
    interrupted: bool

    @property
    def complete(self) -> bool:
        """True when every input has its result."""
        return len(self.results) == self.count


def run_many(
    task: Callable[[Input], Result],
    inputs: Sequence[Input],
    *,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    known: Mapping[int, Result] | None = None,
    keep: Callable[[int, Result], None] | None = None,
) -> Ensemble[Result]:
    """Apply `task` to every input; the result does not depend on the executor or the number of workers.

    progress(done, count) is called after each result; known: results from an earlier, interrupted run, by index;
    keep(index, result) is called for each new result as it comes, so that a caller can store it. A keyboard
    interrupt stops new work, waits for what is running and returns what is done. Any other exception of a task is
    raised after the rest has been cancelled; EngineError, in words, where a worker process died.
    """
    results: dict[int, Result] = dict(known or {})
    waiting = iter([index for index in range(len(inputs)) if index not in results])
    own = None if executor is not None else ThreadPoolExecutor(max_workers=usable_cores())
    pool: Executor = executor if executor is not None else own  # type: ignore[assignment]
    futures: dict[Future[Result], int] = {}

    def take(index: int, result: Result, tell: bool = True) -> None:
        results[index] = result
        if keep is not None:
            keep(index, result)
        if progress is not None and tell:
            progress(len(results), len(inputs))

    interrupted = False
    try:
        while _hand_in(pool, task, inputs, waiting, futures):
            for future in wait(futures, return_when=FIRST_COMPLETED).done:
                result = future.result()
                take(futures.pop(future), result)
    except KeyboardInterrupt:
        interrupted = True
    except BrokenExecutor:
        raise EngineError(LOST) from None
    finally:
        for future in futures:
            future.cancel()
        if own is not None:
            own.shutdown(wait=True, cancel_futures=True)
    for future, index in futures.items():
        if interrupted and future.done() and not future.cancelled():
            take(index, future.result(), tell=False)
    return Ensemble(dict(sorted(results.items())), len(inputs), interrupted)


def _hand_in(
    pool: Executor,
    task: Callable[[Input], Result],
    inputs: Sequence[Input],
    waiting: Iterator[int],
    futures: dict[Future[Result], int],
) -> bool:
    """Hand in as many as there is room for; whether anything is on its way."""
    room = IN_FLIGHT * (getattr(pool, "_max_workers", None) or MANY)
    while len(futures) < room and (index := next(waiting, None)) is not None:
        futures[pool.submit(task, inputs[index])] = index
    return bool(futures)
