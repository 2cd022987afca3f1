"""Rules that tie the keys of a part together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from featherbench import quantities
from featherbench.scenario import parts as shapes
from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.tied.strength_rules import (
    Broken,
    broken_screw,
    broken_strength,
)

STANDARD_SHAPES = ("screw", "nut", "washer")
"""Steel unless stated otherwise."""


def in_millimetres(length: float) -> str:
    """A length (m) as it is said in a refusal."""
    return quantities.text(length, "length")


def broken_part(part: Any) -> Iterator[Broken]:
    """Rules of one part; key paths are relative to it."""
    if part.density is not None and part.material is not None:
        yield Broken(("density",), "either density or material, not both")
    if isinstance(part, shapes.PointPart | shapes.MeasuredPart) and part.mass is None:
        yield Broken(("mass",), f'the mass of a {part.shape} part, for example "1.2 g"')
    elif (
        part.mass is None
        and part.density is None
        and part.material is None
        and part.shape not in STANDARD_SHAPES
    ):
        yield Broken(("mass",), 'mass = "5.6 g", or material = "aluminium 6061", or density = "2700 kg/m^3"')
    if isinstance(part, shapes.TubePart | shapes.HexPart):
        outside = part.diameter if isinstance(part, shapes.TubePart) else part.across_flats
        if part.bore >= outside:
            yield Broken(("bore",), f"a bore below the outside of {in_millimetres(outside)}")
    if isinstance(part, shapes.TubePart):
        yield from _gripped(part, ())
    yield from broken_strength(part)
    if isinstance(part, shapes.ScrewPart):
        yield from broken_screw(part)
    if isinstance(part, shapes.StackPart):
        yield from _stack(part)
    if isinstance(part, shapes.MeasuredPart):
        yield from _measured(part)
    if part.mirror is not None and getattr(part.at, part.mirror) == 0.0:
        yield Broken(
            ("mirror",),
            f'at.{part.mirror} other than 0, else both twins stand in one place, for example "11 mm"',
        )


def _stack(part: shapes.StackPart) -> Iterator[Broken]:
    for index, piece in enumerate(part.pieces):
        path: KeyPath = ("pieces", index)
        outsides = [key for key in ("diameter", "across_flats", "thread") if getattr(piece, key) is not None]
        if len(outsides) != 1:
            given = (
                "neither of them" if not outsides else "both of them" if len(outsides) == 2 else "all of them"
            )
            yield Broken(path, "either diameter (round), across_flats (hexagonal) or thread", given)
            continue
        if piece.tapped is not None and piece.bore:
            yield Broken((*path, "tapped"), "either bore or tapped, not both")
        yield from _gripped(piece, path)
        if piece.thread is not None:
            continue
        outside = piece.diameter or piece.across_flats or 0.0
        if piece.bore >= outside:
            yield Broken((*path, "bore"), f"a bore below the outside of {in_millimetres(outside)}")


def _gripped(piece: shapes.TubePart | shapes.StackPiece, path: KeyPath) -> Iterator[Broken]:
    """Flats or a slot lie within the round that they are cut into."""
    cuts = [key for key in ("flats", "slot") if getattr(piece, key) is not None]
    if not cuts:
        if piece.cut_length is not None:
            yield Broken((*path, "cut_length"), "flats or slot as well, or none of them")
        return
    key, wide = cuts[0], piece.diameter
    if len(cuts) > 1:
        yield Broken((*path, "slot"), "either flats or slot, not both")
    elif wide is None:
        yield Broken((*path, key), "diameter: only a round piece is given flats or a slot")
    elif not piece.bore < (piece.flats or wide) < wide and key == "flats":
        yield Broken((*path, key), f"between the bore and the diameter of {in_millimetres(wide)}")
    elif piece.slot is not None and piece.slot >= wide:
        yield Broken((*path, key), f"narrower than the diameter of {in_millimetres(wide)}")
    elif piece.cut_length is None:
        yield Broken((*path, "cut_length"), f'how far the {key} reach along the axis, for example "2.5 mm"')
    elif piece.cut_length > piece.length:
        yield Broken((*path, "cut_length"), f"at most the length of {in_millimetres(piece.length)}")


_SWING_NEEDS = {
    "bifilar": ("cord_length", "spacing"),
    "trifilar": ("cord_length", "spacing"),
    "compound": ("pivot_distance",),
}


def _measured(part: shapes.MeasuredPart) -> Iterator[Broken]:
    short = ("period", "cord_length", "spacing")
    stated = [key for key in short if getattr(part, key) is not None]
    if not part.swings_measured and not stated:
        yield Broken(
            ("period",),
            'a swing: period = "0.9 s", cord_length = "300 mm", spacing = "60 mm", or swings_measured',
        )
    if stated:
        for key in short:
            if key not in stated:
                yield Broken(
                    (key,), f"all of {', '.join(short)} of the bifilar swing; {' and '.join(stated)} given"
                )
    for index, swing in enumerate(part.swings_measured):
        for key in _SWING_NEEDS[swing.method]:
            if getattr(swing, key) is None:
                yield Broken(
                    ("swings_measured", index, key),
                    f'the {key} of a {swing.method} swing, for example "60 mm"',
                )


def broken_stand_ins(parts: Mapping[str, Any]) -> Iterator[Broken]:
    """A part can take the place of another one that stands in for nothing itself."""
    for name, part in parts.items():
        for index, other in enumerate(part.instead_of):
            if other == name or other not in parts or parts[other].instead_of:
                others = [key for key, known in parts.items() if key != name and not known.instead_of]
                yield Broken(
                    ("part", name, "instead_of", index),
                    f"the name of another part ({', '.join(others)}) that stands in for none itself",
                )
