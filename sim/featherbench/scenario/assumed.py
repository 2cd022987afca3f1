"""What was left to defaults, and why each default is what it is."""

from __future__ import annotations

from typing import NamedTuple


class Assumed(NamedTuple):
    """Something the user did not state: key path, the value taken, and why, in plain words."""

    key: str
    value: str
    why: str
