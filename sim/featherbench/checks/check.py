"""One check: a demand held against an allowable, with where the allowable came from and what decides."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What a check came to. The text is what a person reads; a JSON document holds the same words."""

    HOLDS = "holds"
    FAILS = "fails"
    UNKNOWN = "unknown"
    """Part of the path that carries a blade or a weight, and its strength or its fixing is not known: do not run."""
    NOT_CHECKED = "not checked"
    """Not in the load path; `source` says what to state so that it can be checked."""


@dataclass(frozen=True)
class Check:
    """demand and allowable in the SI unit of `kind` (a key of `quantities.KINDS`), either None when not known.

    source: where the allowable is from, or, when the check could not be made, what to state so that it can.
    section: the place that decides, such as "thread core d3 = 2.39 mm, at the nut"; "" where there is only one.
    load_path: a blade or a weight flies off when this gives way. Not known then means do not run, never a pass.
    within: it fails at the worse end of the tolerances only, which is the reading that counts. holding: what to say
    where it holds, in place of a margin that means nothing, such as "a whole nut".
    """

    name: str
    kind: str
    demand: float | None
    allowable: float | None
    source: str
    section: str = ""
    load_path: bool = False
    within: bool = False
    holding: str = ""

    @property
    def safety(self) -> float | None:
        """allowable / demand: 1 has nothing to spare, below 1 fails; None when nothing is allowed or demanded."""
        if self.allowable is None or self.demand is None or self.demand <= 0.0:
            return None
        return self.allowable / self.demand

    @property
    def margin(self) -> float | None:
        """allowable / demand - 1; None when nothing is allowed or demanded."""
        return None if self.safety is None else self.safety - 1.0

    @property
    def verdict(self) -> Verdict:
        """Holds when the demand is at most the allowable."""
        if self.allowable is None or self.demand is None:
            return Verdict.UNKNOWN if self.load_path else Verdict.NOT_CHECKED
        return Verdict.HOLDS if self.demand <= self.allowable else Verdict.FAILS


def not_checked(name: str, kind: str, what_to_state: str, demand: float | None = None) -> Check:
    """A check outside the load path that lacks something, and what to state so that it can be made."""
    return Check(name, kind, demand, None, what_to_state)


def unknown(name: str, kind: str, what_to_state: str, demand: float | None = None) -> Check:
    """A check in the load path that lacks something: do not run before it is stated and holds."""
    return Check(name, kind, demand, None, what_to_state, load_path=True)
