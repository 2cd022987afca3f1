"""One time step of the servo chain: winding, motor, mesh, output with rod, linkage, pitch.

Semi-implicit (symplectic) Euler: forces at the present positions, then speeds with friction projected, then
positions with the new speeds. Viscous losses and friction are implicit, the winding is exact, so the step can
never fail; its size follows from the stiffest contact (`plant.step_size.largest_step`).
"""

from __future__ import annotations

from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.contact import contact_energy, contact_force
from featherbench.plant.friction import after_friction
from featherbench.plant.joint_friction import rod_friction_limit
from featherbench.plant.parameters import Plant
from featherbench.plant.pitch_axis import pitch_step
from featherbench.servo.chopping import SLOW, chopped, limited_duty, ripple_conductance
from featherbench.servo.motor import Motor, Winding, advance_current, gear_friction_limit
from featherbench.servo.position_loop import duty, filter_speed
from featherbench.servo.supply import Supply, current_ceiling, supply_current, supply_voltage


@kernel(forceinline=True)
def drive_update(step: float, state: NDArray[np.float64], plant: Plant) -> None:
    """The position loop's own step, once a drive period: filtered speed and duty from the output angle.

    Positions follow from the speeds at the end of each `step` (s), so they run half a step ahead of the currents that
    made the speeds. The loop reads the angle as of now: else the peak just before the duty falls, where a millidegree
    counts, would depend on the step.
    """
    angle = state[state_index.OUTPUT_ANGLE] - 0.5 * step * state[state_index.OUTPUT_SPEED]
    speed = filter_speed(
        state[state_index.FILTERED_SPEED], angle, state[state_index.LAST_ANGLE], plant.loop.drive_period
    )
    state[state_index.FILTERED_SPEED] = speed
    state[state_index.LAST_ANGLE] = angle
    state[state_index.DUTY] = duty(state[state_index.COMMAND] - angle, speed, plant.loop)
    state[state_index.RIPPLE] = ripple_conductance(state[state_index.DUTY], plant.motor, plant.chopper)


class Bridge(NamedTuple):
    """What the drive does over a step: share -, mean voltage of the winding over the supply's, signed; volts V, that
    mean voltage; ripple A, that the chopping draws beside; heat W, that it leaves in the winding; ceiling A, the most
    that the source can feed the winding.
    """

    share: float
    volts: float
    ripple: float
    heat: float
    ceiling: float


@kernel
def mean_ahead(
    share: float, before: float, speed: float, motor: Motor, supply: Supply, winding: Winding
) -> float:
    """Mean winding current of the coming step at motor speed `speed` (rad/s), A, by which the lead sags.

    Its own sag is in it, V = V_0 - R_lead u i. By the current at the step's start (`before`, A) the sag of a thin lead
    would come late, and the current of a start overshoot what winding and lead together let through.
    """
    left = (1.0 - winding.mean_weight) / motor.resistance
    steady = share * (supply.voltage - supply.resistance * supply.idle) - motor.torque_constant * speed
    unsagged = before * winding.mean_weight + left * steady
    return unsagged / (1.0 + left * share * share * supply.resistance)


@kernel
def bridge(state: NDArray[np.float64], plant: Plant, winding: Winding) -> Bridge:
    """The drive's mean effect over a step; of slow decay all but the supply's sag is set by the duty alone."""
    share, conductance = state[state_index.DUTY], state[state_index.RIPPLE]
    if plant.chopper.limit < inf:
        share, conductance = _within_limit(share, conductance, state, plant, winding)
    if plant.chopper.decay != SLOW:
        before = max(supply_voltage(share, state[state_index.CURRENT], plant.supply), 1e-9)
        emf = plant.motor.torque_constant * state[state_index.MOTOR_SPEED]
        share, conductance = chopped(share, emf, before, plant.motor, plant.chopper)
    mean = mean_ahead(
        share,
        state[state_index.CURRENT],
        state[state_index.MOTOR_SPEED],
        plant.motor,
        plant.supply,
        winding,
    )
    source = supply_voltage(share, mean, plant.supply, conductance)
    ripple = conductance * source
    ceiling = current_ceiling(share, plant.supply, ripple)
    return Bridge(share, share * source, ripple, ripple * source, ceiling)


