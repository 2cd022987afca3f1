"""The stepper against a general stiff solver on the same equations where these are smooth, and its order.

scipy's Radau IIA of order five at a relative tolerance of 1e-10 (RAN) on a chain without Coulomb friction, its contacts
loaded so that no play is crossed: then the right-hand side is smooth and both must come to the same motion. The stepper
is semi-implicit Euler with a winding that is exact at constant speed, so its error must fall with the first power of
the step. The right-hand side is built from the program's own laws; a second one in plain numpy, typed out anew, must
agree with it field by field at random states, so that a slip in a law does not hide in both.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from featherbench.bench.setup import build_setup
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step
from featherbench.plant.loads import blade_moment
from featherbench.scenario import read
from featherbench.servo.motor import winding_for
from smooth_chain import plain_rates, smooth_rates
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="general stiff solver, and the order of the stepper",
    left_out="friction and play, which a general solver cannot take as they are: see the benchmark for what that costs",
)
STATE = [
    state_index.CURRENT,
    state_index.MOTOR_SPEED,
    state_index.MOTOR_ANGLE,
    state_index.OUTPUT_SPEED,
    state_index.OUTPUT_ANGLE,
    state_index.PITCH_RATE,
    state_index.PITCH,
]
PITCH = 0.2
SPAN = 0.03
"""s: some four periods of the slowest mode of the loaded chain."""
SLIP = 1e-2


@pytest.fixture(scope="module")
def built(request):
    return build_setup(read(request.config.rootpath / "scenarios" / "survey-3kg" / "plain.toml"))


def smooth(plant):
    """Without Coulomb friction, that of loaded joints included, without the supply's lead; damping fades in at once."""
    motor = plant.motor._replace(coulomb=0.0, load_friction=0.0, viscous=2e-4)
    return plant._replace(
        motor=motor,
        output=plant.output._replace(friction=0.0, rod_friction=0.0, load_share=0.0),
        pitch=plant.pitch._replace(starting_moment=0.0, load_moment=0.0, slider_friction=0.0, load_share=0.0),
        supply=plant.supply._replace(resistance=0.0),
    )


def balanced(plant, spin):
    """(state, duty) at rest at PITCH: every body in balance, both contacts pressed by what they carry."""
    rod = -plant.pitch.blades * blade_moment(PITCH, spin, 0.0, plant.loads)
    travel, horn, _, _ = pitch_rod_travel(PITCH, plant.linkage)
    rod /= horn
    made = travel + np.copysign(plant.joint.half_play + abs(rod) / plant.joint.stiffness, rod)
    angle = servo_angle_for(PITCH, plant.linkage)
    for _ in range(20):  # Newton, from where it would be without give
        place, arm = servo_rod_travel(angle, plant.linkage)
        angle -= (place - made) / arm
    torque = rod * servo_rod_travel(angle, plant.linkage)[1]
    ahead = np.copysign(plant.mesh.half_play + abs(torque) / plant.mesh.stiffness, torque)
    state = np.zeros(state_index.SIZE)
    state[state_index.CURRENT] = torque / plant.motor.torque_constant
    state[state_index.OUTPUT_ANGLE], state[state_index.MOTOR_ANGLE], state[state_index.PITCH] = (
        angle,
        angle + ahead,
        PITCH,
    )
    state[state_index.ROTOR_MOMENT] = plant.pitch.blades * blade_moment(PITCH, spin, 0.0, plant.loads)
    return state, state[state_index.CURRENT] * plant.motor.resistance / plant.supply.voltage


def stepped(plant, spin, share, count):
    state, duty = balanced(plant, spin)
    state[state_index.DUTY] = duty * share
    step = SPAN / count
    winding = winding_for(plant.motor, step)
    for _ in range(count):
        chain_step(step, state, spin, 0.0, plant, winding)
    return state[STATE]


