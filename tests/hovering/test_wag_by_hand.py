"""What is read off a flight and made of draws, by made-up flights: each figure, threshold and name."""

from dataclasses import replace
from math import exp, hypot, log, pi
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft.flight import Flight
from featherbench.aircraft.gyro_setting import SettingKind
from featherbench.hovering import (
    describing,
    hover_draws,
    known_digits,
    play_verdict,
    side_by_side,
    wag,
    wag_readings,
)
from featherbench.hovering import turning as turn
from featherbench.hovering.play_verdict import (
    CAUSES,
    GUSTS,
    KICK,
    Cause,
    Count,
    DrawnWag,
    causes_of,
    fly_draw,
    shown_in,
)
from featherbench.hovering.wag_readings import ROOM
from featherbench.hovering.wag_verdict import Limits, WagVerdict, judge
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.flight import F_HEADING, F_HEAT, F_SUPPLY, F_TIME, FLIGHT_COLUMNS
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.shaking import Shaking, shaking_amplitude
from featherbench.sampling.inputs import Input
from featherbench.servo.winding_heat import DOUBT, winding_rise
from featherbench.studies.free_play import HOVER_BAND, FreePlay

NAN, INF = float("nan"), float("inf")


def flight_of(heading, seconds=9.0, step=0.01, **columns):
    """A heading (rad) over time, and other columns, each a function of time; rows begin one step after the start."""
    rows = round(seconds / step)
    record = np.zeros((rows, FLIGHT_COLUMNS))
    time = record[:, F_TIME] = step * np.arange(1, rows + 1)
    record[:, F_HEADING] = heading(time)
    for name, values in columns.items():
        record[:, {"supply": F_SUPPLY, "heat": F_HEAT}[name]] = values(time)
    return Flight(record, 0.0)


def sine(amplitude, rate):
    return lambda time: amplitude * np.sin(2.0 * pi * rate * time)


# -- readings --------------------------------------------------------------------------------------------


def test_the_last_two_thirds_of_a_flight_are_read():
    """What the kick does in the first 3 of 9 s is not in any figure."""
    late = flight_of(
        lambda time: np.where(time <= 3.0, 5.0, 0.0), supply=lambda time: np.where(time <= 3.0, 9.0, 0.2),
        heat=lambda time: np.where(time <= 3.0, 9.0, 0.01 * time),
    )  # fmt: skip
    assert len(wag_readings.read_part(late)) == 600
    assert wag_readings.read_part(late)[0, F_TIME] == pytest.approx(3.01)
    assert wag_readings.peak_to_peak(late) == pytest.approx(0.0, abs=1e-12)
    assert wag_readings.mean_supply(late) == pytest.approx(0.2)
    assert wag_readings.mean_heat(late) == pytest.approx(0.06005)
    assert wag_readings.interval(late) == pytest.approx(0.01)


def test_a_wag_is_what_is_seen_within_a_second_and_drift_is_none():
    """5 mrad either way twice a second are 10 mrad; a slow drift on top of it is steered by hand."""
    swing = flight_of(lambda time: 3.0 + 0.02 * time + sine(5e-3, 2.0)(time))
    assert wag_readings.peak_to_peak(swing) == pytest.approx(0.01, rel=0.02)
    assert wag_readings.read_heading(swing) == pytest.approx(
        sine(5e-3, 2.0)(np.arange(301, 901) * 0.01), abs=1e-3
    )
    # one swing in 20 s shows but a part of itself within a second
    slow = flight_of(sine(5e-3, 1.0 / 8.0), seconds=12.0)
    assert wag_readings.peak_to_peak(slow) < 0.005
    low, high = wag_readings.swing_range(slow)
    assert low < wag_readings.peak_to_peak(slow) < high < 0.005
    # places a quarter of a second apart: 6 s of it hold 21 whole seconds
    assert len(wag_readings.swings(swing)) == 21
    short = flight_of(sine(5e-3, 2.0), seconds=0.9)
    assert len(wag_readings.swings(short)) == 1


def test_half_of_the_seconds_decide_what_a_wag_is():
    """Seen in 2 of the 6 s that are read: its median is what the others show."""
    burst = flight_of(lambda time: np.where(time > 7.0, sine(5e-3, 2.0)(time), 0.0))
    assert wag_readings.peak_to_peak(burst) < 0.002
    assert wag_readings.swing_range(burst)[1] > 0.009


@pytest.mark.parametrize("rate", [0.7, 2.0, 5.3])
def test_the_largest_line_is_the_frequency(rate):
    two = flight_of(lambda time: sine(5e-3, rate)(time) + sine(2e-3, 3.1 * rate)(time))
    assert wag_readings.dominant_frequency(two) == pytest.approx(rate, rel=0.02)
    assert wag_readings.cycle_frequency(two) == wag_readings.dominant_frequency(two)


@pytest.mark.parametrize(("degrees", "cycle"), [(0.019, False), (0.021, True)])
def test_a_tail_that_moves_less_than_a_fiftieth_of_a_degree_is_at_rest(degrees, cycle):
    small = flight_of(sine(0.5 * np.deg2rad(degrees), 2.0), step=0.0025)
    assert np.isfinite(wag_readings.cycle_frequency(small)) == cycle


def settled(*rows, seen=0.02, after=0.3):
    """Heading of the first rows of fifty, `after` in the others, a tenth of a second apart."""
    heading = np.full(50, after)
    heading[: len(rows)] = rows
    return wag_readings.settling_time(flight_of(lambda _: heading, seconds=5.0, step=0.1), seen)


