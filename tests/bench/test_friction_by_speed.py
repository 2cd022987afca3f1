"""Friction laws are handed the speed of their joint, by the servo's chain and the gauge's alike."""

import inspect

import pytest

from featherbench.bench.servo_run import start_state
from featherbench.plant import chain, gauge_chain, joint_friction, pitch_axis, state
from featherbench.servo.motor import winding_for


@pytest.fixture
def asked(monkeypatch):
    """Speeds at which each law was asked, the laws run uncompiled."""
    speeds = {"rod_friction_limit": [], "pitch_friction_limit": []}
    for name, seen in speeds.items():
        law = getattr(joint_friction, name).py_func
        last = list(inspect.signature(law).parameters)[-1]

        def watched(*given, law=law, last=last, seen=seen):
            seen.append(inspect.signature(law).bind(*given).arguments[last])
            return law(*given)

        for user in (chain, gauge_chain, pitch_axis):
            if hasattr(user, name):
                monkeypatch.setattr(user, name, watched)
    return speeds


def uncompiled(monkeypatch):
    for user in (chain, gauge_chain):
        monkeypatch.setattr(user, "pitch_step", pitch_axis.pitch_step.py_func)
    for user, name in ((pitch_axis, "rate_after"), (gauge_chain, "gauge_chain_step_from")):
        monkeypatch.setattr(user, name, getattr(user, name).py_func)


def test_the_gauge_asks_at_the_rods_speed_and_the_blades_rate(setup_of, monkeypatch, asked):
    uncompiled(monkeypatch)
    plant = setup_of().plant
    now = gauge_chain.start_gauge(0.05, 900.0, plant)
    now[gauge_chain.ROD_SPEED], now[gauge_chain.PITCH_RATE] = 0.02, -1.5
    gauge = gauge_chain.Gauge(1e4, 1.0)
    gauge_chain.gauge_chain_step.py_func(1e-6, now, 0.0, 0.0, 900.0, plant, gauge)
    assert asked == {"rod_friction_limit": [0.02], "pitch_friction_limit": [-1.5]}


def test_the_servo_asks_at_the_speed_along_the_rod(setup_of, monkeypatch, asked):
    uncompiled(monkeypatch)
    setup = setup_of()
    now = start_state(setup)
    now[state.OUTPUT_SPEED], now[state.PITCH_RATE] = 2.0, 0.7
    arm = chain.servo_rod_travel(now[state.OUTPUT_ANGLE], setup.plant.linkage)[1]
    chain.chain_step.py_func(1e-6, now, 900.0, 0.0, setup.plant, winding_for(setup.plant.motor, 1e-6))
    assert asked["rod_friction_limit"] == [pytest.approx(2.0 * arm)]
    assert asked["pitch_friction_limit"] == [0.7]
