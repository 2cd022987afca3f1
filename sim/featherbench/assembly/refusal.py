"""How the assembly room says that a part cannot be: in the words and with the numbers of the person who typed
it.
"""

from __future__ import annotations

from featherbench.scenario import Problem


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

    def problem(self, file: str = "", prefix: str = "") -> Problem:
        """The same as a scenario's problem; `prefix` leads to the part's keys."""
        key = self.key if self.key.startswith("blade.") else prefix + self.key
        return Problem(file=file, key=key, given=self.given, expected=self.expected)
