"""The dimensions of a build's weights that a slider can change, twins together, and what else follows them.

A weight that stands on something keeps its foot where it is: a longer one grows away from the feathering axis.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from featherbench.assembly import shapes
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.written_pieces import pieces_of
from featherbench.scenario import parts as written
from featherbench.scenario.schema import Envelope

Coaxial = written.CylinderPart | written.TubePart | written.HexPart
LONGER, WIDER, LEAST = 4e-3, 3e-3, 1e-3
"""m: how much longer and wider at least a slider goes, and the least dimension."""
LOWER, HIGHER = 5e-3, 8e-3
"""m by which a weight may be moved toward the feathering axis and away from it."""


@dataclass(frozen=True)
class Dimension:
    """One dimension of a weight (and its twin), SI. effects: (key path of the scenario, change per change)."""

    part: str
    word: str
    kind: str
    start: float
    low: float
    high: float
    effects: tuple[tuple[str, float], ...]


def dimensions(
    weights: Mapping[str, written.Part], effect: Mapping[str, float], envelope: Envelope | None
) -> list[list[Dimension]]:
    """Dimensions of each weight or pair of twins, the most effective first.

    effect: by name, how much a weight does. Plain blocks are left out where there is anything turned.
    """
    sets = _twins(weights)
    sets.sort(key=lambda names: -sum(effect.get(name, 0.0) for name in names))
    if any(weights[names[0]].shape != "box" for names in sets):
        sets = [names for names in sets if weights[names[0]].shape != "box"]
    return [_of_set({name: weights[name] for name in names}, envelope) for names in sets]


def outward(weights: Mapping[str, written.Part]) -> Dimension:
    """All weights that stand off the feathering axis, moved away from it together: bought pieces stay stacked."""
    standing = {name: part.at.normal for name, part in weights.items() if part.at.normal}
    effects = tuple((f"part.{name}.at.normal", 1.0 if n > 0.0 else -1.0) for name, n in standing.items())
    least = min(abs(n) for n in standing.values())
    return Dimension("all", "moved outward", "length", 0.0, -min(LOWER, 0.8 * least), LOWER, effects)


def _twins(weights: Mapping[str, written.Part]) -> list[list[str]]:
    """Names of weights, those that are alike but for the side they stand on together."""
    sets: list[list[str]] = []
    for name, part in weights.items():
        for known in sets:
            first = weights[known[0]]
            if len(known) == 1 and part.at.normal * first.at.normal < 0.0 and _alike(part) == _alike(first):
                known.append(name)
                break
        else:
            sets.append([name])
    return sets


def _alike(part: written.Part) -> dict[str, object]:
    """What twins have in common: everything but the height."""
    return {
        **part.model_dump(exclude={"at", "instead_of"}),
        "place": (part.at.radius, part.at.chord),
        "alone": part.mirror is None,
    }


def _of_set(parts: Mapping[str, written.Part], envelope: Envelope | None) -> list[Dimension]:
    name, part = next(iter(parts.items()))
    if isinstance(part, written.StackPart):
        return _stack(name, part, envelope)
    height = _height(parts, part, envelope)
    match part:
        case written.CylinderPart() | written.TubePart() | written.HexPart():
            across = "across_flats" if isinstance(part, written.HexPart) else "diameter"
            wide = getattr(part, across)
            length = _length(parts, "length", part.length, part.axis == "normal", envelope)
            width = Dimension(
                name,
                across.replace("_", " "),
                "length",
                wide,
                min(LEAST, wide),
                _widest(wide, envelope),
                tuple((f"part.{key}.{across}", 1.0) for key in parts),
            )
            return [length, width, *height]
        case written.BoxPart():
            return [_length(parts, "size.normal", part.size.normal, True, envelope), *height]
        case written.PointPart():
            assert part.mass is not None
            effects = tuple((f"part.{key}.mass", 1.0) for key in parts)
            return [
                Dimension(name, "mass", "mass", part.mass, min(part.mass, 1e-4), 3.0 * part.mass, effects),
                *height,
            ]
        case _:
            return height


def _length(
    parts: Mapping[str, written.Part], key: str, length: float, upright: bool, envelope: Envelope | None
) -> Dimension:
    """Length along its axis, the foot kept where it is if it stands upright on one side."""
    name, part = next(iter(parts.items()))
    effects = [(f"part.{own}.{key}", 1.0) for own in parts]
    longest = max(2.0 * length, length + LONGER)
    if upright and abs(part.at.normal) >= length / 2.0:
        for own, one in parts.items():
            effects.append((f"part.{own}.at.normal", 0.5 if one.at.normal > 0.0 else -0.5))
        if envelope is not None:
            foot = max(abs(one.at.normal) for one in parts.values()) - length / 2.0
            longest = min(longest, min(envelope.height_above, envelope.height_below) - foot)
    return Dimension(
        name, "length", "length", length, min(LEAST, length), max(length, longest), tuple(effects)
    )


def _height(
    parts: Mapping[str, written.Part], part: written.Part, envelope: Envelope | None
) -> list[Dimension]:
    """How far from the feathering axis: to the foot of an upright weight, else to its middle."""
    name = next(iter(parts))
    middle = abs(part.at.normal)
    if not middle:
        return []
    half, word = 0.0, "height above the axis"
    if isinstance(part, Coaxial) and part.axis == "normal":
        half, word = part.length / 2.0, "foot above the axis"
    elif isinstance(part, written.BoxPart):
        half, word = part.size.normal / 2.0, "foot above the axis"
    if half > middle:
        return []
    start = middle - half
    effects = tuple(
        (f"part.{own}.at.normal", 1.0 if one.at.normal > 0.0 else -1.0) for own, one in parts.items()
    )
    highest = start + HIGHER
    if envelope is not None and half:
        furthest = max(abs(one.at.normal) for one in parts.values()) + half
        highest = start + max(0.0, min(envelope.height_above, envelope.height_below) - furthest)
    return [Dimension(name, word, "length", start, max(0.0, start - LOWER), highest, effects)]


def _widest(wide: float, envelope: Envelope | None) -> float:
    widest = max(1.8 * wide, wide + WIDER)
    return widest if envelope is None else max(wide, min(widest, envelope.diameter))


def _stack(name: str, part: written.StackPart, envelope: Envelope | None) -> list[Dimension]:
    """Length and width of the piece furthest out, on each side that the stack reaches to."""
    if part.axis != "normal":
        return []
    low = [part.at.normal + piece.from_ for piece in part.pieces]
    high = [start + piece.length for start, piece in zip(low, part.pieces, strict=True)]
    top, bottom = high.index(max(high)), low.index(min(low))
    found: list[Dimension] = []
    if top == bottom and low[top] < 0.0 < high[top]:
        return _piece(name, part, top, "", -0.5, envelope)
    sides = [
        (max(high) > 0.0, top, "upper ", 0.0),
        (min(low) < 0.0 and not part.mirror, bottom, "lower ", -1.0),
    ]
    there = [side for side in sides if side[0]]
    for _, place, word, shift in there:
        found += _piece(name, part, place, word if len(there) > 1 else "", shift, envelope)
    return found


def _piece(
    name: str, part: written.StackPart, place: int, side: str, shift: float, envelope: Envelope | None
) -> list[Dimension]:
    """Dimensions of one piece; shift: of where it starts, per change of length."""
    piece, path = part.pieces[place], f"part.{name}.pieces.{place}"
    across = "across_flats" if piece.across_flats else "diameter"
    wide = float(piece.across_flats or piece.diameter or 0.0)
    effects = [(f"{path}.length", 1.0), *([(f"{path}.from", shift)] if shift else [])]
    longest = max(2.0 * piece.length, piece.length + LONGER)
    if envelope is not None and shift > -0.5:
        longest = min(longest, envelope.height_above - (part.at.normal + piece.from_))
    elif envelope is not None and shift == -1.0:
        longest = min(longest, envelope.height_below + part.at.normal + piece.from_ + piece.length)
    length = max(piece.length, longest)
    return [
        Dimension(
            name, f"{side}length", "length", piece.length, min(LEAST, piece.length), length, tuple(effects)
        ),
        Dimension(
            name,
            f"{side}{across.replace('_', ' ')}",
            "length",
            wide,
            min(LEAST, wide),
            _widest(wide, envelope),
            ((f"{path}.{across}", 1.0),),
        ),
    ]


def volume(part: written.Part) -> float | None:
    """m^3 of one solid part of the shapes that sliders change, as it is weighed; None for other shapes, and for sizes
    that no such part has.
    """
    try:
        match part:
            case written.BoxPart():
                return shapes.box(part.size.radius, part.size.chord, part.size.normal, 1.0).mass
            case written.CylinderPart() | written.TubePart() | written.HexPart() | written.StackPart():
                return shapes.coaxial(pieces_of(part), part.axis, 1.0).mass
            case _:
                return None
    except PartRefused:  # said when the build is made of it
        return None
