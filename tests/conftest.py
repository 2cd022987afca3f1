"""An invented test rig, the same for every room that runs a whole build, and one way to vary it."""

import copy
import gc
import multiprocessing
import os
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by numpy as it is imported; see cli.py

import pytest
from hypothesis import settings

from featherbench.bench.setup import build_setup
from featherbench.commands import tolerances
from featherbench.fitting.nuisances import nuisances
from featherbench.scenario import from_tables
from featherbench.scenario.doubt import TAKEN_OUT
from featherbench.studies import predict

SHIPPED = tolerances.BY_DEFAULT
tolerances.BY_DEFAULT = 0
"""Commands in a test give ranges where it asks for them, each run of which costs a twentieth of a second; what comes
without asking is tested in tests/commands/test_ranges_by_default.py, and by every command run as a program.
"""
if "forkserver" in multiprocessing.get_all_start_methods():
    multiprocessing.set_forkserver_preload(["featherbench.sampling.spread", "featherbench.sweeping.sweep"])
"""Processes that studies start in a test are forked from one that has loaded what they need, once a tester: each would
spend a second and more on it. That they load it themselves is seen in test_killed_at_a_random_moment, where a program
of its own starts them.
"""
settings.register_profile("however busy the machine", deadline=None, max_examples=40)
settings.register_profile("thorough", deadline=None, max_examples=400)
settings.load_profile("however busy the machine")

LONGEST = (
    "test_readme.py",
    "test_terminal.py",
    "test_pages_in_browser.py",
    "test_window.py",
    "test_several_builds.py",
    "test_cli.py",
    "test_notebook.py",
    "test_pictures_by_command.py",
    "test_first_lines.py",
    "test_sweep.py",
    "test_hard_use.py",
    "test_cluster.py",
    "test_root_picture.py",
    "test_engines.py",
    "test_wag_and_bias.py",
    "test_designs.py",
    "test_short_form.py",
    "test_runs_option.py",
    "test_assembly_sheet.py",
    "test_docstrings.py",
    "test_kernel_cache.py",
    "test_sampled.py",
    "test_sizing.py",
    "test_doubts.py",
    "test_calibrate_bench.py",
    "test_explore_command.py",
    "test_convergence.py",
    "test_play_in_hover.py",
    "test_draw_doubt.py",
    "test_ranges_by_default.py",
    "test_result_figures.py",
    "test_ranking.py",
    "test_light_core.py",
    "test_doubt_coverage.py",
    "test_sheet_command.py",
    "test_slips.py",
    "test_spread_command.py",
    "test_one_sampler.py",
    "test_match_bench.py",
    "test_match_calibrate_commands.py",
    "test_standard_input.py",
    "test_fuzz.py",
    "test_drawing.py",
    "test_spread.py",
    "test_tolerance_propagation.py",
    "test_coverage_of_fits.py",
    "test_wag_bias_commands.py",
    "test_exploring.py",
)
"""Files that take longest, by name: begun first, lest one tester be left with one while the other has none to do. The
first two start far apart, lest both compile the laws of flight, which nothing has compiled before.
"""

