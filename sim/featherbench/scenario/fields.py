"""Field types of a scenario: a quantity typed as text becomes a plain SI float when the model is built."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from featherbench import quantities


def quantity(
    kind: str,
    *,
    above: float | None = None,
    at_least: float | None = None,
    below: float | None = None,
    at_most: float | None = None,
    example: str | None = None,
) -> Any:
    """Annotated float type for a quantity of `kind` (a key of `quantities.KINDS`); bounds in SI."""
    shown = example or quantities.KINDS[kind].example

    def to_si(given: object) -> float:
        try:
            return quantities.parse(given, kind).value
        except quantities.QuantityError as error:
            raise PydanticCustomError("quantity", "{reason}", {"reason": str(error), "example": shown}) from None

    bounds = {"gt": above, "ge": at_least, "lt": below, "le": at_most}
    return Annotated[
        float,
        Field(**{name: limit for name, limit in bounds.items() if limit is not None}),
        BeforeValidator(to_si),
        WithJsonSchema({"type": "string", "examples": [shown], "description": f"{kind} with its unit"}),
    ]


Length = quantity("length")
PositiveLength = quantity("length", above=0.0)
NonNegativeLength = quantity("length", at_least=0.0, example="0.05 mm")
PositiveMass = quantity("mass", above=0.0)
NonNegativeMass = quantity("mass", at_least=0.0)
NonNegativeForce = quantity("force", at_least=0.0)
PositiveForce = quantity("force", above=0.0, example="90 N")
Moment = quantity("moment")
PositiveMoment = quantity("moment", above=0.0)
NonNegativeMoment = quantity("moment", at_least=0.0, example="0.2 N*mm")
Angle = quantity("angle")
NonNegativeAngle = quantity("angle", at_least=0.0, example="0.3 deg")
PositiveAngle = quantity("angle", above=0.0, example="6 deg")
PositiveRotation = quantity("rotation", above=0.0)
NonNegativeRotation = quantity("rotation", at_least=0.0)
PositiveTime = quantity("time", above=0.0)
NonNegativeTime = quantity("time", at_least=0.0)
PositiveFrequency = quantity("frequency", above=0.0)
PositiveVoltage = quantity("voltage", above=0.0)
PositiveCurrent = quantity("current", above=0.0)
NonNegativeCurrent = quantity("current", at_least=0.0, example="12 mA")
NonNegativeResistance = quantity("resistance", at_least=0.0)
NonNegativeInductance = quantity("inductance", at_least=0.0)
PositiveInertia = quantity("inertia", above=0.0)
NonNegativeInertia = quantity("inertia", at_least=0.0)
PositiveStiffness = quantity("stiffness", above=0.0)
PositiveAngularStiffness = quantity("angular stiffness", above=0.0)
PositiveDensity = quantity("density", above=0.0)
PositivePressure = quantity("pressure", above=0.0)
Temperature = quantity("temperature", above=0.0)
