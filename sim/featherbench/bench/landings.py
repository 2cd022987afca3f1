"""Does the servo come to rest wherever the stick comes from.

Beside rest, a servo that drives through play and friction may have a cycle that keeps itself going. Which of the two a
move ends in hangs on how it arrives: a rounding more or less decides it, so that one run of a programme says nothing
about the next. So each place the programme holds at is gone to again, from several other pitches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from featherbench.bench.legs import Ending, Leg
from featherbench.bench.servo_run import run_legs
from featherbench.bench.setup import Setup
from featherbench.scenario.bench_tables import Move

STARTS = tuple(side * eighth / 8.0 for eighth in range(8, 0, -1) for side in (1.0, -1.0))
"""Fractions of the pitch range from which a place is gone to. A cycle that one move in ten meets they miss once in five
times.
"""
NEAR = 0.2
"""Of the pitch range: a start nearer to the place than this is left out."""
BEFORE, REST = 0.3, 0.8
"""s at a start, and at the place."""


@dataclass(frozen=True)
class Landings:
    """Moves to one place of the programme, and in how many of them the servo hunts. target: rad; example: the first of
    those.
    """

    target: float
    moves: int
    hunting: int
    example: Leg | None


def landings(setup: Setup, *, step_share: float = 1.0) -> tuple[Landings, ...]:
    """Every place that the bench programme holds at, gone to from all starts that are not near it."""
    moves: list[Move] = []
    places = []
    for go in dict.fromkeys(float(move.go) for move in setup.scenario.bench.programme):
        for start in STARTS:
            if abs(start - go) >= NEAR:
                moves += [_move(start, BEFORE), _move(go, REST)]
                places.append(len(moves) - 1)
    return counted(run_legs(setup, moves, places, step_share=step_share))


def counted(legs: Iterable[Leg]) -> tuple[Landings, ...]:
    """Legs by where they went to."""
    by_target: dict[float, list[Leg]] = {}
    for leg in legs:
        by_target.setdefault(leg.target, []).append(leg)
    found = []
    for target, there in by_target.items():
        cycles = [leg for leg in there if leg.ending is Ending.HUNTS]
        found.append(Landings(target, len(there), len(cycles), cycles[0] if cycles else None))
    return tuple(found)


def together(first: tuple[Landings, ...], more: tuple[Landings, ...]) -> tuple[Landings, ...]:
    """Both counts of each place as one."""
    added = {one.target: one for one in more}
    rows = []
    for one in first:
        other = added.pop(one.target, Landings(one.target, 0, 0, None))
        rows.append(
            Landings(
                one.target,
                one.moves + other.moves,
                one.hunting + other.hunting,
                one.example or other.example,
            )
        )
    return (*rows, *added.values())


def _move(go: float, hold: float) -> Move:
    return Move.model_construct(go=go, hold=hold, over=0.0)
