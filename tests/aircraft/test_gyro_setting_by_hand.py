"""How a gyro's gains are found, by flights made up by hand: what counts as hunting, where it sets in, what is left."""

from dataclasses import replace
from math import atan, hypot, pi, radians, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft import disturbances
from featherbench.aircraft import gyro_setting as setting
from featherbench.aircraft import yaw_loop as loops
from featherbench.aircraft import yaw_slopes as slopes
from featherbench.aircraft.disturbances import gust_moment, moment_size, yaw_disturbance
from featherbench.aircraft.flight import Flight
from featherbench.aircraft.gyro_setting import SettingKind, gyro_setting, hunting, just_hunts, swing_frequency
from featherbench.aircraft.yaw_loop import YawLoop, margins, ultimate, yaw_loop
from featherbench.aircraft.yaw_slopes import YawSlopes, yaw_slopes
from featherbench.plant.flight import F_HEADING, F_RATE, F_TIME, FLIGHT_COLUMNS

STEP = 4e-3


def flown(swing, frequency, *, drift=(0.0, 0.0, 0.0), early=0.0, seconds=3.0):
    """Three seconds of a heading that swings by so much, rad peak to peak, about a drift; before its last half an
    early swing of another size and half the frequency."""
    time = STEP * np.arange(1, round(seconds / STEP) + 1)
    record = np.zeros((len(time), FLIGHT_COLUMNS))
    record[:, F_TIME] = time
    turned = 2.0 * pi * frequency
    late = time > seconds - 1.5
    heading = 0.5 * swing * np.sin(turned * time)
    heading = np.where(late, heading, 0.5 * early * np.sin(0.5 * turned * time))
    record[:, F_HEADING] = heading + np.polyval(drift, time)
    record[:, F_RATE] = np.where(late, 0.5 * swing * turned * np.cos(turned * time), early * turned)
    return Flight(record, 0.0)


@pytest.mark.parametrize("frequency", [3.0, 7.3, 13.0])
def test_the_frequency_of_a_swing_is_that_of_its_last_second_and_a_half(frequency):
    assert swing_frequency(flown(0.02, frequency, early=0.5)) == pytest.approx(frequency, abs=0.05)
    turning = flown(0.02, frequency)
    turning.record[:, F_RATE] += 5.0  # a pirouette is no swing
    assert swing_frequency(turning) == pytest.approx(frequency, abs=0.05)


def test_a_visible_swing_that_lasts_and_is_no_wander_is_hunting():
    """From a fifth of a degree peak to peak on, over its drift, and as fast as what is asked of it."""
    seen = radians(0.2)
    assert hunting(flown(1.05 * seen, 8.0), 2.0)
    assert not hunting(flown(0.9 * seen, 8.0), 2.0)
    assert not hunting(flown(0.0, 8.0, early=0.5), 2.0)  # it has died out
    assert hunting(flown(1.1 * seen, 8.0, drift=(0.1, -0.2, 0.3)), 2.0)
    assert not hunting(flown(0.5 * seen, 8.0, drift=(0.1, -0.2, 0.3)), 2.0)
    assert hunting(flown(1.1 * seen, 8.0), 7.9)
    assert not hunting(flown(1.1 * seen, 8.0), 8.1)


@pytest.fixture
def tried(monkeypatch):
    """A tail whose linear loop would swing at a rate gain of 0.2 s and 6 Hz; it hunts from `onset` to `top` s on.

    Returns what was flown: (gain, slowest swing asked for).
    """

    def make(onset, top=float("inf")):
        told = []
        monkeypatch.setattr(setting, "yaw_loop", lambda ready: f"loop of {ready}")
        monkeypatch.setattr(setting, "ultimate", lambda _: (0.2, 6.0))
        monkeypatch.setattr(setting, "_tried", lambda ready, gain: (ready, gain))

        def swings(flight, slowest):
            told.append((flight[1], slowest))
            return onset <= flight[1] <= top

        monkeypatch.setattr(setting, "hunting", swings)
        monkeypatch.setattr(setting, "swing_frequency", lambda flight: 1000.0 * flight[1])
        return told

    return make


