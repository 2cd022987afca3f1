"""Changes of parts: pitch arm, grip, blade bolt, weights."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from featherbench.assembly import Assembly
from featherbench.assembly.hardware import MM, NUTS, SCREWS, nut_pieces, split_size
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.usual_hardware import screw_lengths, screw_size, standards_of
from featherbench.bench.setup import Setup
from featherbench.hovering.weight_amounts import STAND_IN_HEIGHT, amount
from featherbench.ranking.change import Change, Setting, altered, left_out, with_masses
from featherbench.scenario import Scenario
from featherbench.scenario import parts as written

LIGHTER_ARM, LESS_GRIP = 0.7, 0.9
AMOUNTS = (0.25, 0.5, 0.75)
"""Compensation by weights, of a build without any."""
ROUNDING = 1e-6
"""m within which two lengths of screws are one."""
TIMES = (0.5, 0.75, 1.25)
"""Weights of a build that has some, times as heavy."""


def grip_changes(scenario: Scenario, assembly: Assembly) -> Iterator[Change]:
    """A lighter pitch arm (each part of the grip but its heaviest), a lighter and a shorter grip."""
    own = {part.name: float(part.moments.mass) for part in assembly.parts if part.group == "grip"}
    if not own:
        yield left_out("grip 10 % lighter", "no part of group grip in the file")
        return
    grip = max(own, key=lambda name: own[name])
    arms = [name for name in own if name != grip]
    for name in arms:
        yield with_masses(scenario, assembly, f"{name} 30 % lighter", {name: LIGHTER_ARM})
    if not arms:
        yield left_out("pitch arm 30 % lighter", "the pitch arm is no part of its own in the file")
    yield with_masses(scenario, assembly, f"{grip} 10 % lighter", {grip: LESS_GRIP})
    yield _shorter(scenario, assembly, grip)


def _shorter(scenario: Scenario, assembly: Assembly, grip: str) -> Change:
    """Cut off its inboard end: where the bolt passes it stays as it is."""
    part, words = scenario.part[grip], f"{grip} 10 % shorter"
    if not isinstance(part, written.BoxPart):
        return left_out(words, f"{grip} is no box, so it is not known what changes")
    less = (1.0 - LESS_GRIP) * part.size.radius
    more = {
        "size": part.size.model_copy(update={"radius": part.size.radius - less}),
        "at": part.at.model_copy(update={"radius": part.at.radius + less / 2.0}),
    }
    return with_masses(
        scenario, assembly, words, {grip: LESS_GRIP}, "cut off at its inboard end, mass with it", {grip: more}
    )


def bolt_changes(scenario: Scenario) -> Iterator[Change]:
    """The next lengths and sizes of a bought blade bolt, its nuts with it."""
    screws = [
        name
        for name, part in scenario.part.items()
        if part.group == "bolt" and isinstance(part, written.ScrewPart)
    ]
    if not screws:
        yield left_out("another blade bolt", "no bought screw of group bolt in the file")
        return
    name = screws[0]
    screw = scenario.part[name]
    assert isinstance(screw, written.ScrewPart)
    thread, length = split_size(screw.size)
    whole = length or 0.0
    yield from (_of_length(scenario, name, thread, other) for other in _beside(thread, whole))
    yield from (_of_size(scenario, name, other, whole) for other in _threads_beside(screw.standard, thread))


def _beside(thread: str, length: float) -> list[float]:
    """The next shorter and the two next longer lengths of the series, m."""
    shorter = [own for own in screw_lengths(thread) if own < length - ROUNDING]
    longer = [own for own in screw_lengths(thread) if own > length + ROUNDING]
    return [*shorter[-1:], *longer[:2]]


def _threads_beside(standard: str, thread: str) -> list[str]:
    known = list(
        next((rows for name, rows in SCREWS.items() if name == standard), SCREWS[standards_of(thread).screw])
    )
    place = known.index(thread)
    return [*known[max(place - 1, 0) : place], *known[place + 1 : place + 2]]


def _of_length(scenario: Scenario, name: str, thread: str, length: float) -> Change:
    screw, size = scenario.part[name], screw_size(thread, length)
    parts = {**scenario.part, name: _screw(screw, size, length, None)}
    return altered(scenario, f"{name} {size}", {"part": parts})


def _of_size(scenario: Scenario, name: str, thread: str, length: float) -> Change:
    """Screw and nuts of another thread; each nut keeps the face that it bears with."""
    parts: dict[str, Any] = dict(scenario.part)
    size = screw_size(thread, length)
    words = f"{name} {size}"
    parts[name] = _screw(scenario.part[name], size, length, thread)
    for other, part in scenario.part.items():
        if isinstance(part, written.WasherPart):
            parts[other] = part.model_copy(update={"size": thread})
        if not isinstance(part, written.NutPart):
            continue
        try:
            before, after = (_height(part.standard, size) for size in (part.size, thread))
        except PartRefused as refused:
            return left_out(words, f"{other}: no {thread} nut of {part.standard} ({refused.expected})")
        side = 1.0 if part.at.normal >= 0.0 else -1.0
        at = part.at.model_copy(update={"normal": part.at.normal + side * (after - before) / 2.0})
        parts[other] = part.model_copy(update={"size": thread, "at": at})
        words = f"{name} {size} with its nut"
    return altered(scenario, words, {"part": parts}, remark="the hole in grip and root drilled to suit")


def _screw(screw: Any, size: str, length: float, thread: str | None) -> Any:
    """The screw of another size; plain no further than leaves it some thread."""
    plain = min(float(screw.shank_length), max(length - MM, 0.0))
    wide = screw.shank_diameter if thread is None else None
    return screw.model_copy(update={"size": size, "shank_length": plain, "shank_diameter": wide})


def _height(standard: str, size: str) -> float:
    if standard not in NUTS:
        raise PartRefused("standard", standard, "a nut of the tables")
    pieces = nut_pieces(standard, size)
    return max(p.start + p.length for p in pieces) - min(p.start for p in pieces)


def weight_changes(base: Setup) -> Iterator[Change]:
    """Weights the build has, lighter and heavier; else a pair on the blade bolt, of several amounts."""
    scenario, assembly = base.scenario, base.assembly
    names = [name for name, part in scenario.part.items() if part.group == "counterweight"]
    if names:
        for factor in TIMES:
            how = "lighter" if factor < 1.0 else "heavier"
            words = f"weights {100.0 * abs(factor - 1.0):.0f} % {how}, as they stand"
            yield with_masses(scenario, assembly, words, dict.fromkeys(names, factor))
        return
    if any(part.stands_in for part in assembly.parts):
        yield left_out("weights of several amounts", "the bolt of this build is its weight (instead_of)")
        return
    for kappa in AMOUNTS:
        _, factor = amount(base, kappa)
        words = f"weights that cancel {100.0 * kappa:.0f} %"
        if not factor > 0.0:
            yield left_out(words, "these blades have no pull to cancel")
            continue
        pair = written.PointPart.model_construct(
            **{
                **{name: field.default for name, field in written.PartBase.model_fields.items()},
                "group": "counterweight",
                "shape": "point",
                "at": written.Place.model_construct(
                    radius=base.assembly.bolt.radius, chord=0.0, normal=STAND_IN_HEIGHT
                ),
                "mass": factor * 0.5e-3,
                "mirror": "normal",
                "instead_of": [],
            }
        )
        yield altered(
            scenario,
            words,
            {"part": {**scenario.part, "weights-tried": pair}},
            remark=f"a pair on the bolt's axis, {1e3 * STAND_IN_HEIGHT:g} mm above and below, as points: featherbench "
            "size finds what to make",
            settings=(Setting("part.weights-tried.mass", "mass", 0.0, factor * 0.5e-3),),
        )
