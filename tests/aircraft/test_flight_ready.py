"""What a flight is started with, by hand: its pace, gusts, noise and state, without a step of it being flown."""

from math import exp, pi, radians
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft import flight as module
from featherbench.aircraft import hover
from featherbench.aircraft.flight import flight_setup, hover_flight, with_gain, without_play
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.plant.step_size import highest_mode
from featherbench.servo.motor import winding_for

AIRCRAFT = {
    "tail_arm": "0.7 m",
    "yaw_inertia": "0.15 kg*m^2",
    "main_torque": "2 N*m",
    "gust": "3 N*m",
    "buffet": "0.04 N*m",
    "trim_noise": 0.0,
}
GYRO = {
    "rate_gain": "0.1 s",
    "hold_gain": 0.6,
    "rate": "1000 Hz",
    "delay": "12 ms",
    "noise": "0.2 rad/s",
    "filter": "6 ms",
}


@pytest.fixture(scope="module")
def ready(setup_of):
    return flight_setup(setup_of(aircraft={**AIRCRAFT, "gyro": GYRO}))


@pytest.fixture
def started(monkeypatch):
    """What `fly` is called with: started(ready, seconds, ...) -> its arguments by name, and the flight."""

    def start(ready, seconds, **how):
        caught = {}

        def fly(state, yaw, build, gust, noise, record):
            caught.update(build._asdict(), state=state, yaw=yaw, gust=gust, noise=noise, record=record)
            return 12

        monkeypatch.setattr(module, "fly", fly)
        caught["flight"] = hover_flight(ready, seconds, **how)
        return SimpleNamespace(**caught)

    return start


def test_the_pace_of_a_flight_by_hand(ready, started):
    """A gyro of 1000 Hz, 12 ms late: 12 readings; a row of the record is 5 ms; the drive runs at 333 Hz."""
    run = started(ready, 0.4)
    step, counts = run.counts.step, run.counts
    assert counts.gyro_steps * step == pytest.approx(1e-3)
    assert step <= 70e-6
    assert step * highest_mode(ready.setup.plant) <= 0.5
    assert counts.record_steps == 5 * counts.gyro_steps
    assert counts.drive_steps == pytest.approx(1.0 / 333.0 / step, abs=0.5)
    assert counts.drive_steps > 30
    assert counts.late == 12
    assert counts.frame_steps == counts.drive_steps
    assert run.record.shape == (80, 8)
    assert run.gust.shape == (80,)
    assert run.noise.size >= 400
    assert run.winding == winding_for(ready.setup.plant.motor, step)
    assert run.spin == pytest.approx(9000.0 * pi / 30.0)
    assert run.flight.reversals == pytest.approx(12 / 0.4)


@pytest.mark.parametrize(("rate", "updates"), [("250 Hz", 1), ("100 Hz", 1), ("400 Hz", 2)])
def test_a_row_is_a_whole_number_of_readings(setup_of, started, rate, updates):
    """About 5 ms: one reading of 4 or of 10 ms, two of 2.5."""
    gyro = {**GYRO, "rate": rate, "delay": "20 ms"}
    run = started(flight_setup(setup_of(aircraft={**AIRCRAFT, "gyro": gyro})), 0.4)
    assert run.counts.record_steps == updates * run.counts.gyro_steps
    assert run.counts.late == round(20e-3 * float(rate.split()[0]))


def test_noise_and_gusts_have_their_stated_sizes(ready, started):
    """Noise: 0.2 rad/s. Gusts: 3 N m rms that forget as exp(-2 pi f t): f 1 Hz, 5 ms to exp(-0.0314) of themselves."""
    run = started(ready, 500.0, seed=3)
    assert run.noise.std() == pytest.approx(0.2, rel=0.02)
    assert run.gust.std() == pytest.approx(3.0, rel=0.07)
    keep = exp(-2.0 * pi * ready.aircraft.gust_bandwidth * 5e-3)
    alike = np.mean(run.gust[1:] * run.gust[:-1]) / run.gust.var()
    assert alike == pytest.approx(keep, abs=0.004)
    left = run.gust[1:] - keep * run.gust[:-1]
    assert left.std() == pytest.approx(3.0 * np.sqrt(1.0 - keep**2), rel=0.01)
    shaking = run.plant.shaking
    bench = ready.setup.scenario.shaking.passing
    assert shaking.passing * run.spin**2 == pytest.approx(2.0 * (0.04 + bench))
    assert shaking.rate == pytest.approx(2.0 * run.spin)
    other = started(ready, 0.4, seed=4)
    assert not np.allclose(other.gust, run.gust[:80])
    calm = started(ready, 0.4, disturbed=False, heading=0.1)
    assert not calm.gust.any()
    assert not calm.noise.any()
    assert calm.yaw == pytest.approx([0.1, 0.0])


def test_a_flight_starts_at_rest_at_its_trim(ready, started):
    state, plant = started(ready, 0.1).state, ready.setup.plant
    angle = servo_angle_for(ready.trim.pitch, plant.linkage)
    for place in (
        state_index.OUTPUT_ANGLE,
        state_index.MOTOR_ANGLE,
        state_index.COMMAND,
        state_index.LAST_ANGLE,
    ):
        assert state[place] == pytest.approx(angle)
    assert state[state_index.PITCH] == pytest.approx(ready.trim.pitch)
    moment = 2.0 * blade_moment(ready.trim.pitch, 9000.0 * pi / 30.0, 0.0, plant.loads)
    assert abs(moment) > 1e-3
    assert state[state_index.ROTOR_MOMENT] == pytest.approx(moment)
    assert not state[
        [
            state_index.MOTOR_SPEED,
            state_index.OUTPUT_SPEED,
            state_index.PITCH_RATE,
            state_index.FILTERED_SPEED,
        ]
    ].any()