def test_a_tail_rests_from_when_on_it_stays_within_half_of_what_is_seen():
    """Of where it ends, to either side; the last row that was off counts."""
    assert settled() == 0.0
    assert settled(0.35, 0.3, 0.289) == pytest.approx(0.3)
    assert settled(0.35, 0.309) == pytest.approx(0.1)
    assert settled(0.25, 0.312, 0.291) == pytest.approx(0.2)
    heading = np.full(50, 0.3)
    heading[38] = 0.5  # the last fifth are ten rows and must be still; one before it is late
    late = flight_of(lambda _: heading, seconds=5.0, step=0.1)
    assert wag_readings.settling_time(late, 0.02) == pytest.approx(3.9)
    heading[40] = 0.5  # moves their mean by 20 mrad
    assert wag_readings.settling_time(flight_of(lambda _: heading, seconds=5.0, step=0.1), 0.1) is None


def test_a_bend_is_no_drift():
    """Of 10 mrad a second squared a straight line leaves 0.01 6^2 / 4 from low to high over 6 s."""
    bent = flight_of(lambda time: 0.01 * time**2)
    assert np.ptp(wag_readings.read_heading(bent)) == pytest.approx(0.09, rel=0.01)


def test_rows_are_told_apart_by_time():
    late = flight_of(sine(5e-3, 2.0))
    late.record[:, F_TIME] += 2.0
    assert wag_readings.interval(late) == pytest.approx(0.01)
    assert wag_readings.dominant_frequency(late) == pytest.approx(2.0, rel=0.02)


def test_a_windings_range_adds_the_doubts_up_squared():
    """0.2 W in the middle of 0.1 to 0.4: 2 either way and 1.6 are together exp of the root of the squares."""
    heats = [0.1, *[0.2] * 10, 0.4]
    by = exp(hypot(log(2.0), log(DOUBT)))
    low, high = wag_readings.winding_range(heats)
    assert low == pytest.approx(ROOM + winding_rise(0.2, 50.0 / by))
    assert high == pytest.approx(ROOM + winding_rise(0.2, 50.0 * by))
    assert ROOM == 293.15
    for none in ((), [0.0] * 12, [0.0, *[0.2] * 11], [NAN] * 3):
        assert np.isnan(wag_readings.winding_range(none)).all()
    assert wag_readings.FIVE_MINUTES == 5 * 60


# -- draws -----------------------------------------------------------------------------------------------


@pytest.fixture
def flown(monkeypatch):
    """Flights as told: the peak to peak of each by what it was flown with; asked: how each was asked for."""
    asked = []

    def fly(ready, seconds, **how):
        asked.append((ready, seconds, how))
        return SimpleNamespace(ready=ready, **how)

    monkeypatch.setattr(play_verdict, "hover_flight", fly)
    monkeypatch.setattr(play_verdict, "without_play", lambda ready: f"{ready} without play")
    monkeypatch.setattr(
        play_verdict, "peak_to_peak", lambda flight: 0.001 if "without" in flight.ready else 0.01
    )
    monkeypatch.setattr(play_verdict, "mean_supply", lambda _: 0.2)
    monkeypatch.setattr(play_verdict, "mean_heat", lambda _: 0.3)
    monkeypatch.setattr(play_verdict, "cycle_frequency", lambda flight: 2.0 if flight.noisy is False else 9.0)
    monkeypatch.setattr(
        play_verdict, "settling_time", lambda flight, seen: (1.5 if flight.noisy else 9.0) + seen
    )
    return asked


def test_a_draw_is_flown_without_play_only_where_a_wag_is_seen(flown):
    gusty = {"seed": 7, "heading": KICK}
    unseen = fly_draw("it", 7, 0.01)
    assert flown == [("it", 6.0, gusty)]
    assert (unseen.wag, unseen.supply, unseen.heat) == (0.01, 0.2, 0.3)
    assert np.isnan([unseen.tight, unseen.frequency, unseen.rests]).all()
    flown.clear()
    seen = fly_draw("it", 7, 0.009)
    assert flown == [("it", 6.0, gusty), ("it without play", 6.0, gusty)]
    assert (seen.wag, seen.tight) == (0.01, 0.001)
    assert np.isnan([seen.frequency, seen.rests]).all()
    flown.clear()
    whole = fly_draw("it", 7, 0.5, whole=True)
    calm = {"seed": 7, "heading": KICK, "disturbed": False}
    assert flown == [("it", 6.0, gusty), ("it without play", 6.0, gusty), ("it", 6.0, {**calm, "noisy": True}),
                     ("it", 6.0, {**calm, "noisy": False})]  # fmt: skip
    assert whole == DrawnWag(0.01, 0.001, 2.0, 0.2, 0.3, 2.0)
    assert np.rad2deg(KICK) == pytest.approx(4.0)


@pytest.mark.usefixtures("flown")
def test_a_tail_that_never_rests_takes_for_ever(monkeypatch):
    monkeypatch.setattr(play_verdict, "settling_time", lambda *_: None)
    assert fly_draw("it", 7, 0.5, whole=True).rests == INF


@pytest.mark.parametrize(
    ("amount", "tight", "shows"),
    [
        (0.005, 0.0, False),
        (0.0051, 0.0, True),
        (0.006, 0.004, False),
        (0.0061, 0.004, True),
        (0.006, NAN, False),
    ],
)
def test_play_shows_from_half_as_much_again_on(amount, tight, shows):
    assert DrawnWag(amount, tight, 2.0, 0.0, 0.0).shows(0.005) is shows


def test_counts_are_of_all_draws():
    draws = [DrawnWag(wag, 0.001, 2.0, 0.0, 0.0) for wag in (0.01, 0.004, 0.02)]
    count = shown_in(draws, 0.005)
    assert count == (2, 3)
    assert (str(count), count.share) == ("2 of 3", pytest.approx(2.0 / 3.0))
    assert np.isnan(Count(0, 0).share)
    assert Count(1, 12).likely == "1 to 33 %"


def wags(*pairs):
    return tuple(DrawnWag(wag, tight, 2.0, 0.01, 0.1) for wag, tight in pairs)


