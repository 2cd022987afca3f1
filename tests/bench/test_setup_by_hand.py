"""A build made ready, each number of its plant worked out by hand from the scenario's own."""

from dataclasses import replace
from math import inf, pi, radians, sqrt

import numpy as np
import pytest

from featherbench.assembly import moments_at
from featherbench.bench.setup import bolt_drag, load_table
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.rotor.air_table import lead_lag_offsets

SPIN = 9000.0 * pi / 30.0


@pytest.fixture(scope="module")
def setup(setup_of):
    return setup_of(
        linkage={"slider_mass": "5 g", "damping_ratio": 0.2, "breakaway_ratio": 1.3},
        bearing={"breakaway_ratio": 1.2},
        servo={"frame_rate": "50 Hz"},
        scale={"inertia": 1.1, "air_moment": 0.8},
    )


def test_inertias_by_hand(setup):
    """A servo arm of 0.5 g and 12 mm as a bar, the rod's 4 g at its end; blades, 5 g of slider, the air."""
    plant = setup.plant
    arm = servo_rod_travel(0.0, plant.linkage)[1]
    assert plant.output.inertia == pytest.approx(0.5e-3 * 0.012**2 / 3.0 + 4e-3 * arm**2)
    assert arm == pytest.approx(0.012)
    slider = pitch_rod_travel(0.0, plant.linkage)[3]
    assert slider == pytest.approx(0.013)
    damping, inertia = setup.air.table.rate_terms(*map(float, lead_lag_offsets(setup.lead_lag, 0.036)))
    by_hand = 2.0 * (setup.moments.feathering + inertia) + 5e-3 * slider**2
    assert plant.pitch.inertia == pytest.approx(by_hand)
    assert plant.pitch.damping == pytest.approx(damping)
    bare = moments_at(replace(setup.assembly, scale=1.0), setup.lead_lag)
    assert setup.moments.feathering == pytest.approx(1.1 * bare.feathering)
    assert setup.moments.radial == bare.radial  # the scale is of I_c, I_n and I_cn alone
    assert setup.moments.radial_chordwise == bare.radial_chordwise
    assert bare.scaled(1.0) is bare
    said = {entry.key: entry.value for entry in setup.assumed}
    assert said["servo.output_inertia"] == "24 g*mm^2"


def test_contacts_by_hand(setup):
    """Damping 2 zeta sqrt(k m), m of both bodies between which the contact lies: m1 m2/(m1 + m2)."""
    plant = setup.plant
    horn = pitch_rod_travel(0.0, plant.linkage)[1]
    blades_alone = 2.0 * setup.moments.feathering + 5e-3 * 0.013**2
    one, two = plant.output.inertia / 0.012**2, blades_alone / horn**2
    assert plant.joint.stiffness == pytest.approx(36e3)
    assert plant.joint.half_play == pytest.approx(0.5 * setup.linkage.play)
    assert plant.joint.damping == pytest.approx(0.4 * sqrt(36e3 * one * two / (one + two)))
    motor, output = plant.motor.inertia, plant.output.inertia
    assert plant.mesh.stiffness == pytest.approx(0.19 / radians(2.0))
    assert plant.mesh.half_play == pytest.approx(radians(0.15))
    assert plant.mesh.damping == pytest.approx(
        0.4 * sqrt(plant.mesh.stiffness * motor * output / (motor + output))
    )


def test_loop_supply_and_friction_by_hand(setup, setup_of):
    plant = setup.plant
    expected = (radians(0.3), radians(2.0), 3e-3, 1.0 / 333.0, 1.0 / 50.0)
    assert plant.loop == pytest.approx(expected)
    assert setup_of().plant.loop.frame_period == pytest.approx(1.0 / 333.0)
    assert plant.supply == pytest.approx((5.0, 0.08, inf, 0.01))
    assert setup_of(supply={"limit": "2 A"}).plant.supply.limit == 2.0
    assert plant.output[1:] == pytest.approx((0.8e-3, 0.2, 4e-3, 0.0))
    axis = plant.pitch
    assert (axis.blades, axis.starting_moment, axis.slider_friction) == pytest.approx((2.0, 0.3e-3, 0.3))
    assert axis.load_moment == pytest.approx(0.5 * 0.0015 * 8e-3 * setup.moments.radial)
    assert axis.breakaway_ratio == 1.3  # the greater of bearing and linkage


