"""The energy audit closes on any plausible build, and the step that makes it so."""

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from featherbench.bench.gauge import run_gauge
from featherbench.bench.servo_run import run_servo, start_state
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import integrate as rec
from featherbench.plant import state as state_index
from featherbench.plant.chain import stored_energy
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.plant.parameters import Gauge
from featherbench.plant.step_size import highest_mode, highest_mode_with_gauge, step_within
from featherbench.scenario import ScenarioError
from featherbench.servo.motor import winding_for

few = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def rounded(value):
    return round(value, 3)


builds = st.fixed_dictionaries(
    {
        "speed": st.floats(4000.0, 16000.0).map(rounded),
        "mass": st.floats(2.0, 12.0).map(rounded),
        "weight": st.one_of(st.none(), st.floats(0.2, 2.5)),
        "stiffness": st.floats(8.0, 120.0).map(rounded),
        "play": st.floats(0.0, 0.3).map(rounded),
        "slider": st.floats(0.0, 1.0).map(rounded),
        "rod": st.floats(0.0, 0.6).map(rounded),
        "gear_play": st.floats(0.0, 0.8).map(rounded),
        "gear_friction": st.floats(0.0, 0.02).map(rounded),
        "damping": st.floats(0.0, 5.0).map(rounded),
        "stall": st.floats(0.12, 0.2).map(rounded),
        "resistance": st.floats(0.0, 0.5).map(rounded),
        "contact_damping": st.floats(0.02, 0.5).map(rounded),
        "breakaway": st.floats(1.0, 1.8).map(rounded),
    }
)


def build(setup_of, weight, drawn):
    part = {"blade": {"mass": f"{drawn['mass']} g"}}
    if drawn["weight"] is not None:
        part |= weight(drawn["weight"], 12.0)
    return setup_of(
        rotor={"speed": f"{drawn['speed']} rpm"},
        part=part,
        linkage={
            "stiffness": f"{drawn['stiffness']} N/mm",
            "play": {"rod": f"{drawn['play']} mm"},
            "slider_friction": f"{drawn['slider']} N",
            "rod_friction": f"{drawn['rod']} N",
            "damping_ratio": drawn["contact_damping"],
            "breakaway_ratio": drawn["breakaway"],
        },
        servo={
            "gear_play": f"{drawn['gear_play']} deg",
            "gear_friction": f"{drawn['gear_friction']} N*m",
            "damping": f"{drawn['damping']} ms",
            "stall_torque": f"{drawn['stall']} N*m",
        },
        supply={"resistance": f"{drawn['resistance']} ohm"},
        gauge={"sweep": "1.5 s"},
    )


@few
@given(drawn=builds)
def test_the_energy_audit_closes(setup_of, weight, drawn):
    setup = build(setup_of, weight, drawn)
    try:
        run = run_servo(setup)
    except ScenarioError as refused:  # over-balanced blades on a soft rod may run off: not what is asked here
        assume("past the pitch range" not in str(refused))
        raise
    assert run.energy_error < 5e-3
    assert np.isfinite(run.pitch).all()
    assert run_gauge(setup).energy_error < 5e-3


@few
@given(drawn=builds)
def test_no_loss_is_ever_negative(setup_of, weight, drawn):
    """Copper, friction, contact and viscous losses each only grow, so the chain cannot make energy.

    In the one step in which friction brings a body to rest against a load that would have turned it round, its work
    is counted with half of the old speed: up to a millionth of all losses may go back there.
    """
    setup = build(setup_of, weight, drawn)
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    step, count = step_within(1e-3, highest_mode(plant))
    counts, winding = StepCounts(step, count, count, count), winding_for(plant.motor, step)
    state = start_state(setup)
    schedule = CommandSchedule(
        np.zeros(1), np.array([state[state_index.COMMAND] + 0.4]), np.zeros(1), np.array([spin], dtype=float)
    )
    losses = [
        state_index.LOSS_COPPER,
        state_index.LOSS_FRICTION,
        state_index.LOSS_VISCOUS,
        state_index.LOSS_CONTACT,
    ]
    course = np.zeros((150, len(losses)))
    for row in course:
        integrate(0.0, state, schedule, plant, winding, counts, np.zeros((1, rec.COLUMNS)))
        row[:] = state[losses]
        assert stored_energy(state, plant) >= 0.0
    total = course[-1].sum()
    assert total > 1e-4
    assert np.diff(course, axis=0).min() >= -1e-6 * total
    assert (course[-1] >= 0.0).all()


def test_the_audit_notices_a_wrong_step(setup_of):
    """Four times the step that the stiffest mode allows leaves the books open: the audit is no formality."""
    setup = setup_of()
    assert run_servo(setup).energy_error < 5e-3
    assert run_servo(setup, step_share=4.0).energy_error > 1e-2


def test_the_highest_mode_is_that_of_two_bodies_on_a_spring(setup_of):
    """Each contact in turn far stiffer than the other: omega^2 = k (1/m1 + 1/m2)."""
    plant = setup_of().plant
    mesh_only = plant._replace(joint=plant.joint._replace(stiffness=1e-3))
    mesh = plant.mesh.stiffness * (1 / plant.motor.inertia + 1 / plant.output.inertia)
    assert highest_mode(mesh_only) == pytest.approx(np.sqrt(mesh), rel=1e-6)
    joint_only = plant._replace(mesh=plant.mesh._replace(stiffness=1e-6))
    arm = servo_rod_travel(0.0, plant.linkage)[1]
    horn = pitch_rod_travel(0.0, plant.linkage)[1]
    joint = plant.joint.stiffness * (arm**2 / plant.output.inertia + horn**2 / plant.pitch.inertia)
    assert highest_mode(joint_only) == pytest.approx(np.sqrt(joint), rel=1e-6)
    pushed = plant.joint.stiffness * (1 / plant.output.rod_mass + horn**2 / plant.pitch.inertia)
    assert highest_mode_with_gauge(plant, Gauge(0.0, 0.0)) == pytest.approx(np.sqrt(pushed), rel=1e-9)


@given(st.floats(1e-4, 1e-2), st.floats(1e2, 1e5), st.floats(0.05, 1.0))
def test_the_step_divides_the_period_and_suits_the_mode(period, mode, share):
    step, count = step_within(period, mode, share)
    assert step * count == pytest.approx(period, rel=1e-12)
    assert step * mode <= 0.7 * share * (1.0 + 1e-6)
    if count > 1:
        assert period / (count - 1) > share * min(126e-6, 0.7 / mode) * (1.0 - 1e-6)