@kernel
def _within_limit(
    share: float, conductance: float, state: NDArray[np.float64], plant: Plant, winding: Winding
) -> tuple[float, float]:
    """(duty, ripple conductance, A/V) that a drive's own current limit leaves of those asked for.

    The supply's voltage is that of the step before. Where the source gives less than the limit takes, its voltage falls
    and the duty stays.
    """
    chopper, supply = plant.chopper, plant.supply
    volts = max(supply.voltage - supply.resistance * state[state_index.SUPPLY_CURRENT], 1e-9)
    emf = plant.motor.torque_constant * state[state_index.MOTOR_SPEED]
    less = limited_duty(share, emf, volts, state[state_index.CURRENT], plant.motor, winding, chopper.limit)
    if less == share:
        return share, conductance
    ripple = ripple_conductance(less, plant.motor, chopper)
    if abs(less) * chopper.limit + ripple * volts > supply.limit - supply.idle:
        return share, conductance
    return less, ripple


@kernel
def current_ahead(before: float, drive: Bridge, motor: Motor, winding: Winding) -> tuple[float, float]:
    """(a, b) of the coming step's mean winding current a - b omega (A, A s/rad) at mean motor speed omega.

    before: A, the current at the step's start. The motor's next speed is solved with it, so that back-EMF and torque
    see one and the same speed: taken from the step's start, the EMF would lag and the pair would make energy out of
    every start and stop.
    """
    if drive.share * before > 0.0 and abs(before) >= drive.ceiling:
        return before, 0.0
    share = (1.0 - winding.mean_weight) / motor.resistance
    return drive.volts * share + before * winding.mean_weight, motor.torque_constant * share


@kernel
def winding_step(
    step: float,
    state: NDArray[np.float64],
    speed: float,
    drive: Bridge,
    motor: Motor,
    supply: Supply,
    winding: Winding,
) -> float:
    """Advance the motor current over `step` at mean motor speed `speed` (rad/s) and book the electrical energies.

    Returns the larger of the supply currents at its start and at its end, A: between them the winding's current only
    rises or only falls, so that no peak hangs on the step.
    """
    before = state[state_index.CURRENT]
    after, mean, square = advance_current(before, drive.volts, speed, motor, winding)
    if drive.share * after > 0.0 and abs(after) > drive.ceiling:
        # the source limits: it gives just the voltage that holds the current at its ceiling
        after = drive.ceiling if after > 0.0 else -drive.ceiling
        mean = after
        square = after * after
    copper = (motor.resistance * square + drive.heat) * step
    stored = 0.5 * motor.inductance * (after * after - before * before)
    state[state_index.CURRENT] = after
    state[state_index.SUPPLY_CURRENT] = supply_current(drive.share, mean, supply, drive.ripple)
    state[state_index.LOSS_COPPER] += copper
    state[state_index.WORK_ELECTRIC] += copper + stored + motor.torque_constant * speed * mean * step
    peak = before if drive.share * before > drive.share * after else after
    return supply_current(drive.share, peak, supply, drive.ripple)


@kernel
def motor_step(
    step: float, speed: float, mesh: float, ahead: tuple[float, float], motor: Motor
) -> tuple[float, float, float]:
    """(speed without friction, speed after it, rad/s; effective inertia, kg m^2) of the motor after a step.

    Viscous loss is implicit, back-EMF at the mean speed, then friction by projection. mesh: torque it gives to the gear
    train, N m; ahead: the current, A, and what of it a rad/s takes (see `current_ahead`).
    """
    current, per_speed = ahead
    brake = 0.5 * step * motor.torque_constant * per_speed
    effective_inertia = motor.inertia + brake + step * motor.viscous
    kept, gained = (motor.inertia - brake) / effective_inertia, step / effective_inertia
    free = kept * speed + gained * (motor.torque_constant * current - mesh)
    friction_limit = gear_friction_limit(mesh, motor) * gained
    return free, after_friction(free, speed, friction_limit, motor.breakaway_ratio), effective_inertia