def test_the_gain_at_which_it_just_hunts_is_bracketed_to_two_per_cent(tried):
    """From a tenth of the linear one on by 1.4, then halved four times by ratio: 1.4^(1/16); its frequency is read a
    tenth above.
    """
    told = tried(0.1)
    kind, gain, frequency = just_hunts("tail")
    assert kind is SettingKind.FOUND
    assert 0.1 <= gain < 0.1 * 1.4 ** (1.0 / 16.0) + 1e-12
    assert frequency == pytest.approx(1000.0 * 1.1 * gain)
    gains = [one for one, _ in told]
    assert gains[:6] == pytest.approx([0.02 * 1.4**k for k in range(6)])
    assert len(gains) == 6 + 4
    assert gains[6] == pytest.approx(0.02 * 1.4**4.5)
    assert {slowest for _, slowest in told} == {0.3 * 6.0}


def test_a_tail_that_hunts_at_once_or_never(tried):
    tried(0.0)
    assert just_hunts("tail") == (SettingKind.ALWAYS, pytest.approx(0.02), 6.0)
    told = tried(2.0)
    assert just_hunts("tail") == (SettingKind.NEVER, 0.2, 6.0)
    assert max(one for one, _ in told) == pytest.approx(
        0.02 * 1.4**13
    )  # the last up to eight times the linear one
    tried(0.02 * 1.4**13)
    assert just_hunts("tail")[0] is SettingKind.FOUND
    tried(0.021)
    assert just_hunts("tail")[1] == pytest.approx(0.021, rel=0.02)


def test_a_trial_is_a_pirouette_that_is_stopped_in_still_air(monkeypatch):
    asked = []
    monkeypatch.setattr(setting, "with_gains", lambda *given: given)
    monkeypatch.setattr(setting, "hover_flight", lambda *given, **how: asked.append((given, how)))
    setting._tried("ready", 0.3)
    assert asked == [((("ready", 0.3, 0.0), 3.0), {"disturbed": False, "rate": 1.0})]


def aircraft(**gyro):
    return SimpleNamespace(scenario=SimpleNamespace(aircraft=SimpleNamespace(gyro=SimpleNamespace(**gyro))))


def test_gains_that_are_stated_are_taken():
    own = gyro_setting(aircraft(rate_gain=0.07, hold_gain=None))
    assert (own.kind, own.gains, own.back_off) == (SettingKind.STATED, (0.07, 0.0), 0.0)
    assert np.isnan([own.hunts_at, own.frequency]).all()
    assert gyro_setting(aircraft(rate_gain=0.07, hold_gain=0.5)).gains == (0.07, 0.5)


@pytest.mark.parametrize(
    ("kind", "gain", "hunts"),
    [(SettingKind.FOUND, 0.12, 0.2), (SettingKind.NEVER, 0.12, None), (SettingKind.ALWAYS, 0.2, None)],
)
def test_a_share_is_taken_back_and_the_heading_held_in_twice_the_swing(monkeypatch, kind, gain, hunts):
    """Four tenths of 0.2 s; the hold works a heading off in 2.2 periods of a swing of 5 Hz. What hunts at every gain
    has nothing to take back.
    """
    flown_as = []
    table = SimpleNamespace(back_off=0.4, hold_gain=None)
    monkeypatch.setattr(setting, "without_weights", lambda setup: f"bare {setup}")
    monkeypatch.setattr(
        setting, "flight_setup", lambda setup: flown_as.append(setup) or SimpleNamespace(table=table)
    )
    monkeypatch.setattr(setting, "without_play", lambda ready: ready)
    monkeypatch.setattr(setting, "just_hunts", lambda _: (kind, 0.2, 5.0))

    class Build(SimpleNamespace):
        def __str__(self):
            return "build"

    setup = Build(scenario=SimpleNamespace(aircraft=None))
    found = gyro_setting(setup)
    assert (found.kind, found.rate_gain, found.frequency, found.back_off) == (
        kind,
        pytest.approx(gain),
        5.0,
        0.4,
    )
    assert found.hold_gain == pytest.approx(gain * 5.0 / 2.2)
    assert found.hunts_at == hunts if hunts else np.isnan(found.hunts_at)
    table.hold_gain = 0.9
    assert gyro_setting(setup, weights=True).hold_gain == 0.9
    assert flown_as == ["bare build", setup]


