"""The coaxial pieces of a turned, prismatic or standard part as it is written in a scenario."""

from __future__ import annotations

from featherbench.assembly import hardware, shapes
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import Cut, Piece
from featherbench.scenario import parts as written

Coaxial = (
    written.CylinderPart | written.TubePart | written.HexPart | written.StackPart | written.ScrewPart
    | written.NutPart | written.WasherPart
)  # fmt: skip


def pieces_of(part: Coaxial) -> tuple[Piece, ...]:
    """The coaxial pieces of a turned, prismatic or standard part about its `at`."""
    match part:
        case written.ScrewPart():
            plain = (part.shank_length, part.shank_diameter)
            return hardware.screw_pieces(part.standard, part.size, part.head, part.under_head, plain)
        case written.NutPart():
            return hardware.nut_pieces(part.standard, part.size)
        case written.WasherPart():
            return hardware.washer_pieces(part.standard, part.size)
        case written.StackPart():
            return _stack(part.pieces)
    whole = Piece(-part.length / 2.0, part.length)
    match part:
        case written.HexPart():
            whole = whole._replace(across_flats=part.across_flats, bore=part.bore)
        case written.TubePart():
            whole = whole._replace(diameter=part.diameter, bore=part.bore, cut=_cut(part))
        case written.CylinderPart():
            outside = _threaded(part.thread, "thread", "diameter", part.diameter)
            return (whole._replace(diameter=part.diameter, thread=outside),)
    return (whole._replace(tapped=_threaded(part.tapped, "tapped", "bore", part.bore)),)


def _cut(part: written.TubePart | written.StackPiece) -> Cut | None:
    """Flats or slot, as the rules of a part have let them pass."""
    if part.cut_length is None:
        return None
    return Cut(part.flats or 0.0, part.slot or 0.0, part.cut_length, 1 if part.cut_at == "+" else -1)


def _threaded(size: str | None, key: str, width_key: str, width: float) -> str:
    """The thread's size as the tables spell it, "" for none; the width it weighs as must lie in the thread."""
    if size is None:
        return ""
    thread = _thread(size, key)
    low, high = hardware.core_diameter(thread), hardware.thread_of(thread).diameter * hardware.MM
    if not low - 1e-6 <= width <= high + 1e-6:
        wanted = f"what {thread} weighs as, about {1e3 * hardware.pitch_diameter(thread):.4g} mm"
        raise PartRefused(width_key, f"{1e3 * width:g} mm", wanted)
    return thread


def _thread(size: str, key: str) -> str:
    """A thread's size as the tables spell it. Raises PartRefused(key, ...)."""
    try:
        hardware.thread_of(size)
    except PartRefused as refused:
        raise PartRefused(key, size, refused.expected) from None
    return hardware.split_size(size)[0]


def _stack_piece(given: written.StackPiece) -> Piece:
    outside = _thread(given.thread, "pieces") if given.thread else ""
    inside = _thread(given.tapped, "pieces") if given.tapped else ""
    return Piece(
        given.from_,
        given.length,
        hardware.pitch_diameter(outside) if outside else given.diameter or 0.0,
        given.across_flats or 0.0,
        hardware.pitch_diameter(inside) if inside else given.bore,
        thread=outside,
        tapped=inside,
        cut=_cut(given),
    )


def _stack(given: list[written.StackPiece]) -> tuple[Piece, ...]:
    """The pieces of a stack; metal counted twice is refused."""
    pieces = tuple(_stack_piece(piece) for piece in given)
    for number, piece in enumerate(pieces):
        for earlier in range(number):
            if shapes.overlap(piece, pieces[earlier]):
                raise PartRefused(
                    f"pieces.{number}",
                    f"overlaps piece {earlier}",
                    "pieces end to end, or one in the other's bore",
                )
    return pieces
