"""What shaking does to friction at rest, held to a fine simulation that treats sticking and sliding apart.

The program's own stepper moves a blade without load through the gauge, shaken once a turn; the same rig is stepped with
a state machine in `dithered_friction`. Held against each other: the force that starts it moving, the mean force that
drags it on, and where a strained spring comes to rest. Without shaking a strain below the limit stays where it is, in
both. Beside it one closed form: a moment that swings by A leaves no more than M - A of a strain standing.
"""

import numpy as np
import pytest

from dithered_friction import Rig, pulled
from featherbench.bench.setup import build_setup
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import gauge_chain
from featherbench.plant.parameters import Gauge
from featherbench.plant.shaking import Shaking
from featherbench.plant.step_size import highest_mode_with_gauge, step_within
from featherbench.scenario import read
from source import About
from table import check
from test_trade_facts import BUILDS

ABOUT = About(
    kind="program",
    title="shaken friction, stick and slip stepped finely",
    quantity="friction let go by shaking",
    left_out="Play, load and friction along the rod, so that the rig stays one that can be stepped by hand.",
)
WHY = "2 us against 45 us steps"
SPIN = 900.0
LIMIT = 8e-3
ROW = 2e-3


def _plant(shake):
    """The tutorial's linkage with an unloaded, frictional blade: no play, nothing that rubs along the rod."""
    plant = build_setup(read(BUILDS / "plain.toml")).plant
    axis = plant.pitch._replace(
        starting_moment=LIMIT / plant.pitch.blades,
        load_moment=0.0,
        slider_friction=0.0,
        breakaway_ratio=1.0,
        damping=0.0,
        load_share=0.0,
    )
    return plant._replace(
        pitch=axis,
        joint=plant.joint._replace(half_play=0.0, fade=1e-12),
        output=plant.output._replace(rod_friction=0.0, load_share=0.0),
        loads=plant.loads._replace(values=np.zeros_like(plant.loads.values)),
        shaking=Shaking(0.0, shake / SPIN**2, SPIN if shake else 0.0),
    )


def _ours(plant, strain, speed, span):
    """(gauge force per row, pitch per row); the gauge's far end goes `strain` (m) at `speed` (m/s)."""
    gauge = Gauge(30e3, 0.6 * np.sqrt(30e3 * plant.output.rod_mass))
    step, each = step_within(ROW, highest_mode_with_gauge(plant, gauge))
    record = np.zeros((round(span / ROW), gauge_chain.COLUMNS))
    state = gauge_chain.start_gauge(0.0, SPIN, plant)
    times, places = np.array([0.0, strain / speed, strain / speed + 1.0]), np.array([0.0, strain, strain])
    gauge_chain.integrate_gauge(state, times, places, SPIN, plant, gauge, step, each, 10.0, record)
    return record[:, gauge_chain.R_FORCE], record[:, gauge_chain.R_PITCH]


def _theirs(plant, shake, strain, speed, span):
    horn = pitch_rod_travel(0.0, plant.linkage)[1]
    mass = plant.output.rod_mass
    damping = 0.6 * np.sqrt(30e3 * mass)
    joint = plant.joint
    rig = Rig(
        mass, 30e3, damping, joint.stiffness, joint.damping, horn, plant.pitch.inertia, LIMIT, shake, SPIN
    )
    _, force, angle = pulled(strain, speed, span, rig, round(span / ROW))
    return force, angle


@pytest.mark.parametrize("share", [0.0, 0.3, 0.6, 0.9, 1.5])
def test_drag_and_start(share):
    """Pulled at 2 mm/s, past the start and on, shaken by `share` of the friction."""
    plant, shake = _plant(share * LIMIT), share * LIMIT
    (ours, our_angle), (theirs, their_angle) = (
        _ours(plant, 1.0, 2e-3, 1.0),
        _theirs(plant, shake, 1.0, 2e-3, 1.0),
    )
    name = f"shaken by {share:g} of the friction"
    late = slice(len(ours) // 2, None)
    # from the middle on it slides: the mean over many turns
    most = LIMIT / pitch_rod_travel(0.0, plant.linkage)[1]
    expected, drag = theirs[late].mean() / most, ours[late].mean() / most
    check(ABOUT.title, "RAN", f"drag over friction, {name}", expected, drag, 0.02, WHY, relative=share < 1.0)
    far = np.rad2deg(their_angle[-1])
    check(ABOUT.title, "RAN", f"pitch after 1 s, {name}, deg", far, np.rad2deg(our_angle[-1]), 0.02, WHY)
    if share < 1.0:
        starts = [
            float(force[np.argmax(np.abs(angle) > 1e-4)])
            for force, angle in ((theirs, their_angle), (ours, our_angle))
        ]
        check(ABOUT.title, "RAN", f"force that starts it, {name}, N", starts[0], starts[1], 0.02, WHY)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.6])
def test_a_strained_spring_creeps_down_only_when_it_is_shaken(share):
    """Drawn to 90 % of what friction holds: it stays, or it creeps to 1 - share of it."""
    plant, shake = _plant(share * LIMIT), share * LIMIT
    horn = pitch_rod_travel(0.0, plant.linkage)[1]
    soft = 1.0 / (1.0 / 30e3 + 1.0 / plant.joint.stiffness)
    strain = 0.9 * LIMIT / horn / soft
    (ours, our_angle), (theirs, _) = _ours(plant, strain, 2e-3, 0.6), _theirs(plant, shake, strain, 2e-3, 0.6)
    name = f"strain left after 0.6 s, shaken by {share:g} of the friction, N"
    check(ABOUT.title, "RAN", name, theirs[-20:].mean(), ours[-20:].mean(), 0.02, WHY)
    if share == 0.0:
        settled = our_angle[len(our_angle) // 2 :]
        assert np.ptp(settled) == 0.0  # no creep at all
    else:
        # it slips past, so that a little less is left than the most that may stand, M - A
        assert 0.8 < ours[-20:].mean() / ((1.0 - share) * LIMIT / horn) < 1.002
