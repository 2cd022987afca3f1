"""Chunks of builds through an engine: a few a worker in flight, each handed over as it comes.

Where workers die, what they were at is run again, one chunk at a time; a chunk that takes its worker along once more is
parted until the build that does it is alone, and that one is refused. A keyboard interrupt stops new work and tells the
workers to end; the chunks that were done are kept.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Future, wait
from typing import NamedTuple

from featherbench.studies.engines import Engine, EngineError, started
from featherbench.studies.ensemble import DIED
from featherbench.sweeping.grid import Row
from featherbench.sweeping.study import Columns, Study, program_digest, run_chunk

IN_FLIGHT = 3
"""Chunks a worker: one at work, one that waits, one that is on its way."""


class Piece(NamedTuple):
    """Builds of a chunk, from `first` of it on; rows: their values by key; alone: nothing else runs beside it."""

    chunk: int
    first: int
    rows: tuple[Row, ...]
    alone: bool = False

    def halves(self) -> tuple[Piece, Piece]:
        """The piece, parted."""
        middle = len(self.rows) // 2
        return (
            Piece(self.chunk, self.first, self.rows[:middle]),
            Piece(self.chunk, self.first + middle, self.rows[middle:]),
        )


class Runner:
    """Chunks of one study on their way. deliver(chunk, columns) is called for each chunk that is whole."""

    def __init__(
        self,
        engine: Engine,
        study: bytes | Study,
        deliver: Callable[[int, Columns], None],
        names: Sequence[str],
    ) -> None:
        """names: of the columns."""
        self._engine, self._study, self._deliver, self._names = engine, study, deliver, names
        self._flying: dict[Future[Columns | None], Piece] = {}
        self._suspects: deque[Piece] = deque()
        self._parts: dict[int, dict[int, Columns]] = {}
        self._sizes: dict[int, int] = {}

    def run(self, chunks: Iterable[tuple[int, tuple[Row, ...]]]) -> bool:
        """All of them, by number and rows; whether nothing interrupted it. Raises EngineError."""
        waiting = iter(chunks)
        try:
            while self._fill(waiting):
                for future in wait(self._flying, return_when=FIRST_COMPLETED).done:
                    if future in self._flying:
                        self._take(future, self._flying.pop(future))
        except KeyboardInterrupt:
            self._engine.stop()
            for future in self._flying:
                future.cancel()
            for future, piece in list(self._flying.items()):
                if future.done() and not future.cancelled() and future.exception() is None:
                    self._take(future, piece)
            return False
        finally:
            for future in self._flying:
                future.cancel()
        return True

    def _fill(self, waiting: Iterator[tuple[int, tuple[Row, ...]]]) -> bool:
        """Hand in what there is room for; whether anything is on its way."""
        if self._suspects and not self._flying:  # one at a time, so that it is known who did it
            self._hand_in(self._suspects.popleft()._replace(alone=True))
        while not self._suspects and len(self._flying) < IN_FLIGHT * self._engine.workers:
            upcoming = next(waiting, None)
            if upcoming is None:
                break
            self._sizes[upcoming[0]] = len(upcoming[1])
            self._hand_in(Piece(upcoming[0], 0, upcoming[1]))
            if self._engine.workers == 1:
                break  # this process itself: done already, and to be delivered before the next
        return bool(self._flying)

    def _hand_in(self, piece: Piece) -> None:
        try:
            self._flying[self._engine.submit(run_chunk, self._study, piece.rows)] = piece
        except BrokenExecutor:
            self._engine.renew()
            self._flying[self._engine.submit(run_chunk, self._study, piece.rows)] = piece

    def _take(self, future: Future[Columns | None], piece: Piece) -> None:
        """A result, or what became of one."""
        error = CancelledError() if future.cancelled() else future.exception()
        if error is not None:
            self._failed(piece, error)
            return
        found = future.result()
        if found is None:
            return  # told to stop
        if found.program != program_digest():
            raise EngineError(
                f"the workers have another featherbench ({found.program}) than this ({program_digest()}): "
                "install the same on both"
            )
        self._keep(piece, found)

    def _failed(self, piece: Piece, error: BaseException) -> None:
        """What was lost with its worker is run again; part what took its worker along when nothing else ran."""
        lost = [piece]
        if isinstance(error, BrokenExecutor):  # all that was on its way is lost with it
            lost += self._flying.values()
            self._flying.clear()
            self._engine.renew()
        if not piece.alone:
            self._suspects.extend(lost)
            return
        started(self._engine)
        if len(piece.rows) > 1:
            self._suspects.extendleft(reversed(piece.halves()))
            return
        why = f"{DIED} ({type(error).__name__})"
        self._keep(piece, Columns({name: [None] for name in self._names}, [why], program_digest()))

    def _keep(self, piece: Piece, found: Columns) -> None:
        """Hand a chunk over once all of it is there."""
        parts = self._parts.setdefault(piece.chunk, {})
        parts[piece.first] = found
        if sum(len(part.refused) for part in parts.values()) < self._sizes[piece.chunk]:
            return
        ordered = [part for _, part in sorted(self._parts.pop(piece.chunk).items())]
        values = {name: [one for part in ordered for one in part.values[name]] for name in self._names}
        whole = Columns(values, [why for part in ordered for why in part.refused], found.program)
        del self._sizes[piece.chunk]
        self._deliver(piece.chunk, whole)
