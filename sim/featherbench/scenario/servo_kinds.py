"""What is usual of a servo's position loop, by its kind: figures that no data sheet states.

Judgement, with one outside mark: a standard-size digital servo at 5 V was identified in flight-test hardware as second
order of about 20 rad/s (D. N. Salluce, Comprehensive System Identification of Ducted Fan UAVs, MSc thesis, Cal Poly,
2004, section 3.3; read in part). Of a first-order loop that is its no-load speed over its proportional band: at 0.2 s
for 60 degrees 15 degrees, within a factor of two of what stands here. Dead bands are those of data sheets, at 0.1
degree for a microsecond of the command pulse: 6, 3 and 1.5 us.
"""

from __future__ import annotations

from collections.abc import Collection
from math import radians
from typing import Literal, NamedTuple

ServoKind = Literal["digital", "quick digital", "analogue"]


class UsualLoop(NamedTuple):
    """dead_band, whole width, and proportional_band rad; damping s; drive_rate Hz."""

    dead_band: float
    proportional_band: float
    damping: float
    drive_rate: float


USUAL: dict[ServoKind, UsualLoop] = {
    "analogue": UsualLoop(radians(0.6), radians(10.0), 8e-3, 50.0),
    "digital": UsualLoop(radians(0.3), radians(7.0), 5e-3, 300.0),
    "quick digital": UsualLoop(radians(0.15), radians(3.0), 3e-3, 1000.0),
}
WHY = "usual of its kind (judgement: no data sheet states it)"


def usual_loop(kind: ServoKind, stated: Collection[str]) -> dict[str, float]:
    """What is taken of the loop, by key, SI, where `stated` does not have it.

    Damping is taken with the proportional band only: a loop whose band is stated without it has none.
    """
    own = USUAL[kind]._asdict()
    if "proportional_band" in stated:
        del own["damping"]
    return {key: value for key, value in own.items() if key not in stated}
