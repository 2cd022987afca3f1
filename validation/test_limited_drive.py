"""A drive that limits the current of its winding, against a fine-step simulation of the chopped circuit.

The servo is taken off its rod: motor, gears without loss by load, output. From rest at full command it is at its limit
until back-EMF is what limits, and the supply gives less than the winding carries; held fast it stays there.
"""

from math import inf

import numpy as np
import pytest

from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import build_setup
from featherbench.plant import integrate as rec
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.scenario import read
from featherbench.servo.motor import winding_for
from limited_circuit import driven
from source import About
from table import check

ABOUT = About(
    kind="program",
    title="current-limited motor, circuit stepped finely",
    quantity="current of a limited drive",
    left_out="How a maker's limiter is built: one that limits each period's peak lets less through than that.",
)
STEP, TABLE = 20e-6, 1e-3
WHY = "within 2 % was asked; steps of 20 us, and the ripple's mean in place of the ripple"
SHEET = {
    "servo.drive": "current-limited",
    "servo.stall_torque": "0.19 N*m",
    "servo.transit_60": "0.06 s",
    "servo.stall_current": "0.5 A",
    "servo.idle_current": "0 A",
    "servo.rotor_inertia": "3.5 g*mm^2",
    "servo.inductance": "250 uH",
    "supply.resistance": "0 ohm",
}


@pytest.fixture(scope="module", params=["3 kHz", "20 kHz"])
def setup(request):
    path = request.config.rootpath / "scenarios" / "survey-3kg" / "plain.toml"
    return build_setup(read(path, {**SHEET, "servo.chopping_rate": request.param}))


def freed(setup, held):
    """The plant off its rod, gears without play or loss by load; held: with a rotor that nothing turns."""
    plant = setup.plant
    inertia = 1e6 if held else plant.motor.inertia
    return plant._replace(
        motor=plant.motor._replace(load_friction=0.0, viscous=0.0, inertia=inertia),
        joint=plant.joint._replace(stiffness=0.0, damping=0.0),
        output=plant.output._replace(rod_friction=0.0, friction=0.0),
        mesh=plant.mesh._replace(half_play=0.0),
    )


def circuit(plant, held):
    motor = plant.motor
    inertia = 0.0 if held else motor.inertia + plant.output.inertia
    return (
        plant.supply.voltage,
        motor.resistance,
        motor.inductance,
        motor.torque_constant,
        inertia,
        motor.coulomb,
    )


def stepped(setup, plant, seconds):
    """The program's record, a row each ms, after a command that is never reached."""
    count = round(TABLE / STEP)
    record = np.zeros((round(seconds / TABLE), rec.COLUMNS))
    plant = plant._replace(loop=plant.loop._replace(drive_period=STEP, frame_period=STEP))
    schedule = CommandSchedule(np.zeros(1), np.array([50.0]), np.zeros(1), np.zeros(1))
    counts = StepCounts(STEP, 1, 1, count)
    state = start_state(setup)
    integrate(0.0, state, schedule, plant, winding_for(plant.motor, STEP), counts, record)
    return record


def test_running_up(setup):
    """Speed and currents while the limit holds, and when it no longer does."""
    plant = freed(setup, held=False)
    limit, period = plant.chopper.limit, plant.chopper.period
    assert limit < inf
    rows = driven(limit, circuit(plant, False), period, 400, round(0.06 / period))
    ends = (1 + np.arange(len(rows))) * period
    record = stepped(setup, plant, 0.06)
    rate = f"{1.0 / period:g} Hz"
    leaves = ends[rows[:, 2] < 1.0][-1]
    assert 3e-3 < leaves < 0.05  # both parts are looked at
    time = record[:, rec.TIME]
    early, late = 0.5 * leaves, 1.5 * leaves
    for when, name in ((early, "at half of the time it limits"), (late, "after it has limited")):
        row = int(np.argmin(np.abs(time - when)))
        within = (ends > time[row] - TABLE) & (ends <= time[row])  # a row is the mean since the row before
        for what, column, fine in (
            ("winding current, A", rec.MOTOR_CURRENT, rows[within, 0]),
            ("supply current, A", rec.SUPPLY_CURRENT, rows[within, 1]),
        ):
            got = abs(record[row, column])
            check(ABOUT.title, "RAN", f"{what}, {rate}, {name}", fine.mean(), got, 0.02, WHY)


def test_held_fast(setup):
    """The winding carries its limit; the lead what the winding's heat and the ripple's take."""
    plant = freed(setup, held=True)
    limit, period = plant.chopper.limit, plant.chopper.period
    rows = driven(limit, circuit(plant, True), period, 400, round(0.02 / period))
    record = stepped(setup, plant, 0.02)
    rate = f"{1.0 / period:g} Hz"
    check(
        ABOUT.title,
        "RAN",
        f"winding current held fast, {rate}, A",
        rows[-1, 0],
        abs(record[-1, rec.MOTOR_CURRENT]),
        0.02,
        WHY,
    )
    check(
        ABOUT.title,
        "RAN",
        f"supply current held fast, {rate}, A",
        rows[-1, 1],
        abs(record[-1, rec.SUPPLY_CURRENT]),
        0.02,
        WHY,
    )
    stated = 0.5
    check(ABOUT.title, "RAN", f"sheet's stall current, {rate}, A", stated, rows[-1, 1], 0.02, WHY)
