"""Do the ranges hold the truth: builds planted within tolerances and doubts, in air that follows other laws than ours.

A truth's air is a polar table of its own, the same along the whole blade: stall, its delay by rotation at three
quarters of the tip, profile drag, and the moment about the feathering axis all off by draws from normal distributions
whose 95 % are the stated doubts (the sampler itself draws from rectangles). Of 40 truths a fair 95 % range holds 35 or
more in 98.6 % of all trials (binomial), one that holds 75 % of the truths in 4 %.
"""

from pathlib import Path

import numpy as np
import pytest

from featherbench.fitting.simulated import simulate
from featherbench.rotor.blade_stations import SECTION_COLUMNS
from featherbench.rotor.build import build_air
from featherbench.rotor.section_polar import NO_TABLE, Section, section_coefficients
from featherbench.sampling.doubts import BEARING
from featherbench.sampling.inputs import INSTRUMENTS, varied, varied_inputs
from featherbench.sampling.sampled import sampled
from featherbench.scenario import read
from featherbench.scenario.doubt import TAKEN_OUT, Doubt
from featherbench.studies import predict

BUILD = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "weighted.toml"
TRUTHS, SAMPLES = 40, 32
NORMAL_95 = 1.96
LEAST = 35
ANGLES = np.deg2rad(np.arange(-45.0, 45.1, 0.5))
FORCES = ("rod_force_push", "rod_force_pull")
NO_DOUBT = Doubt(**TAKEN_OUT)


@pytest.fixture(scope="module")
def nominal():
    return predict(read(BUILD))


@pytest.fixture(scope="module")
def truths(nominal, tmp_path_factory):
    """(truths, 2) largest push and pull, N."""
    rng = np.random.default_rng(11)
    folder = tmp_path_factory.mktemp("air")
    return np.array([_forces(nominal, rng, folder / f"{number}.csv") for number in range(TRUTHS)])


def _forces(nominal, rng, file):
    scenario, own = nominal.scenario, nominal.scenario.doubt
    inputs = tuple(one for one in varied_inputs(scenario) if one.key not in INSTRUMENTS)
    drawn = {one.key: one.value(rng.uniform(-1.0, 1.0)) for one in inputs}
    drawn[BEARING] = np.exp(np.log(own.bearing_coefficient) * rng.normal() / NORMAL_95)
    drawn["doubt.axis_at"] = own.axis_at * rng.normal() / NORMAL_95
    for of_air in ("doubt.air_stall", "doubt.profile_drag", "doubt.air_moment"):
        drawn[of_air] = 0.0
    true = varied(scenario, inputs, tuple(drawn[one.key] for one in inputs))
    stall, drag, moment = (
        half * rng.normal() / NORMAL_95 for half in (own.air_stall, own.profile_drag, own.air_moment)
    )
    _polar(nominal, file, (stall, drag, moment))
    true = true.model_copy(update={"blade": true.blade.model_copy(update={"polar": str(file)})})
    quick = true.gauge.model_copy(update={"sweep": 2.5, "rate": 40.0})
    true = true.model_copy(update={"gauge": quick})
    gauge = simulate(true, frozenset({"gauge"}), build_air(true, axials=3)).gauge
    return gauge.push, gauge.pull


def _polar(nominal, file, off):
    """Another air law: section coefficients with stall (rad), drag and moment (shares) off."""
    stall, drag, moment = off
    rotor = nominal.setup.air.rotor
    station = int(np.argmin(np.abs(rotor.stations.radius - 0.75 * rotor.tip)))
    section = Section(*rotor.sections[station, :SECTION_COLUMNS], 0.0, NO_TABLE)
    section = section._replace(stall=section.stall + stall, drag=section.drag * (1.0 + drag))
    section = section._replace(delay=section.delay + stall)
    lever = nominal.scenario.blade.axis_at - 0.25
    rows = []
    for angle in ANGLES:
        lift, along, couple = section_coefficients(float(angle), section)
        normal = lift * np.cos(angle) + along * np.sin(angle)
        about_axis = (1.0 + moment) * (lever * normal + couple)
        rows.append((np.rad2deg(angle), lift, along, about_axis - lever * normal))
    np.savetxt(file, rows, delimiter=",", header="alpha,c_l,c_d,c_m", comments="")


def held(intervals, truths):
    return [
        int(np.sum((intervals[name].low <= values) & (values <= intervals[name].high)))
        for name, values in zip(FORCES, truths.T, strict=True)
    ]


def test_ranges_with_doubts_hold_the_truth(nominal, truths):
    found = held(sampled([nominal], SAMPLES).builds[0].intervals, truths)
    assert all(count >= LEAST for count in found), found


def test_ranges_of_the_tolerances_alone_do_not(nominal, truths):
    scenario = nominal.scenario.model_copy(update={"doubt": NO_DOUBT})
    found = held(sampled([predict(scenario)], SAMPLES).builds[0].intervals, truths)
    assert all(count < 0.6 * TRUTHS for count in found), found