@pytest.mark.parametrize(
    ("flown", "quiet_without_gusts", "verdict"),
    [
        ([(0.1, KICK)] * 3 + [(0.0, 0.0)] * 3, 0, "quiet"),  # half is not most
        ([(0.1, KICK)] * 4 + [(0.0, 0.0)] * 2, 0, "hunts without any play"),
        ([(0.1, 0.99 * KICK)] * 4 + [(0.0, 0.0)] * 2, 0, "a cycle that play has no part in"),
        ([(0.02, 0.001)] * 3 + [(0.0, 0.0)] * 3, 0, "play shows under some conditions"),
        ([(0.02, 0.001)] * 4 + [(0.0, 0.0)] * 2, 0, "sustained limit cycle from play"),
        ([(0.02, 0.02)] * 3 + [(0.0, 0.0)] * 3, 0, "quiet"),
        ([(0.02, 0.02)] * 4 + [(0.0, 0.0)] * 2, 2, "a cycle that play has no part in"),
        ([(0.02, 0.02)] * 4 + [(0.0, 0.0)] * 2, 3, "only disturbed"),
        ([(0.02, 0.001)] + [(0.0, 0.0)] * 11, 0, "quiet"),
        ([(0.02, 0.001)] + [(0.0, 0.0)] * 10, 0, "play shows under some conditions"),
        ([(0.005, 0.001)] * 4, 0, "quiet"),  # seen is more than that
    ],
)
def test_most_is_more_than_half_and_one_of_twelve_is_none(flown, quiet_without_gusts, verdict):
    causes = (Cause("play", Count(4, 4), 0.1), Cause(GUSTS, Count(quiet_without_gusts, 4), 0.5))
    assert judge(wags(*flown), 0.005, causes) == verdict


def test_without_causes_nothing_is_only_disturbed():
    seen = wags(*[(0.02, 0.02)] * 4)
    for causes in ((), (Cause("play", Count(4, 4), 0.1),)):
        assert judge(seen, 0.005, causes) is WagVerdict.NOT_PLAY


def test_every_verdict_is_told_with_its_own_advice():
    told = {one.told for one in WagVerdict}
    assert len(told) == len(WagVerdict)
    assert WagVerdict.QUIET.told == "quiet"
    assert WagVerdict.HUNTS.told == "the tail hunts without any play"
    assert len({one.advice for one in WagVerdict}) == len(WagVerdict)


@pytest.mark.parametrize(("arm", "degrees"), [(0.5, 0.25), (0.72, 0.2387), (1.0, 0.1719)])
def test_a_wag_is_seen_from_a_quarter_of_a_degree_or_3_mm_at_the_tip(arm, degrees):
    """The stricter of the two: 3 mm are a quarter of a degree at 0.69 m."""
    assert np.rad2deg(Limits().heading(arm)) == pytest.approx(degrees, abs=1e-4)
    assert Limits(visible_heading=0.1, visible_travel=0.01).heading(2.0) == pytest.approx(0.005)


def test_causes_stand_in_order_of_what_they_quiet(monkeypatch):
    """Three draws, one not seen; taken away alone, in the gusts of its own draw, but for the gusts themselves."""
    asked = []
    amounts = {"play": (0.001, 0.02), "the gyro's noise": (0.005, 0.004), GUSTS: (0.003, 0.003)}

    def fly(ready, seconds, **how):
        asked.append((ready, seconds, how))
        return ready[1], ready[0] if how["disturbed"] else GUSTS

    monkeypatch.setattr(play_verdict, "hover_flight", fly)
    monkeypatch.setattr(
        play_verdict, "peak_to_peak", lambda flown: amounts.get(flown[1], (0.03, 0.03))[flown[0]]
    )
    changes = {
        name: lambda ready, name=name: (name, ready.number) for name in ("dull", "play", "the gyro's noise")
    }
    monkeypatch.setattr(play_verdict, "CAUSES", changes)

    class Ready(SimpleNamespace):
        def __getitem__(self, place):
            return ("as flown", self.number)[place]

    def ready(number, half_play):
        joint = SimpleNamespace(half_play=half_play)
        return Ready(number=number, setup=SimpleNamespace(plant=SimpleNamespace(joint=joint)))

    def draws(*plays):
        own = [(ready(number, play), 40 + number, wags((0.01, 0.0))[0]) for number, play in enumerate(plays)]
        return [*own, (ready(9, 1.0), 49, wags((0.005, 0.0))[0])]

    found = causes_of(draws(0.0, 0.1), 0.005)
    assert [(one.name, one.quiet, pytest.approx(one.left)) for one in found] == [
        (GUSTS, (2, 2), 0.3), ("the gyro's noise", (2, 2), 0.45), ("play", (1, 2), 1.05), ("dull", (0, 2), 3.0),
    ]  # fmt: skip
    assert len(asked) == 8
    for given, seconds, how in asked:
        assert (seconds, how["noisy"], how["heading"]) == (6.0, True, KICK)
        assert how["seed"] == 40 + given[1]
        assert how["disturbed"] == (given[0] != "as flown")
    tight = [one.name for one in causes_of(draws(0.0, 0.0), 0.005)]
    assert sorted(tight) == sorted([GUSTS, "the gyro's noise", "dull"])
    assert causes_of(draws(), 0.005) == ()


def test_each_cause_takes_away_what_it_names_and_nothing_else(setup_of):
    ready = SimpleReady(setup_of(shaking={"passing": "2 N*mm", "unlike": "1 N*mm", "slider": "0.1 N"}))
    plant = ready.setup.plant
    dead = CAUSES["the servo's dead band"](ready).setup.plant
    assert plant.loop.dead_band > 0.0
    assert dead == plant._replace(loop=plant.loop._replace(dead_band=0.0))
    still = CAUSES["shaking"](ready).setup.plant
    assert max(plant.shaking) > 0.0
    assert still == plant._replace(shaking=Shaking(*[0.0] * len(Shaking._fields)))
    prompt = CAUSES["the gyro's delay and filter"](ready)
    assert (prompt.table.updates, prompt.gyro.lag) == ({"delay": 0.0, "filter": 0.0}, 0.0)
    assert CAUSES["the gyro's noise"](ready).table.updates == {"noise": 0.0}
    assert (*CAUSES, GUSTS) == (
        "play", "the servo's dead band", "friction of blades, slider and rod", "friction in the servo's gears",
        "the gyro's delay and filter", "the gyro's noise", "shaking", "half of the gyro's gain",
        "so low a gyro gain (1.4 times it)", "gusts and a torque that wanders",
    )  # fmt: skip


