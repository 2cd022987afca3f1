"""What is said of a choice of weight: in how many draws play shows, what they leave open, what going further costs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from featherbench.bench.release import told
from featherbench.hovering.draw_doubt import Range, draws_tell_apart
from featherbench.hovering.swept_point import FAILS, MAH, Point
from featherbench.numerals import quantity


def play_words(chosen: Point, neutral: Point, row: Sequence[Point]) -> str:
    """In how many draws play shows at the chosen amount, at the one of least load in hover, and at the least weight."""
    said = [
        f"play shows in {chosen.shown} draws at {chosen.compensation:.2f} (so in {chosen.shown.likely} of such tails)"
    ]
    if neutral is not chosen:
        said.append(f"in {neutral.shown} at {neutral.compensation:.2f}, where hover loads the rod least")
    least = row[0]
    if least is not chosen and least is not neutral:
        where = "without weights" if least.compensation == 0.0 else f"at {least.compensation:.2f}"
        said.append(f"in {least.shown} {where}")
    return ", ".join(said)


def doubt_words(row: Sequence[Point], chosen: Point) -> tuple[str, ...]:
    """Which amounts the draws cannot tell from the chosen one, and by what one of them is then chosen; and which was
    left out for play alone though they cannot tell.
    """
    words = []
    alike = [one for one in row if _may_be_run(one) and one.quiet and not _flies_otherwise(one, chosen)]
    if len(alike) > 1:
        names = _listed([f"{point.compensation:.2f}" for point in alike])
        words.append(
            f"{names} can't be told apart by play or mAh in {len(chosen.shows)} draws: least rod force decides"
        )
    left = [
        place
        for place, point in enumerate(row)
        if point.rod_force < chosen.rod_force
        and _may_be_run(point)
        and not point.quiet
        and not _play_differs(point, chosen)
    ]
    if left:
        names = _listed([f"{row[place].compensation:.2f}" for place in left])
        words.append(
            f"{names}, of less rod force, {'were' if len(left) > 1 else 'was'} left out for play alone "
            f"({_shown(row, left)}), which can't be told from the {chosen.shown} at {chosen.compensation:.2f}: "
            "fly more draws (--draws) to be surer"
        )
    return tuple(words)


def _shown(row: Sequence[Point], left: Sequence[int]) -> str:
    """In how many draws play shows at places of a row that were left out for it; where at none of them in more than
    beside it, beside it, too, since the sweep is evened out.
    """
    if len(left) > 1:
        hits = _listed([str(row[place].shown.hits) for place in left])
        return f"{hits} of {row[0].shown.of} draws, evened out among neighbours"
    place = left[0]
    beside = max(row[max(place - 1, 0) : place + 2], key=lambda one: one.shown.share)
    if beside.shown.share <= row[place].shown.share:
        return f"{row[place].shown} draws"
    return f"{row[place].shown} there, {beside.shown} beside it at {beside.compensation:.2f}"


def turn_words(chosen: Point) -> tuple[str, ...]:
    """With the stick held to either side: from what rate of turning on the blades float, within a turn a second."""
    if chosen.turn_with == 0.0:
        return ()  # they float in hover itself, which the table has
    rates = {
        "the way the tail rotor pushes": chosen.turn_with,
        "the way the main rotor's torque turns it": chosen.turn_against,
    }
    where = f"the blades float at {chosen.compensation:.2f}: play may show there"
    reached = [
        f"from {round(np.rad2deg(rate), -1):.0f} deg/s on {way}" for way, rate in rates.items() if rate > 0.0
    ]
    if not reached:
        return ()
    return (f"in a steady turn {' and '.join(reached)} {where}",)


def costs(row: Sequence[Point], chosen: Point, system: str = "metric") -> list[str]:
    """What the neighbours of the chosen compensation, at its phase, give and take; system: of units."""
    place = row.index(chosen)
    words = []
    for step, way in ((-1, "less weight"), (1, "more weight")):
        if 0 <= place + step < len(row):
            words.append(_cost(row[place + step], chosen, way, system))
    return words


def _cost(other: Point, chosen: Point, way: str, system: str) -> str:
    """One neighbour in one sentence."""
    warned = f"; DO NOT RUN: {other.against}" if other.strength == FAILS else ""
    charge = "" if _charge_differs(other, chosen) else " (too close to tell)"
    play = "" if _play_differs(other, chosen) else " (too close to tell)"
    return (
        f"{way} ({other.compensation:.2f}): rod force {quantity(other.rod_force, 'force', system)} instead of "
        f"{quantity(chosen.rod_force, 'force', system)}, "
        f"{in_mah(other.charge_range)} mAh in five minutes of hover instead of {in_mah(chosen.charge_range)}{charge}, "
        f"play shows in {other.shown} draws instead of {chosen.shown.hits}{play}; released, the blades "
        f"{told(other.release)}{warned}"
    )


def in_mah(charge: Range) -> str:
    """A range of charge (C) as mAh, without the unit."""
    low, high = (f"{end / MAH:.1f}" for end in charge)
    return low if low == high else f"{low} to {high}"


def _may_be_run(point: Point) -> bool:
    return point.strength != FAILS and not point.runs_out


def _flies_otherwise(one: Point, other: Point) -> bool:
    return one is not other and (_play_differs(one, other) or _charge_differs(one, other))


def _play_differs(one: Point, other: Point) -> bool:
    return draws_tell_apart(one.shows, other.shows)


def _charge_differs(one: Point, other: Point) -> bool:
    return draws_tell_apart(one.charges, other.charges)


def _listed(names: Sequence[str]) -> str:
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"
