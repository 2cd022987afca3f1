"""How often a servo's drive switches its motor on and off: as stated, or as is usual of its kind."""

from __future__ import annotations

from featherbench import quantities
from featherbench.scenario import Assumed
from featherbench.scenario.schema import Servo
from featherbench.servo.chopping import DECAYS, Chopper

DIGITAL_CHOPPING = 3e3
"""Hz at which a digital servo switches its motor: some hundred in old ones, above hearing in new ones (common practice,
no source)."""
QUICK_CHOPPING = 10e3
"""Of a quick digital one (common practice, no source)."""
LIMITED_CHOPPING = 20e3
"""Of a brushless one or one that limits its current: above hearing (common practice, no source)."""


def usual_chopping(servo: Servo) -> float:
    """Chopping rate (Hz) of a servo that states none: an analogue one pulses its motor once a loop."""
    if servo.drive != "brushed":
        return LIMITED_CHOPPING
    if servo.kind == "analogue":
        return float(servo.drive_rate)
    return QUICK_CHOPPING if servo.kind == "quick digital" else DIGITAL_CHOPPING


def chopper_of(servo: Servo, assumed: list[Assumed]) -> Chopper:
    """The drive's chopping as stated or usual; what is taken goes to `assumed`. Without a limit."""
    rate = servo.chopping_rate
    if rate is None:
        rate = usual_chopping(servo)
        if servo.drive != "brushed":
            why = f"{servo.drive}: above hearing (common practice, no source)"
        elif servo.kind == "analogue":
            why = "an analogue servo pulses its motor once a loop"
        else:
            why = f"of a {servo.kind} servo (common practice, no source); the slower it switches, the more a hold draws"
        assumed.append(Assumed("servo.chopping_rate", quantities.text(rate, "frequency"), why))
    return Chopper(1.0 / float(rate), DECAYS[servo.decay])
