"""Field types of a scenario: a quantity typed as text becomes a plain SI float when the model is built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from featherbench import quantities
from featherbench.handed import typed

PLAUSIBLE: dict[str, tuple[float, float]] = {
    "length": (1e-8, 1e3),
    "altitude": (1e-2, 1.1e4),
    "mass": (1e-9, 1e3),
    "force": (1e-7, 1e6),
    "moment": (1e-9, 1e5),
    "angle": (1e-8, 100.0),
    "rotation": (1e-3, 1e5),
    "time": (1e-7, 1e4),
    "frequency": (1e-3, 1e6),
    "voltage": (1e-2, 1e3),
    "current": (1e-7, 1e4),
    "resistance": (1e-7, 1e5),
    "inductance": (1e-10, 1e2),
    "inertia": (1e-15, 1e4),
    "moment of mass": (1e-12, 1e3),
    "stiffness": (1e-2, 1e11),
    "angular stiffness": (1e-5, 1e8),
    "density": (1e-3, 3e4),
    "pressure": (1e2, 1e13),
    "stress": (1e6, 5e9),
    "temperature": (150.0, 400.0),
}
"""Least and greatest magnitude, SI, that any model helicopter could need; zero is judged by the key itself.

Wide on purpose: outside it a figure is a slip of the unit or the exponent, and the numerics need not bear it.
"""


QUANTITY = "quantity"
"""Beside a field in its schema: its kind and sign, for `guide/json_schema.py`, which makes a pattern of them."""


def refuse_number(given: float, kind: str) -> None:
    """Refuse a number without a unit where a quantity of `kind` is wanted; raises PydanticCustomError."""
    try:
        quantities.parse(given, kind)
    except quantities.QuantityError as error:
        raise _custom(str(error)) from None


@dataclass(frozen=True)
class Quantity:
    """Marks a float field as a quantity of `kind` (a key of `quantities.KINDS`) typed as text; bounds in SI.

    Half-widths of tolerances are put into the validation context, text -> SI, where there is one.
    """

    kind: str
    above: float | None = None
    at_least: float | None = None
    example: str | None = None

    @property
    def sample(self) -> str:
        """A text that would do."""
        return self.example or quantities.KINDS[self.kind].example

    def to_si(self, given: object, info: ValidationInfo) -> float:
        """The SI value of a typed text, or of what a program handed over; or a refusal in words."""
        given = typed(given, self.kind)
        if self.kind == "ratio" and not _toleranced(given):
            _no_text_for_number(given)
        try:
            measured = quantities.parse(given, self.kind)
        except quantities.QuantityError as error:
            raise _custom(str(error)) from None
        reason = _out_of_bounds(measured.value, self.kind, self.above, self.at_least)
        if reason:
            quoted = self.sample if self.kind == "ratio" else f'"{self.sample}"'
            raise _custom(f"{reason}, for example {quoted}")
        if measured.tolerance > 0.0 and isinstance(info.context, dict) and isinstance(given, str):
            info.context[given] = measured.tolerance
        return measured.value

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How the checking library reads such a field."""
        return core_schema.with_info_before_validator_function(self.to_si, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """How an editor sees it: text, not a number; of a ratio the number, or a text with its tolerance."""
        if self.kind == "ratio":
            toleranced = {"type": "string", "examples": [f"{self.sample} +/- 0.01"]}
            return {
                "anyOf": [handler(schema), toleranced],
                "description": "a number; with a tolerance, a text",
            }
        sign = "positive" if self.above is not None or (self.at_least or 0.0) > 0.0 else "not negative"
        return {
            "type": "string",
            "examples": [self.sample],
            "description": f"{self.kind} with its unit",
            QUANTITY: [self.kind, "any" if self.above is None and self.at_least is None else sign],
        }


def _toleranced(given: object) -> bool:
    """Whether a text states a tolerance."""
    return isinstance(given, str) and any(mark in given for mark in ("+/-", "+-", "\u00b1"))


def _out_of_bounds(value: float, kind: str, above: float | None, at_least: float | None) -> str:
    """What is wrong with the size of a value, or ""."""
    if kind == "ratio":
        return f"a number of {at_least:g} or more" if at_least is not None and not value >= at_least else ""
    article = "an" if kind[0] in "aeiou" else "a"
    if above is not None and not value > above:
        return f"{article} {kind} above {quantities.text(above, kind)}"
    if at_least is not None and not value >= at_least:
        return f"{article} {kind} of {quantities.text(at_least, kind)} or more"
    least, most = PLAUSIBLE[kind]
    if value != 0.0 and not least <= abs(value) <= most:
        low, high = quantities.text(least, kind), quantities.text(most, kind)
        return f"{article} {kind} a model helicopter can have, between {low} and {high} (check the unit)"
    return ""


def _custom(reason: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{reason}", {"reason": reason})


def _no_text_for_number(given: object) -> object:
    """Numbers are typed as numbers: a text or true/false is not read as one."""
    if isinstance(given, bool | str):
        raise _custom("a plain number, without quotes and without a unit, for example 0.38")
    return given


def _no_text_for_whole(given: object) -> object:
    if isinstance(given, bool) or not isinstance(given, int):
        raise _custom("a whole number, without quotes, for example 2")
    return given


def _as_stamped(given: object) -> object:
    """10.9, 4.8 and 7075 are names, but look like numbers: nobody should have to know that quotes make them names."""
    return f"{given:g}" if isinstance(given, int | float) and not isinstance(given, bool) else given


def _truth(given: object) -> object:
    if not isinstance(given, bool):
        raise _custom("true or false, without quotes")
    return given


TOLERANCED_NUMBER = Quantity("ratio")
"""Marks a number that may also be typed as a text with a tolerance, such as "0.38 +/- 0.01"."""
PLAIN_NUMBER = BeforeValidator(_no_text_for_number)
WHOLE_NUMBER = BeforeValidator(_no_text_for_whole)
Number = Annotated[float, PLAIN_NUMBER]
Truth = Annotated[bool, BeforeValidator(_truth)]
Name = Annotated[str, BeforeValidator(_as_stamped)]
"""What a maker stamps or calls it: a property class, a material."""

Length = Annotated[float, Quantity("length")]
Altitude = Annotated[float, Quantity("altitude")]
PositiveLength = Annotated[float, Quantity("length", above=0.0)]
NonNegativeLength = Annotated[float, Quantity("length", at_least=0.0, example="0.05 mm")]
PositiveMass = Annotated[float, Quantity("mass", above=0.0)]
NonNegativeMass = Annotated[float, Quantity("mass", at_least=0.0)]
NonNegativeForce = Annotated[float, Quantity("force", at_least=0.0)]
PositiveForce = Annotated[float, Quantity("force", above=0.0, example="90 N")]
Moment = Annotated[float, Quantity("moment")]
NonNegativeMomentOfMass = Annotated[float, Quantity("moment of mass", at_least=0.0)]
PositiveMoment = Annotated[float, Quantity("moment", above=0.0)]
NonNegativeMoment = Annotated[float, Quantity("moment", at_least=0.0, example="0.2 N*mm")]
Angle = Annotated[float, Quantity("angle")]
NonNegativeAngle = Annotated[float, Quantity("angle", at_least=0.0, example="0.3 deg")]
PositiveAngle = Annotated[float, Quantity("angle", above=0.0, example="6 deg")]
ServoTravel = Annotated[float, Quantity("angle", above=0.0, example="60 deg")]
PositiveRotation = Annotated[float, Quantity("rotation", above=0.0)]
NonNegativeRotation = Annotated[float, Quantity("rotation", at_least=0.0)]
PositiveTime = Annotated[float, Quantity("time", above=0.0)]
HoldTime = Annotated[float, Quantity("time", at_least=0.05, example="1.5 s")]
SweepTime = Annotated[float, Quantity("time", at_least=0.5, example="8 s")]
NonNegativeTime = Annotated[float, Quantity("time", at_least=0.0)]
PositiveFrequency = Annotated[float, Quantity("frequency", above=0.0)]
PositiveVoltage = Annotated[float, Quantity("voltage", above=0.0)]
PositiveCurrent = Annotated[float, Quantity("current", above=0.0)]
NonNegativeCurrent = Annotated[float, Quantity("current", at_least=0.0, example="12 mA")]
NonNegativeResistance = Annotated[float, Quantity("resistance", at_least=0.0)]
NonNegativeInductance = Annotated[float, Quantity("inductance", at_least=0.0)]
PositiveInertia = Annotated[float, Quantity("inertia", above=0.0)]
NonNegativeInertia = Annotated[float, Quantity("inertia", at_least=0.0)]
PositiveStiffness = Annotated[float, Quantity("stiffness", above=0.0)]
PositiveAngularStiffness = Annotated[float, Quantity("angular stiffness", above=0.0)]
PositiveDensity = Annotated[float, Quantity("density", above=0.0)]
PositivePressure = Annotated[float, Quantity("pressure", above=0.0)]
Strength = Annotated[float, Quantity("stress", above=0.0)]
Temperature = Annotated[float, Quantity("temperature", above=0.0)]
