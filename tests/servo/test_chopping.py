"""The chopped drive: power balance, limits, symmetry, and the stepper's supply current at a hold."""

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.bench.servo_run import run_servo
from featherbench.scenario import ScenarioError
from featherbench.servo.chopping import (
    DECAYS,
    DIODE,
    FAST,
    SLOW,
    Chopper,
    chopped,
    mean_currents,
    ripple_conductance,
    standing_duty,
)
from featherbench.servo.data_sheet import servo_drive
from featherbench.servo.motor import Motor

MOTOR = Motor(5.0, 3e-4, 0.3, 1e-4, 0.0, 0.0, 0.0, 1.0)
duties = st.floats(-1.0, 1.0)
speeds = st.floats(-12.0, 12.0)
choppers = st.builds(Chopper, st.floats(2e-6, 5e-3), st.sampled_from(list(DECAYS.values())))


@given(duty=duties, speed=speeds, chopper=choppers)
def test_the_supply_feeds_the_motor_and_the_heat_and_no_more(duty, speed, chopper):
    winding, supply = mean_currents(duty, speed, 6.0, MOTOR, chopper)
    heat = 6.0 * supply - 0.3 * speed * winding
    assert heat >= 5.0 * winding**2 - 1e-9  # no ripple takes less than the mean current's own


@given(duty=duties, speed=speeds, chopper=choppers)
def test_either_way_round_alike(duty, speed, chopper):
    one, two = (mean_currents(side * duty, side * speed, 6.0, MOTOR, chopper) for side in (1.0, -1.0))
    assert two == pytest.approx((-one[0], one[1]), abs=1e-12)


@given(duty=duties, speed=speeds)
def test_without_ripple_the_supply_gives_duty_times_winding_current(duty, speed):
    winding, supply = mean_currents(duty, speed, 6.0, MOTOR, Chopper(0.0, SLOW))
    assert supply == duty * winding
    assert winding == pytest.approx((6.0 * duty - 0.3 * speed) / 5.0)


@pytest.mark.parametrize(("period", "ripple"), [(0.0, 0.0), (1e-6, 1.0), (3e-3, 1.0)])
def test_a_winding_without_inductance_follows_every_pulse(period, ripple):
    """On for a share s of the time it draws V / R, so the ripple takes s (1 - s) V / R beside the mean current's."""
    bare = MOTOR._replace(inductance=0.0)
    found = ripple_conductance(0.25, bare, Chopper(period, SLOW))
    assert found == pytest.approx(ripple * 0.25 * 0.75 / 5.0)
    assert mean_currents(0.25, 0.0, 6.0, bare, Chopper(period, SLOW))[1] == pytest.approx(
        (0.25 if ripple else 0.25**2) * 6.0 / 5.0
    )


def test_a_hold_by_hand():
    """Duty 0.25 at 333 Hz on 60 us: pulses of 12.5 time constants; each loses one time constant of its charge."""
    period = 50.0 * 6e-5
    lost = 1.0 / 50.0  # of the period, the rise at the start of the pulse
    winding, supply = mean_currents(0.25, 0.0, 6.0, MOTOR, Chopper(period, SLOW))
    assert winding == pytest.approx(0.3)
    assert supply == pytest.approx(1.2 * (0.25 - lost * (1.0 - exp(-12.5))), rel=1e-9)
    assert supply / (0.25 * winding) == pytest.approx(3.68, abs=0.01)  # not 1, as without ripple