def test_airframe_and_gyro_are_as_stated(ready, setup_of):
    assert ready.frame == pytest.approx((0.15, 0.7, 2.0), rel=2e-3)
    gyro = ready.gyro
    low, high = radians(-24.0), radians(26.0)
    assert gyro[:5] == pytest.approx((0.1, 0.6, ready.trim.pitch, ready.trim.pitch - low, 6e-3))
    low, high = radians(-24.0), radians(26.0)
    assert gyro.command_first == pytest.approx(low)
    assert gyro.command_step == pytest.approx(radians(0.25))
    assert gyro.commands[80] == pytest.approx(
        servo_angle_for(low + 80 * radians(0.25), ready.setup.plant.linkage)
    )
    assert high - radians(0.5) < low + (gyro.commands.size - 1) * radians(0.25) < high + 1e-9
    limited = flight_setup(setup_of(aircraft={**AIRCRAFT, "gyro": {**GYRO, "limit": "5 deg"}}))
    assert limited.gyro.limit == pytest.approx(radians(5.0))
    tripled = with_gain(ready, 3.0).gyro
    assert (tripled.rate_gain, tripled.hold_gain) == pytest.approx((0.3, 1.8))
    tight = without_play(ready).setup.plant
    assert tight.joint == ready.setup.plant.joint._replace(half_play=0.0)
    assert tight.mesh == ready.setup.plant.mesh._replace(half_play=0.0)


@pytest.mark.parametrize(
    ("aircraft", "words"),
    [
        (None, r"no \[aircraft\]: state tail_arm"),
        ({**AIRCRAFT, "main_torque": "40 N*m", "gyro": GYRO}, "no hover trim: a thrust of 57.1 N is needed"),
    ],
)
def test_what_cannot_fly_says_why(setup_of, aircraft, words):
    with pytest.raises(ValueError, match=words):
        flight_setup(setup_of(aircraft=aircraft))


# -- hover trim ------------------------------------------------------------------------------------------


@pytest.fixture
def held(monkeypatch):
    """A servo that draws 50 mA wherever it holds; keeps what it was asked to do."""
    asked = []

    def run_legs(_, moves, *, step_share):
        asked.append((*moves, step_share))
        return (SimpleNamespace(hold=0.05, drawn=0.05),)

    monkeypatch.setattr(hover, "run_legs", run_legs)
    return asked


@pytest.mark.parametrize(("torque", "end"), [("2 N*m", radians(16.0)), ("-2 N*m", radians(-24.0))])
def test_the_hover_pitch_is_held_for_two_seconds(setup_of, held, torque, end):
    """As a share of the end of the range on its side, whichever way the rotor turns; 60 mA for ten minutes: 36 C."""
    setup = setup_of(
        aircraft={**AIRCRAFT, "main_torque": "2 N*m"}, rotor={"pitch_range": ["-24 deg", "16 deg"]}
    )
    if torque.startswith("-"):
        turned = setup.scenario.aircraft.model_copy(update={"main_torque": -2.0})
        setup = setup.__class__(
            **{**vars(setup), "scenario": setup.scenario.model_copy(update={"aircraft": turned})}
        )
    trim = hover.hover_trim(setup, step_share=0.5)
    ((move, share),) = held
    assert trim.pitch * end > 0.0
    assert move.go == pytest.approx(trim.pitch / end if end > 0.0 else -trim.pitch / end)
    assert (move.hold, move.over, share) == (2.0, 0.0, 0.5)
    assert trim.charge == pytest.approx(36.0)
    plant = setup.plant
    _, slope, _, slider = pitch_rod_travel(trim.pitch, plant.linkage)
    spin = 9000.0 * pi / 30.0
    needed = -blade_moment(trim.pitch, spin, 0.0, plant.loads)
    assert trim.rod_force == pytest.approx(2.0 * needed / slope)
    along_rod = pitch_friction_limit(spin, slider, plant.pitch) / abs(slope) + 0.2
    assert trim.rod_friction == pytest.approx(along_rod)
    assert abs(trim.thrust) == pytest.approx(2.0 / 0.7)
    middle = setup.air.table.torque[:, setup.air.table.axial.size // 2]
    assert trim.power == pytest.approx(spin**3 * np.interp(trim.pitch, setup.air.table.pitch, middle))


def test_what_is_not_found_or_not_asked_for_is_not_held(setup_of, held):
    setup = setup_of(aircraft={**AIRCRAFT, "main_torque": "40 N*m"})
    trim = hover.hover_trim(setup)
    assert (trim.found, trim.leg) == (False, None)
    assert np.isnan(trim.charge)
    fine = hover.hover_trim(setup_of(aircraft=AIRCRAFT), held=False)
    assert (fine.found, fine.leg, fine.assumed) == (True, None, ())
    assert hover.hover_trim(setup_of()) is None
    assert held == []
