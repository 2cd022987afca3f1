"""One check: a demand held against an allowable, with where the allowable came from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    """demand and allowable in the SI unit of `kind` (a key of `quantities.KINDS`), either None when not known.

    margin is allowable / demand - 1; verdict "holds", "fails" or "not checked". source: where the allowable is from,
    or, when the check could not be made, what to state so that it can.
    """

    name: str
    kind: str
    demand: float | None
    allowable: float | None
    source: str

    @property
    def margin(self) -> float | None:
        """allowable / demand - 1; None when nothing is allowed or demanded."""
        if self.allowable is None or self.demand is None or self.demand <= 0.0:
            return None
        return self.allowable / self.demand - 1.0

    @property
    def verdict(self) -> str:
        """In one or two words."""
        if self.allowable is None or self.demand is None:
            return "not checked"
        return "holds" if self.demand <= self.allowable else "fails"


def not_checked(name: str, kind: str, what_to_state: str, demand: float | None = None) -> Check:
    """A check that lacks something, and what to state so that it can be made."""
    return Check(name, kind, demand, None, what_to_state)
