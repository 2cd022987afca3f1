"""What one very short step changes, against the equations of motion as they are written down; and what a record keeps.

Bodies move and contacts are closed, so that each law is at work: the change over a nanosecond, divided by it, is the
rate of change.
"""

from math import inf, sin, sqrt

import numpy as np
import pytest

from featherbench.linkage.geometry import linkage_geometry, pitch_rod_travel, servo_rod_travel
from featherbench.plant import gauge_chain
from featherbench.plant import integrate as rec
from featherbench.plant import state as state_index
from featherbench.plant.chain import (
    bridge,
    chain_step,
    current_ahead,
    drive_update,
    stored_energy,
    winding_step,
)
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate, piecewise_linear
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment, tabulated
from featherbench.plant.parameters import Contact, Gauge, LoadTable, Output, PitchAxis, Plant
from featherbench.plant.shaking import Shaking
from featherbench.plant.step_size import highest_mode, highest_mode_with_gauge, step_within
from featherbench.servo.chopping import Chopper
from featherbench.servo.motor import Motor, winding_for
from featherbench.servo.position_loop import PositionLoop
from featherbench.servo.supply import Supply

STEP = 1e-9
SPIN = 800.0
FIRST, PER_RADIAN, ROWS = -0.6, 20.0, 25
GRID = FIRST + np.arange(ROWS) / PER_RADIAN
SLOPES = np.array([2e-6, 3e-7, 4e-7, -1e-6, 2e-6, 3e-9])
LOADS = LoadTable(
    FIRST, PER_RADIAN, 0.03, np.array([3e-5, 2e-6, 1e-6, 4e-6, -3e-6, 5e-9]) + GRID[:, None] * SLOPES
)
PLANT = Plant(
    motor=Motor(4.0, 3e-4, 0.2, 3e-5, 0.005, 0.25, 2e-4, 1.5),
    mesh=Contact(4.0, 0.002, 3e-3, 1e-4),
    output=Output(6e-7, 8e-4, 0.3, 0.004, 0.0),
    joint=Contact(4e4, 3e-5, 2.0, 2e-6),
    pitch=PitchAxis(3.0, 9e-5, 3e-4, 2e-10, 0.4, 1.2, 5e-9, 0.0),
    loads=LOADS,
    linkage=linkage_geometry(
        servo_arm=0.012, rod_length=0.3, horn_arm=0.013, lever=(0.014, 0.018), pitch_link=0.02
    ),
    loop=PositionLoop(0.005, 0.035, 0.002, 0.003, 0.02),
    supply=Supply(6.0, 0.4, inf, 0.012),
    chopper=Chopper(0.0, 0.0),
    shaking=Shaking(*[0.0] * len(Shaking._fields)),
)


def moving(duty, current, speeds, lead, press):
    """A state in motion: speeds of motor, output, pitch rad/s; lead of the motor rad; press: m of the rod's lead."""
    state = np.zeros(state_index.SIZE)
    state[state_index.DUTY], state[state_index.CURRENT] = duty, current
    state[state_index.MOTOR_SPEED], state[state_index.OUTPUT_SPEED], state[state_index.PITCH_RATE] = speeds
    state[state_index.PITCH] = 0.21
    asked = pitch_rod_travel(0.21, PLANT.linkage)[0]
    angle = 0.2
    for _ in range(30):  # Newton's way to the angle that presses so far
        made, arm = servo_rod_travel(angle, PLANT.linkage)
        angle += (asked + press - made) / arm
    state[state_index.OUTPUT_ANGLE], state[state_index.MOTOR_ANGLE] = angle, angle + lead
    state[state_index.ROTOR_MOMENT] = 3.0 * blade_moment(0.21, SPIN, 0.0, LOADS)
    return state


STATES = {
    "driving": moving(0.8, 0.9, (5.0, 4.0, 3.0), 0.01, 9e-5),
    "the other way": moving(-0.6, -0.7, (-6.0, -4.0, -2.0), -0.012, -8e-5),
    "braking": moving(-0.5, 0.6, (3.0, 4.0, -2.0), 0.009, 7e-5),
    "in both gaps": moving(0.3, 0.2, (2.0, -1.0, 1.5), 0.001, 1e-5),
    "barely touching": moving(0.7, 0.5, (3.0, 2.0, -1.0), 0.00205, 3.1e-5),
}