def SimpleReady(setup):
    from featherbench.aircraft.flight import FlightSetup

    class Table(SimpleNamespace):
        def model_copy(self, update):
            return Table(updates=update)

    class Lag(SimpleNamespace):
        def _replace(self, lag):
            return Lag(lag=lag)

    return FlightSetup(setup, None, None, None, Lag(lag=0.01), None, Table(updates={}))


# -- where the draws lie ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "is_drawn"),
    [("servo.stall_torque", True), ("linkage.horn_arm", True), ("bearing.coefficient", True), ("shaking.passing", True),
     ("aircraft.gyro.delay", True), ("doubt.damping", True), ("doubt.air_stall", False), ("part.grip.mass", False),
     ("aircraft.tail_arm", False), ("rotor.speed", False)],
)  # fmt: skip
def test_loop_shaking_friction_and_play_are_drawn_and_nothing_else(key, is_drawn):
    assert hover_draws._is_drawn(Input(key, 1.0, 2.0, "ratio")) is is_drawn


AIRCRAFT = {"tail_arm": "0.7 m", "yaw_inertia": "0.15 kg*m^2", "main_torque": "2 N*m"}


def test_what_has_no_tolerance_is_drawn_by_its_own_factor(scenario_of, monkeypatch):
    """At the lowest 2.5 % of each: play by 1.4, linkage and servo apart, friction by 1.5, noise by 2; the pilot 0.4.
    A key of a group with a tolerance keeps the group as it is written, but for its own.
    """
    low = -0.95

    def places(inputs, count, _):
        assert inputs == 5 + 1  # two plays, two frictions and the noise; the pilot
        found = np.full((count, inputs), low)
        found[:, -1] = 0.0  # of the pilot
        return found

    monkeypatch.setattr(hover_draws, "sample_places", places)
    plain = scenario_of(aircraft=AIRCRAFT)
    (one,) = hover_draws.drawn_scenarios(plain, 1, 0)
    for key, factor in (
        ("linkage.play.rod", 1.4), ("linkage.play.slider", 1.4), ("linkage.play.horn", 1.4), ("servo.gear_play", 1.4),
        ("linkage.slider_friction", 1.5), ("linkage.rod_friction", 1.5), ("servo.gear_friction", 1.5),
        ("servo.output_friction", 1.5), ("aircraft.gyro.noise", 2.0), ("linkage.horn_arm", 1.0),
    ):  # fmt: skip
        before, after = (hover_draws.attrgetter(key)(build) for build in (plain, one))
        assert after == pytest.approx(before / factor, rel=1e-8), key
    assert one.aircraft.gyro.back_off == pytest.approx(0.4)
    known = scenario_of(aircraft=AIRCRAFT, linkage={"rod_friction": "0.2 +/- 0.04 N"})
    (kept,) = hover_draws.drawn_scenarios(known, 1, 0)  # one of the groups less, one tolerance more
    assert kept.linkage.slider_friction == known.linkage.slider_friction
    assert kept.linkage.rod_friction == pytest.approx(0.2 - 0.95 * 0.04)
    assert kept.servo.gear_play == pytest.approx(known.servo.gear_play / 1.4)
    # what a table leaves out stays out
    assert hover_draws.scaled(plain.model_copy(update={"title": "t"}), (), 2.0).linkage == plain.linkage
    bare = plain.model_copy(update={"servo": plain.servo.model_copy(update={"gear_play": None})})
    assert hover_draws.scaled(bare, ("servo.gear_play",), 2.0).servo.gear_play is None


@pytest.mark.parametrize(
    ("gyro", "said"),
    [({}, False), ({"back_off": 0.4}, True), ({"rate_gain": "0.1 s"}, True), ({"noise": "0 deg/s"}, False)],
)
def test_a_file_that_has_gains_or_the_share_takes_nothing_else_back(scenario_of, gyro, said):
    scenario = scenario_of(aircraft={**AIRCRAFT, "gyro": gyro})
    assert hover_draws._says_what_is_taken_back(scenario) is said
    taken = {one.aircraft.gyro.back_off for one in hover_draws.drawn_scenarios(scenario, 3, 0)}
    assert (len(taken) == 1) is said
    assert hover_draws._says_what_is_taken_back(scenario_of()) is True


def test_every_draw_has_its_own_gusts_and_the_gyro_that_was_set_in_it(monkeypatch):
    monkeypatch.setattr(hover_draws, "with_scenario", lambda base, scenario: (base, scenario))
    monkeypatch.setattr(hover_draws, "gyro_setting", lambda setup: SimpleNamespace(gains=("of", setup)))
    monkeypatch.setattr(hover_draws, "flight_setup", lambda setup, gains: (setup, gains))
    monkeypatch.setattr(
        hover_draws,
        "drawn_scenarios",
        lambda scenario, count, seed: [f"{scenario} {seed} {n}" for n in range(count)],
    )
    drawn = hover_draws.hover_draws(SimpleNamespace(scenario="s"), 3, 40)
    assert [(one.number, one.scenario, one.seed) for one in drawn] == [
        (n, f"s 40 {n}", 40 + n) for n in range(3)
    ]
    assert hover_draws.drawn_flight("build", drawn[1])[0] == ("build", "s 40 1")
    assert hover_draws.drawn_flight("build", drawn[1])[1] == drawn[1].setting.gains
    assert hover_draws.DRAWS == 12
    assert [one.seed for one in hover_draws.hover_draws(SimpleNamespace(scenario="s"))] == list(range(12))


