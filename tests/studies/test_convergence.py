"""A tenth of the step changes no finding that matters by half a per cent."""

import functools
from pathlib import Path

import pytest

from featherbench.bench.setup import build_setup
from featherbench.scenario import read
from featherbench.studies import predict
from featherbench.studies.prediction import bench_run, step_error

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FORCES = ["rod_force_push", "rod_force_pull", "rod_force_breakout", "rod_force_loop"]
CURRENTS = ["current_peak_high", "current_peak_low", "current_hold_high", "current_hold_low"]
BUILDS = [
    "survey-3kg/plain.toml",
    "survey-3kg/weighted.toml",
    "scout-1kg/plain.toml",
    "lifter-6kg/plain.toml",
]


@functools.cache
def found(build, step_share=1.0, speed=None):
    """A bench run at a share of its step, with what these findings need."""
    scenario = read(SCENARIOS / build, {"rotor.speed": f"{speed} rpm"} if speed else None)
    return bench_run(build_setup(scenario), step_share, groups=False)


@pytest.mark.parametrize("build", BUILDS)
def test_findings_have_converged(build):
    """Against the largest of their kind: half a per cent of a force that weights have taken away is nothing."""
    coarse, fine = found(build), found(build, 0.1)
    for names in (FORCES, CURRENTS):
        scale = max(abs(fine.value(name)) for name in names)
        for name in names:
            assert abs(coarse.value(name) - fine.value(name)) <= 5e-3 * scale, name
    torque = abs(fine.value("servo_torque_peak"))
    assert coarse.value("servo_torque_peak") == pytest.approx(torque, rel=5e-3)
    for name in ("release", "release_low"):
        assert coarse.findings[name] == fine.findings[name]
    assert fine.value("energy_error") < 5e-3


@pytest.mark.parametrize("build", ["survey-3kg/plain.toml"])
def test_findings_of_a_plain_build_converge_one_by_one(build):
    coarse, fine = found(build), found(build, 0.1)
    for name in [*FORCES, *CURRENTS]:
        assert coarse.value(name) == pytest.approx(fine.value(name), rel=5e-3), name


@pytest.mark.parametrize("speed", [9800, 10100, 10350])
@pytest.mark.parametrize("build", BUILDS[:2])
def test_findings_converge_at_any_speed_of_a_band(build, speed):
    """One speed may be a lucky one: where the drive's periods fall in a move is another at each."""
    coarse, fine = (found(build, share, speed) for share in (1.0, 0.1))
    for names in (FORCES, CURRENTS, ["servo_torque_peak"]):
        scale = max(abs(fine.value(name)) for name in names)
        for name in names:
            assert abs(coarse.value(name) - fine.value(name)) <= 3e-3 * scale, name
    for name in ("release", "release_low"):
        assert coarse.findings[name] == fine.findings[name]


def test_a_peak_cut_off_by_the_loop_does_not_hang_on_the_step():
    """Just before the duty falls a millidegree counts: an angle read half a step ahead would be 0.6 % off here."""
    still = {"shaking.passing": "0 N*mm", "shaking.unlike": "0 N*mm", "shaking.slider": "0 N"}
    scenario = read(SCENARIOS / BUILDS[0], {"rotor.speed": "10300 rpm", **still})
    setup = build_setup(scenario)
    whole, half, tenth = (
        bench_run(setup, share, groups=False).value("current_peak_high") for share in (1.0, 0.5, 0.1)
    )
    assert whole == pytest.approx(tenth, rel=5e-4)
    assert half == pytest.approx(tenth, rel=2e-4)


def test_the_step_check_reports_what_halving_changes():
    scenario = read(SCENARIOS / BUILDS[0])
    checked = predict(scenario, check_step=True)
    halved = predict(scenario, step_share=0.5)
    assert checked.value("step_error") == step_error(checked, halved)
    assert 0.0 < checked.value("step_error") < 5e-3
    assert step_error(checked, checked) == 0.0
