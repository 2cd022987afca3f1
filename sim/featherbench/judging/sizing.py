"""Sizing whose answer holds: the search, with the strength checks as its judge."""

from __future__ import annotations

from featherbench.bench.setup import Setup
from featherbench.checks.load_path import not_holding
from featherbench.scenario import Scenario
from featherbench.sizing import Sizing
from featherbench.sizing import size as search


def against(setup: Setup) -> tuple[str, ...]:
    """What fails or is not known of what keeps blades and weights on, check by check."""
    return tuple(
        f"{check.name} {check.safety:.2g} x" if check.safety is not None else f"{check.name}: {check.source}"
        for check in not_holding(setup)
    )


def size(scenario: Scenario, route: str = "auto") -> Sizing:
    """Weights of least added centrifugal load that meet the scenario's target inside its [envelope], and hold.

    route: "bolt", "arms", "standard", "own" (what [[own]] lists) or "auto". Where nothing holds, `best.holds` is False
    and `best.against` says why.
    Raises ScenarioError without an [envelope], or when nothing fits.

    >>> import featherbench as fb
    >>> found = fb.size(fb.read(fb.example("survey-3kg/plain")), "bolt")
    >>> found.best.words, found.best.holds
    ('turned bolt and nut, steel 4140 normalised', True)
    """
    return search(scenario, route, against)
