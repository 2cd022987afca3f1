"""What a build takes over from another one like it is what it would have made itself, whatever is written otherwise."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench import example
from featherbench.assembly import build_assembly
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.checks.load_path import load_path_checks
from featherbench.scenario import read

CHANGES = (
    {"rotor.speed": "11000 rpm"},
    {"rotor.pitch_range.1": "20 deg"},
    {"rotor.coning": "1 deg"},
    {"blade.section": "NACA 0015"},
    {"blade.tip": "140 mm"},
    {"blade.chord": "29 mm"},
    {"blade.swing": "clamped"},
    {"blade.bolt_radius": "34.4 mm"},
    {"part.head-collar.length": "6 mm"},
    {"part.head-collar.material": "tungsten"},
    {"part.head-collar.at.normal": "10 mm"},
    {"part.stud-bolt.yield_strength": "300 MPa"},
    {"part.blade.mass": "9 g"},
    {"part.nut-collar.length": "6 mm", "scale.inertia": "1.2"},
    {"linkage.servo_arm": "11 mm"},
    {"linkage.play.rod": "0.2 mm"},
    {"servo.travel": "50 deg"},
    {"servo.stall_torque": "0.2 N*m"},
    {"bearing.starting_moment": "1 N*mm"},
    {"part.nut-collar.instead_of": '["lock-nut"]'},
)


@pytest.fixture(scope="module")
def base():
    return build_setup(read(example("survey-3kg/weighted")))


def made_of(setup):
    """Every number and word of a build."""
    return (
        [
            (
                part.name,
                part.group,
                part.swings,
                part.how,
                part.stands_in,
                part.volume,
                part.solids,
                part.assumed,
                part.moments.mass,
                part.moments.first.tolist(),
                part.moments.second.tolist(),
            )
            for part in (*setup.assembly.parts, *setup.assembly.replaced)
        ],
        setup.assembly.bolt,
        setup.assembly.scale,
        setup.lead_lag,
        setup.plant._replace(loads=setup.plant.loads._replace(values=0)),
        setup.plant.loads.values.tolist(),
        setup.linkage,
        setup.drive,
        setup.assumed,
        load_path_checks(setup),
    )


@pytest.mark.parametrize("changed", CHANGES, ids=lambda changed: next(iter(changed)))
def test_nothing_comes_out_otherwise_for_a_build_that_it_is_like(base, changed):
    scenario = read(base.scenario, changed)
    alone = build_setup(scenario)
    taken = build_setup(scenario, alone.air, like=base)
    assert made_of(taken) == made_of(alone)
    back = build_setup(base.scenario, base.air, like=taken)
    assert made_of(back) == made_of(base)
    curves, others = static_curves(taken), static_curves(alone)
    assert np.array_equal(curves.rod_force, others.rod_force)
    assert np.array_equal(curves.servo_angle, others.servo_angle)


def test_parts_that_are_written_alike_are_the_very_same(base):
    """Or a sweep works out everything anew for each build."""
    other = build_setup(read(base.scenario, {"part.head-collar.length": "6 mm"}), base.air, like=base)
    same = {
        one.name for one, own in zip(other.assembly.parts, base.assembly.parts, strict=True) if one is own
    }
    assert same == {part.name for part in base.assembly.parts} - {"head-collar"}
    assert other.linkage is base.linkage
    assert other.drive is base.drive


def test_a_mesh_is_read_again_for_it_may_have_been_drawn_anew(base):
    parts = tuple(replace(part, written=None) for part in base.assembly.parts)
    again = build_assembly(base.scenario, replace(base.assembly, parts=parts))
    assert all(one is not own for one, own in zip(again.parts, parts, strict=True))
