"""What a builder has for a stack on the blade bolt: [[own]], and the screw, nuts and washers that are on it now."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from featherbench.assembly import hardware
from featherbench.assembly.hardware import (
    MM,
    nut_pieces,
    pitch_diameter,
    screw_pieces,
    split_size,
    washer_pieces,
)
from featherbench.assembly.materials import material
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import Piece
from featherbench.scenario import Scenario, ScenarioError
from featherbench.scenario import own_tables as owned
from featherbench.scenario import parts as written
from featherbench.sizing.machined import Column, column_of, mm

TEXTS = {"mass": ("g", 1e3), "density": ("kg/m^3", 1.0), "yield_strength": ("MPa", 1e-6)}
TEXTS |= {"proof_strength": TEXTS["yield_strength"], "ultimate_strength": TEXTS["yield_strength"]}
WORDS = ("material", "property_class")
GIVEN = (
    written.ScrewPart | written.NutPart | written.WasherPart
    | owned.OwnScrew | owned.OwnNut | owned.OwnWasher | owned.OwnTube
)  # fmt: skip


class Kind(NamedTuple):
    """Pieces of one kind. shape: "screw", "nut" (what has a thread inside) or "ring"; label in words; key: where it is
    written; most: of them for one blade; pieces along its axis about its middle (a screw: its face under the head at 0,
    shank below); density kg/m^3 as weighed; table: as a part of a scenario, without its place; locks: a nut that keeps
    itself; thin: one that only locks another; plain: length of a screw's shank without thread, m.
    """

    shape: str
    label: str
    key: str
    most: int
    thread: str
    pieces: tuple[Piece, ...]
    density: float
    table: Mapping[str, Any]
    locks: bool = False
    thin: bool = False
    plain: float = 0.0

    @property
    def column(self) -> Column:
        """Sums of one where `pieces` has it."""
        return column_of(self.pieces, self.density)

    @property
    def height(self) -> float:
        """Of one, m; of a screw, its head."""
        low = 0.0 if self.shape == "screw" else min(one.start for one in self.pieces)
        return max(one.start + one.length for one in self.pieces) - low

    @property
    def shank(self) -> float:
        """Length of a screw under its head, m."""
        return -min(one.start for one in self.pieces)

    @property
    def wide(self) -> float:
        """Across its corners or its round, m."""
        return max(one.diameter or one.across_flats * 2.0 / 3.0**0.5 for one in self.pieces)

    @property
    def bore(self) -> float:
        """Of a ring, m."""
        return min(one.bore for one in self.pieces)


def kinds_of(scenario: Scenario, replaced: tuple[str, ...]) -> tuple[Kind, ...]:
    """[[own]] in its order, then what is on the bolt now; raises ScenarioError for sizes that no table has.

    replaced: names of the parts on the bolt that come off. Of one kind only what is enough for every blade counts.
    """
    found, problems, blades = [], [], scenario.rotor.blades
    for index, given in enumerate(scenario.own):
        key = f"own.{index}"
        try:
            found.append(kind_of(given, key, given.count // blades))
        except PartRefused as refused:
            problems.append(refused.problem("", f"{key}."))
    if problems:
        raise ScenarioError(tuple(problems))
    for name in replaced:
        part = scenario.part[name]
        if isinstance(part, written.ScrewPart | written.NutPart | written.WasherPart):
            found.append(kind_of(part, f"part.{name}", 1))
    return tuple(found)


def kind_of(given: GIVEN, key: str, most: int) -> Kind:
    """One kind, of which there are so many for a blade. Raises PartRefused for a size or material that no table has."""
    table = _table(given)
    shape: str = given.shape
    plain = 0.0
    locks = thin = False
    if isinstance(given, owned.OwnTube):
        pieces, shape, thread, label = _tube(given, table)
    else:
        thread, label = split_size(given.size)[0], f"{given.standard} {given.size}"
        table |= {"standard": given.standard, "size": given.size}
        if isinstance(given, written.ScrewPart | owned.OwnScrew):
            plain = given.shank_length
            pieces = screw_pieces(given.standard, given.size, "+", 0.0, (plain, None))
            table |= {"shank_length": mm(plain)} if plain else {}
        elif isinstance(given, written.NutPart | owned.OwnNut):
            pieces = nut_pieces(given.standard, given.size)
            locks, thin = len(pieces) > 1, hardware.is_thin(given.standard)
        else:
            pieces, shape = washer_pieces(given.standard, given.size), "ring"
    metal = (
        material(given.material or "steel", "material").density if given.density is None else given.density
    )
    if given.mass is not None:
        metal *= given.mass / float(column_of(pieces, metal).mass)
    return Kind(shape, label, key, most, thread, pieces, metal, table, locks, thin, plain)


def _tube(given: owned.OwnTube, table: dict[str, Any]) -> tuple[tuple[Piece, ...], str, str, str]:
    """Pieces, shape, thread and label of a measured ring; its keys go into the table."""
    size = f"Ø {1e3 * given.diameter:g} x {1e3 * given.length:g} mm"
    thread = split_size(given.tapped)[0] if given.tapped else ""
    bore = pitch_diameter(thread) if thread else given.bore or 0.0
    table |= {"diameter": mm(given.diameter), "length": mm(given.length), "bore": mm(bore)}
    table |= {"tapped": thread} if thread else {}
    piece = Piece(-given.length / 2.0, given.length, diameter=given.diameter, bore=bore, tapped=thread)
    hole = f"tapped {thread}" if thread else f"bore {bore / MM:g} mm"
    return (piece,), "nut" if thread else "ring", thread, f"{size}, {hole}"


def _table(given: GIVEN) -> dict[str, Any]:
    """Shape, and what it weighs and bears, as typed."""
    table: dict[str, Any] = {"shape": given.shape}
    for key, (unit, factor) in TEXTS.items():
        value = getattr(given, key, None)
        if value is not None:
            table[key] = f"{value * factor:.9g} {unit}"
    for key in WORDS:
        if getattr(given, key, None) is not None:
            table[key] = getattr(given, key)
    return table