# -- the gyro's margin -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hunts_from", "margin"), [(0.9, NAN), (1.0, NAN), (8.1, 8.0), (8.0, 8.0), (3.0, 3.0), (1.1, 1.1)]
)
def test_the_margin_is_the_factor_from_which_a_tight_loop_hunts(monkeypatch, hunts_from, margin):
    """Within a sixty-fourth of three octaves and never more than it is; a swing as large as the kick hunts."""
    asked = []

    def fly(ready, seconds, **how):
        asked.append((seconds, how))
        return ready

    monkeypatch.setattr(wag, "without_play", lambda ready: f"tight {ready}")
    monkeypatch.setattr(wag, "with_gain", lambda ready, factor: factor if ready == "tight it" else NAN)
    monkeypatch.setattr(wag, "hover_flight", fly)
    monkeypatch.setattr(wag, "peak_to_peak", lambda factor: KICK if factor >= hunts_from else 0.99 * KICK)
    found = wag.gyro_margin("it", 3.5)
    if hunts_from == 8.0:
        assert 8.0 ** (31.0 / 32.0) - 1e-9 <= found < 8.0
    elif np.isnan(margin):
        assert np.isnan(found)
        assert len(asked) == 1
    else:
        assert margin / 8.0 ** (1.0 / 32.0) - 1e-9 <= found <= margin
    assert all(one == (3.5, {"disturbed": False, "heading": KICK}) for one in asked)
    assert len(asked) <= 7


# -- play as a describing function -----------------------------------------------------------------------


def test_the_describing_function_of_play_by_hand():
    """At 2h/A = 1 the output just moves half: 1/2 - j/pi. Of hardly any play all passes; of a gap as wide as the whole
    swing nothing does.
    """
    assert describing.play_gain(0.5) == pytest.approx(complex(0.5, -1.0 / pi))
    assert describing.play_gain(1e-9) == pytest.approx(1.0, abs=1e-6)
    assert abs(describing.play_gain(1.0 - 1e-9)) < 1e-6
    # 2h/A = 1/2: f(1/2) = (2/pi)(pi/6 + sqrt(3)/4)
    half = 0.5 * (1.0 + (2.0 / pi) * (pi / 6.0 + 3.0**0.5 / 4.0))
    assert describing.play_gain(0.25) == pytest.approx(complex(half, -(1.0 - 0.25) / pi))


def test_the_cycle_of_an_integrator_with_a_lag_stands_where_gain_and_phase_close():
    """1 + N L = 0 at what is found, and nowhere where the loop is too weak to keep it up."""

    def loop(gain):
        return lambda s: gain / (s * (1.0 + 0.1 * s) * (1.0 + 0.05 * s))

    found = describing.play_cycle(loop(20.0))
    amplitude, rate = found
    assert describing.play_gain(1.0 / amplitude) * loop(20.0)(1j * rate) == pytest.approx(-1.0, abs=1e-6)
    assert amplitude > 1.0
    assert describing.play_cycle(loop(0.5)) is None


def test_of_several_cycles_the_largest_counts(monkeypatch):
    """Signs change at three rates; turns that the play must make grow with the rate in one, and fall in the other."""
    monkeypatch.setattr(describing, "_mismatch", lambda _, rate: np.sin(log(rate)))
    monkeypatch.setattr(describing, "_turn_wanted", lambda loop: loop)
    for ratios, largest in ((lambda rate: 0.5 / rate, pi), (lambda rate: 0.01 * rate, 0.0)):
        monkeypatch.setattr(describing, "_ratio_turning", ratios)
        amplitude, rate = describing.play_cycle(lambda s: s.imag, 0.5, 100.0)
        assert rate == pytest.approx(exp(largest), rel=1e-6)
        assert amplitude == pytest.approx(1.0 / ratios(rate))


@pytest.mark.parametrize(
    ("angle", "known"),
    [
        (-0.5 * pi + 2e-4, True),
        (-0.5 * pi + 1.2e-4, True),
        (-0.5 * pi + 0.5e-4, False),
        (-1e-6, True),
        (0.0, False),
        (0.1, False),
    ],
)
def test_play_turns_by_less_than_a_quarter(angle, known):
    found = describing._mismatch(lambda _: -np.exp(-1j * angle), 2.0)
    assert (found is not None) is known
    if known:
        ratio = describing._ratio_turning(angle)
        assert found == pytest.approx(log(abs(describing.play_gain(ratio))), abs=1e-9)


