"""One runner under every study that asks many runs: parallel, with progress, interruptible, order-independent.

Work goes through a `concurrent.futures.Executor`: threads by default, since the kernels release the GIL; any other
executor (processes, a cluster client's) drives the same study unchanged, provided its tasks can be pickled.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from typing import Generic, TypeVar

Input = TypeVar("Input")
Result = TypeVar("Result")


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
    raised after the rest has been cancelled.
    """
    results: dict[int, Result] = dict(known or {})
    waiting = [index for index in range(len(inputs)) if index not in results]
    own = None if executor is not None else ThreadPoolExecutor(max_workers=os.cpu_count() or 1)
    pool: Executor = executor if executor is not None else own  # type: ignore[assignment]
    futures: dict[Future[Result], int] = {}
    interrupted = False
    try:
        futures = {pool.submit(task, inputs[index]): index for index in waiting}
        for future in as_completed(futures):
            index = futures[future]
            results[index] = future.result()
            if keep is not None:
                keep(index, results[index])
            if progress is not None:
                progress(len(results), len(inputs))
    except KeyboardInterrupt:
        interrupted = True
    finally:
        for future in futures:
            future.cancel()
        if own is not None:
            own.shutdown(wait=True, cancel_futures=True)
    for future, index in futures.items():
        if interrupted and index not in results and future.done() and not future.cancelled():
            results[index] = future.result()
            if keep is not None:
                keep(index, results[index])
    return Ensemble(dict(sorted(results.items())), len(inputs), interrupted)
