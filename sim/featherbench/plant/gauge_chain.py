"""The chain with the servo taken off: a force gauge moves the rod, or the rod is released.

Same laws and scheme as `plant.chain`, two bodies: the rod (moving along its line) and the collective pitch. The gauge
is a spring between its prescribed position and the rod.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.linkage.geometry import horn_rod_travel, pitch_rod_travel
from featherbench.plant.contact import contact_energy, contact_force
from featherbench.plant.friction import after_friction
from featherbench.plant.integrate import piecewise_onward
from featherbench.plant.joint_friction import rod_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.plant.parameters import Gauge, Plant
from featherbench.plant.pieces import COUNT, pieces, stand, standing, start_clock
from featherbench.plant.pitch_axis import pitch_step
from featherbench.plant.shaking import rotation, shaking_moment, turned
from featherbench.sine_cosine import sine_cosine

ROD_SPEED, ROD_PLACE, PITCH_RATE, PITCH, ROTOR_MOMENT = range(5)
GAUGE_FORCE, WORK_GAUGE, WORK_ROTOR, LOSS_FRICTION, LOSS_CONTACT, LOSS_VISCOUS = range(5, 11)
SIZE = 11
"""Named indices of the state: m/s, m, rad/s, rad, N m (all blades), N (push positive), then energies in J."""

R_TIME, R_GAUGE, R_ROD, R_PITCH, R_FORCE = range(5)
COLUMNS = 5
"""Columns of a record: s, m, m, rad, N (mean over the record interval)."""
WATCHED = 0.3
"""s without any motion after which a released blade is at rest for good."""


@kernel(forceinline=True)
def gauge_chain_step(
    step: float,
    state: NDArray[np.float64],
    gauge_place: float,
    gauge_speed: float,
    spin: float,
    plant: Plant,
    gauge: Gauge,
) -> None:
    """Advance the state by `step` seconds at constant rotor speed `spin` (rad/s)."""
    facing = sine_cosine(state[PITCH])
    gauge_chain_step_from(step, state, (gauge_place, gauge_speed), spin, plant, gauge, facing)


@kernel(forceinline=True)
def gauge_chain_step_from(
    step: float,
    state: NDArray[np.float64],
    at: tuple[float, float],
    spin: float,
    plant: Plant,
    gauge: Gauge,
    facing: tuple[float, float],
) -> tuple[float, float]:
    """The same with the gauge's place and speed `at`, m and m/s, and sine and cosine of the pitch in `facing`.

    Returns those for the next step: the load at a step's end and the linkage at the start of the next one stand at the
    same pitch, and its sine costs a sixth of a step.
    """
    gauge_place, gauge_speed = at
    output = plant.output
    rod_speed, pitch_rate, pitch = state[ROD_SPEED], state[PITCH_RATE], state[PITCH]
    neutral = plant.linkage.horn_neutral
    horn_at = facing if neutral == 0.0 else sine_cosine(pitch + neutral)
    travel_required, horn, _, slider = horn_rod_travel(horn_at[0], horn_at[1], plant.linkage)
    rod, rod_elastic = contact_force(
        state[ROD_PLACE] - travel_required, rod_speed - horn * pitch_rate, plant.joint
    )
    spring = gauge.stiffness * (gauge_place - state[ROD_PLACE])
    damper = gauge.damping * (gauge_speed - rod_speed)

    gained = step / output.rod_mass
    free_rod = rod_speed + gained * (spring + damper - rod)
    along = rod_friction_limit(rod, output, rod_speed)
    rod_next = after_friction(free_rod, rod_speed, along * gained, 1.0)
    rod_mid = 0.5 * (rod_speed + rod_next)

    rotor = state[ROTOR_MOMENT]
    blades = pitch_step(step, pitch, pitch_rate, rotor, rod * horn, slider, (spin, 0.0), plant)
    state[ROD_SPEED] = rod_next
    state[ROD_PLACE] += step * rod_next
    state[PITCH_RATE] = blades.rate
    state[PITCH] = blades.pitch
    state[ROTOR_MOMENT] = blades.rotor_moment
    state[GAUGE_FORCE] = spring + damper
    state[WORK_GAUGE] += step * (spring + damper) * gauge_speed
    state[WORK_ROTOR] += blades.rotor_work
    state[LOSS_FRICTION] += output.rod_mass * (free_rod - rod_next) * rod_mid
    state[LOSS_FRICTION] += blades.friction_loss
    state[LOSS_VISCOUS] += step * (damper * (gauge_speed - rod_mid) + blades.viscous_power)
    state[LOSS_CONTACT] += step * (rod - rod_elastic) * (rod_mid - horn * blades.mean_rate)
    return blades.facing


def start_gauge(pitch: float, spin: float, plant: Plant) -> NDArray[np.float64]:
    """A state at rest at `pitch` (rad), the rod in the middle of the linkage play.

    Not compiled: a law that makes an array loads a tenth of a second of numba with it, in every run of the program.
    """
    state = np.zeros(SIZE)
    state[PITCH] = pitch
    state[ROD_PLACE] = pitch_rod_travel(pitch, plant.linkage)[0]
    state[ROTOR_MOMENT] = plant.pitch.blades * blade_moment(pitch, spin, 0.0, plant.loads)
    return state


class GaugeCourse(NamedTuple):
    """Where the gauge goes, s and m; rotor speed, rad/s; |pitch| at which the test ends, rad."""

    times: NDArray[np.float64]
    places: NDArray[np.float64]
    spin: float
    pitch_stop: float


def integrate_gauge(
    state: NDArray[np.float64],
    times: NDArray[np.float64],
    places: NDArray[np.float64],
    spin: float,
    plant: Plant,
    gauge: Gauge,
    step: float,
    record_steps: int,
    pitch_stop: float,
    record: NDArray[np.float64],
) -> int:
    """Fill `record` (rows, COLUMNS) while the gauge follows its course (s, m); returns the rows filled.

    Stops early once |pitch| passes `pitch_stop` (rad). In pieces, as `integrate`; a state that is no longer finite
    ends it, the rows from there on nan.
    """
    course = GaugeCourse(times, places, spin, pitch_stop)
    clock = start_clock()
    for rows in pieces(len(record), record_steps):
        filled = integrate_gauge_rows(state, course, plant, gauge, step, record_steps, clock, record[rows])
        if not np.isfinite(state).all():
            record[rows.start :] = np.nan
            break
        if filled < rows.stop - rows.start or abs(state[PITCH]) > pitch_stop:  # in its last row, maybe
            return rows.start + int(filled)
    return len(record)


def integrate_free(
    state: NDArray[np.float64],
    spin: float,
    plant: Plant,
    step: float,
    record_steps: int,
    pitch_stop: float,
    record: NDArray[np.float64],
) -> int:
    """As `integrate_gauge` without a gauge: once rod and blades have not moved by the last digit in WATCHED seconds and
    a whole turn of the rotor, they stay where they are and the rest is not marched.

    Where shaking passes its peak between two steps, and nearer to it every some tenths of a second, it may shift blades
    at rest by a few more nanoradians, which are left out.
    """
    free, place = Gauge(0.0, 0.0), np.zeros(1)
    course = GaugeCourse(place, place, spin, pitch_stop)
    turn = 2.0 * np.pi / abs(spin) if spin and plant.shaking.rate > 0.0 else 0.0
    each = max(2, int(np.ceil(max(WATCHED, turn) / (step * record_steps))) + 1)
    clock = start_clock()
    for first in range(0, len(record), each):
        rows = record[first : first + each]
        filled = integrate_gauge_rows(state, course, plant, free, step, record_steps, clock, rows)
        if not np.isfinite(state).all():
            record[first:] = np.nan
            break
        if filled < len(rows) or abs(state[PITCH]) > pitch_stop:
            return first + int(filled)
        if len(rows) == each and (rows[:, [R_ROD, R_PITCH]] == rows[0, [R_ROD, R_PITCH]]).all():
            record[first + each :] = rows[-1]
            record[first + each :, R_TIME] = (
                np.arange(first + each + 1, len(record) + 1) * record_steps * step
            )
            break
    return len(record)


@kernel
def integrate_gauge_rows(
    state: NDArray[np.float64],
    course: GaugeCourse,
    plant: Plant,
    gauge: Gauge,
    step: float,
    record_steps: int,
    clock: NDArray[np.float64],
    record: NDArray[np.float64],
) -> int:
    """Fill the next rows of a record, going on where `clock` stands; returns how many were."""
    count = int(clock[COUNT])
    angle, shakes = standing(clock), plant.shaking.rate > 0.0
    by = rotation(step, course.spin, plant.pitch.blades)
    times, places, spin = course.times, course.places, course.spin  # once: each time counts a reference
    piece, facing = 0, sine_cosine(state[PITCH])
    for row in range(record.shape[0]):
        force = 0.0
        place = 0.0
        for _ in range(record_steps):
            place, speed, piece = piecewise_onward(count * step, times, places, piece)
            before = state[PITCH]
            facing = gauge_chain_step_from(step, state, (place, speed), spin, plant, gauge, facing)
            if shakes:
                angle = turned(angle, by)
                disturbance = shaking_moment(angle, spin, plant.shaking)
                state[ROTOR_MOMENT] += disturbance
                state[WORK_ROTOR] += 0.5 * disturbance * (state[PITCH] - before)
            force += state[GAUGE_FORCE]
            count += 1
        record[row, R_TIME] = count * step
        record[row, R_GAUGE] = place
        record[row, R_ROD] = state[ROD_PLACE]
        record[row, R_PITCH] = state[PITCH]
        record[row, R_FORCE] = force / record_steps
        if abs(state[PITCH]) > course.pitch_stop:
            return row + 1
    clock[COUNT] = count
    stand(clock, angle)
    return record.shape[0]


@kernel
def stored_energy_with_gauge(
    state: NDArray[np.float64], gauge_place: float, plant: Plant, gauge: Gauge
) -> float:
    """Kinetic and elastic energy of rod, pitch, linkage and gauge spring, J."""
    travel_required = pitch_rod_travel(state[PITCH], plant.linkage)[0]
    return (
        0.5 * plant.output.rod_mass * state[ROD_SPEED] ** 2
        + 0.5 * plant.pitch.inertia * state[PITCH_RATE] ** 2
        + 0.5 * gauge.stiffness * (gauge_place - state[ROD_PLACE]) ** 2
        + contact_energy(state[ROD_PLACE] - travel_required, plant.joint)
    )
