"""A chain at rest: what of a step leaves all as it was, to the last digit, is reckoned once and not marched.

While motor, output and blades stand, mesh and rod bring what they brought in the step before: what is left of
`plant.chain.chain_step` is the winding's current, and whether motor and blades stay held. Once the current has settled
too, a step of the same duty adds as much to the electrical totals as the one before, and nothing else changes. What
shakes the blades is different in each step, and so is looked at in each. As soon as anything moves, the chain is
marched again.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import bridge, chain_step, current_ahead, motor_step, winding_step
from featherbench.plant.contact import contact_force
from featherbench.plant.parameters import Plant
from featherbench.plant.pitch_axis import rate_after
from featherbench.plant.shaking import Turning, shaking_moment, turned
from featherbench.servo.motor import Winding


class Stance(NamedTuple):
    """What a chain stands by. known: that it stood through a whole step; spin rad/s and spin_rate rad/s^2 of it; mesh
    N m; rod_moment N m at the pitch axis and slider m/rad, there; rotor_moment N m, all blades, unshaken.
    """

    known: bool
    spin: float
    spin_rate: float
    mesh: float
    rod_moment: float
    slider: float
    rotor_moment: float


class Settled(NamedTuple):
    """A step through which the current did not change. known: that there was one; duty - and ripple A/V of it; electric
    and copper J, what it added to these totals.
    """

    known: bool
    duty: float
    ripple: float
    electric: float
    copper: float


class Sums(NamedTuple):
    """Over the steps of a row: rod force, N, winding and supply current, A."""

    force: float
    current: float
    drawn: float


class Rest(NamedTuple):
    """What a march knows of rest. seeks: whether it looks for any; steps: how many were not marched; stance, settled:
    what the chain stands by at the moment.
    """

    seeks: bool
    steps: int
    stance: Stance
    settled: Settled


MOVING = Stance(False, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
CHANGING = Settled(False, 0.0, 0.0, 0.0, 0.0)


@kernel(forceinline=True)
def bodies_stand(state: NDArray[np.float64]) -> bool:
    """Whether motor, output and blades have no speed at all."""
    return bool(
        state[state_index.MOTOR_SPEED] == 0.0
        and state[state_index.OUTPUT_SPEED] == 0.0
        and state[state_index.PITCH_RATE] == 0.0
    )


@kernel(forceinline=True)
def stance_of(state: NDArray[np.float64], spin: float, spin_rate: float, plant: Plant) -> Stance:
    """The stance of a chain that a step found standing and left so; to be asked before shaking is added to the rotor's
    moment.
    """
    twist = state[state_index.MOTOR_ANGLE] - state[state_index.OUTPUT_ANGLE]
    _, horn, _, slider = pitch_rod_travel(state[state_index.PITCH], plant.linkage)
    return Stance(
        True,
        spin,
        spin_rate,
        contact_force(twist, 0.0, plant.mesh)[0],
        state[state_index.ROD_FORCE] * horn,
        slider,
        state[state_index.ROTOR_MOMENT],
    )


@kernel(forceinline=True)
def blades_held(
    step: float, state: NDArray[np.float64], stance: Stance, spin: float, spin_rate: float, plant: Plant
) -> bool:
    """Whether this stance is still that of the chain, and friction holds the blades through the coming step."""
    if not (stance.known and spin == stance.spin and spin_rate == stance.spin_rate):
        return False
    moment = state[state_index.ROTOR_MOMENT]
    rate = rate_after(step, 0.0, moment, stance.rod_moment, stance.slider, spin, plant.pitch)[1]
    return bool(rate == 0.0)


@kernel(forceinline=True)
def settled_step(state: NDArray[np.float64], settled: Settled) -> bool:
    """Book a step of a current that does not change; False, and nothing done, where it may."""
    if not (
        settled.known
        and state[state_index.DUTY] == settled.duty
        and state[state_index.RIPPLE] == settled.ripple
    ):
        return False
    state[state_index.WORK_ELECTRIC] += settled.electric
    state[state_index.LOSS_COPPER] += settled.copper
    return True


@kernel(forceinline=True)
def standing_step(
    step: float, state: NDArray[np.float64], stance: Stance, plant: Plant, winding: Winding
) -> tuple[float, Settled]:
    """(largest supply current, A; what it says of the next) of a step of the winding alone, as `chain_step` takes it;
    (-1, CHANGING), and nothing done, where the motor starts.
    """
    motor, before = plant.motor, state[state_index.CURRENT]
    drive = bridge(state, plant, winding)
    ahead = current_ahead(before, drive, motor, winding)
    if motor_step(step, 0.0, stance.mesh, ahead, motor)[1] != 0.0:
        return -1.0, CHANGING
    supplied = state[state_index.SUPPLY_CURRENT]
    electric, copper = state[state_index.WORK_ELECTRIC], state[state_index.LOSS_COPPER]
    # totals that begin at nothing come to what the step adds
    state[state_index.WORK_ELECTRIC] = state[state_index.LOSS_COPPER] = 0.0
    drawn = winding_step(step, state, 0.0, drive, motor, plant.supply, winding)
    added = state[state_index.WORK_ELECTRIC], state[state_index.LOSS_COPPER]
    state[state_index.WORK_ELECTRIC] = electric + added[0]
    state[state_index.LOSS_COPPER] = copper + added[1]
    same = state[state_index.CURRENT] == before and state[state_index.SUPPLY_CURRENT] == supplied
    return drawn, Settled(same, state[state_index.DUTY], state[state_index.RIPPLE], added[0], added[1])


@kernel(forceinline=True)
def chain_or_rest_step(
    step: float,
    state: NDArray[np.float64],
    rest: Rest,
    spin: float,
    spin_rate: float,
    plant: Plant,
    winding: Winding,
) -> tuple[float, Rest]:
    """Advance the state as `chain_step` does, and to the same figures, by less where the chain stands.

    Returns the largest current that the supply gave, A, or 0 where it gave as much as in the step before; and what is
    known of rest then.
    """
    stance, settled = rest.stance, rest.settled
    if blades_held(step, state, stance, spin, spin_rate, plant):
        most = 0.0
        if not settled_step(state, settled):
            most, settled = standing_step(step, state, stance, plant, winding)
        if most >= 0.0:
            state[state_index.ROTOR_MOMENT] = stance.rotor_moment
            return most, Rest(True, rest.steps + 1, stance, settled)
    stood = rest.seeks and bodies_stand(state)
    most = chain_step(step, state, spin, spin_rate, plant, winding)
    stance = MOVING
    if stood and bodies_stand(state):
        stance = stance_of(state, spin, spin_rate, plant)
    return most, Rest(rest.seeks, rest.steps, stance, CHANGING)


@kernel(forceinline=True)
def may_pass(state: NDArray[np.float64], rest: Rest, spin: float) -> bool:
    """Whether steps of the present duty at this steady speed find the current settled, and the chain as it stood."""
    stance, settled = rest.stance, rest.settled
    return bool(
        settled.known
        and stance.known
        and spin == stance.spin
        and stance.spin_rate == 0.0
        and state[state_index.DUTY] == settled.duty
        and state[state_index.RIPPLE] == settled.ripple
    )


@kernel(forceinline=True)
def summed(sums: Sums, state: NDArray[np.float64]) -> Sums:
    """Sums with one more step."""
    return Sums(
        sums.force + state[state_index.ROD_FORCE],
        sums.current + state[state_index.CURRENT],
        sums.drawn + state[state_index.SUPPLY_CURRENT],
    )


@kernel(forceinline=True)
def pass_over(
    step: float,
    steps: int,
    state: NDArray[np.float64],
    rest: Rest,
    spin: float,
    sums: Sums,
    turning: tuple[Turning, Turning],
    plant: Plant,
) -> tuple[int, Sums, Turning]:
    """Book at most so many steps, as long as friction holds the blades: (how many, sums, where the rotor stands in its
    turn). turning: where it stands, and by how much a step turns it on.
    """
    stance, settled = rest.stance, rest.settled
    electric, copper = state[state_index.WORK_ELECTRIC], state[state_index.LOSS_COPPER]
    moment, passed = state[state_index.ROTOR_MOMENT], 0
    angle, by = turning
    while passed < steps:
        if rate_after(step, 0.0, moment, stance.rod_moment, stance.slider, spin, plant.pitch)[1] != 0.0:
            break
        # added up one by one, so that the digits are those of a march
        electric += settled.electric
        copper += settled.copper
        sums = summed(sums, state)
        angle = turned(angle, by)
        moment = stance.rotor_moment + shaking_moment(angle, spin, plant.shaking)
        passed += 1
    state[state_index.WORK_ELECTRIC], state[state_index.LOSS_COPPER] = electric, copper
    state[state_index.ROTOR_MOMENT] = moment
    return passed, sums, angle
