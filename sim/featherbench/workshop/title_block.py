"""The words of the drawing: cut list, tolerances, balance, cautions, title block and scale bar."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from featherbench.plain_text import plain
from featherbench.sizing import MachinedPart, Sizing
from featherbench.sizing.tolerance import Mismatch
from featherbench.workshop.sheet import (
    BLOCK,
    BOTTOM,
    INCH,
    LEFT,
    TOP,
    Line,
    Sheet,
    Stamp,
    Words,
    millimetres,
)
from featherbench.workshop.title_fields import FIELDS_TOP, write_fields
from featherbench.workshop.turned_details import mass_tolerance

SIZE, STEP = 2.6, 3.5
"""Of the words and from line to line, mm."""
TITLE_LEFT = 190.0
CAUTION_SIZES = (2.4, 2.2, 2.0, 1.8, 1.6)
CAUTION_GAP, CAUTION_WIDE = 0.9, 268.0
"""Between lines, mm; characters of a line times their size, mm."""
SMALL = 0.5
"""Grams below which a hundredth is more than 2 % of a piece, so that thousandths are told."""
STAMP_LINES = 3
"""As many as there is room for between the frame and what a printer leaves white."""


def write_block(sheet: Sheet, sizing: Sizing, cautions: Sequence[str]) -> None:
    """Fill the lower part of the sheet."""
    sheet.lines.append(Line("frame", (TITLE_LEFT, BOTTOM), (TITLE_LEFT, BOTTOM + BLOCK)))
    y = BOTTOM + BLOCK - 5.0
    for number, text in enumerate((*cut_list(sizing), *tolerance_words(sizing))):
        for line in textwrap.wrap(text, 108, subsequent_indent="    "):
            sheet.words.append(Words((LEFT + 2.0, y), SIZE, line, number == 0))
            y -= STEP
    write_cautions(sheet, cautions, y - 1.0)
    write_title(sheet, sizing)


def write_cautions(sheet: Sheet, cautions: Sequence[str], top: float, across: float = CAUTION_WIDE) -> None:
    """All of them, as small as it takes: none may be left off. top: mm; across: as CAUTION_WIDE."""
    room = top - BOTTOM - 1.0
    for size in CAUTION_SIZES:
        wide = int(across / size)
        lines = [line for text in cautions for line in textwrap.wrap("Caution: " + text, wide)]
        if (len(lines) - 1) * (size + CAUTION_GAP) <= room:
            break
    for number, line in enumerate(lines):
        sheet.words.append(Words((LEFT + 2.0, top - number * (size + CAUTION_GAP)), size, line))


def stamp(word: str, why: Sequence[str]) -> Stamp | None:
    """What is stamped across the sheet, and why; None without a word, for what may be made and run."""
    if not word:
        return None
    lines = [line for text in why for line in textwrap.wrap(text, 150)]
    if len(lines) > STAMP_LINES:
        lines = [
            *lines[: STAMP_LINES - 1],
            f"{lines[STAMP_LINES - 1][:110]} ... (all of them: featherbench predict)",
        ]
    at = [(LEFT, TOP + 1.6 + STEP * row) for row in reversed(range(len(lines)))]
    return Stamp(word, tuple(Words(place, SIZE, line, True) for place, line in zip(at, lines, strict=True)))


def cut_list(sizing: Sizing) -> list[str]:
    """Heading, then a line for each thing to make or to buy."""
    lines = ["For each blade, finished (to be weighed):"]
    for part in sizing.best.build.made:
        round_bar = f"Ø {millimetres(part.diameter)} x {millimetres(part.length)} mm"
        if len(part.threaded) == len(part.pieces):
            long = millimetres(part.length + part.screwed_in)
            out = f", {millimetres(part.length)} mm of it projecting" if part.screwed_in else ""
            round_bar = f"{part.thread} thread, {long} mm long{out}"
        what = (
            " ".join(filter(None, (part.standard, part.where and f"({part.where} the blade)"))) or round_bar
        )
        text = f"{part.count} x {part.name}: {what}, {part.material} ({part.density:.0f} kg/m³), "
        text += _grams(part, sizing.tolerances.general)
        lines.append(text)
    return lines


def to_make(part: MachinedPart, blades: int) -> str:
    """How many for the whole rotor."""
    count = part.count * blades
    return f"make {count} ({count + 1} with a spare)"


def _grams(part: MachinedPart, half: float) -> str:
    """Mass of one as a workshop's scale shows it; of a turned one, flats or slot cut, how far off it may be."""
    if part.standard:
        return f"{1e3 * part.mass:.2f} g each"
    grams = 1e3 * part.weighed
    digits = 2 if grams >= SMALL else 3
    off = max(1e3 * mass_tolerance(part, half), 10.0**-digits)
    return f"{grams:.{digits}f} ±{off:.{digits}f} g each"


