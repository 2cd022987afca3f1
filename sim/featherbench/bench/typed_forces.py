"""Forces by pitch in a TOML file of readings, and fields of such a file that were left as they came."""

from __future__ import annotations

from pathlib import Path

from featherbench import quantities
from featherbench.bench.logs_text import refused
from featherbench.bench.pitch_table import ForceAtPitch

FORCES = "forces"
"""Their name in the file."""
_EXAMPLE = '{ pitch = "12 deg", rising = "4.5 N", falling = "3.1 N" }'


def is_blank(value: object, kind: str) -> bool:
    """Whether a field was left as it came: nothing in it, or the unit alone. kind: "text" for words."""
    if not isinstance(value, str) or any(letter.isdigit() for letter in value):
        return False
    return not value.strip() or (kind != "text" and value.strip() in ("N", "ozf", "A", "rpm"))


def forces_of_list(path: Path, line: int | None, rows: object) -> list[ForceAtPitch]:
    """forces = [ { pitch = "12 deg", rising = "4.5 N", falling = "3.1 N" }, ... ]: push positive, blanks not read.

    Repeats stand in a list. Raises ReadingsRefused.
    """
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise refused(path, line, FORCES, str(rows)[:60], f"rows such as {_EXAMPLE}")
    found = []
    for row in rows:
        if stray := set(row) - {"pitch", "rising", "falling"}:
            raise refused(path, line, FORCES, min(stray), f"rows such as {_EXAMPLE}")
        place = row.get("pitch", "")
        pitch = _parsed(path, line, f"{FORCES}, pitch", place, "angle").value
        for way in ("rising", "falling"):
            given = row.get(way, "")
            for value in given if isinstance(given, list) else [given]:
                if not is_blank(value, "force"):
                    read = _parsed(path, line, f"{FORCES} at {place}, {way}", value, "force")
                    found.append(ForceAtPitch(pitch, read.value, way == "rising", line or 0, read.tolerance))
    return found


def _parsed(path: Path, line: int | None, where: str, value: object, kind: str) -> quantities.Measured:
    """A quantity as it was typed; refused with the row that it stands in, and with what was typed and nothing else."""
    try:
        return quantities.parse(value, kind)
    except quantities.QuantityError as error:
        raise refused(path, line, where, str(value)[:60], str(error)) from None
