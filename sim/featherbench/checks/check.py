"""One check: a demand held against an allowable, with where the allowable came from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    """demand and allowable in the SI unit of `kind` (a key of `quantities.KINDS`), allowable None when not stated.

    margin is allowable / demand - 1; verdict "holds", "fails" or "not checked".
    """

    name: str
    kind: str
    demand: float
    allowable: float | None
    source: str

    @property
    def margin(self) -> float | None:
        """allowable / demand - 1; None when nothing is allowed or demanded."""
        if self.allowable is None or self.demand <= 0.0:
            return None
        return self.allowable / self.demand - 1.0

    @property
    def verdict(self) -> str:
        """In one or two words."""
        if self.allowable is None:
            return "not checked"
        return "holds" if self.demand <= self.allowable else "fails"
