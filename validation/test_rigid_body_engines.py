"""The propeller moment against two general rigid-body engines: MuJoCo (`mj_inverse`) and Pinocchio (`rnea`).

A hinge about the shaft carries a hinge about the (coned) feathering axis. Inverse dynamics gives the
moment that the second hinge must exert to hold the pitch; rotation alone exerts its opposite. Neither
engine knows our formula. Three-mass case and its values: RAN with MuJoCo 4.0.0 and pin 4.1.0; Omega_dot
case RAN with pin 4.1.0.
"""

from math import cos, radians, sin

import mujoco
import numpy as np
import pytest

from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="propeller moment by rigid-body engines",
    mapping="Their joint torque holds the blade: ours is its opposite",
)

MASS = np.array([5e-3, 3e-3, 2e-3])
POINTS = np.array([[60e-3, 10e-3, 2e-3], [100e-3, -20e-3, -1e-3], [45e-3, 0.0, 15e-3]])
"""The three point masses: kg, and rows of r, c, n in m."""
ENGINE_VALUES = {
    -10: 0.059478539,
    0: -0.160000,
    5: -0.264102397,
    10: -0.360180177,
    20: -0.516917309,
    30: -0.611306585,
    45: -0.613500,
}
"""Pitch in deg to N m at 1000 rad/s."""
TINY_SPHERE = 0.5e-3
"""m; MuJoCo refuses a body without inertia. A sphere's is the same about every axis, so it cancels."""
ROUNDING = 1e-9


def pitch_moments(mass, points, coning=0.0):
    """Of point masses at rows of r, c, n."""
    r, c, n = points.T
    sums = (float(np.sum(mass * term)) for term in (c * c, n * n, c * n, r * c, r * n))
    return PitchMoments(*sums, coning=coning)


def mujoco_model(blade, coning):
    """Shaft along z, feathering axis in the x-z plane raised by the coning; `blade`: what it carries."""
    return mujoco.MjModel.from_xml_string(f"""
    <mujoco>
      <compiler angle="radian"/>
      <option gravity="0 0 0"/>
      <worldbody>
        <body>
          <inertial pos="0 0 0" mass="0.01" diaginertia="1e-5 1e-5 1e-5"/>
          <joint type="hinge" axis="0 0 1"/>
          <body xyaxes="{cos(coning)!r} 0 {sin(coning)!r} 0 1 0">
            <joint type="hinge" axis="1 0 0"/>
            {blade}
          </body>
        </body>
      </worldbody>
    </mujoco>""")


def mujoco_moment(model, pitch, spin, spin_rate, pitch_rate=0.0):
    """What rotation exerts on the pitch hinge, N m."""
    data = mujoco.MjData(model)
    data.qpos[:] = 0.3, pitch
    data.qvel[:] = spin, pitch_rate
    data.qacc[:] = spin_rate, 0.0
    mujoco.mj_inverse(model, data)
    return -float(data.qfrc_inverse[1])


def spheres(mass, points):
    """Point masses as small spheres, for MuJoCo."""
    return "".join(
        f'<geom type="sphere" size="{TINY_SPHERE}" mass="{one!r}" pos="{r!r} {c!r} {n!r}"/>'
        for one, (r, c, n) in zip(mass.tolist(), points.tolist(), strict=True)
    )


def random_case(seed):
    """A random lump of five points, and a random state: pitch, spin, spin rate, coning, pitch rate."""
    random = np.random.default_rng(seed)
    mass = random.uniform(1e-3, 6e-3, 5)
    points = random.uniform([0.02, -0.03, -0.02], [0.15, 0.03, 0.02], (5, 3))
    state = random.uniform([-0.6, 300.0, -5000.0, -0.2, -50.0], [0.6, 1500.0, 5000.0, 0.2, 50.0])
    return mass, points, state


@pytest.mark.parametrize(("degrees", "published"), ENGINE_VALUES.items())
def test_three_masses_at_constant_speed(degrees, published):
    pitch = radians(degrees)
    got = propeller_moment(pitch, 1000.0, 0.0, pitch_moments(MASS, POINTS))
    source = "MuJoCo 4.0.0 mj_inverse and pin 4.1.0 rnea, three point masses"
    check(source, "RAN", f"M_prop at {degrees} deg, 1000 rad/s, N m", published, got, 1e-8, "printed digits")
    live = mujoco_moment(mujoco_model(spheres(MASS, POINTS), 0.0), pitch, 1000.0, 0.0)
    check("MuJoCo, run here", "RAN", f"M_prop at {degrees} deg, N m", live, got, ROUNDING, "rounding")


def test_three_masses_while_spinning_up():
    got = propeller_moment(radians(10.0), 1000.0, 2000.0, pitch_moments(MASS, POINTS))
    source = "pin 4.1.0 rnea, three point masses"
    check(
        source, "RAN", "M_prop at 10 deg, 2000 rad/s^2, N m", -0.3579722007371, got, 1e-12, "printed digits"
    )


@pytest.mark.parametrize("seed", range(12))
def test_random_blade_coned_and_spinning_up_in_mujoco(seed):
    mass, points, (pitch, spin, spin_rate, coning, pitch_rate) = random_case(seed)
    model = mujoco_model(spheres(mass, points), coning)
    # the spheres' own inertia about the feathering axis is felt only by coning while the speed changes
    own = float(np.sum(mass)) * 0.4 * TINY_SPHERE**2
    moments = pitch_moments(mass, points, coning)
    lump = moments._replace(chordwise=moments.chordwise + own / 2, normal=moments.normal + own / 2)
    got = propeller_moment(pitch, spin, spin_rate, lump)
    expected = mujoco_moment(model, pitch, spin, spin_rate, pitch_rate)
    check("MuJoCo, run here", "RAN", f"random coned blade {seed}, N m", expected, got, ROUNDING, "rounding")


@pytest.mark.parametrize("seed", range(12, 24))
def test_random_blade_coned_and_spinning_up_in_pinocchio(seed):
    pin = pytest.importorskip(
        "pinocchio", reason="needs the second engine: pip install pin (none for Windows)"
    )
    mass, points, (pitch, spin, spin_rate, coning, pitch_rate) = random_case(seed)
    total = float(mass.sum())
    centre = mass @ points / total
    away = points - centre
    second = (mass[:, None] * away).T @ away
    inertia = np.trace(second) * np.eye(3) - second
    model = pin.Model()
    model.gravity.setZero()
    shaft = model.addJoint(0, pin.JointModelRZ(), pin.SE3.Identity(), "shaft")
    raised = np.array([[cos(coning), 0.0, -sin(coning)], [0.0, 1.0, 0.0], [sin(coning), 0.0, cos(coning)]])
    hinge = model.addJoint(shaft, pin.JointModelRX(), pin.SE3(raised, np.zeros(3)), "feathering")
    model.appendBodyToJoint(hinge, pin.Inertia(total, centre, inertia), pin.SE3.Identity())
    state = (np.array([0.3, pitch]), np.array([spin, pitch_rate]), np.array([spin_rate, 0.0]))
    expected = -float(pin.rnea(model, model.createData(), *state)[1])
    got = propeller_moment(pitch, spin, spin_rate, pitch_moments(mass, points, coning))
    check(
        "Pinocchio, run here", "RAN", f"random coned blade {seed}, N m", expected, got, ROUNDING, "rounding"
    )