def law(offset, rate, contact):
    """(force, elastic part): k p + c min(p/fade, 1) p', past the half play, never pulling."""
    depth = abs(offset) - contact.half_play
    if depth <= 0.0:
        return 0.0, 0.0
    side = np.sign(offset)
    elastic = contact.stiffness * depth
    return side * max(
        0.0, elastic + contact.damping * min(depth / contact.fade, 1.0) * rate * side
    ), side * elastic


def written_down(before, plant=PLANT):
    """Rates of change of the chain's state by the equations of motion, and the rod force."""
    motor, output, axis = plant.motor, plant.output, plant.pitch
    i, w, wo, q = (
        before[k]
        for k in (
            state_index.CURRENT,
            state_index.MOTOR_SPEED,
            state_index.OUTPUT_SPEED,
            state_index.PITCH_RATE,
        )
    )
    made, arm = servo_rod_travel(before[state_index.OUTPUT_ANGLE], plant.linkage)
    asked, horn, _, slider = pitch_rod_travel(before[state_index.PITCH], plant.linkage)
    mesh, mesh_elastic = law(
        before[state_index.MOTOR_ANGLE] - before[state_index.OUTPUT_ANGLE], w - wo, plant.mesh
    )
    rod, rod_elastic = law(made - asked, arm * wo - horn * q, plant.joint)
    drawn = max(before[state_index.DUTY] * i, 0.0) + plant.supply.idle
    volts = before[state_index.DUTY] * (plant.supply.voltage - plant.supply.resistance * drawn)
    gear = np.sign(w) * (motor.coulomb + motor.load_friction * abs(mesh))
    shaft = np.sign(wo) * (output.friction + output.rod_friction * abs(arm))
    bearings = np.sign(q) * (3.0 * (3e-4 + 2e-10 * SPIN**2) + 0.4 * abs(slider))
    air = 3.0 * axis.damping * SPIN * q
    load = 3.0 * blade_moment(before[state_index.PITCH], SPIN, 0.0, plant.loads)
    rates = {
        state_index.CURRENT: (volts - motor.resistance * i - motor.torque_constant * w) / motor.inductance,
        state_index.MOTOR_SPEED: (motor.torque_constant * i - motor.viscous * w - mesh - gear)
        / motor.inertia,
        state_index.OUTPUT_SPEED: (mesh - rod * arm - shaft) / output.inertia,
        state_index.PITCH_RATE: (load + rod * horn - air - bearings) / axis.inertia,
        state_index.MOTOR_ANGLE: w,
        state_index.OUTPUT_ANGLE: wo,
        state_index.PITCH: q,
        state_index.WORK_ELECTRIC: volts * i,
        state_index.WORK_ROTOR: load * q,
        state_index.LOSS_COPPER: motor.resistance * i * i,
        state_index.LOSS_FRICTION: gear * w + shaft * wo + bearings * q,
        state_index.LOSS_VISCOUS: motor.viscous * w * w + air * q,
        state_index.LOSS_CONTACT: (mesh - mesh_elastic) * (w - wo)
        + (rod - rod_elastic) * (arm * wo - horn * q),
    }
    return rates, rod, drawn


@pytest.mark.parametrize("name", STATES)
def test_the_chain_changes_at_the_rates_written_down(name):
    before = STATES[name]
    rates, rod, drawn = written_down(before)
    after = before.copy()
    chain_step(STEP, after, SPIN, 0.0, PLANT, winding_for(PLANT.motor, STEP))
    change = (after - before) / STEP
    scale = {key: max(abs(value), 1e-3) for key, value in rates.items()}
    for key, rate in rates.items():
        assert change[key] == pytest.approx(rate, abs=2e-4 * scale[key]), key
    assert after[state_index.ROD_FORCE] == pytest.approx(rod)
    assert after[state_index.SUPPLY_CURRENT] == pytest.approx(drawn, rel=1e-3)
    assert after[state_index.ROTOR_MOMENT] == pytest.approx(
        3.0 * blade_moment(after[state_index.PITCH], SPIN, 0.0, LOADS)
    )
    gained = (stored_energy(after, PLANT) - stored_energy(before, PLANT)) / STEP
    lost = sum(
        rates[key]
        for key in (
            state_index.LOSS_COPPER,
            state_index.LOSS_FRICTION,
            state_index.LOSS_VISCOUS,
            state_index.LOSS_CONTACT,
        )
    )
    came = rates[state_index.WORK_ELECTRIC] + rates[state_index.WORK_ROTOR]
    assert gained == pytest.approx(came - lost, abs=2e-4 * (abs(came) + abs(lost)))


