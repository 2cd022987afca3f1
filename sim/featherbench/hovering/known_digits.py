"""A scenario to as many digits as anybody knows, so that no flight hangs on those beyond.

Friction that sticks and slips makes a flight in hover chaotic: two that start a trillionth apart part company within
seconds. So every figure is rounded to nine digits before it is flown. The same build typed in inches, or with a last
digit that arithmetic left behind, then flies the same flight on the same machine. It takes no doubt away: what the
draws leave open is said beside each count (`draw_doubt`).
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from featherbench.scenario import Scenario

DIGITS = 9


def to_known_digits(scenario: Scenario) -> Scenario:
    """The scenario with every number to nine digits; what is stated and what is assumed stay so."""
    rounded: Scenario = _rounded(scenario)
    return rounded


def _rounded(node: Any) -> Any:
    """A copy of tables, lists and numbers with every float rounded."""
    if isinstance(node, float):
        return float(f"{node:.{DIGITS - 1}e}")
    if isinstance(node, BaseModel):
        # not by `update`, which would count every default as stated
        copy = node.model_copy()
        copy.__dict__.update({name: _rounded(getattr(node, name)) for name in type(node).model_fields})
        return copy
    if isinstance(node, dict):
        return {key: _rounded(value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        items = [_rounded(item) for item in node]
        return type(node)(*items) if hasattr(node, "_fields") else type(node)(items)
    return node