def test_current_that_dies_out_by_hand():
    """No resistance to speak of: a triangle, up for 0.2 T at 4 V and down at 2 V for 0.4 T, nothing for the rest."""
    nearly = MOTOR._replace(resistance=1e-3, inductance=1e-3)
    winding, supply = mean_currents(0.2, 2.0 / 0.3, 6.0, nearly, Chopper(1e-4, DIODE))
    top = 4.0 * 0.2e-4 / 1e-3
    assert winding == pytest.approx(0.5 * top * 0.6, rel=1e-3)
    assert supply == pytest.approx(0.5 * top * 0.2, rel=1e-3)
    # fast decay: down at 8 V for 0.1 T, into the supply
    winding, supply = mean_currents(0.2, 2.0 / 0.3, 6.0, nearly, Chopper(1e-4, FAST))
    assert winding == pytest.approx(0.5 * top * 0.3, rel=1e-3)
    assert supply == pytest.approx(0.5 * top * 0.1, rel=1e-3)


def test_full_and_no_duty_have_no_ripple():
    for decay in DECAYS.values():
        assert chopped(1.0, 1.0, 6.0, MOTOR, Chopper(1e-3, decay)) == (1.0, 0.0)
        assert chopped(0.0, 0.0, 6.0, MOTOR, Chopper(1e-3, decay)) == (0.0, 0.0)
    assert chopped(0.0, 3.0, 6.0, MOTOR, Chopper(1e-3, FAST))[0] == pytest.approx(0.5)  # open: no current
    assert mean_currents(0.5, 25.0, 6.0, MOTOR, Chopper(1e-3, FAST))[1] < 0.0  # driven: feeds the supply


@given(current=st.floats(-1.19, 1.19), chopper=choppers)
def test_the_duty_that_holds_a_current_carries_it(current, chopper):
    duty = standing_duty(current, 6.0, MOTOR, chopper)
    assert mean_currents(duty, 0.0, 6.0, MOTOR, chopper)[0] == pytest.approx(current, abs=2e-4)


@pytest.mark.parametrize("decay", DECAYS)
def test_the_stepper_draws_at_a_hold_what_the_closed_form_says(setup_of, decay):
    setup = setup_of(
        servo={"chopping_rate": "2 kHz", "decay": decay, "damping": "6 ms"}, linkage={"horn_arm": "12 mm"}
    )
    run = run_servo(setup)
    leg = run.legs[0]
    plant, volts = setup.plant, setup.plant.supply.voltage - 0.08 * (leg.hold + 0.01)
    duty = standing_duty(leg.motor_hold, volts, plant.motor, plant.chopper)
    drawn = mean_currents(duty, 0.0, volts, plant.motor, plant.chopper)[1]
    assert leg.hold == pytest.approx(drawn, rel=2e-3)
    assert leg.hold > 1.1 * duty * leg.motor_hold
    assert run.energy_error < 1e-3


def test_the_rate_of_a_servo_that_states_none(scenario_of):
    digital = servo_drive(scenario_of(servo={"chopping_rate": None}).servo)
    analogue = servo_drive(
        scenario_of(servo={"kind": "analogue", "drive_rate": "50 Hz", "chopping_rate": None}).servo
    )
    stated = servo_drive(scenario_of(servo={"chopping_rate": "12 kHz"}).servo)
    rates = [round(1.0 / drive.chopper.period) for drive in (digital, analogue, stated)]
    assert rates == [3000, 50, 12000]  # an analogue one once a loop
    said = [
        "servo.chopping_rate" in [one.key for one in drive.assumed] for drive in (digital, analogue, stated)
    ]
    assert said == [True, True, False]
    with pytest.raises(ScenarioError, match=r"servo\.decay"):
        scenario_of(servo={"decay": "quick"})


def test_ripple_grows_with_the_period_and_is_largest_at_half_duty():
    found = [ripple_conductance(0.5, MOTOR, Chopper(period, SLOW)) for period in (1e-5, 1e-4, 1e-3, 1e-1)]
    assert np.all(np.diff(found) > 0.0)
    assert found[-1] == pytest.approx(0.25 / 5.0, rel=0.01)
    assert ripple_conductance(0.5, MOTOR, Chopper(1e-3, SLOW)) > ripple_conductance(
        0.3, MOTOR, Chopper(1e-3, SLOW)
    )
