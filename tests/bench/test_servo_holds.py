"""The servo test: where a hold sits, what the meter makes of it, what supply and rotor speed do to it."""

import numpy as np
import pytest

from featherbench.bench.servo_run import run_servo
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.loads import blade_moment
from featherbench.servo.chopping import ripple_conductance
from featherbench.servo.motor import holding_band
from featherbench.studies import predict

QUIET = {
    "bearing": {"coefficient": 0.0, "starting_moment": "0 N*m"},
    "linkage": {"slider_friction": "0 N", "rod_friction": "0 N"},
}


@pytest.fixture(scope="module")
def setup(setup_of):
    return setup_of()


@pytest.fixture(scope="module")
def run(setup):
    return run_servo(setup)


def at_end(run, leg, series):
    """The last row of a leg."""
    return series[np.searchsorted(run.time, leg.end, side="right") - 1]


@pytest.mark.parametrize("leg", [0, 1, 2])
def test_a_hold_lies_in_the_holding_band(setup, run, leg):
    """K i against what the mesh carries: the rod's torque, give or take the output's own friction."""
    leg = run.legs[leg]
    arm = servo_rod_travel(at_end(run, leg, run.servo_angle), setup.plant.linkage)[1]
    own = setup.plant.output.friction + setup.plant.output.rod_friction * abs(arm)
    edges = [holding_band(leg.rod_hold * arm + side * own, setup.plant.motor) for side in (-1.0, 1.0)]
    assert min(min(edges)) - 1e-9 <= leg.motor_hold <= max(max(edges)) + 1e-9
    assert -1.0 <= leg.hold_place <= 1.0


def test_a_proportional_loop_stalls_on_the_upper_edge(setup, run):
    """It stops while still pushing, so that the winding carries all that friction allows."""
    leg = run.legs[0]
    arm = servo_rod_travel(at_end(run, leg, run.servo_angle), setup.plant.linkage)[1]
    own = setup.plant.output.friction + setup.plant.output.rod_friction * abs(arm)
    _, most = holding_band(leg.rod_hold * arm + own, setup.plant.motor)
    assert leg.motor_hold == pytest.approx(most, rel=0.02)


@pytest.mark.parametrize("leg", [0, 1])
def test_holding_draws_copper_loss_only(setup, run, leg):
    """At rest all that the lead brings is heat in the winding: I V = i^2 R and the ripple's, less than its current."""
    leg = run.legs[leg]
    plant, supply = setup.plant, setup.plant.supply
    at_drive = supply.voltage - supply.resistance * (leg.hold + supply.idle)
    duty = leg.motor_hold * plant.motor.resistance / at_drive
    heat = leg.motor_hold**2 * plant.motor.resistance
    heat += ripple_conductance(duty, plant.motor, plant.chopper) * at_drive**2
    assert leg.hold * at_drive == pytest.approx(heat, rel=1e-3)
    assert leg.hold < abs(leg.motor_hold)


@pytest.mark.parametrize("leg", [0, 1, 2])
def test_the_held_rod_force_is_within_friction_of_statics(setup, run, leg):
    leg = run.legs[leg]
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    _, slope, _, slider = pitch_rod_travel(leg.final_pitch, plant.linkage)
    needed = -plant.pitch.blades * blade_moment(leg.final_pitch, spin, 0.0, plant.loads) / slope
    axis = plant.pitch
    friction = axis.blades * (axis.starting_moment + axis.load_moment * spin**2)
    friction = (friction + axis.slider_friction * slider) / slope
    assert abs(leg.rod_hold - needed) <= friction * (1.0 + 1e-6)


def test_currents_fall_from_moving_to_holding_and_the_winding_keeps_more(run):
    leg = run.legs[0]
    assert run.raw_peak > leg.peak > leg.hold > 0.0


def test_the_meter_shows_the_hold(scenario_of):
    for zeroed, idle in ((True, 0.0), (False, 0.01)):
        found = predict(
            scenario_of(
                meter={"resolution": "0.01 A", "zero_idle": zeroed, "window": "100 ms", "rate": "10 Hz"},
                bench={"programme": [{"go": 1.0, "hold": "1 s"}, {"go": -1.0, "hold": "1 s"}]},
            )
        )
        true = max(found.value("current_hold_high"), found.value("current_hold_low")) + idle
        assert found.value("meter_hold") == pytest.approx(true, abs=0.00501)
        assert found.value("meter_peak") < found.value("current_raw_peak")