def test_stored_energy_by_hand():
    """Half of m v^2, L i^2 and k p^2 of each."""
    state = STATES["driving"]
    bodies = 3e-5 * 25.0 + 6e-7 * 16.0 + 9e-5 * 9.0 + 3e-4 * 0.81
    springs = 4.0 * 0.008**2 + 4e4 * 6e-5**2
    assert stored_energy(state, PLANT) == pytest.approx(0.5 * (bodies + springs), rel=1e-6)


def test_spinning_up_acts_on_the_blades():
    """The load at the new pitch holds what the rate of change of spin adds."""
    state = STATES["driving"].copy()
    chain_step(STEP, state, SPIN, 500.0, PLANT, winding_for(PLANT.motor, STEP))
    assert state[state_index.ROTOR_MOMENT] == pytest.approx(
        3.0 * blade_moment(state[state_index.PITCH], SPIN, 500.0, LOADS)
    )
    assert state[state_index.ROTOR_MOMENT] != pytest.approx(
        3.0 * blade_moment(state[state_index.PITCH], SPIN, 0.0, LOADS), rel=1e-4
    )


@pytest.mark.parametrize("rest", ["motor", "output", "pitch"])
def test_what_stands_stays_within_its_friction(rest):
    """Pressed with half of its friction each body stays at exactly no speed; the ratios are 1.5, 1 and 1.2."""
    still = np.zeros(state_index.SIZE)
    still[state_index.PITCH] = 0.0
    for share, moves in ((0.5, False), (1.1, rest == "output"), (1.3, rest != "motor"), (3.0, True)):
        state = still.copy()
        if rest == "motor":  # breakaway 1.5 of 5 mN m
            state[state_index.CURRENT] = share * 0.005 / 0.2
            state[state_index.DUTY] = state[state_index.CURRENT] * 4.0 / (6.0 - 0.4 * 0.012)
        elif rest == "output":  # 0.8 mN m and 0.3 N on 12 mm, by the mesh
            state[state_index.MOTOR_ANGLE] = 0.002 + share * (8e-4 + 0.3 * 0.012) / 4.0
        else:  # 3 x (0.3 + 0.128) mN m and 0.4 N on 13 mm, times 1.2
            state[state_index.ROTOR_MOMENT] = share * (3.0 * (3e-4 + 2e-10 * SPIN**2) + 0.4 * 0.013)
        chain_step(1e-6, state, SPIN, 0.0, PLANT, winding_for(PLANT.motor, 1e-6))
        speed = {
            "motor": state_index.MOTOR_SPEED,
            "output": state_index.OUTPUT_SPEED,
            "pitch": state_index.PITCH_RATE,
        }[rest]
        assert (state[speed] != 0.0) == moves, share


# -- drive and winding -------------------------------------------------------------------------------------


def test_the_drive_reads_the_angle_of_half_a_step_ago_by_hand():
    """0.1 rad less half of 0.4 ms at 20 rad/s is 0.096; last 0.09, so 2 rad/s, filtered with 4: 3; error 0.02 rad:
    0.02 - 0.0025 - 2 ms x 3 = 0.0115 of 0.035.
    """
    state = np.zeros(state_index.SIZE)
    state[state_index.OUTPUT_ANGLE], state[state_index.OUTPUT_SPEED], state[state_index.COMMAND] = (
        0.1,
        20.0,
        0.116,
    )
    state[state_index.FILTERED_SPEED], state[state_index.LAST_ANGLE] = 4.0, 0.09
    drive_update(4e-4, state, PLANT)
    assert state[state_index.FILTERED_SPEED] == pytest.approx(3.0)
    assert state[state_index.LAST_ANGLE] == pytest.approx(0.096)
    assert state[state_index.DUTY] == pytest.approx(0.0115 / 0.035)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_limited_source_holds_the_winding_at_its_ceiling(side):
    """1 A less 12 mA of idle at half duty: 1.976 A in the winding, whatever the voltage would make of it."""
    supply = PLANT.supply._replace(limit=1.0, resistance=0.0)
    motor = PLANT.motor._replace(resistance=0.5, inductance=1e-5)
    winding = winding_for(motor, 1e-3)
    state = np.zeros(state_index.SIZE)
    state[state_index.DUTY], state[state_index.CURRENT] = side * 0.5, side * 1.0
    plant = PLANT._replace(motor=motor, supply=supply)
    winding_step(1e-3, state, side * 2.0, bridge(state, plant, winding), motor, supply, winding)
    assert state[state_index.CURRENT] == pytest.approx(side * 1.976)
    assert state[state_index.SUPPLY_CURRENT] == pytest.approx(1.0)
    copper, stored = 0.5 * 1.976**2 * 1e-3, 0.5e-5 * (1.976**2 - 1.0)
    assert state[state_index.LOSS_COPPER] == pytest.approx(copper)
    assert state[state_index.WORK_ELECTRIC] == pytest.approx(copper + stored + 0.2 * 2.0 * 1.976e-3)
    assert current_ahead(state[state_index.CURRENT], bridge(state, plant, winding), motor, winding) == (
        pytest.approx(side * 1.976),
        0.0,
    )
    below = state.copy()
    below[state_index.CURRENT] = side * 1.0  # not there yet: the voltage rules
    ahead, per_speed = current_ahead(
        below[state_index.CURRENT], bridge(below, plant, winding), motor, winding
    )
    assert ahead == pytest.approx(side * (3.0 / 0.5 * (1.0 - winding.mean_weight) + winding.mean_weight))
    assert per_speed > 0.0
    state[state_index.CURRENT] = -state[
        state_index.CURRENT
    ]  # braking: no ceiling, the voltage turns it round
    ahead, per_speed = current_ahead(
        state[state_index.CURRENT], bridge(state, plant, winding), motor, winding
    )
    assert ahead == pytest.approx(
        side * (3.0 / 0.5 * (1.0 - winding.mean_weight) - 1.976 * winding.mean_weight)
    )
    assert per_speed == pytest.approx(0.2 / 0.5 * (1.0 - winding.mean_weight))


