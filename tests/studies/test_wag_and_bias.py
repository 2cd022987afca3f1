"""Play near neutral: seat ratio, wag in flight, and the choice between neutral and a slight bias."""

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight, without_play
from featherbench.bench.release import release_points, run_release
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.scenario import read
from featherbench.studies.bias import bias, varied
from featherbench.studies.free_play import free_play_curves
from featherbench.studies.wag import Limits, judge, peak_to_peak, wag_of

WORN = "scenarios/survey-3kg/worn.toml"


@pytest.fixture(scope="module")
def worn():
    return build_setup(read(WORN))


def _wag(setup, *, seed=0, tight=False):
    ready = flight_setup(setup)
    return peak_to_peak(hover_flight(without_play(ready) if tight else ready, 8.0, seed=seed, heading=0.07))


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_wag_near_zero_load_is_twice_that_of_a_slight_bias_of_either_sign(worn, seed):
    near = _wag(varied(worn, 0.66, 0.0), seed=seed)
    before, past = (_wag(varied(worn, kappa, 0.0), seed=seed) for kappa in (0.2, 1.2))
    assert near > 2.0 * before
    assert near > 2.0 * past


def test_wag_grows_with_the_play_and_its_contrast_goes_with_it(worn):
    plays = ("0.1 mm", "0.25 mm", "0.4 mm")
    sizes = [_wag(build_setup(read(WORN, {"linkage.play.rod": play}))) for play in plays]
    assert sizes[0] < sizes[1] < sizes[2]
    near, seated = (_wag(varied(worn, kappa, 0.0), tight=True) for kappa in (0.66, 0.2))
    assert near < 1.4 * seated


def test_a_flight_repeats_bit_for_bit_and_another_seed_differs(worn):
    ready = flight_setup(worn)
    one, two, other = (hover_flight(ready, 4.0, seed=seed).record for seed in (3, 3, 4))
    assert np.array_equal(one, two)
    assert not np.array_equal(one, other)


def test_a_loop_that_hunts_without_play_is_told_apart():
    loud = {"aircraft.gyro.rate_gain": "1.2 s", "aircraft.gyro.hold_gain": "8"}
    found = wag_of(build_setup(read(WORN, loud)), seed=0, seconds=8.0, limits=Limits())
    assert found.verdict == "hunts without any play"
    assert "lower the gyro" in found.advice


def test_verdicts_follow_their_thresholds():
    assert judge(0.01, 0.009, 0.001, 0.002) == "sustained limit cycle from play"
    assert judge(0.01, 0.009, 0.008, 0.002) == "a cycle that play has no part in"
    assert judge(0.01, 0.001, 0.001, 0.002) == "only disturbed"
    assert judge(0.001, 0.001, 0.001, 0.002) == "quiet"


def test_seat_ratio_and_float_window_agree_and_seated_blades_lose_only_the_give(worn):
    free_play = free_play_curves(worn)
    inside = np.zeros(len(free_play.pitch), dtype=bool)
    for low, high in free_play.windows:
        inside |= (free_play.pitch > low) & (free_play.pitch < high)
    assert np.array_equal(inside, free_play.seat_ratio < 1.0)
    assert free_play.lost_motion[inside].min() > free_play.lost_motion[~inside].max()


def test_a_disturbance_widens_the_float_window(worn):
    calm, shaken = free_play_curves(worn), free_play_curves(worn, disturbance=0.01)
    statics = static_curves(worn, groups=False)
    blades = worn.plant.pitch.blades
    # by hand: load over friction plus 0.01 N m, all blades together
    asked = blades * np.abs(statics.moment) / (blades * statics.friction + 0.01)
    assert shaken.seat_ratio == pytest.approx(asked, rel=1e-12)
    loaded = np.abs(statics.moment) > 1e-9
    assert loaded.sum() > 10
    assert np.all(shaken.seat_ratio[loaded] < calm.seat_ratio[loaded])
    before, after = (free_play.window_near(0.0) for free_play in (calm, shaken))
    assert after[0] < before[0] < before[1] < after[1]


def test_varied_weights_reach_the_compensation_asked_for_and_phase_shifts_zero_load(worn):
    from featherbench.assembly import compensation

    setup = varied(worn, 0.8, 0.0)
    assert compensation(setup.assembly, setup.lead_lag) == pytest.approx(0.8, abs=1e-9)
    turned = varied(worn, 0.8, np.deg2rad(4.0))
    assert turned.moments.product != pytest.approx(0.0, abs=1e-10)
    assert turned.moments.feathering == pytest.approx(setup.moments.feathering)


def test_bias_keeps_the_margin_and_reports_progress():
    seen = []
    found = bias(
        read(WORN),
        compensations=np.array([0.0, 0.1, 0.66, 0.9]),
        phases=np.deg2rad([-3.0, 0.0]),
        margin=1.0,
        progress=lambda done, count: seen.append((done, count)),
    )
    assert seen[-1] == (6, 6)  # the bolt alone cancels more than 0.1
    assert found.play_shows
    assert found.chosen is not None
    assert found.chosen.seat_ratio >= found.margin
    others = [p for p in found.points if p.seat_ratio >= found.margin and p.wag_heading <= 1.3 * found.floor]
    assert found.chosen.rod_force == min(p.rod_force for p in others if p.release != "runs out")


def test_bias_says_when_there_is_no_wag_to_fear():
    tight = {
        "linkage.play.rod": "0 mm",
        "linkage.play.slider": "0 mm",
        "linkage.play.horn": "0 mm",
    }
    found = bias(read(WORN, tight), compensations=np.array([0.2, 0.5]), phases=np.array([0.0]))
    assert not found.play_shows
    assert "no wag to fear" in found.words[0]
    assert found.chosen is not None
    assert found.chosen.compensation == 0.5


def test_no_gyro_is_said_in_words():
    from featherbench.scenario import read as read_scenario

    scenario = read_scenario("scenarios/survey-3kg/plain.toml").model_copy(update={"aircraft": None})
    with pytest.raises(ValueError, match="gyro"):
        flight_setup(build_setup(scenario))


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        ("worn", "sustained limit cycle from play"),
        ("tight", "a cycle that play has no part in"),
        ("loud-gyro", "hunts without any play"),
    ],
)
def test_shipped_builds_show_each_kind_of_wag(name, verdict):
    setup = build_setup(read(f"scenarios/survey-3kg/{name}.toml"))
    assert wag_of(setup, seed=0, seconds=8.0, limits=Limits()).verdict == verdict


def test_a_sweep_counts_the_side_on_which_let_go_blades_do_worse(worn):
    turned = bias(worn.scenario, compensations=np.array([0.8]), phases=np.deg2rad([-6.0, 6.0]))
    sides = []
    for point in turned.points:
        setup = varied(worn, point.compensation, point.phase)
        sides.append([run_release(setup, start).verdict for start in release_points(setup)])
        assert point.release == "runs out"
    # the sides differ, or the test would not tell which one counts; turned the other way, they change places
    assert sorted(sides[0]) == ["runs out", "stays"]
    assert sides[1] == sides[0][::-1]
