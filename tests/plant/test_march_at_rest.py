"""A march that passes over what stands still comes to the figures of one that marches every step, to the last digit."""

import dataclasses

import numpy as np
import pytest

from featherbench.bench import servo_run
from featherbench.bench.servo_run import run_servo
from featherbench.bench.setup import build_setup
from featherbench.plant import integrate
from featherbench.plant.pieces import AT_REST, COUNT, EVERY
from featherbench.scenario import read

STILL = {"passing": "0 N*mm", "unlike": "0 N*mm", "slider": "0 N"}
SHAKEN = {"passing": "3 N*mm", "unlike": "2 N*mm", "slider": "0.2 N"}
LETS_GO = {"passing": "7 N*mm", "unlike": "2 N*mm"}
COURSE = {"spin": [{"to": "8000 rpm", "over": "0.4 s", "hold": "0.6 s"}, {"to": "9500 rpm", "over": "0.3 s"}]}
BUILDS = {
    "still": {"shaking": STILL},
    "shaken": {"shaking": SHAKEN},
    "shaken loose": {"shaking": LETS_GO},
    "slows down": {"shaking": SHAKEN, "bench": COURSE},
    "decays through diodes": {"shaking": SHAKEN, "servo": {"decay": "diode"}},
    "source limits": {"shaking": SHAKEN, "supply": {"limit": "0.5 A"}},
    "thick dead band": {"shaking": STILL, "servo": {"dead_band": "1 deg"}},
}


def marched(setup, monkeypatch, every):
    """The run, the state that it ended in, and the share of its steps that were passed over."""
    clocks, states = [], []
    start_clock, march = integrate.start_clock, servo_run.integrate

    def clock():
        clocks.append(start_clock())
        clocks[-1][EVERY] = float(every)
        return clocks[-1]

    def kept(start, state, *more):
        states.append(state)
        return march(start, state, *more)

    with monkeypatch.context() as patched:
        patched.setattr(integrate, "start_clock", clock)
        patched.setattr(servo_run, "integrate", kept)
        run = run_servo(setup)
    return run, states[0], clocks[0][AT_REST] / clocks[0][COUNT]


@pytest.mark.parametrize("build", BUILDS)
def test_what_stands_still_is_passed_over_to_the_last_digit(setup_of, monkeypatch, build):
    same_figures(setup_of(**BUILDS[build]), monkeypatch)


@pytest.mark.parametrize("name", ["survey-3kg/worn", "survey-3kg/over"])
def test_so_it_is_of_builds_with_play_and_of_blades_driven_out(monkeypatch, name):
    same_figures(build_setup(read(f"scenarios/{name}.toml")), monkeypatch)


def same_figures(setup, monkeypatch):
    """Every series, reading and audit, the state at the end with its totals; and rest is found in the one run only."""
    (run, state, rested), (whole, every_state, none) = (
        marched(setup, monkeypatch, every) for every in (False, True)
    )
    assert rested > 0.02
    assert none == 0.0
    assert np.array_equal(state, every_state)
    for field in dataclasses.fields(run):
        one, two = getattr(run, field.name), getattr(whole, field.name)
        if isinstance(one, np.ndarray):
            assert np.array_equal(one, two), field.name
    assert (run.torque_peak, run.raw_peak, run.energy_error) == (
        whole.torque_peak,
        whole.raw_peak,
        whole.energy_error,
    )
    assert repr(run.legs) == repr(whole.legs)


def test_half_of_a_held_programme_is_passed_over(setup_of, monkeypatch):
    """Else it saves nothing: of a programme of holds on a rotor that shakes."""
    assert marched(setup_of(shaking=SHAKEN), monkeypatch, False)[2] > 0.5
