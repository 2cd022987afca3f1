"""Do 95 % intervals hold the truth in 95 % of cases? Planted builds, seeded readings with noise, fitted again.

Source: none outside; the coverage a 95 % interval claims, counted (D). With 60 repeats of two unknowns a true coverage
of 95 % gives between 90 and 99 % of 120 intervals in about 97 of 100 series of repeats; the seed is fixed beforehand.
The truth of every repeat is drawn from the priors the fit holds, so that the intervals have to be right on average.
Some two thousand gauge runs would be asked for; 123 are made, on a grid of the two unknowns, and what they read is
interpolated, once that is held against runs between them.
"""

from dataclasses import replace

import numpy as np
from scipy.interpolate import RectBivariateSpline

import table
from featherbench.bench.gauge import run_gauge
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.fitting.fit import fit
from featherbench.fitting.simulated import with_values
from featherbench.fitting.unknowns import unknowns
from featherbench.rotor.build import build_air
from featherbench.scenario import from_tables
from source import About

ABOUT = About(
    kind="closed form",
    title="coverage of 95 % intervals",
    uncertainty="Counting error of the stated number of repeats",
)

REPEATS = 60
SEED = 2025
DOUBT = np.array([0.06, 0.06, 0.04])
"""Standard uncertainty of push, pull and loop width, N."""
KEYS = ("scale.inertia", "linkage.slider_friction")

RIG = {
    "title": "invented rig of the coverage check",
    "rotor": {"blades": 2, "speed": "9000 rpm", "pitch_range": ["-20 deg", "20 deg"]},
    "blade": {
        "root": "40 mm", "tip": "120 mm", "chord": "26 mm", "section": "NACA 0014", "axis_at": 0.39,
        "swing": "clamped", "bolt_radius": "36 mm",
    },
    "part": {"blade": {"group": "blade", "shape": "aerofoil", "mass": "5.6 g"}},
    "bearing": {"coefficient": 0.0015, "mean_diameter": "8 mm", "starting_moment": "0.3 N*mm"},
    "linkage": {
        "horn_arm": "13 mm", "rod_length": "500 mm", "rod_mass": "4 g", "servo_arm": "9 mm",
        "slider_friction": "0.3 N", "rod_friction": "0.2 N", "stiffness": "36 N/mm",
        "slider_load_friction": 0, "rod_load_friction": 0,
    },
    "shaking": {"passing": "0 N*mm", "unlike": "0 N*mm", "slider": "0 N"},
    "servo": {
        "voltage": "5 V", "stall_torque": "0.19 N*m", "transit_60": "0.06 s", "stall_current": "1 A",
        "gear_ratio": 230, "gear_friction": "0.006 N*m", "rotor_inertia": "0.35 g*mm^2", "dead_band": "0.3 deg",
        "proportional_band": "2 deg", "drive_rate": "333 Hz", "travel": "60 deg",
    },
    "supply": {"voltage": "5 V"},
    "gauge": {"sweep": "1.5 s", "rate": "200 Hz"},
}  # fmt: skip


REACH = 3.5
"""Prior deviations that the grid reaches to either side; truths stay within 2.5."""


def _runs_of(rig):
    """What a gauge run of the rig reads at given unknowns: push, pull and loop width, N."""
    air = build_air(rig)

    def readings(values):
        setup = build_setup(with_values(rig, KEYS, tuple(values)), air)
        run = run_gauge(setup, static_curves(setup, groups=False))
        return np.array([run.push, run.pull, run.width])

    return readings


def _between(readings, found):
    """The same, between runs on a grid; what that is off by is small beside the readings' doubt."""
    middle = np.array([one.start for one in found])
    reach = REACH * np.array([one.deviation for one in found])
    inertia, friction = np.linspace(-1.0, 1.0, 41), np.linspace(-1.0, 1.0, 3)
    made = np.array([[readings(middle + reach * (x, y)) for y in friction] for x in inertia])
    laid = [RectBivariateSpline(inertia, friction, made[:, :, one], kx=1, ky=2) for one in range(3)]

    def read_off(values):
        x, y = (np.asarray(values) - middle) / reach
        return np.array([one.ev(x, y) for one in laid])

    within = 2.5 / REACH
    for place in np.random.default_rng(SEED).uniform(-within, within, (8, 2)):
        values = middle + reach * place
        assert np.all(np.abs(read_off(values) - readings(values)) < 0.25 * DOUBT)
    return read_off


def test_intervals_hold_the_planted_truth():
    rig = from_tables(RIG)
    found = tuple(replace(one, deviation=0.2 * one.start) for one in unknowns(rig, KEYS))
    readings = _between(_runs_of(rig), found)
    rng = np.random.default_rng(SEED)
    inside = np.zeros((REPEATS, 2), dtype=bool)
    errors = np.zeros((REPEATS, 2))
    for repeat in range(REPEATS):
        start = np.array([one.start for one in found])
        spread = np.array([one.deviation for one in found])
        truth = start + spread * np.clip(rng.normal(size=2), -2.5, 2.5)
        read = readings(truth) + DOUBT * rng.normal(size=3)
        done = fit(lambda values, read=read: (readings(values) - read) / DOUBT, found)
        inside[repeat] = (done.low <= truth) & (truth <= done.high)
        errors[repeat] = (done.values - truth) / done.deviations
        assert all(done.identified)
    for number, key in enumerate(KEYS):
        share = float(inside[:, number].mean())
        table.check("coverage of 95 % intervals", "D", f"share that hold {key}", 0.945, share, 0.0451,
                    f"90 to 99 % of {REPEATS} seeded repeats", relative=False)  # fmt: skip
    table.check("coverage of 95 % intervals", "D", "mean of (fitted - truth) / deviation, worst", 0.0,
                float(np.abs(errors.mean(axis=0)).max()), 3.0 / np.sqrt(REPEATS),
                "no bias beyond three standard errors", relative=False)  # fmt: skip
