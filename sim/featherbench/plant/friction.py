"""Set-valued (Coulomb) friction as a projection: at rest it takes any value within its limit, so nothing creeps.

Each step first finds the speed a body would have without friction, then lets friction take away as much of it as
its limit allows. A body whose other forces stay within the limit is left at exactly zero speed.
"""

from __future__ import annotations

from math import copysign

from featherbench.kernel import kernel


@kernel
def after_friction(speed: float, speed_before: float, friction_limit: float, breakaway_ratio: float) -> float:
    """Speed left after friction.

    speed: the speed the other forces alone would give at the end of the step; speed_before: at its start;
    friction_limit: greatest change of speed that sliding friction can make in the step (limit x step / inertia);
    breakaway_ratio: static over sliding limit, used when the body starts from rest.
    """
    hold = friction_limit * breakaway_ratio if speed_before == 0.0 else friction_limit
    # one expression: what shakes changes sign too often for a branch to be foreseen
    return 0.0 if abs(speed) <= hold else copysign(abs(speed) - friction_limit, speed)