def test_cycles_are_looked_for_from_end_to_end(monkeypatch):
    """From 0.3 to 300 rad/s; a rate at which play turns the loop nowhere counts for neither sign."""
    monkeypatch.setattr(describing, "_turn_wanted", lambda loop: loop)
    monkeypatch.setattr(describing, "_ratio_turning", lambda _: 0.5)
    for at, found in ((0.3002, True), (299.8, True), (0.2999, False), (300.1, False)):
        monkeypatch.setattr(describing, "_mismatch", lambda _, rate, at=at: rate - at)
        cycle = describing.play_cycle(lambda s: s)
        assert (cycle is not None) is found, at
        assert not found or cycle == (2.0, pytest.approx(at))
    monkeypatch.setattr(describing, "_mismatch", lambda _, rate: None if rate < 10.0 or rate > 20.0 else rate)
    assert describing.play_cycle(lambda s: s) is None


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_half_gaps_by_hand(setup_of, side):
    """Of the linkage: half its play and what it gives before friction lets go; of the servo: half its dead band, and of
    its band what friction takes of the stall torque. Over the rod's travel per pitch, whichever way the linkage goes.
    """
    setup = setup_of(linkage={"reversed": side < 0.0}, shaking={"passing": "0.2 N*mm"})
    plant = setup.plant
    plant = plant._replace(
        output=plant.output._replace(friction=2e-3, rod_friction=0.3),
        motor=plant.motor._replace(coulomb=4e-3, load_friction=0.2, torque_constant=0.2, resistance=4.0),
        supply=plant.supply._replace(voltage=6.0),
        loop=plant.loop._replace(dead_band=4e-3, proportional_band=0.05),
    )
    gyro = SimpleNamespace(command_first=-0.4, command_step=0.1, commands=np.linspace(-0.3, 0.6, 10))

    def gaps(plant):
        own = SimpleNamespace(plant=plant, scenario=setup.scenario)
        return describing.half_gaps(SimpleNamespace(setup=own, trim=SimpleNamespace(pitch=0.1), gyro=gyro))

    spin, linkage = float(setup.scenario.rotor.speed), plant.linkage
    _, horn, _, slider = pitch_rod_travel(0.1, linkage)
    arm = servo_rod_travel(0.2, linkage)[1]
    blades = (pitch_friction_limit(spin, slider, plant.pitch) - shaking_amplitude(spin, plant.shaking)) / abs(
        horn
    )
    assert blades > 0.0
    assert horn * side > 0.0
    play, servo = gaps(plant)
    assert play == pytest.approx((plant.joint.half_play + blades / plant.joint.stiffness) / abs(horn))
    held = 4e-3 + 1.2 * (2e-3 + (0.3 + blades) * arm)
    assert held < 0.2 * 6.0 / 4.0
    assert servo == pytest.approx((2e-3 + 0.05 * held / 0.3) * arm / abs(horn))
    # a drive's own limit is what it stalls at where that is less; friction above it takes the whole band and no more
    limited = plant._replace(chopper=plant.chopper._replace(limit=1.0))
    assert gaps(limited)[1] == pytest.approx((2e-3 + 0.05 * held / 0.2) * arm / abs(horn))
    stuck = plant._replace(motor=plant.motor._replace(coulomb=0.5))
    assert gaps(stuck)[1] == pytest.approx((2e-3 + 0.05) * arm / abs(horn))
    # shaken by more than friction, the blades hold nothing
    loose = plant._replace(shaking=plant.shaking._replace(passing=1.0))
    assert gaps(loose)[0] == pytest.approx(plant.joint.half_play / abs(horn))


def test_no_cycle_is_estimated_without_a_gap_or_a_gain_or_where_none_stands(monkeypatch):
    loop = SimpleNamespace(by_rate=0.1, open="L", gyro=lambda s: 2.0 * s, servo=lambda _: 0.5)
    found = {"gap": (0.001, 0.003), "cycle": (3.0, 9.0)}
    monkeypatch.setattr(describing, "yaw_loop", lambda _: loop)
    monkeypatch.setattr(describing, "half_gaps", lambda _: found["gap"])
    monkeypatch.setattr(describing, "play_cycle", lambda _: found["cycle"])
    cycle = describing.estimated_cycle(None)
    # three half gaps of 4 mrad are 12 mrad at the blade, asked for by 9 times the heading; peak to peak twice that
    assert cycle == (pytest.approx(2.0 * 0.012 / 9.0), pytest.approx(9.0 / (2.0 * pi)))
    for change in ({"gap": (0.0, 0.0)}, {"cycle": None}):
        before = dict(found)
        found.update(change)
        assert describing.estimated_cycle(None) is None
        found.update(before)
    loop.by_rate = 0.0
    assert describing.estimated_cycle(None) is None


# -- the findings of a wag -------------------------------------------------------------------------------


def test_findings_of_the_flights_stand_under_their_names(monkeypatch):
    """With gusts; without, once with the gyro's noise and once silent; and without play. Travel at a boom of 0.5 m."""

    def fly(ready, seconds, disturbed=True, noisy=None, heading=0.0):
        assert (seconds, heading, disturbed) == (4.0, KICK, False)
        return ready, noisy

    monkeypatch.setattr(wag, "hover_flight", fly)
    monkeypatch.setattr(wag, "without_play", lambda _: "tight")
    amounts = {("tight", None): 0.1, (None, False): 0.2, "flown": 0.3}
    ready = SimpleNamespace(aircraft=SimpleNamespace(tail_arm=0.5))

    def peak(flight):
        return amounts[
            "flown" if flight is as_flown else (flight[0] if flight[0] == "tight" else None, flight[1])
        ]

    as_flown = SimpleNamespace(reversals=7.0)
    monkeypatch.setattr(wag, "peak_to_peak", peak)
    monkeypatch.setattr(wag, "mean_supply", lambda flight: 0.02 if flight is as_flown else NAN)
    monkeypatch.setattr(wag, "mean_heat", lambda flight: 0.05 if flight is as_flown else NAN)
    monkeypatch.setattr(
        wag, "read_heading", lambda flight: np.array([1.0, 3.0]) if flight is as_flown else None
    )
    monkeypatch.setattr(wag, "cycle_frequency", lambda flight: 2.5 if flight[1] is False else NAN)
    monkeypatch.setattr(wag, "settling_time", lambda flight, seen: 1.5 + seen if flight[1] is True else NAN)
    monkeypatch.setattr(wag, "gyro_margin", lambda _, seconds: 10.0 * seconds)
    for cycle, estimate in ((SimpleNamespace(heading=0.04, frequency=3.0), (0.04, 3.0)), (None, (0.0, None))):
        monkeypatch.setattr(wag, "estimated_cycle", lambda _, cycle=cycle: cycle)
        found = wag._of_the_flight(ready, as_flown, 4.0, 0.25)
        assert found == {
            "wag_heading": 0.3, "wag_heading_rms": 1.0, "wag_travel": pytest.approx(0.15), "wag_frequency": 2.5,
            "wag_settling": 1.75, "wag_reversals": 7.0, "wag_undisturbed": 0.2, "wag_without_play": 0.1,
            "wag_estimate": estimate[0], "wag_estimate_frequency": estimate[1], "gyro_margin": 40.0,
            "current_flown": 0.02, "charge_flown": pytest.approx(6.0),
            "winding_flown": pytest.approx(ROOM + winding_rise(0.05)),
        }  # fmt: skip