def tolerance_words(sizing: Sizing) -> list[str]:
    """General tolerance, the dimension that matters, and where the balance comes from."""
    tolerances = sizing.tolerances
    lines = []
    if tolerances.effects:
        half = 1e3 * tolerances.general
        worst = tolerances.effects[0]
        lines.append(
            f"Diameter and height of heads, nuts, weights ±{half:g} mm (±{half / INCH:.4f} in); else ISO 2768-m, edges "
            f"broken 0.1 mm. What matters most is the "
            f"{worst.dimension}: {half:g} mm changes the {sizing.quantity.replace('_', ' ')} by "
            f"{abs(worst.slope) * tolerances.general:.2g}. Trim to mass."
        )
    return [*lines, _matching(tolerances.mismatch, pieces(sizing))]


def _matching(unlike: Mismatch, count: int) -> str:
    """To how much the sets are matched, and what the scale makes of it."""
    step = f"{1e6 * unlike.step:.2g} mg"
    reached = f"G{1e3 * unlike.of_step:.2g}, {unlike.force:.2g} N once a turn"
    if not unlike.grade:
        return (
            f"Match the complete sets between blades to one step of your scale, {step}: ISO 21940-11 {reached}, blades "
            "only (no limits.balance_grade stated)."
        )
    said = (
        f"Match the complete sets between blades to {1e6 * unlike.allowed:.2g} mg (ISO 21940-11 "
        f"{plain(unlike.grade, 12)}, blades only). Per piece: {1e6 * unlike.allowed / count:.2g} mg."
    )
    if unlike.shows:
        return said
    return f"{said} A scale of {step} does not show that: it leaves {reached}."


def pieces(sizing: Sizing) -> int:
    """Pieces per blade."""
    return sum(part.count for part in sizing.best.build.made)


def write_title(sheet: Sheet, sizing: Sizing, of: str = "sheet 1 of 2") -> None:
    """What it is, for which build and target, at which scale; fields for its owner."""
    x, y = TITLE_LEFT + 2.5, BOTTOM + BLOCK - 6.0
    for line in textwrap.wrap(plain(sizing.best.words, 70), 40):
        sheet.words.append(Words((x, y), 3.4, line, True))
        y -= 4.6
    for line in textwrap.wrap(sheet.title, 52)[:3]:
        sheet.words.append(Words((x, y), SIZE, line))
        y -= STEP
    if invented(sizing):
        sheet.words.append(Words((x, y), SIZE, "invented data", True))
        y -= STEP
    y -= 1.0
    unit = {"rod_force": " N"}.get(sizing.quantity, "")
    target = f"target {sizing.quantity.replace('_', ' ')} {sizing.target:.4g}{unit}"
    rows = (
        f"{target}, reached {sizing.best.achieved:.4g}{unit}",
        f"adds {1e3 * sizing.best.mass:.3f} g and {sizing.best.load:.1f} N per blade at speed",
        f"scale {sheet.scale:g}:1 printed at 100 %; all lengths mm (inch)",
        "drawn by calculation, not certified; model aircraft only",
    )
    step = min(STEP, (y - FIELDS_TOP - 1.0) / (len(rows) - 1))
    for text in rows:
        sheet.words.append(Words((x, y), SIZE, text))
        y -= step
    _scale_bar(sheet, x, BOTTOM + 5.5)
    write_fields(sheet, of)


def _scale_bar(sheet: Sheet, x: float, y: float) -> None:
    """Five millimetres of the part, so that a wrong print shows."""
    length = 5.0 if sheet.scale > 1.0 else 20.0
    end = x + length * sheet.scale
    for start, stop in (((x, y), (end, y)), ((x, y - 1.0), (x, y + 1.0)), ((end, y - 1.0), (end, y + 1.0))):
        sheet.lines.append(Line("frame", start, stop))
    text = f"{length:g} mm of the part = {length * sheet.scale:g} mm on paper"
    sheet.words.append(Words((x, y - 4.2), SIZE - 0.2, text))


def invented(sizing: Sizing) -> bool:
    """Whether the scenario, or a file it is made of, says that its data is invented."""
    from pathlib import Path

    texts = [sizing.plain.title, sizing.plain.notes]
    for name in sizing.given.source.files:
        path = Path(name)
        if path.is_file():
            texts.append(path.read_text(encoding="utf-8", errors="replace")[:2000])
    return any("invented" in text.lower() for text in texts)