def test_weights_are_taken_off_and_nothing_else(monkeypatch):
    parts = tuple(SimpleNamespace(group=group) for group in ("blade", "counterweight", "bolt"))
    monkeypatch.setattr(
        setting, "build_setup", lambda scenario, air, assembly: (scenario, air, assembly.parts)
    )
    monkeypatch.setattr(setting, "replace", lambda _, parts: SimpleNamespace(parts=parts))
    setup = SimpleNamespace(assembly=SimpleNamespace(parts=parts), scenario="s", air="a")
    assert setting.without_weights(setup) == ("s", "a", (parts[0], parts[2]))
    bare = SimpleNamespace(assembly=SimpleNamespace(parts=parts[:1]))
    assert setting.without_weights(bare) is bare


# -- the linear loop -------------------------------------------------------------------------------------

LOOP = YawLoop(2.0, 0.02, 0.1, 0.03, 2e-4, 0.005, 0.012, 0.05, 0.4)


def test_each_part_of_the_loop_by_hand():
    """At s = 10 j."""
    s = 10.0j
    servo, gyro = 1.0 / (0.98 + 0.3j), (0.4 + 0.5j) * np.exp(-0.12j) / (1.0 + 0.05j)
    yaw = 2.0 / (10.0j * (0.1 + 0.2j))
    assert LOOP.servo(s) == pytest.approx(servo)
    assert LOOP.gyro(s) == pytest.approx(gyro)
    assert LOOP.yaw(s) == pytest.approx(yaw)
    assert LOOP.open(s) == pytest.approx(servo * gyro * yaw)


def test_a_loop_is_put_together_from_the_build():
    """Slowness K b / V and its damping; J R / K^2; half a period each of gyro, frame and drive beside the delay."""
    motor = SimpleNamespace(torque_constant=0.5, inertia=0.002, resistance=3.0)
    own = SimpleNamespace(proportional_band=0.04, damping=0.001, frame_period=0.02, drive_period=0.003)
    plant = SimpleNamespace(motor=motor, loop=own, supply=SimpleNamespace(voltage=5.0))
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=900.0))
    ready = SimpleNamespace(
        setup=SimpleNamespace(plant=plant, scenario=scenario), air="air",
        table=SimpleNamespace(rate=250.0, delay=0.005),
        frame=SimpleNamespace(tail_arm=0.7, yaw_inertia=0.15), trim=SimpleNamespace(pitch=0.1),
        gyro=SimpleNamespace(lag=0.006, rate_gain=0.1, hold_gain=0.6),
    )  # fmt: skip
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(loops, "yaw_slopes", lambda *_: YawSlopes(30.0, 0.4))
        made = yaw_loop(ready)
    slow = 0.04 * 0.5 / 5.0
    assert made == pytest.approx((
        0.7 * 30.0, 0.15, 0.7**2 * 0.4, slow + 0.001, 0.002 * 3.0 / 0.25 * slow, 0.006,
        0.005 + 0.5 * (0.004 + 0.02 + 0.003), 0.1, 0.6,
    ))  # fmt: skip


def test_the_ultimate_gain_is_where_all_lags_come_to_half_a_turn():
    """There L is -1: of a loop with every lag, found again from the response itself."""
    gain, frequency = ultimate(LOOP)
    s = 2.0j * pi * frequency
    assert LOOP._replace(by_rate=gain, by_heading=0.0).open(s) == pytest.approx(-1.0, abs=1e-6)
    lags = atan(0.02 * abs(s) / 0.1) + abs(s) * 0.012 + atan(0.005 * abs(s))
    lags += atan(0.03 * abs(s) / (1.0 - 2e-4 * abs(s) ** 2)) % pi
    assert lags == pytest.approx(pi)
    for steering in (0.0, -1.0):
        with pytest.raises(ValueError, match="cannot steer there"):
            ultimate(LOOP._replace(steering=steering))


