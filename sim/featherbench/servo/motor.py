"""A brushed motor behind its gear train, everything reflected to the servo output.

"Reflected" means: angle and speed are those of the motor shaft divided by the gear ratio, torque constant and
inertia are multiplied by the ratio and its square, so that no ratio appears in the equations of motion:

    L di/dt = V_m - R i - K omega
    J domega/dt = K i - b omega - tau_mesh - friction,   |friction| <= tau_c + mu_g |tau_mesh|
"""

from __future__ import annotations

from math import exp
from typing import NamedTuple

from featherbench.kernel import kernel


class Motor(NamedTuple):
    """Kernel parameters of a motor and its gear train, reflected to the output; plain floats.

    resistance ohm (R); inductance H (L); torque_constant N m/A and V s/rad (K); inertia kg m^2 (J);
    coulomb N m (tau_c, on the motor side of the mesh); load_friction - (mu_g = 1/eta - 1);
    viscous N m s/rad (b); breakaway_ratio - (static over sliding friction, >= 1).
    """

    resistance: float
    inductance: float
    torque_constant: float
    inertia: float
    coulomb: float
    load_friction: float
    viscous: float
    breakaway_ratio: float


class Winding(NamedTuple):
    """What one time step needs to advance the winding current exactly at constant voltage and speed."""

    decay: float
    mean_weight: float
    square_weight: float


def winding_for(motor: Motor, step: float) -> Winding:
    """Weights of the exact solution of L di/dt = V - K omega - R i over `step` seconds.

    With i_end the steady current (V - K omega)/R and d = i(0) - i_end: i(step) = i_end + d decay, the mean current is
    i_end + d mean_weight, the mean square i_end^2 + 2 i_end d mean_weight + d^2 square_weight.
    """
    if motor.inductance <= 0.0:
        return Winding(0.0, 0.0, 0.0)
    rate = step * motor.resistance / motor.inductance
    decay = exp(-rate)
    return Winding(decay, (1.0 - decay) / rate, (1.0 - decay * decay) / (2.0 * rate))


@kernel
def advance_current(
    current: float, voltage: float, speed: float, motor: Motor, winding: Winding
) -> tuple[float, float, float]:
    """One step of the winding current: (current at the end, mean current, mean square current), A, A, A^2.

    current A at the start; voltage V across the motor; speed rad/s at the output, both held over the step.
    """
    settled = (voltage - motor.torque_constant * speed) * (1.0 / motor.resistance)
    excess = current - settled
    mean = settled + excess * winding.mean_weight
    square = settled * settled + 2.0 * settled * excess * winding.mean_weight
    square += excess * excess * winding.square_weight
    return settled + excess * winding.decay, mean, square


@kernel
def gear_friction_limit(mesh_torque: float, motor: Motor) -> float:
    """Greatest sliding friction of motor and gear train, N m at the output: tau_c + mu_g |tau_mesh|."""
    return motor.coulomb + motor.load_friction * abs(mesh_torque)


def holding_band(load: float, motor: Motor) -> tuple[float, float]:
    """Least and greatest motor current (A) that hold `load` (N m the mesh must carry, signed) at rest.

    At rest the friction takes up any |K i - tau_L| <= tau_c + mu_g |tau_L|.
    """
    slack = motor.breakaway_ratio * (motor.coulomb + motor.load_friction * abs(load))
    return (load - slack) / motor.torque_constant, (load + slack) / motor.torque_constant
