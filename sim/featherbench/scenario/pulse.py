"""A dead band as data sheets have it: a time of the command pulse, made an angle by the travel per microsecond."""

from __future__ import annotations

import re
from typing import Any

from pydantic_core import PydanticCustomError

from featherbench import quantities

PULSE = re.compile(r"^\s*[0-9.eE+\- /\u00b1]+\s*(us|\u00b5s|\u03bcs|microseconds?)\b")


def angle_of_pulse(servo: dict[str, Any]) -> dict[str, Any]:
    """The table with a dead_band typed in microseconds as the angle of so much travel_per_us; else as it is.

    Raises PydanticCustomError, in words, where travel_per_us is missing or no angle, or the time has a tolerance.
    """
    band = servo.get("dead_band")
    if not isinstance(band, str) or not PULSE.match(band):
        return servo
    try:
        time = quantities.parse(band, "time")
        travel = quantities.parse(servo.get("travel_per_us"), "angle")
    except quantities.QuantityError:
        raise _refused("travel_per_us beside it, what the arm turns for a microsecond of pulse") from None
    if time.tolerance > 0.0 or travel.tolerance > 0.0:
        raise _refused("no tolerance in it; type the dead band as an angle with its tolerance")
    return {**servo, "dead_band": f"{time.value / 1e-6 * travel.value!r} rad"}


def _refused(wanted: str) -> PydanticCustomError:
    reason = f'a dead_band in us with {wanted}, for example dead_band = "4 us", travel_per_us = "0.09 deg"'
    return PydanticCustomError("quantity", "{reason}", {"reason": reason})