@kernel(forceinline=True)
def chain_step(
    step: float,
    state: NDArray[np.float64],
    spin: float,
    spin_rate: float,
    plant: Plant,
    winding: Winding,
) -> float:
    """Advance the state by `step` seconds at rotor speed `spin` (rad/s) changing at `spin_rate` (rad/s^2).

    Returns the largest current that the supply gave in it, A.
    """
    motor, output = plant.motor, plant.output
    motor_speed, output_speed = state[state_index.MOTOR_SPEED], state[state_index.OUTPUT_SPEED]
    pitch, pitch_rate = state[state_index.PITCH], state[state_index.PITCH_RATE]

    twist = state[state_index.MOTOR_ANGLE] - state[state_index.OUTPUT_ANGLE]
    mesh, mesh_elastic = contact_force(twist, motor_speed - output_speed, plant.mesh)
    travel_given, arm = servo_rod_travel(state[state_index.OUTPUT_ANGLE], plant.linkage)
    travel_required, horn, _, slider = pitch_rod_travel(pitch, plant.linkage)
    closing = arm * output_speed - horn * pitch_rate
    rod, rod_elastic = contact_force(travel_given - travel_required, closing, plant.joint)
    rotor = state[state_index.ROTOR_MOMENT]

    drive = bridge(state, plant, winding)
    ahead = current_ahead(state[state_index.CURRENT], drive, motor, winding)
    free_motor, motor_next, effective_inertia = motor_step(step, motor_speed, mesh, ahead, motor)
    motor_mid = 0.5 * (motor_speed + motor_next)
    drawn = winding_step(step, state, motor_mid, drive, motor, plant.supply, winding)

    # output with arm and rod
    gained = step / output.inertia
    free_output = output_speed + gained * (mesh - rod * arm)
    along = rod_friction_limit(rod, output, arm * output_speed)
    friction_limit = (output.friction + along * abs(arm)) * gained
    output_next = after_friction(free_output, output_speed, friction_limit, 1.0)
    output_mid = 0.5 * (output_speed + output_next)

    blades = pitch_step(step, pitch, pitch_rate, rotor, rod * horn, slider, (spin, spin_rate), plant)
    state[state_index.MOTOR_SPEED] = motor_next
    state[state_index.MOTOR_ANGLE] += step * motor_next
    state[state_index.OUTPUT_SPEED] = output_next
    state[state_index.OUTPUT_ANGLE] += step * output_next
    state[state_index.PITCH_RATE] = blades.rate
    state[state_index.PITCH] = blades.pitch
    state[state_index.ROD_FORCE] = rod
    state[state_index.ROTOR_MOMENT] = blades.rotor_moment

    state[state_index.LOSS_FRICTION] += effective_inertia * (free_motor - motor_next) * motor_mid
    state[state_index.LOSS_FRICTION] += output.inertia * (free_output - output_next) * output_mid
    state[state_index.LOSS_FRICTION] += blades.friction_loss
    state[state_index.LOSS_VISCOUS] += step * (motor.viscous * motor_next * motor_mid + blades.viscous_power)
    state[state_index.LOSS_CONTACT] += step * (
        (mesh - mesh_elastic) * (motor_mid - output_mid)
        + (rod - rod_elastic) * (arm * output_mid - horn * blades.mean_rate)
    )
    state[state_index.WORK_ROTOR] += blades.rotor_work
    return drawn


@kernel
def stored_energy(state: NDArray[np.float64], plant: Plant) -> float:
    """Kinetic, elastic and magnetic energy of the chain, J."""
    travel_given, _ = servo_rod_travel(state[state_index.OUTPUT_ANGLE], plant.linkage)
    travel_required, _, _, _ = pitch_rod_travel(state[state_index.PITCH], plant.linkage)
    return (
        0.5 * plant.motor.inertia * state[state_index.MOTOR_SPEED] ** 2
        + 0.5 * plant.output.inertia * state[state_index.OUTPUT_SPEED] ** 2
        + 0.5 * plant.pitch.inertia * state[state_index.PITCH_RATE] ** 2
        + 0.5 * plant.motor.inductance * state[state_index.CURRENT] ** 2
        + contact_energy(state[state_index.MOTOR_ANGLE] - state[state_index.OUTPUT_ANGLE], plant.mesh)
        + contact_energy(travel_given - travel_required, plant.joint)
    )