def solved(plant, spin, share):
    state, duty = balanced(plant, spin)
    result = solve_ivp(
        lambda _, y: smooth_rates(y, duty * share, spin, plant, SLIP),
        (0.0, SPAN),
        state[STATE],
        method="Radau",
        rtol=1e-10,
        atol=1e-12,
    )
    assert result.success
    made = np.array([servo_rod_travel(angle, plant.linkage)[0] for angle in result.y[4]])
    asked = np.array([pitch_rod_travel(pitch, plant.linkage)[0] for pitch in result.y[6]])
    assert (np.abs(made - asked) > plant.joint.half_play + plant.joint.fade).all()  # pressed throughout
    assert (np.abs(result.y[2] - result.y[4]) > plant.mesh.half_play + plant.mesh.fade).all()
    return result.y[:, -1]


def test_a_balanced_chain_stays(built):
    """Both sides agree on what balance is: no rate at all, and no motion in the stepper."""
    plant, spin = smooth(built.plant), float(built.scenario.rotor.speed)
    state, duty = balanced(plant, spin)
    rates = smooth_rates(state[STATE], duty, spin, plant, SLIP)
    forces = np.abs(state[state_index.ROTOR_MOMENT]) / plant.pitch.inertia
    assert np.abs(rates).max() < 1e-8 * forces
    assert stepped(plant, spin, 1.0, 500) == pytest.approx(state[STATE], abs=1e-7)


def test_motion_and_order_against_radau(built):
    """Duty falls to 85 % of what holds; the loaded chain swings back under it."""
    plant, spin = smooth(built.plant), float(built.scenario.rotor.speed)
    start, _ = balanced(plant, spin)
    exact = solved(plant, spin, 0.85)
    moved = abs(exact[6] - PITCH)
    assert moved > 5e-3
    counts = [600, 1200, 2400, 4800]
    errors = []
    for count in counts:
        got = stepped(plant, spin, 0.85, count)
        errors.append(np.abs(got - exact) / np.maximum(np.abs(exact - start[STATE]), 1e-3))
    source = "scipy Radau at 1e-10 on the smooth chain"
    fine = stepped(plant, spin, 0.85, counts[-1])
    for name, column in (("pitch, rad", 6), ("servo angle, rad", 4), ("winding current, A", 0)):
        check(
            source,
            "RAN",
            f"{name}, after {SPAN * 1e3:g} ms",
            exact[column],
            fine[column],
            2e-3,
            "6 us step, order 1",
        )
    for column, name in ((6, "pitch"), (4, "servo angle")):
        orders = np.log2([errors[k][column] / errors[k + 1][column] for k in range(len(counts) - 1)])
        check(
            source,
            "D",
            f"order of convergence, {name}",
            1.0,
            float(orders.mean()),
            0.2,
            "first order, three halvings",
        )
        assert np.all((orders > 0.8) & (orders < 1.3))


states = st.tuples(
    st.floats(-1.0, 1.0),
    st.floats(-20.0, 20.0),
    st.floats(-0.02, 0.02),
    st.floats(-20.0, 20.0),
    st.floats(-0.5, 0.5),
    st.floats(-30.0, 30.0),
    st.floats(-0.45, 0.45),
)


@settings(max_examples=300, deadline=None)
@given(states=states, share=st.floats(-1.0, 1.0), spin=st.floats(300.0, 1500.0))
def test_compiled_laws_and_plain_numpy_agree(built, states, share, spin):
    """Motor within a gear play or two of the output, so that the mesh is met open and closed."""
    y = np.array(states)
    y[2] += y[4]
    compiled = smooth_rates(y, share, spin, built.plant, SLIP)
    plain = np.array(plain_rates(y, share, spin, built.plant, SLIP), dtype=float)
    scale = np.abs(compiled) + np.array([1.0, 1.0, 1e-9, 1.0, 1e-9, 1.0, 1e-9])
    for name, one, two, size in zip(
        ["current", "motor", "motor angle", "output", "output angle", "pitch", "pitch angle"],
        compiled,
        plain,
        scale,
        strict=True,
    ):
        assert abs(one - two) <= 1e-8 * size, name