RIG = {
    "title": "test rig",
    "rotor": {"blades": 2, "speed": "9000 rpm", "pitch_range": ["-24 deg", "26 deg"]},
    "air": {"density": "1.2 kg/m^3"},
    "blade": {
        "root": "40 mm",
        "tip": "120 mm",
        "chord": "26 mm",
        "section": "NACA 0014",
        "axis_at": 0.39,
        "swing": "clamped",
        "bolt_radius": "36 mm",
    },
    "part": {
        "blade": {"group": "blade", "shape": "aerofoil", "mass": "5.6 g"},
        "grip": {
            "group": "grip",
            "shape": "box",
            "size": {"radius": "28 mm", "chord": "12 mm", "normal": "9 mm"},
            "at": {"radius": "24 mm"},
            "mass": "5.4 g",
        },
    },
    "bearing": {"coefficient": 0.0015, "mean_diameter": "8 mm", "starting_moment": "0.3 N*mm"},
    "linkage": {
        "horn_arm": "13 mm",
        "lever_out": "14 mm",
        "lever_in": "18 mm",
        "rod_length": "500 mm",
        "rod_mass": "4 g",
        "servo_arm": "12 mm",
        "slider_friction": "0.3 N",
        "rod_friction": "0.2 N",
        "slider_load_friction": 0,
        "rod_load_friction": 0,
        "stiffness": "36 N/mm",
        "play": {"rod": "0.05 mm", "slider": "0.04 mm", "horn": "0.04 mm"},
    },
    "servo": {
        "voltage": "5 V",
        "stall_torque": "0.19 N*m",
        "transit_60": "0.06 s",
        "stall_current": "1 A",
        "idle_current": "10 mA",
        "gear_ratio": 230,
        "gear_friction": "0.006 N*m",
        "rotor_inertia": "0.35 g*mm^2",
        "dead_band": "0.3 deg",
        "proportional_band": "2 deg",
        "drive_rate": "333 Hz",
        "chopping_rate": "1 MHz",
        "gear_play": "0.3 deg",
        "damping": "3 ms",
        "output_friction": "0.8 N*mm",
        "travel": "60 deg",
    },
    "supply": {"voltage": "5 V", "resistance": "80 mohm"},
    "bench": {
        "programme": [
            {"go": 1.0, "hold": "0.6 s"},
            {"go": -1.0, "hold": "0.6 s"},
            {"go": 0.0, "hold": "0.3 s"},
        ]
    },
    "gauge": {"sweep": "4 s"},
    "shaking": {"passing": "0 N*mm", "unlike": "0 N*mm", "slider": "0 N"},
    "doubt": TAKEN_OUT,
}
"""Invented: no real machine, servo or part. No counterweights; everything symmetrical about the chord plane.
Nothing shakes it and
there are no doubts of the model: what tolerances alone do can be told."""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Two at a time share files, not tests: what a file computes once is not computed twice."""
    from xdist.scheduler import LoadFileScheduling

    config.option.loadscopereorder = False  # by the order below, not by the number of tests in a file
    return LoadFileScheduling(config, log)


def pytest_configure(config):
    """No looking for garbage while tests are found, which makes much and throws nothing away. And of two testers one
    finds them from the last folder on: what either has compiled of them, the other need not.
    """
    gc.disable()
    places = [Path(place) for place in config.args]
    if getattr(config, "workerinput", {}).get("workerid") == "gw1" and all(map(Path.is_dir, places)):
        inside = [one for place in places for one in sorted(place.iterdir())]
        tests = [
            one for one in inside if one.match("test_*.py") or (one.is_dir() and any(one.glob("test_*.py")))
        ]
        config.args[:] = map(str, reversed(tests))


def pytest_collection_modifyitems(items):
    """The longest files first; the rest by their names, however they were found."""
    ranks = {name: rank for rank, name in enumerate(LONGEST)}
    items.sort(key=lambda item: (ranks.get(item.path.name, len(ranks)), item.path))


def pytest_collection_finish():
    """What is there by now stays: to look through all of it for garbage again and again is a tenth of the tests' time.

    Garbage is looked for among what comes after, the old of it every half million objects.
    """
    gc.enable()
    gc.freeze()
    gc.set_threshold(5000, 10, 10)


def _merge(tables, changes):
    for key, value in changes.items():
        if isinstance(value, dict) and isinstance(tables.get(key), dict):
            _merge(tables[key], value)
        elif value is None:
            tables.pop(key, None)
        else:
            tables[key] = value


def rig_tables(**changes):
    """Tables of the rig with tables merged key by key; None takes a key out."""
    tables = copy.deepcopy(RIG)
    _merge(tables, changes)
    return tables


@pytest.fixture(scope="session")
def tables():
    """Tables of the rig, varied: tables(servo={"damping": "0 s"})."""
    return rig_tables


@pytest.fixture(scope="session")
def scenario_of():
    """The rig as a checked scenario, varied in the same way."""
    return lambda **changes: from_tables(rig_tables(**changes))


@pytest.fixture(scope="session")
def setup_of():
    """The rig ready to run, varied in the same way."""
    return lambda **changes: build_setup(from_tables(rig_tables(**changes)))


@pytest.fixture(scope="session")
def compiled():
    """The kernels compiled, whichever tests come first: for a test that reads every line a command says."""
    predict(from_tables(rig_tables()))


@pytest.fixture(scope="session")
def weight():
    """A pair of point weights on the chord normal of so many g and mm, as a change of the rig."""

    def pair(mass, height, chord=0.0):
        return {
            "weight": {
                "group": "counterweight",
                "shape": "point",
                "mass": f"{mass!r} g",
                "at": {"radius": "30 mm", "chord": f"{chord!r} mm", "normal": f"{height!r} mm"},
                "mirror": "normal",
            }
        }

    return pair


@pytest.fixture
def values_only(monkeypatch):
    """Fits without intervals, which take half of their simulations: where the best values are all that is asked for."""
    monkeypatch.setattr(
        "featherbench.fitting.fit.profiled",
        lambda _search, point, _jacobian, _whole, count: (point[:count], point[:count], None),
    )


@pytest.fixture
def few_beside(monkeypatch):
    """Fits that leave an arm, a stuck blade and the stall open beside the unknowns, not two dozen numbers, each of them
    one simulation more at every look: where what is done with a fit is asked for, not how sure it is.
    """

    def few(scenario, free):
        left = ("linkage.horn_arm", "doubt.blade_stuck", "doubt.air_stall")
        return tuple(one for one in nuisances(scenario, free) if one.key in left)

    monkeypatch.setattr("featherbench.fitting.joint_parameters.nuisances", few)


@pytest.fixture
def ranges_by_default(monkeypatch):
    """As the program is shipped: how many runs a command makes for its ranges when nobody says."""
    monkeypatch.setattr(tolerances, "BY_DEFAULT", SHIPPED)
    return SHIPPED


@pytest.fixture
def undrawn(monkeypatch):
    """Pages without their pictures, which cost most of a page: what is drawn on pages is looked at in
    tests/report/test_pages_in_browser.py, whether a build fails or not, and pictures in test_pictures_by_command.py.
    """

    from featherbench.render.page import Drawn

    def blank(picture, _said=()):
        return Drawn(picture.name, "<svg></svg>", picture.title, picture.caption, "", "plot")

    monkeypatch.setattr("featherbench.render.page.drawn", blank)
