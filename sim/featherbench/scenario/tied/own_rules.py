"""Rules that tie the keys of a piece that somebody owns together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from featherbench.scenario.own_tables import Own, OwnTube
from featherbench.scenario.tied.part_rules import in_millimetres
from featherbench.scenario.tied.strength_rules import Broken


def broken_own(pieces: Sequence[Own]) -> Iterator[Broken]:
    """Of all pieces, key paths from the top of the file."""
    for index, piece in enumerate(pieces):
        path = ("own", index)
        if piece.density is not None and piece.material is not None:
            yield Broken((*path, "density"), "either density or material, not both")
        if not isinstance(piece, OwnTube):
            continue
        if (piece.bore is None) == (piece.tapped is None):
            wanted = 'either bore, for example "3.2 mm", or tapped, for example "M3"'
            yield Broken((*path, "bore"), wanted, "neither" if piece.bore is None else "both")
        elif piece.bore is not None and piece.bore >= piece.diameter:
            yield Broken((*path, "bore"), f"a bore below the outside of {in_millimetres(piece.diameter)}")
        if piece.mass is None and piece.material is None and piece.density is None:
            yield Broken((*path, "mass"), 'mass = "1.2 g" as weighed, or material = "brass"')