# -- the rod pushed ----------------------------------------------------------------------------------------

GAUGE = Gauge(3e4, 5.0)


@pytest.mark.parametrize(
    ("speed", "rate", "press"), [(0.05, 2.0, 9e-5), (-0.04, -3.0, -8e-5), (0.03, -2.0, 1e-5)]
)
def test_the_pushed_rod_changes_at_the_rates_written_down(speed, rate, press):
    before = gauge_chain.start_gauge(0.21, SPIN, PLANT)
    asked, horn, _, slider = pitch_rod_travel(0.21, PLANT.linkage)
    assert (before[gauge_chain.PITCH], before[gauge_chain.ROD_PLACE]) == (0.21, pytest.approx(asked))
    load = 3.0 * blade_moment(0.21, SPIN, 0.0, LOADS)
    assert before[gauge_chain.ROTOR_MOMENT] == pytest.approx(load)
    before[gauge_chain.ROD_SPEED], before[gauge_chain.PITCH_RATE], before[gauge_chain.ROD_PLACE] = (
        speed,
        rate,
        asked + press,
    )
    place, place_speed = asked + 2e-4, 0.02
    after = before.copy()
    gauge_chain.gauge_chain_step(STEP, after, place, place_speed, SPIN, PLANT, GAUGE)
    change = (after - before) / STEP
    rod, elastic = law(press, speed - horn * rate, PLANT.joint)
    spring, damper = 3e4 * (2e-4 - press), 5.0 * (place_speed - speed)
    guide = np.sign(speed) * 0.3
    bearings = np.sign(rate) * pitch_friction_limit(SPIN, slider, PLANT.pitch)
    air = 3.0 * 5e-9 * SPIN * rate
    rates = {
        gauge_chain.ROD_SPEED: (spring + damper - rod - guide) / 0.004,
        gauge_chain.PITCH_RATE: (load + rod * horn - air - bearings) / 9e-5,
        gauge_chain.ROD_PLACE: speed,
        gauge_chain.PITCH: rate,
        gauge_chain.WORK_GAUGE: (spring + damper) * place_speed,
        gauge_chain.WORK_ROTOR: load * rate,
        gauge_chain.LOSS_FRICTION: guide * speed + bearings * rate,
        gauge_chain.LOSS_VISCOUS: damper * (place_speed - speed) + air * rate,
        gauge_chain.LOSS_CONTACT: (rod - elastic) * (speed - horn * rate),
    }
    for key, value in rates.items():
        assert change[key] == pytest.approx(value, abs=2e-4 * max(abs(value), 1e-3)), key
    assert after[gauge_chain.GAUGE_FORCE] == pytest.approx(spring + damper)
    held = gauge_chain.stored_energy_with_gauge(before, place, PLANT, GAUGE)
    depth = max(0.0, abs(press) - 3e-5)
    by_hand = 0.004 * speed**2 + 9e-5 * rate**2 + 3e4 * (2e-4 - press) ** 2 + 4e4 * depth**2
    assert held == pytest.approx(0.5 * by_hand)