def test_what_is_known_of_a_build_before_it_is_flown():
    """The float window nearest the hover pitch; the seat ratio over its band, and at the pitch itself."""
    pitch = np.linspace(-0.2, 0.2, 401)
    curves = FreePlay(
        pitch, 1.0 + 10.0 * np.abs(pitch - 0.05), 0.1 + pitch, ((-0.2, -0.1), (0.12, 0.15)), 0.0
    )
    ready = SimpleNamespace(trim=SimpleNamespace(pitch=0.15, rod_force=2.5))
    found = wag._of_the_build(ready, curves)
    assert found == {
        "hover_pitch": 0.15, "rod_force_hover": 2.5, "seat_ratio_hover": pytest.approx(2.0 - 10.0 * HOVER_BAND),
        "seat_ratio_trim": pytest.approx(2.0), "lost_motion": pytest.approx(0.3), "float_low": 0.12, "float_high": 0.15,
    }  # fmt: skip
    falling = replace(curves, seat_ratio=5.0 - 10.0 * pitch)  # the other end of the band decides
    assert wag._of_the_build(ready, falling)["seat_ratio_hover"] == pytest.approx(
        3.5 - 10.0 * min(HOVER_BAND, 0.05)
    )
    inside = SimpleNamespace(trim=SimpleNamespace(pitch=0.1, rod_force=2.5))
    assert wag._of_the_build(inside, falling)["seat_ratio_hover"] == pytest.approx(4.0 - 10.0 * HOVER_BAND)
    none = wag._of_the_build(ready, replace(curves, windows=()))
    assert (none["float_low"], none["float_high"]) == (None, None)


@pytest.mark.parametrize(("healthy", "told"), [(1, False), (2, True)])
def test_a_wag_is_put_together_from_its_draws(monkeypatch, healthy, told):
    """Twelve draws: play shows in three; without it one or two wag; of more than one in twelve it is said why."""
    draws = [DrawnWag(0.02, 0.001, 2.0, 0.0, 0.0)] * 3 + [DrawnWag(0.001, 0.001, 2.0, 0.0, 0.0)] * 9
    draws[5] = DrawnWag(0.001, 0.003, 2.0, 0.0, 0.0)  # just what is seen: not more
    draws[3 : 3 + healthy] = [DrawnWag(0.02, 0.02, 2.0, 0.0, 0.0)] * healthy
    asked = {}
    setting = SimpleNamespace(gains=("rate", "hold"), rate_gain=0.3, hold_gain=1.2, hunts_at=0.5)
    monkeypatch.setattr(wag, "gyro_setting", lambda _: setting)
    arm = SimpleNamespace(aircraft=SimpleNamespace(tail_arm=1.0))
    monkeypatch.setattr(
        wag, "flight_setup", lambda setup, gains: asked.setdefault("ready", (setup, gains)) and arm
    )
    monkeypatch.setattr(
        wag,
        "hover_draws",
        lambda _, count, seed, **__: [SimpleNamespace(number=n, seed=seed + n) for n in range(count)],
    )
    monkeypatch.setattr(wag, "drawn_flight", lambda _, draw: f"own {draw.number}")
    monkeypatch.setattr(
        wag,
        "fly_draw",
        lambda own, seed, seen, whole: (
            draws[int(own[4:])]
            if whole and seen == pytest.approx(0.003) and own == f"own {seed - 5}"
            else None
        ),
    )
    monkeypatch.setattr(wag, "without_play", lambda own: f"tight {own}")
    monkeypatch.setattr(
        wag, "causes_of", lambda flown, _: tuple((own, seed, one.wag) for own, seed, one in flown)
    )
    monkeypatch.setattr(wag, "judge", lambda *_: WagVerdict.SOMETIMES)
    monkeypatch.setattr(
        wag, "hover_flight", lambda ready, seconds, seed, heading: (ready is arm, seconds, seed, heading)
    )
    monkeypatch.setattr(wag, "free_play_curves", lambda _: "free play")
    monkeypatch.setattr(
        wag,
        "_of_the_build",
        lambda ready, free: {"hover_pitch": 0.1} if (ready, free) == (arm, "free play") else {},
    )
    monkeypatch.setattr(wag, "_of_the_flight", lambda *_: {"wag_heading": 0.2})
    found = wag.wag_of(SimpleNamespace(scenario="s"), seed=5, seconds=3.0, limits=Limits(), draws=12)
    assert asked["ready"][1] == ("rate", "hold")
    assert found.flight == (True, 3.0, 5, KICK)
    assert (found.shown, found.healthy) == ((3, 12), (healthy, 12))
    assert found.causes[4] == ("own 4", 9, draws[4].wag)
    assert (found.tight_causes != ()) is told
    if told:
        assert found.tight_causes[0] == ("tight own 0", 5, 0.001)
    assert {name: one.value for name, one in found.findings.items()} == {
        "hover_pitch": 0.1, "wag_heading": 0.2, "share_visible": 0.25, "share_healthy": healthy / 12,
        "gyro_rate_gain": 0.3, "gyro_hold_gain": 1.2, "gyro_hunts_at": 0.5,
        "wag_verdict": "play shows under some conditions",
    }  # fmt: skip
    assert found.advice == WagVerdict.SOMETIMES.advice
    assert found.scenario == "s"