def test_the_load_table_by_hand(setup):
    """Half a degree apart from 12 deg before the range to 12 deg past it: the blade as it has swung, the scaled air."""
    loads = setup.plant.loads
    assert loads.first == pytest.approx(radians(-36.0))
    assert loads.per_radian == pytest.approx(1.0 / radians(0.5))
    assert loads.coning == 0.0
    assert radians(38.0) - 1e-9 <= loads.first + (len(loads.values) - 1) / loads.per_radian < radians(38.6)
    for row in (0, 60, len(loads.values) - 1):
        pitch = loads.first + row / loads.per_radian
        lead_lag = setup.lead_lag_at(pitch)
        own = moments_at(replace(setup.assembly, scale=1.0), lead_lag)
        masses = [
            1.1 * own.chordwise,
            1.1 * own.normal,
            1.1 * own.product,
            own.radial_chordwise,
            own.radial_normal,
        ]
        assert loads.values[row, :5] == pytest.approx(masses, abs=1e-15)
        air = 0.8 * setup.air.table.moment_over([pitch], *lead_lag_offsets([lead_lag], 0.036))[0]
        assert loads.values[row, 5] == pytest.approx(air)
    coarse = load_table(setup.scenario, setup.assembly, setup.air, radians(2.0))
    assert len(coarse.values) == 38
    assert coarse.values[5] == pytest.approx(loads.values[20])


def test_drag_about_the_bolt_is_the_stated_one_or_the_airs(setup_of):
    """1 N mm at 9000 rpm; else the air's about the bolt at 36 mm, read between its pitches."""
    stated = setup_of(blade={"drag_moment": "1 N*mm", "swing": "free"})
    assert bolt_drag(stated.scenario, stated.air, 0.2) == pytest.approx(1e-3 / SPIN**2)
    free = setup_of(blade={"swing": "free"})
    still = free.air.table.drag_moment(0.036)
    place = 0.5 * (free.air.table.pitch[70] + free.air.table.pitch[71])
    assert bolt_drag(free.scenario, free.air, place) == pytest.approx(0.5 * (still[70] + still[71]))
    assert free.lead_lag_at(0.0) == pytest.approx(free.lead_lag)


@pytest.mark.parametrize(
    ("span", "pieces"), [((-24.0, 26.0), (48, 52)), ((-3.0, 26.0), (12, 52)), ((2.0, 10.0), (16,))]
)
def test_pitches_of_the_curves_hold_both_ends_and_zero(setup_of, span, pieces):
    """Half a degree apart on each side of zero, never fewer than twelve steps."""
    setup = setup_of(rotor={"pitch_range": [f"{end} deg" for end in span]}) if span[0] < 0.0 else setup_of()
    if span[0] > 0.0:  # a range to one side only, as a build to be varied may have
        rotor = setup.scenario.rotor.model_copy(update={"pitch_range": tuple(np.radians(span))})
        setup = setup.__class__(
            **{**vars(setup), "scenario": setup.scenario.model_copy(update={"rotor": rotor})}
        )
    grid = np.rad2deg(setup.pitch_grid)
    assert (grid[0], grid[-1], len(grid) - 1) == (pytest.approx(span[0]), pytest.approx(span[1]), sum(pieces))
    if len(pieces) > 1:
        assert grid[pieces[0]] == pytest.approx(0.0, abs=1e-12)
        assert np.diff(grid)[0] == pytest.approx(-span[0] / pieces[0])
