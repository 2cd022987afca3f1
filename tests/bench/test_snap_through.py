"""Over-balanced blades on a soft gauge: found, said, and read by the static law; never a figure of the jump."""

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.setup import build_setup
from featherbench.bench.snap_through import RESERVE, SnapThrough, snap_through
from featherbench.bench.statics import static_curves
from featherbench.linkage.force import JointFriction, rod_force, rod_friction_easier
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import gauge_chain
from featherbench.plant.loads import blade_moment
from featherbench.plant.parameters import Gauge
from featherbench.scenario import read
from featherbench.studies import predict

OVER = "scenarios/lifter-6kg/over.toml"


def soft(stiffness):
    return read(OVER, {"gauge.stiffness": f"{stiffness} N/mm"})


@pytest.fixture(scope="module")
def stiff():
    return predict(soft(30.0))


@pytest.mark.parametrize("stiffness", [3.0, 1.0, 0.2])
def test_a_soft_gauge_gives_the_forces_of_a_stiff_one_and_says_why(stiff, stiffness):
    """1 N/mm gave a tenth of the largest push without a word, 0.2 N/mm a traceback."""
    run = predict(soft(stiffness))
    for name in ("rod_force_push", "rod_force_pull", "rod_force_loop", "rod_force_breakout", "gauge_push"):
        assert run.value(name) == pytest.approx(stiff.value(name), rel=0.03), name
    said = [note for note in run.notes if "snap through" in note]
    assert len(said) == 1
    assert f"only {1.0 / (1.0 / stiffness + 1.0 / 50.0):.2g} N/mm" in said[0]
    assert run.gauge.energy_error == 0.0
    assert not [note for note in stiff.notes if "snap through" in note]


FREE = {
    "bearing": {"coefficient": 0, "starting_moment": "0 N*mm"},
    "linkage": {
        "slider_friction": "0 N",
        "rod_friction": "0 N",
        "play": {"rod": "0 mm", "slider": "0 mm", "horn": "0 mm"},
    },
}
SPIN = 9000.0 * np.pi / 30.0


@pytest.mark.parametrize("pitch", [-0.2, 0.0, 0.25])
@pytest.mark.parametrize(("factor", "holds"), [(1.05, True), (0.95, False)])
def test_a_spring_holds_a_falling_load_that_is_less_steep_than_it_is_stiff(
    setup_of, weight, pitch, factor, holds
):
    """Stepped: a gauge that stands still where it balances the blades, which are then moved by 0.02 deg."""
    setup = setup_of(part=weight(2.0, 14.0), **FREE)
    plant = setup.plant
    around = pitch + np.deg2rad([-0.05, 0.0, 0.05])
    travel, slope = np.array([pitch_rod_travel(value, plant.linkage)[:2] for value in around]).T
    moments = [blade_moment(value, SPIN, 0.0, plant.loads) for value in around]
    force = rod_force(-np.array(moments), slope, plant.pitch.blades)
    steep = -(force[2] - force[0]) / (travel[2] - travel[0])
    spring = 1.0 / (1.0 / (factor * steep) - 1.0 / plant.joint.stiffness)
    gauge = Gauge(float(spring), 0.0)
    state = gauge_chain.start_gauge(float(pitch + np.deg2rad(0.02)), SPIN, plant)
    state[gauge_chain.ROD_PLACE] = travel[1] + force[1] / plant.joint.stiffness
    place = np.full(2, state[gauge_chain.ROD_PLACE] + force[1] / spring)
    record = np.zeros((500, gauge_chain.COLUMNS))
    gauge_chain.integrate_gauge(
        state, np.array([0.0, 9.0]), place, SPIN, plant, gauge, 2e-5, 100, 1.5, record
    )
    furthest = np.rad2deg(np.abs(record[:, gauge_chain.R_PITCH] - pitch).max())
    assert furthest < 0.6 if holds else furthest > 3.0


def test_a_gauge_just_stiff_enough_follows_the_static_law(setup_of, weight):
    """Stepped on 1.4 times what holds the blades, they go no further past the range than they must."""
    heavy = weight(2.0, 14.0)
    setup = setup_of(part=heavy)
    curves = static_curves(setup, groups=False)
    travel = [pitch_rod_travel(pitch, setup.plant.linkage)[0] for pitch in curves.pitch]
    steepest = float(np.max(-np.diff(curves.rod_force) / np.diff(travel)))
    spring = 1.0 / (1.0 / (1.4 * steepest) - 1.0 / setup.plant.joint.stiffness)
    own = setup_of(part=heavy, gauge={"stiffness": f"{spring!r} N/m", "sweep": "12 s"})
    run = run_gauge(own)
    assert run.snap is None
    assert run.push == pytest.approx(float((curves.rod_force + curves.rod_friction).max()), rel=0.02)
    low, high = own.scenario.rotor.pitch_range
    assert low - np.deg2rad(6.0) < run.pitch_series.min()
    assert run.pitch_series.max() < high + np.deg2rad(6.0)