def test_a_weak_servo_is_reported_stalled_with_advice(scenario_of):
    """Half the stall torque does not hold these blades at the end of the range."""
    weak = predict(scenario_of(servo={"stall_torque": "0.07 N*m", "gear_friction": "0.002 N*m"}))
    leg = weak.servo.legs[0]
    assert not leg.reached
    assert np.isnan(leg.arrival)
    assert weak.findings["arrival_high"].value is None
    assert leg.final_pitch < leg.target - np.deg2rad(3.0)
    said = " ".join(weak.notes)
    assert "did not arrive" in said
    assert f"stopped at {np.rad2deg(leg.final_pitch):.1f} deg" in said
    assert "shorten the servo arm" in said
    strong = predict(scenario_of())
    assert "did not arrive" not in " ".join(strong.notes)
    assert strong.servo.legs[0].reached


def test_too_much_weight_gets_the_other_advice(scenario_of, weight):
    """Blades that run out stall the servo too; less weight is the remedy, not more."""
    over = predict(scenario_of(part=weight(3.2, 12.0), servo={"stall_torque": "0.1 N*m"}))
    assert any("take weight off" in note for note in over.notes)


def test_less_voltage_brings_less_force_and_a_slower_move(setup_of, run):
    low = run_servo(setup_of(supply={"voltage": "4 V"}))
    assert low.legs[0].arrival > 1.1 * run.legs[0].arrival
    stall = [setup_of(supply={"voltage": f"{volts} V"}) for volts in (4, 5)]
    torques = [one.drive.stall_torque(one.plant.supply.voltage) for one in stall]
    assert torques[0] < 0.82 * torques[1]


def test_a_limited_source_caps_the_lead(setup_of, run):
    limited = run_servo(setup_of(supply={"limit": "0.35 A"}))
    assert run.supply_current.max() > 0.5
    assert limited.supply_current.max() <= 0.35 + 1e-12
    assert limited.raw_peak <= 0.35 + 1e-12  # idle taken off
    assert limited.energy_error < 5e-3


def test_a_long_thin_lead_droops(setup_of, run):
    """1.5 ohm in the lead: the inrush is V / (R + R_lead) at most, and the move takes longer."""
    drooping = run_servo(setup_of(supply={"resistance": "1.5 ohm"}))
    assert drooping.raw_peak < 0.9 * run.raw_peak
    assert drooping.legs[0].arrival > run.legs[0].arrival
    # the hold needs the same winding current, from less voltage, so more of the lead's
    assert drooping.legs[0].motor_hold == pytest.approx(run.legs[0].motor_hold, rel=0.05)
    assert drooping.legs[0].hold > run.legs[0].hold


def test_rod_force_follows_the_square_of_rotor_speed(setup_of):
    """The rotor slows to 70 % while the servo holds: without friction on the pitch axis every row is on statics."""
    spin = [{"to": "9000 rpm", "hold": "0.6 s"}, {"to": "6300 rpm", "over": "0.5 s", "hold": "0.5 s"}]
    setup = setup_of(
        rotor={"coning": "0 deg"}, bench={"programme": [{"go": 1.0, "hold": "1.6 s"}], "spin": spin}, **QUIET
    )
    run, plant = run_servo(setup), setup.plant
    late = run.time > 0.4
    for speed, force, pitch in zip(run.spin[late], run.rod_force[late], run.pitch[late], strict=True):
        slope = pitch_rod_travel(pitch, plant.linkage)[1]
        needed = -plant.pitch.blades * blade_moment(pitch, speed, 0.0, plant.loads) / slope
        assert force == pytest.approx(needed, rel=0.02)
    full, slow = (run.time > 0.4) & (run.time < 0.6), run.time > 1.4
    assert run.spin[-1] == pytest.approx(np.deg2rad(6300 * 6))
    # the joint gives less under less load, so the blades stand at more pitch then: both moments at one speed
    at_pitch = [blade_moment(run.pitch[rows].mean(), 100.0, 0.0, plant.loads) for rows in (slow, full)]
    ratio = run.rod_force[slow].mean() / run.rod_force[full].mean()
    assert ratio == pytest.approx(0.7**2 * at_pitch[0] / at_pitch[1], rel=0.02)
    assert 0.0 < run.pitch[slow].mean() - run.pitch[full].mean() < np.deg2rad(2.0)


def test_a_slower_command_draws_a_smaller_peak(setup_of):
    slam, slow = (
        run_servo(setup_of(bench={"programme": [{"go": 1.0, "over": over, "hold": "0.6 s"}]}))
        for over in ("0 s", "0.5 s")
    )
    assert slow.raw_peak < 0.8 * slam.raw_peak
    assert slow.legs[0].peak < 0.9 * slam.legs[0].peak
    # and comes to the same hold, on the same edge of the band
    assert slow.legs[0].motor_hold == pytest.approx(slam.legs[0].motor_hold, rel=0.05)
