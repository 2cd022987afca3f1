"""The blade bolt that a build has, with its nuts and washers: where collars may go on it, whether it can be moved."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from featherbench.assembly import Assembly, PlacedPart, Solid
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written
from featherbench.sizing.machined import NOTHING, Column, mm
from featherbench.sizing.owned import kind_of

CLEAR = 0.5e-3
"""m that a head or nut may stand off what it rests on (common practice)."""


class FittedBolt(NamedTuple):
    """A bolt with its head above. Heights over the axis and depths under it, m.

    face: under its head now, base: of what that rests on; top: of all of it; end: depth of its lower end; thread_from:
    where its lower thread begins; upper: foot and end of a thread above its head, None without. nut_from, nut_to: of
    its nuts, nut_thread: where their thread begins, nut_base: of what they rest on. root: depth of what swings on it.
    Sums of screw, of nuts, of the rest.
    parts: its scenario parts, all bought where it is movable; screw, nuts: their names.
    """

    face: float
    base: float
    top: float
    end: float
    thread_from: float
    upper: tuple[float, float] | None
    nut_from: float
    nut_to: float
    nut_thread: float
    nut_base: float
    root: float
    screw_sums: Column
    nut_sums: Column
    rest_sums: Column
    parts: dict[str, Any]
    screw: str
    nuts: tuple[str, ...]
    movable: bool

    @property
    def long(self) -> float:
        """Over all, m."""
        return self.top + self.end

    @property
    def nuts_high(self) -> float:
        """All of them, m."""
        return self.nut_to - self.nut_from


def fitted_bolt(
    scenario: Scenario, assembly: Assembly, hardware: Sequence[PlacedPart], seats: tuple[float, float]
) -> FittedBolt | str:
    """From its parts; or what is in the way of collars. seats: faces of the grip above and below, m."""
    given = {part.name: scenario.part[part.name] for part in hardware}
    nuts = [part for part in hardware if any(solid.tapped for solid in part.solids)]
    bolts = [part for part in hardware if part not in nuts and any(one.thread for one in part.solids)]
    if len(bolts) != 1 or not nuts:
        return "the file's blade bolt is no screw with a nut: draw both as parts of group bolt"
    screw = bolts[0]
    lower = min((one for one in screw.solids if one.thread), key=_low)
    bare = [one for one in screw.solids if not one.thread]
    widest = max((one.size[0] for one in bare), default=0.0)
    heads = [one for one in bare if one.size[0] > 0.999 * widest and one.centre[2] > 0.0]
    if not heads or _low(lower) >= 0.0 or any(one.centre[2] > 0.0 for nut in nuts for one in nut.solids):
        return "they are laid out for a bolt with its head above and its nut below"
    face, nut_from = min(map(_low, heads)), -max(_high(one) for nut in nuts for one in nut.solids)
    above = [one for one in screw.solids if one.thread and _low(one) >= max(map(_high, heads)) - 1e-6]
    washers = [part for part in hardware if isinstance(given[part.name], written.WasherPart)]
    swinging = [one for part in assembly.parts if part.swings for one in part.solids if _about(one, assembly)]
    movable = all(
        isinstance(one, written.ScrewPart | written.NutPart | written.WasherPart) for one in given.values()
    )
    return FittedBolt(
        face=face,
        base=_rests(face, seats[0], [one for part in washers for one in part.solids], 1.0),
        top=max(map(_high, screw.solids)),
        end=-min(map(_low, screw.solids)),
        thread_from=-_high(lower),
        upper=(min(map(_low, above)), max(map(_high, above))) if above else None,
        nut_from=nut_from,
        nut_to=-min(_low(one) for nut in nuts for one in nut.solids),
        nut_thread=-max(_high(one) for nut in nuts for one in nut.solids if one.tapped),
        nut_base=_rests(nut_from, seats[1], [one for part in washers for one in part.solids], -1.0),
        root=-min(map(_low, swinging), default=0.0),
        screw_sums=_sums([screw], assembly),
        nut_sums=_sums(nuts, assembly),
        rest_sums=_sums([part for part in hardware if part is not screw and part not in nuts], assembly),
        parts=given,
        screw=screw.name,
        nuts=tuple(part.name for part in nuts),
        movable=movable,
    )


def raised(column: Column, by: Any) -> Column:
    """Sums of the same, moved along the normal by so many m; `by` a float or an array (n,)."""
    return Column(
        column.mass + 0.0 * by,
        column.first + column.mass * by,
        column.second + 2.0 * column.first * by + column.mass * by**2,
        column.across + 0.0 * by,
    )


def moved_parts(bolt: FittedBolt, up: float, down: float, without_nuts: bool) -> dict[str, dict[str, Any]]:
    """Its parts with the screw higher by `up` and the nuts lower by `down`, m, as they stand in a scenario file."""
    found: dict[str, dict[str, Any]] = {}
    for name, part in bolt.parts.items():
        if without_nuts and name in bolt.nuts:
            continue
        place = {"radius": mm(part.at.radius), "chord": mm(part.at.chord)}
        table = {"group": "bolt", **kind_of(part, name, 1).table, "at": place}
        if name == bolt.screw:
            table["under_head"] = mm(bolt.face + up)
            if part.shank_diameter is not None:
                table["shank_diameter"] = mm(part.shank_diameter)
        else:
            by = -down if name in bolt.nuts else 0.0
            place["normal"] = mm(part.at.normal + by)
        found[name] = table
    return found


def _low(solid: Solid) -> float:
    return solid.centre[2] - solid.size[2] / 2.0


def _high(solid: Solid) -> float:
    return solid.centre[2] + solid.size[2] / 2.0


def _about(solid: Solid, assembly: Assembly) -> bool:
    """Whether the bolt passes through it."""
    return (
        solid.kind in ("box", "round", "hex")
        and abs(solid.centre[0] - assembly.bolt.radius) <= solid.size[0] / 2.0
        and abs(solid.centre[1] - assembly.bolt.chord) <= solid.size[1] / 2.0
    )


def _rests(face: float, seat: float, washers: Sequence[Solid], side: float) -> float:
    """Height of what head or nut rest on: where they are, or, where weights come off from under them, the grip's face
    and the washers on it.
    """
    own = seat + sum(one.size[2] for one in washers if side * one.centre[2] > 0.0)
    return own if abs(face - own) > CLEAR else face


def _sums(parts: Sequence[PlacedPart], assembly: Assembly) -> Column:
    total = NOTHING
    for part in parts:
        own = part.moments
        across = float(own.second[1, 1]) - 2.0 * assembly.bolt.chord * float(own.first[1])
        across += own.mass * assembly.bolt.chord**2
        total = total.plus(Column(own.mass, float(own.first[2]), float(own.second[2, 2]), across))
    return total