def test_margins_are_those_of_the_response():
    """Gain: by how much the loop may be raised till it passes -1; phase: what is left at the crossover."""
    gain, phase, crossover = margins(LOOP)
    assert abs(LOOP.open(1j * crossover)) == pytest.approx(1.0, rel=5e-3)
    left = np.angle(-LOOP.open(1j * crossover))
    assert phase == pytest.approx(left, abs=5e-3)
    raised = LOOP._replace(by_rate=gain * LOOP.by_rate, by_heading=gain * LOOP.by_heading)
    assert margins(raised)[0] == pytest.approx(1.0, rel=5e-3)
    assert margins(raised)[1] == pytest.approx(0.0, abs=5e-3)
    none = margins(LOOP._replace(by_rate=0.0, by_heading=1e-9))
    assert np.isnan(none[1:]).all()
    quick = margins(LOOP._replace(late=0.0, filter_lag=0.0, servo_lag=0.0, servo_square=0.0))
    assert np.isnan(quick[0])  # it never turns over


def test_two_integrators_begin_short_of_half_a_turn():
    """Of a heading held on an inertia alone the rate gain leads: atan(w k_r / k_h) of phase is left."""
    loop = YawLoop(2.0, 0.02, 0.0, 0.0, 0.0, 0.0, 0.0, 0.05, 0.4)
    _, phase, crossover = margins(loop)
    assert phase == pytest.approx(atan(crossover * 0.05 / 0.4), abs=2e-3)
    assert crossover**2 == pytest.approx(100.0 * hypot(0.05 * crossover, 0.4), rel=5e-3)


# -- what disturbs ---------------------------------------------------------------------------------------


def test_gusts_are_as_stated_or_a_rooms_draught_on_the_tail():
    """0.06 m/s rms on 0.4 N s/m at 0.7 m; a main torque that wanders by a share of 2 N m beside it, by squares."""
    still = SimpleNamespace(gust=None, tail_arm=0.7, trim_noise=0.02)
    stated = SimpleNamespace(gust=0.5, tail_arm=0.7, trim_noise=0.0)
    assert disturbances.DRAUGHT == 0.06
    assert gust_moment(still, YawSlopes(30.0, 0.4)) == pytest.approx(0.06 * 0.4 * 0.7)
    assert gust_moment(stated, YawSlopes(30.0, 0.4)) == 0.5
    assert moment_size(still, YawSlopes(30.0, 0.4), 2.0) == pytest.approx(hypot(0.06 * 0.4 * 0.7, 0.04))
    assert moment_size(stated, YawSlopes(30.0, 0.4), 2.0) == 0.5


def test_a_disturbance_forgets_as_its_bandwidth_says():
    """Each value e^(-2 pi f t) of the last and as much new as keeps its size; row by row from the same white noise."""
    own = SimpleNamespace(gust_bandwidth=3.0)
    made = yaw_disturbance(np.random.default_rng(4), 50, 0.01, own, 2.5)
    white = np.random.default_rng(4).normal(0.0, 1.0, 50)
    keep, level, expected = np.exp(-2.0 * pi * 0.03), 0.0, []
    for value in white:
        level = keep * level + sqrt(1.0 - keep**2) * value
        expected.append(2.5 * level)
    assert made == pytest.approx(expected)
    assert yaw_disturbance(np.random.default_rng(4), 0, 0.01, own, 2.5).shape == (0,)


def test_slopes_are_those_of_the_thrust_about_hover(monkeypatch):
    """T = 40 p^2 + 10 p - 0.3 v + 0.5 p v: by pitch 80 p + 10, and 0.3 - 0.5 p less as the tail advances."""
    monkeypatch.setattr(slopes, "axial_ratio", lambda flow, spin, air: flow / (spin * air))
    monkeypatch.setattr(
        slopes, "thrust",
        lambda pitch, axial, spin, air: 40.0 * pitch**2 + 10.0 * pitch + (0.5 * pitch - 0.3) * axial * spin * air,
    )  # fmt: skip
    assert yaw_slopes(0.2, 900.0, 0.12) == pytest.approx((26.0, 0.2))


def test_a_stated_setting_is_its_gains():
    made = setting.GyroSetting(SettingKind.FOUND, 0.1, 0.5, 0.2, 6.0, 0.4)
    assert made.gains == (0.1, 0.5)
    assert replace(made, rate_gain=0.3).gains == (0.3, 0.5)
