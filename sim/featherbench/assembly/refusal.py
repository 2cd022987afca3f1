"""How the assembly room says that a part cannot be: in the words and with the numbers of the person who typed
it.
"""

from __future__ import annotations


class PartRefused(ValueError):
    """A part, or the way the blade is held, that cannot be.

    key: the scenario key at fault, relative to the part ("bore") or whole ("blade.section"). given: what was
    typed. expected: what would do, with an example where that helps.
    """

    def __init__(self, key: str, given: str, expected: str) -> None:
        """Keep the three texts; the message joins them."""
        super().__init__(f"{key}: {given}; expected {expected}")
        self.key = key
        self.given = given
        self.expected = expected