def test_a_pushed_record_by_hand():
    """Rows of three steps: time, places and pitch as they end, the force as the mean over the row; a stop ends it."""
    state, single = (gauge_chain.start_gauge(0.21, SPIN, PLANT) for _ in range(2))
    start = state[gauge_chain.ROD_PLACE]
    times, places = np.array([0.0, 0.01]), np.array([start, start + 1e-3])
    record = np.zeros((4, gauge_chain.COLUMNS))
    filled = gauge_chain.integrate_gauge(state, times, places, SPIN, PLANT, GAUGE, 1e-5, 3, 1.0, record)
    assert filled == 4
    forces = []
    for count in range(12):
        gauge_chain.gauge_chain_step(1e-5, single, start + 1e-6 * count, 0.1, SPIN, PLANT, GAUGE)
        forces.append(single[gauge_chain.GAUGE_FORCE])
    assert record[:, gauge_chain.R_FORCE] == pytest.approx(np.mean(np.reshape(forces, (4, 3)), axis=1))
    assert record[:, gauge_chain.R_TIME] == pytest.approx([3e-5, 6e-5, 9e-5, 12e-5])
    last = (12e-5, start + 11e-6, single[gauge_chain.ROD_PLACE], single[gauge_chain.PITCH])
    assert record[-1, :4] == pytest.approx(last)
    for side in (0.21, -0.21):
        again = gauge_chain.start_gauge(side, SPIN, PLANT)
        still = np.full(2, again[gauge_chain.ROD_PLACE])
        assert gauge_chain.integrate_gauge(again, times, still, SPIN, PLANT, GAUGE, 1e-5, 3, 0.2, record) == 1


# -- programme, record, tables, step -----------------------------------------------------------------------


def test_a_course_by_hand():
    times, values = np.array([1.0, 2.0, 2.0, 4.0]), np.array([0.0, 3.0, 5.0, 1.0])
    for time, value, slope in (
        (0.0, 0.0, 0.0), (1.0, 0.0, 3.0), (1.5, 1.5, 3.0), (2.0, 5.0, -2.0), (3.0, 3.0, -2.0), (4.0, 1.0, 0.0),
        (9.0, 1.0, 0.0),
    ):  # fmt: skip
        assert piecewise_linear(time, times, values) == pytest.approx((value, slope)), time


def test_a_record_by_hand():
    """Four rows of five steps: forces and currents are means over a row, the rest as it ends, the peak of any step.

    A new command each 4 steps, the loop each 2; started at 0.3 s, the rotor speeding up by 200 rad/s^2.
    """
    schedule = CommandSchedule(
        np.array([0.3, 0.4]), np.array([0.2, 0.7]), np.array([0.3, 1.3]), np.array([700.0, 900.0])
    )
    step = 2e-5
    winding = winding_for(PLANT.motor, step)
    state, single = STATES["driving"].copy(), STATES["driving"].copy()
    record = np.zeros((4, rec.COLUMNS))
    peak = integrate(0.3, state, schedule, PLANT, winding, StepCounts(step, 2, 4, 5), record)
    kept, peaks = [], []
    for count in range(20):
        if count % 4 == 0:
            single[state_index.COMMAND] = 0.2 + 5.0 * count * step
        if count % 2 == 0:
            drive_update(step, single, PLANT)
        peaks.append(chain_step(step, single, 700.0 + 200.0 * count * step, 200.0, PLANT, winding))
        kept.append(
            [single[key] for key in (state_index.ROD_FORCE, state_index.CURRENT, state_index.SUPPLY_CURRENT)]
        )
    assert state == pytest.approx(single, rel=1e-9, abs=1e-15)
    means = np.mean(np.reshape(kept, (4, 5, 3)), axis=1)
    assert record[:, [rec.ROD_FORCE, rec.MOTOR_CURRENT, rec.SUPPLY_CURRENT]] == pytest.approx(means)
    assert np.ptp(np.array(kept)[:5, 0]) > 1e-3
    assert record[:, rec.TIME] == pytest.approx(0.3 + step * np.array([5, 10, 15, 20]))
    ends = [single[state_index.COMMAND], single[state_index.OUTPUT_ANGLE], single[state_index.PITCH]]
    assert record[-1, [rec.COMMAND, rec.OUTPUT, rec.PITCH]] == pytest.approx(ends)
    assert record[-1, rec.SPIN] == pytest.approx(700.0 + 200.0 * 19 * step)
    assert peak == max(peaks) > max(row[2] for row in kept)