def test_a_reversed_linkage_snaps_through_alike(setup_of, weight):
    forces = {}
    for way in (False, True):
        setup = setup_of(part=weight(2.0, 14.0), gauge={"stiffness": "0.4 N/mm"}, linkage={"reversed": way})
        run = run_gauge(setup)
        assert run.snap is not None
        forces[way] = (run.push, run.pull, run.width, abs(run.breakout))
        assert (run.up > run.down).all() != way
    straight, turned = forces[False], forces[True]
    assert turned == pytest.approx((straight[1], straight[0], *straight[2:]), rel=0.05)


def test_what_friction_takes_off_where_the_load_helps_by_hand():
    """10 N less 2 of the axis, 8/1.25 past its joints, of that 0.9 past the rod's, less 0.3: 5.46 N left.

    1 N against 2: the rod drives with 1/0.75 * 1.1 + 0.3 the other way.
    """
    joints = JointFriction(0.25, 0.1)
    assert rod_friction_easier(0.02, 0.01, 0.3, -10.0, joints) == pytest.approx(10.0 - 5.46)
    assert rod_friction_easier(0.02, 0.01, 0.3, 1.0, joints) == pytest.approx(1.0 + 1.1 / 0.75 + 0.3)


def test_what_gauge_is_needed_by_hand():
    """4 N/mm, a quarter in reserve, behind a linkage of 12: 1/k = 1/4 - 1/12, 6 N/mm. Behind one of 4 none will do."""
    found = SnapThrough(-0.2, 0.3, 4e3 * RESERVE, 2e3, 12e3)
    assert found.gauge_needed == pytest.approx(6e3)
    assert "stiffer than 6 N/mm" in found.note()
    assert "between -11 and 17 deg" in found.note()
    weak = SnapThrough(-0.2, 0.3, 4e3 * RESERVE, 2e3, 4e3)
    assert weak.gauge_needed is None
    assert "stiffen it" in weak.note()


def test_blades_pulled_back_to_flat_never_snap_through(setup_of):
    """Without weights the load falls toward neutral: any spring holds it."""
    setup = setup_of(gauge={"stiffness": "0.05 N/mm"})
    assert snap_through(setup, static_curves(setup, groups=False)) is None


def test_the_loop_is_narrower_where_the_load_helps_than_where_it_is_fought():
    """Half the band either way without joints that rub with their load; with them, 100 N helped less than fought."""
    joints = {"linkage.slider_load_friction": "0", "linkage.rod_load_friction": "0"}
    for settings, even in ((joints, True), ({}, False)):
        curves = static_curves(build_setup(read("scenarios/survey-3kg/plain.toml", settings)))
        upper, lower = curves.loop
        assert np.all(upper > curves.rod_force)
        assert np.all(lower < curves.rod_force)
        loaded = np.abs(curves.rod_force) > 4.0
        pushes = curves.rod_force[loaded] > 0.0
        above, below = (upper - curves.rod_force)[loaded], (curves.rod_force - lower)[loaded]
        fought, helped = np.where(pushes, above, below), np.where(pushes, below, above)
        assert np.allclose(fought, helped, rtol=1e-12) if even else np.all(fought > 1.05 * helped)


def test_it_snaps_through_from_the_first_to_the_last_place_that_is_too_steep(setup_of, weight):
    """Piece by piece: how much the load falls over what the rod travels, the worse of the loop's two edges."""
    setup = setup_of(part=weight(2.0, 14.0), gauge={"stiffness": "0.4 N/mm"})
    curves = static_curves(setup, groups=False)
    travel = [pitch_rod_travel(pitch, setup.plant.linkage)[0] for pitch in curves.pitch]
    support = 1.0 / (1.0 / 400.0 + 1.0 / float(setup.plant.joint.stiffness))
    steep, pitches = [], []
    for piece in range(len(travel) - 1):
        falls = max(
            (edge[piece] - edge[piece + 1]) / (travel[piece + 1] - travel[piece]) for edge in curves.loop
        )
        if falls >= 0.75 * support:
            steep.append(falls)
            pitches += [curves.pitch[piece], curves.pitch[piece + 1]]
    found = snap_through(setup, curves)
    assert len(steep) > 5
    assert (found.low, found.high) == pytest.approx((min(pitches), max(pitches)))
    assert found.steepest == pytest.approx(max(steep))
    assert found.support == pytest.approx(support)
