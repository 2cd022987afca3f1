"""One runner under every study that asks many runs: parallel, with progress, interruptible, order-independent.

Work goes through a `concurrent.futures.Executor`: threads by default, since the kernels release the GIL; any other
executor (processes, a cluster client's) drives the same study unchanged: tasks are functions of modules on
plain data. A few tasks a worker are handed in at a time; of short ones, several inputs make one task of other
processes, since each way there and back costs a millisecond.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from featherbench.studies.engines import EngineError, Sent, is_ending, usable_cores

Input = TypeVar("Input")
Result = TypeVar("Result")
IN_FLIGHT = 4
"""Tasks a worker that are handed in at a time."""
MANY = 64
"""Workers of an executor that does not say how many it has."""


DIED = "the process that ran it ended without a word, twice: out of memory, or a fault in a library"
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

    def all_or_stop(self) -> list[Result]:
        """Every result, in order of the inputs, for what says nothing in part. Raises KeyboardInterrupt after one."""
        if self.interrupted:  # even where all that was running has come to its end
            raise KeyboardInterrupt
        return list(self.results.values())


def run_many(
    task: Callable[[Input], Result],
    inputs: Sequence[Input],
    *,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    known: Mapping[int, Result] | None = None,
    keep: Callable[[int, Result], None] | None = None,
    refused: Callable[[str], Result] | None = None,
    together: int = 1,
) -> Ensemble[Result]:
    """Apply `task` to every input; the result does not depend on the executor or the number of workers.

    progress(done, count) is called after each result; known: results from an earlier, interrupted run, by index;
    keep(index, result) is called for each new result as it comes, so that a caller can store it. A keyboard
    interrupt stops new work, waits for what is running and returns what is done. Where a worker process of the study's
    own died, what was on its way is run again, one at a time; refused(why): what stands for an input that takes its
    worker along once more. together: so many inputs at most go to a process of the program's own as one task. Any
    other exception of a task is raised after the rest has been cancelled; EngineError, in words, where nothing stands
    for it or the workers are not to be replaced.
    """
    own = None if executor is not None else ThreadPoolExecutor(max_workers=usable_cores())
    pool: Executor = executor if executor is not None else own  # type: ignore[assignment]
    if not getattr(pool, "takes_several", False):
        together = 1
    work = _Work(pool, task, inputs, dict(known or {}), keep, progress, refused, together)
    interrupted = False
    try:
        work.run()
    except KeyboardInterrupt:
        interrupted = True
    finally:
        for future in work.flying:
            future.cancel()
        if own is not None:
            own.shutdown(wait=True, cancel_futures=True)
    if interrupted:
        work.take_what_is_done()
    return Ensemble(dict(sorted(work.results.items())), len(inputs), interrupted)


@dataclass
class _Work(Generic[Input, Result]):
    """Inputs on their way. together: how many make a task at most; flying: indices that each future is of."""

    pool: Executor
    task: Callable[[Input], Result]
    inputs: Sequence[Input]
    results: dict[int, Result]
    keep: Callable[[int, Result], None] | None
    progress: Callable[[int, int], None] | None
    refused: Callable[[str], Result] | None
    together: int
    flying: dict[Future[Any], list[int]] = field(default_factory=dict)
    sent: Sent | None = None

    def run(self) -> None:
        """Until all is done."""
        waiting = deque(index for index in range(len(self.inputs)) if index not in self.results)
        again: list[int] = []
        while True:
            try:
                for index in again:  # one at a time, so that it is known who did it
                    self._take(index, self._alone(index))
                again = []
                if not self._hand_in(waiting):
                    return
                for future in wait(self.flying, return_when=FIRST_COMPLETED).done:
                    self._take_all(future)
                    del self.flying[future]
            except BrokenExecutor:
                again = self._lost()

    def take_what_is_done(self) -> None:
        """What came to its end beside an interrupt, or beside a worker that died."""
        for future in self.flying:
            if future.done() and not future.cancelled() and future.exception() is None:
                self._take_all(future, tell=False)

    def _take_all(self, future: Future[Any], tell: bool = True) -> None:
        found = future.result() if self.together > 1 else [future.result()]
        for index, result in zip(
            self.flying[future], found, strict=False
        ):  # fewer of a worker that was told to end
            if index not in self.results:
                self._take(index, result, tell)

    def _take(self, index: int, result: Result, tell: bool = True) -> None:
        self.results[index] = result
        if self.keep is not None:
            self.keep(index, result)
        if self.progress is not None and tell:
            self.progress(len(self.results), len(self.inputs))

    def _hand_in(self, waiting: deque[int]) -> bool:
        """Hand in as many as there is room for; whether anything is on its way."""
        room = IN_FLIGHT * (getattr(self.pool, "_max_workers", None) or MANY)
        while len(self.flying) < room and waiting:
            # fewer toward the end, so that all workers come to it together
            count = max(1, min(self.together, len(waiting) // room))
            chosen = [waiting.popleft() for _ in range(count)]
            try:
                self.flying[self._submitted([self.inputs[index] for index in chosen])] = chosen
            except BrokenExecutor as error:  # taken off the list: lost like those on their way
                future: Future[Any] = Future()
                future.set_exception(error)
                self.flying[future] = chosen
                raise
        return bool(self.flying)

    def _submitted(self, given: list[Input]) -> Future[Any]:
        if self.together == 1:
            return self.pool.submit(self.task, given[0])
        if self.sent is None:
            self.sent = Sent.of(self.task)
        return self.pool.submit(_each, self.sent, given)

    def _lost(self) -> list[int]:
        """Indices of what was on its way when a worker died; other workers stand ready."""
        self.take_what_is_done()
        on_the_way = {index for chosen in self.flying.values() for index in chosen}
        lost = sorted(on_the_way - self.results.keys())
        self.flying.clear()
        self._renew()
        return lost

    def _renew(self) -> None:
        renew = getattr(self.pool, "renew", None)
        if renew is None:
            raise EngineError(LOST) from None
        renew()

    def _alone(self, index: int) -> Result:
        """One input, run while nothing else is."""
        try:
            return self.pool.submit(self.task, self.inputs[index]).result()
        except BrokenExecutor as error:
            self._renew()
            if self.refused is None:
                raise EngineError(f"run {index} of {len(self.inputs)}: {DIED}") from None
            return self.refused(f"{DIED} ({type(error).__name__})")


def _each(task: Callable[[Input], Result], given: list[Input]) -> list[Result]:
    """In another process: the results of several inputs, of fewer where it is told to end meanwhile."""
    found: list[Result] = []
    for one in given:
        if is_ending():
            break
        found.append(task(one))
    return found
