"""One time step of the collective pitch: the same whether the servo or a gauge moves the rod, or nothing does."""

from __future__ import annotations

from typing import NamedTuple

from featherbench.kernel import kernel
from featherbench.plant.friction import after_friction
from featherbench.plant.joint_friction import PitchAxis, pitch_friction_limit
from featherbench.plant.loads import blade_moment_at
from featherbench.plant.parameters import Plant
from featherbench.sine_cosine import sine_cosine


class PitchStep(NamedTuple):
    """The collective pitch at the end of a step, and what the step did. rad, rad/s, N m, J.

    mean_rate: over the step; rotor_moment: of all blades at the new pitch; friction_loss J; viscous_power W;
    rotor_work J, of the rotor's moment on the blades; facing: sine and cosine of the pitch.
    """

    pitch: float
    rate: float
    mean_rate: float
    rotor_moment: float
    friction_loss: float
    viscous_power: float
    rotor_work: float
    facing: tuple[float, float]


@kernel(inline="always")
def rate_after(
    step: float,
    rate: float,
    rotor_moment: float,
    rod_moment: float,
    slider_slope: float,
    speed: float,
    axis: PitchAxis,
) -> tuple[float, float, float, float]:
    """(pitch rate without friction and after it, rad/s; effective inertia, kg m^2; air damping, N m s) after a step.

    Arguments as of `pitch_step`; speed: of the rotor, rad/s.
    """
    drag = axis.blades * axis.damping * speed
    effective_inertia = axis.inertia + step * drag
    # quotients that do not hang on the state are ready before it is: a step waits for each division in turn
    kept, gained = axis.inertia / effective_inertia, step / effective_inertia
    free_rate = kept * rate + gained * (rotor_moment + rod_moment)
    friction_limit = pitch_friction_limit(speed, slider_slope, axis, rod_moment, rate) * gained
    return (
        free_rate,
        after_friction(free_rate, rate, friction_limit, axis.breakaway_ratio),
        effective_inertia,
        drag,
    )


@kernel(inline="always")
def pitch_step(
    step: float,
    pitch: float,
    rate: float,
    rotor_moment: float,
    rod_moment: float,
    slider_slope: float,
    spin: tuple[float, float],
    plant: Plant,
) -> PitchStep:
    """Advance the collective pitch by `step` seconds: semi-implicit Euler, air damping implicit, friction projected.

    pitch rad; rate rad/s; rotor_moment, rod_moment N m at the pitch axis, all blades, as at the step's start;
    slider_slope m/rad; spin: rotor speed (rad/s) and its rate of change (rad/s^2). Inlined: a call that hands the plant
    over would cost every step 4 % of its time.
    """
    axis = plant.pitch
    speed, speed_rate = spin
    free_rate, new_rate, effective_inertia, drag = rate_after(
        step, rate, rotor_moment, rod_moment, slider_slope, speed, axis
    )
    mean_rate = 0.5 * (rate + new_rate)
    new_pitch = pitch + step * new_rate
    facing = sine_cosine(new_pitch)
    new_moment = axis.blades * blade_moment_at(new_pitch, facing, speed, speed_rate, plant.loads)
    return PitchStep(
        new_pitch,
        new_rate,
        mean_rate,
        new_moment,
        effective_inertia * (free_rate - new_rate) * mean_rate,
        drag * new_rate * mean_rate,
        # trapezoid over the pitch really travelled, so that the audit also sees the error of the load itself
        0.5 * (rotor_moment + new_moment) * (new_pitch - pitch),
        facing,
    )
