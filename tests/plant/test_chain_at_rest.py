"""A stuck chain is stuck: no creep under a vibrating load below breakaway, motion above it."""

import numpy as np
import pytest
from numba import njit

from featherbench.bench.servo_run import run_servo
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.plant.step_size import highest_mode, step_within
from featherbench.servo.motor import winding_for

ANGLES = [state_index.MOTOR_ANGLE, state_index.OUTPUT_ANGLE, state_index.PITCH]
PITCH = 0.3
FREQUENCY = 370.0


@njit
def shaken(state, steps, step, spin, swing, frequency, plant, winding):
    """Step the chain while the load, as spin^2, swings by the share `swing` about its mean."""
    for count in range(steps):
        load = 1.0 + swing * np.sin(2.0 * np.pi * frequency * count * step)
        chain_step(step, state, spin * np.sqrt(load), 0.0, plant, winding)


class Rig:
    """The servo holds the blades at PITCH without current: by its gear friction alone."""

    def __init__(self, setup, **motor):
        self.plant = setup.plant._replace(motor=setup.plant.motor._replace(**motor))
        self.spin = float(setup.scenario.rotor.speed)
        self.state = np.zeros(state_index.SIZE)
        angle = servo_angle_for(PITCH, self.plant.linkage)
        self.state[[state_index.MOTOR_ANGLE, state_index.OUTPUT_ANGLE]] = angle
        self.state[state_index.PITCH] = PITCH
        self.state[state_index.ROTOR_MOMENT] = self.load
        self.step = step_within(1e-3, highest_mode(self.plant))[0]
        self.winding = winding_for(self.plant.motor, self.step)

    @property
    def load(self):
        """Moment of all blades at the present pitch, N m."""
        return self.plant.pitch.blades * blade_moment(
            self.state[state_index.PITCH], self.spin, 0.0, self.plant.loads
        )

    @property
    def bearing(self):
        """What pitch bearings and slider can take, N m."""
        slider = pitch_rod_travel(PITCH, self.plant.linkage)[3]
        return pitch_friction_limit(self.spin, slider, self.plant.pitch)

    def shake(self, moment, seconds):
        """Shake by `moment` (N m, all blades) for a whole number of cycles."""
        period = 1.0 / FREQUENCY
        steps = round(seconds * FREQUENCY) * round(period / self.step)
        swing = moment / abs(self.load)
        frequency = 1.0 / (round(period / self.step) * self.step)
        shaken(self.state, steps, self.step, self.spin, swing, frequency, self.plant, self.winding)
        return self.state[ANGLES].copy()


@pytest.fixture(scope="module")
def setup(setup_of):
    return setup_of()


LOCKS = {"load_friction": 1.3}  # efficiency 0.43: holds any load without current
STIFF = {"load_friction": 0.0, "coulomb": 0.15}  # Coulomb friction above the load


@pytest.mark.parametrize("motor", [LOCKS, STIFF], ids=["self-locking train", "stiff train"])
def test_an_unpowered_chain_does_not_creep_below_breakaway(setup, motor):
    rig = Rig(setup, **motor)
    settled = rig.shake(0.8 * rig.bearing, 0.4)  # play is taken up, then it shakes down
    after = rig.shake(0.8 * rig.bearing, 0.5)
    assert np.array_equal(after, settled)
    assert not rig.state[[state_index.MOTOR_SPEED, state_index.OUTPUT_SPEED, state_index.PITCH_RATE]].any()
    assert PITCH - after[2] == pytest.approx(0.0, abs=0.05)  # and it has not fallen to zero pitch either


def test_above_the_bearing_friction_the_blades_shake_and_the_train_still_holds(setup):
    rig = Rig(setup, **LOCKS)
    rig.shake(1.6 * rig.bearing, 0.4)
    motor = rig.state[state_index.MOTOR_ANGLE]
    loss = rig.state[state_index.LOSS_FRICTION]
    rig.shake(1.6 * rig.bearing, 0.5)
    assert rig.state[state_index.LOSS_FRICTION] > loss + 1e-6
    assert rig.state[state_index.MOTOR_ANGLE] == motor


def test_an_easily_turned_train_lets_the_blades_drive_it_back(setup):
    """Efficiency 1 and Coulomb friction of a tenth of the load: unpowered, the blades go home."""
    rig = Rig(setup, load_friction=0.0, coulomb=0.004)
    after = rig.shake(0.0, 2.0)
    assert abs(after[2]) < 0.5 * PITCH


def test_a_powered_hold_stands_exactly_still(setup):
    """Between the last move and the end of the hold nothing at all changes, currents included."""
    run = run_servo(setup)
    leg = run.legs[0]
    rest = (run.time > leg.end - 0.2) & (run.time <= leg.end)
    for series in (run.pitch, run.servo_angle, run.motor_current, run.supply_current, run.rod_force):
        assert np.ptp(series[rest]) < 1e-9 * np.abs(series[rest]).max()
    assert np.ptp(run.pitch[rest]) == 0.0
    assert np.ptp(run.servo_angle[rest]) == 0.0