@pytest.mark.parametrize("pitch", [-0.31, 0.0, 0.137])
def test_loads_between_rows_by_hand(pitch):
    """Straight between rows, so a straight table is itself; the moment of the coned blade by the textbook form."""
    moments, air = tabulated(pitch, LOADS)
    by_hand = np.array([3e-5, 2e-6, 1e-6, 4e-6, -3e-6, 5e-9]) + pitch * SLOPES
    assert [*moments[:5], air] == pytest.approx(by_hand)
    assert moments.coning == 0.03
    flat = (by_hand[0] - by_hand[1]) * sin(pitch) * np.cos(pitch) + by_hand[2] * np.cos(2.0 * pitch)
    lift = by_hand[3] * np.cos(pitch) - by_hand[4] * sin(pitch)
    coned = np.cos(0.03) ** 2 * flat + sin(0.03) * np.cos(0.03) * lift
    assert blade_moment(pitch, SPIN, 0.0, LOADS) == pytest.approx(SPIN**2 * (by_hand[5] - coned))


def test_friction_of_the_pitch_axis_by_hand():
    """Three blades of 0.3 mN m and 2e-10 x 800^2 = 0.128 mN m, and 0.4 N of the slider at 13 mm/rad, either way."""
    for slope in (0.013, -0.013):
        assert pitch_friction_limit(SPIN, slope, PLANT.pitch) == pytest.approx(3 * 0.428e-3 + 0.0052)


def test_steps_by_hand():
    """1 ms in steps of 126 us at most: 8; a mode of 1e4 rad/s allows 0.7 rad, 70 us: 15; a tenth of that: 143."""
    assert step_within(1e-3, 1.0) == (pytest.approx(1e-3 / 8), 8)
    assert step_within(1e-3, 1e4) == (pytest.approx(1e-3 / 15), 15)
    assert step_within(1e-3, 1e4, 0.1) == (pytest.approx(1e-3 / 143), 143)
    assert step_within(1e-6, 1.0) == (1e-6, 1)
    assert [step_within(count * 126e-6, 1.0)[1] for count in range(1, 300)] == list(range(1, 300))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_thin_lead_lets_no_more_through_than_it_and_the_winding_can(side):
    """Full duty on a motor that stands, any step: it comes to V / (R + R_lead), idle taken off first, not past it."""
    supply, motor = PLANT.supply._replace(resistance=2.0, limit=np.inf), PLANT.motor
    plant = PLANT._replace(supply=supply)
    most = (supply.voltage - 2.0 * supply.idle) / (motor.resistance + 2.0)
    for step in (1e-5, 1.2e-4, 1e-3):
        state, winding = np.zeros(state_index.SIZE), winding_for(motor, step)
        state[state_index.DUTY] = side
        drawn = [
            winding_step(step, state, 0.0, bridge(state, plant, winding), motor, supply, winding)
            for _ in range(int(0.02 / step))
        ]
        assert side * state[state_index.CURRENT] == pytest.approx(most, rel=1e-4)
        assert max(drawn) <= 1.03 * (most + supply.idle)  # the sag of a step is that of its mean


def test_highest_modes_by_hand():
    """With the rod slack motor and output swing on the mesh, k (1/J + 1/Jo); with the mesh slack it is the rod."""
    _, arm = servo_rod_travel(0.0, PLANT.linkage)
    horn = pitch_rod_travel(0.0, PLANT.linkage)[1]
    loose = PLANT._replace(joint=PLANT.joint._replace(stiffness=0.0))
    assert highest_mode(loose) == pytest.approx(sqrt(4.0 * (1 / 3e-5 + 1 / 6e-7)))
    free = PLANT._replace(mesh=PLANT.mesh._replace(stiffness=0.0))
    assert highest_mode(free) == pytest.approx(sqrt(4e4 * (arm**2 / 6e-7 + horn**2 / 9e-5)))
    assert highest_mode(PLANT) > max(highest_mode(loose), highest_mode(free))
    assert highest_mode_with_gauge(PLANT, Gauge(0.0, 0.0)) == pytest.approx(
        sqrt(4e4 * (1 / 0.004 + horn**2 / 9e-5))
    )
    assert highest_mode_with_gauge(loose, GAUGE) == pytest.approx(sqrt(3e4 / 0.004))