def test_a_frame_holds_flight_draws_or_findings_with_units():
    columns = np.arange(2.0 * FLIGHT_COLUMNS).reshape(2, FLIGHT_COLUMNS)
    found = wag.Wag(
        Flight(columns, 0.0), None, wags((0.1, 0.2)), Count(0, 1), Count(0, 1), (), (), None, 0.1, {}, {},
        WagVerdict.QUIET, "", Limits(), None,
    )  # fmt: skip
    flight = found.to_frame()
    assert list(flight) == [
        "time [s]", "heading [rad]", "yaw_rate [rad/s]", "pitch [rad]", "rod_force [N]", "supply_current [A]",
        "winding_heat [W]",
    ]  # fmt: skip
    assert flight["heading [rad]"].tolist() == columns[:, F_HEADING].tolist()
    draws = found.to_frame("draws")
    assert list(draws) == [
        "wag [rad]",
        "tight [rad]",
        "frequency [Hz]",
        "supply [A]",
        "heat [W]",
        "rests [s]",
    ]
    assert draws["tight [rad]"].tolist() == [0.2]
    with pytest.raises(KeyError):
        found.to_frame("all")
    assert replace(found, advice="x").advice == "x"


# -- a turn, and builds side by side ---------------------------------------------------------------------


@pytest.fixture
def turning(monkeypatch):
    """Hover at 0.1 rad; thrust 10 (pitch - flow / 10): a turn of 1 rad/s on a boom of 0.5 m takes 0.05 rad of pitch."""
    monkeypatch.setattr(turn, "axial_ratio", lambda speed, spin, _: speed if spin == 900.0 else NAN)
    monkeypatch.setattr(turn, "thrust", lambda pitch, flow, *_: 10.0 * (pitch - 0.1 * flow))

    def rate(way, *windows):
        ready = SimpleNamespace(
            trim=SimpleNamespace(pitch=0.1), air=None, frame=SimpleNamespace(tail_arm=0.5, main_torque=0.5),
            setup=SimpleNamespace(scenario=SimpleNamespace(rotor=SimpleNamespace(speed=900.0))),
        )  # fmt: skip
        return turn.floating_turn(ready, FreePlay(np.zeros(1), np.zeros(1), np.zeros(1), windows, 0.0), way)

    return rate


def test_a_steady_turn_by_hand(turning):
    """The way thrust pushes takes more pitch, the other less: up to the near edge of the nearest float window."""
    assert turning(1, (0.2, 0.3)) == pytest.approx(2.0)
    assert turning(-1, (-0.1, 0.05)) == pytest.approx(1.0)
    assert turning(1, (0.25, 0.3), (0.15, 0.2), (0.05, 0.06)) == pytest.approx(1.0)
    assert turning(-1, (-0.3, -0.2), (-0.2, 0.0), (0.2, 0.3)) == pytest.approx(2.0)
    # in hover itself they float already; on the other side, or past a turn a second, they do not
    assert turning(1, (0.05, 0.15)) == turning(-1, (0.05, 0.15)) == 0.0
    assert turning(1, (0.1, 0.15)) == 0.0
    for way, window in ((1, (-0.1, 0.05)), (-1, (0.2, 0.3)), (1, (0.42, 0.5)), (-1, (-0.5, -0.22))):
        assert np.isnan(turning(way, window))
    assert turning(1, (0.41, 0.5)) == pytest.approx(6.2)
    assert np.isnan(turning(1))


@pytest.mark.parametrize("kind", [SettingKind.STATED, SettingKind.FOUND])
def test_builds_are_flown_side_by_side_under_one_gyro_or_each_its_own(monkeypatch, kind):
    asked = []

    def build(name, gyro):
        aircraft = None if gyro is None else SimpleNamespace(gyro=SimpleNamespace(model_dump=lambda: gyro))
        return SimpleNamespace(name=name, aircraft=aircraft)

    def setting(setup):
        if setup.endswith("cannot"):
            raise ValueError("it cannot hover")
        return SimpleNamespace(gains=f"gains of {setup}", kind=kind)

    monkeypatch.setattr(side_by_side, "to_known_digits", lambda scenario: scenario)
    monkeypatch.setattr(side_by_side, "build_setup", lambda scenario: scenario.name)
    monkeypatch.setattr(side_by_side, "gyro_setting", setting)
    monkeypatch.setattr(side_by_side, "flight_setup", lambda setup, gains: (setup, gains))
    monkeypatch.setattr(
        side_by_side, "hover_flight", lambda one, seconds, **how: asked.append((seconds, how)) or one
    )
    alike = side_by_side.flown_beside([build(name, 1) for name in "abc"], ["first", "second", "third"])
    assert alike.flights == (("a", "gains of a"), ("b", "gains of a"), ("c", "gains of a"))
    assert asked == [(10.0, {"seed": 0, "heading": KICK})] * 3
    words = {
        SettingKind.STATED: "under the gyro gains of the file",
        SettingKind.FOUND: "the gyro set once, for first without weights and play",
    }[kind]
    assert alike.said == (
        f"Hover is one flight of each build in the same gusts, {words}. One flight shows what a wag looks like; "
        "featherbench wag FILE tells how often it comes."
    )
    each = side_by_side.flown_beside([build("a", 1), build("b", 1), build("c", 2)], ["first"], seed=7)
    assert each.flights == (("a", "gains of a"), ("b", "gains of b"), ("c", "gains of c"))
    assert asked[-1] == (10.0, {"seed": 7, "heading": KICK})
    assert "in the same gusts, each under its own gyro. One" in each.said
    lost = side_by_side.flown_beside([build("a", 1), build("cannot", None)], ["first"])
    assert lost == ((), "Hover is not shown: it cannot hover.")


def test_known_digits_are_nine_of_every_number():
    known = known_digits._rounded(
        {"a": 1.2345678912, "b": [(9000.00001234, 3), "text"], "c": True, "d": -1.23456789e-9}
    )
    assert known == {"a": 1.23456789, "b": [(9000.00001, 3), "text"], "c": True, "d": -1.23456789e-9}
    pair = known_digits._rounded(Count(1, 2))
    assert (type(pair), pair) == (Count, (1, 2))
