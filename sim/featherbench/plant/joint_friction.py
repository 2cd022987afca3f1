"""Most that sliding friction holds at each joint, and what it depends on: a law and its figures stand side by side.

The stepper, the holds, the static curves and the hunting estimate ask these functions: the stepper at the speed of the
joint, whatever is at rest or creeps at speed 0. Where a share of the load itself is held, the force
at rest follows from a balance, which `linkage.force` solves; `tests/bench/test_statics_and_friction.py` holds the two
together.
"""

from __future__ import annotations

from typing import NamedTuple

from featherbench.kernel import kernel


class Output(NamedTuple):
    """Servo output shaft with arm and rod: inertia kg m^2, shaft friction N m, rod guide friction N, rod mass kg;
    load_share -, friction along the rod that grows with its force, of joints on the servo's side of the play.
    """

    inertia: float
    friction: float
    rod_friction: float
    rod_mass: float
    load_share: float


class PitchAxis(NamedTuple):
    """Collective pitch of all blades together.

    blades -; inertia kg m^2 (all blades, slider referred at zero pitch); starting_moment N m per blade;
    load_moment N m s^2 per blade, bearing friction over spin^2 (mu d/2 S_r); slider_friction N;
    breakaway_ratio -; damping N m s^2 per blade, air damping over spin; load_share -, friction that grows with the
    rod's moment, of slider and joints on the blades' side of the play.
    """

    blades: float
    inertia: float
    starting_moment: float
    load_moment: float
    slider_friction: float
    breakaway_ratio: float
    damping: float
    load_share: float


@kernel
def rod_friction_limit(rod_force: float, output: Output, speed: float = 0.0) -> float:  # noqa: ARG001
    """Greatest sliding friction along the rod on the servo's side of the play (N): guides, and balls under load.

    rod_force: N, either sign, of which the balls hold a share, F0 + mu |load|. speed: of the rod along its line, m/s,
    either sign, as the step begins; Coulomb's friction, which this is, does not depend on it.
    """
    return output.rod_friction + output.load_share * abs(rod_force)


@kernel
def pitch_friction_limit(
    spin: float,
    slider_slope: float,
    axis: PitchAxis,
    rod_moment: float = 0.0,
    rate: float = 0.0,  # noqa: ARG001
) -> float:
    """Greatest sliding friction on the collective pitch (N m, all blades): bearings under load, slider and joints.

    slider_slope: slider travel per pitch, m/rad; rod_moment: what the rod brings to the pitch axis, N m, of which
    slider and joints hold a share, F0 + mu |load|. rate: of pitch, rad/s, either sign, as the step begins, on which
    Coulomb's friction does not depend; the slider moves at slider_slope * rate.
    """
    bearings = axis.starting_moment + axis.load_moment * spin * spin
    return (
        axis.blades * bearings + axis.slider_friction * abs(slider_slope) + axis.load_share * abs(rod_moment)
    )
