"""Throws compiled kernels away when any kernel's source has changed.

numba keeps each compiled function beside its source and drops it when that one file changes. A kernel that calls
another from a second file is compiled with the other inside: after an update that touches only the second, the first
would go on computing by the old law, silently. So one stamp over all kernel sources is kept, and when it no longer
fits, the whole cache goes.

A cache that numba keeps elsewhere (NUMBA_CACHE_DIR, or an installation nobody may write to) is not looked after.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from pathlib import Path

ROOMS = ("rotor", "linkage", "servo", "plant", "aircraft")
"""Rooms that hold kernels."""
STAMP = "kernels.sha256"


def discard_outdated(package: Path) -> bool:
    """Drop the compiled kernels under `package` unless its stamp fits the sources; True when they were dropped.

    Never raises: where nothing can be written nothing is kept, either.
    """
    rooms = [package / room for room in ROOMS if (package / room).is_dir()]
    digest = _digest(rooms)
    stamp = package / "plant" / "__pycache__" / STAMP
    with contextlib.suppress(OSError):
        if stamp.read_text(encoding="ascii") == digest:
            return False
    for index in (file for room in rooms for file in (room / "__pycache__").glob("*.nb[ic]")):
        with contextlib.suppress(OSError):
            index.unlink()
    with contextlib.suppress(OSError):
        stamp.parent.mkdir(exist_ok=True)
        fresh = stamp.with_name(f"{STAMP}.{os.getpid()}")
        fresh.write_text(digest, encoding="ascii")
        fresh.replace(stamp)
    return True


def _digest(rooms: list[Path]) -> str:
    """sha256 over name and text of every source that holds a kernel."""
    whole = hashlib.sha256()
    for file in (file for room in rooms for file in sorted(room.rglob("*.py"))):
        with contextlib.suppress(OSError):
            text = file.read_bytes()
            if b"njit" in text:
                whole.update(file.name.encode() + b"\0" + text + b"\0")
    return whole.hexdigest()
