"""Yaw of the flight stepper against a linear-systems library: step of yaw moment, blades held at trim.

python-control 0.10.2 `step_response` (RAN) of 1/(I_z s + D), D = -l_t^2 dT/dV_c from the air table at trim. The gyro is
off, so blade pitch stays where servo and friction hold it.
"""

from pathlib import Path

import control
import numpy as np

from featherbench.aircraft.flight import _at_trim, flight_setup
from featherbench.bench.setup import build_setup
from featherbench.plant.flight import (
    F_PITCH,
    F_RATE,
    F_TIME,
    FLIGHT_COLUMNS,
    FlightStepCounts,
    FlownBuild,
    fly,
)
from featherbench.rotor.air_table import axial_ratio, thrust
from featherbench.scenario import read
from featherbench.servo.motor import winding_for
from table import check

BUILD = Path(__file__).parents[1] / "scenarios" / "survey-3kg" / "plain.toml"


def test_yaw_rate_after_a_step_of_moment():
    ready = flight_setup(build_setup(read(BUILD)))
    plant, spin = ready.setup.plant, float(ready.setup.scenario.rotor.speed)
    step, rows, moment = 50e-6, 400, 0.02
    winding = winding_for(plant.motor, step)
    gyro = ready.gyro._replace(rate_gain=0.0, hold_gain=0.0)
    counts = FlightStepCounts(step, 60, 80, 60, 100, 0)
    noise, calm, gust = np.zeros(rows * 100 // 80 + 2), np.zeros(rows), np.full(rows, moment)
    record, yaw, state = np.zeros((rows, FLIGHT_COLUMNS)), np.zeros(2), _at_trim(ready)
    # the servo settles under its load first, the aircraft held still; the main rotor then balances that thrust
    still = ready.frame._replace(yaw_inertia=1e12)
    fly(state, yaw, FlownBuild(spin, plant, ready.air, still, gyro, winding, counts), calm, noise, record)
    pitch, arm, small = float(record[-1, F_PITCH]), ready.frame.tail_arm, 0.02
    balanced = ready.frame._replace(main_torque=arm * thrust(pitch, 0.0, spin, ready.air))
    yaw[:] = 0.0
    fly(state, yaw, FlownBuild(spin, plant, ready.air, balanced, gyro, winding, counts), gust, noise, record)

    # the table is linear between its axial flows, so the slope is taken on the side to which the tail yaws
    ahead = thrust(pitch, axial_ratio(arm * small, spin, ready.air), spin, ready.air)
    damping = -arm * (ahead - thrust(pitch, 0.0, spin, ready.air)) / small
    system = control.tf([1.0], [ready.frame.yaw_inertia, damping])
    time = np.concatenate([[0.0], record[:, F_TIME]])
    reference = moment * control.step_response(system, time).outputs[1:]
    source = "python-control step response of yaw, gyro off"
    why = "thrust is a little curved in axial flow"
    check(source, "RAN", "yaw rate at 2 s, rad/s", reference[-1], record[-1, F_RATE], 0.02, why)
    worst = np.abs(record[:, F_RATE] - reference).max() / abs(reference[-1])
    check(source, "RAN", "largest departure over 2 s, of the last", 0.0, worst, 0.02, why, relative=False)
    assert damping > 0.0
