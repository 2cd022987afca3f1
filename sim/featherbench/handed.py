"""Values that a program hands over instead of a text: a float is SI, a pint quantity says its own unit.

A file never holds either: a number without a unit in it is refused, for whoever typed it may have meant any. So is a
whole number from Python, which is more likely typed than computed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from featherbench import quantities


class HandedNumber(float):
    """A float in SI; text: as it would stand in a file, once the key has said of what kind it is."""

    text = ""


class HandedQuantity:
    """A number with a unit, of whatever registry: `magnitude` and `units`. text: as in `HandedNumber`."""

    def __init__(self, quantity: Any) -> None:
        """quantity: as it was handed over."""
        self.quantity, self.text = quantity, ""

    def __str__(self) -> str:
        """As the refusal of it shows it."""
        return str(self.quantity)


def handed(node: Any) -> Any:
    """Tables, lists and values of a program, with floats and quantities marked as such."""
    if isinstance(node, Mapping):
        return {key: handed(value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [handed(value) for value in node]
    if hasattr(node, "magnitude") and hasattr(node, "units"):
        return HandedQuantity(node)
    if hasattr(node, "tolist") and not isinstance(node, float):  # arrays, and numbers of other widths
        return handed(node.tolist())
    return HandedNumber(node) if isinstance(node, float) else node


def typed(given: object, kind: str) -> object:
    """What would have been typed for a value of `kind` that was handed over; anything else as it is.

    Unit names are read by the program's own list, not converted by the registry they come from: to some, a rotation and
    a frequency are the same.
    """
    if isinstance(given, HandedNumber) and kind != "ratio":
        given.text = f"{float(given)!r} {quantities.si_unit(kind)}"
        return given.text
    if isinstance(given, HandedQuantity):
        number, units = float(given.quantity.magnitude), given.quantity.units
        texts = [f"{number!r} {name}".strip() for name in (f"{units:~C}", f"{units:C}", str(units))]
        given.text = next((text for text in texts if _read(text, kind)), texts[0])
        return given.text
    return given


def _read(text: str, kind: str) -> bool:
    try:
        quantities.parse(text, kind)
    except quantities.QuantityError:
        return False
    return True


def as_typed(node: Any) -> Any:
    """The tree as a file would have it, after the keys have said what kinds the values are of."""
    if isinstance(node, dict):
        return {key: as_typed(value) for key, value in node.items()}
    if isinstance(node, list):
        return [as_typed(value) for value in node]
    if isinstance(node, HandedNumber | HandedQuantity):
        return node.text or (float(node) if isinstance(node, HandedNumber) else str(node))
    return node
