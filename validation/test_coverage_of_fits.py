"""Do intervals hold the truth when the model is wrong, as it says it may be? Planted rigs, fitted, and foretold.

Source: none outside; the coverage that a 95 % interval claims, counted (D). Each rig is the shipped plain build with a
truth of its own: its air follows other laws (a polar table: stall, drag and moment off by draws whose 95 % are the
stated doubts), and speed, bearing coefficient, friction that grows with load, axis, masses and arms are off within
tolerances and doubts; the blade sticks on its bolt somewhere, anew with the weights on. Force is read by hand at nine
pitches both ways, with an error of the gauge's own that all readings share, an angle that is off, and a display. What
is counted: 95 % intervals of inertia, slider friction, bearing friction and stiffness, and of the weighted build's
largest push and pull as foretold from the file that the fit writes; and how much narrower these are than before. The
gauge reads the static curves of `bench.statics` here, in truth and fit alike: what is tried is what the fit makes of
wrong laws, not the stepper.

    FEATHERBENCH_RIGS=200 python -m pytest validation/test_coverage_of_fits.py

counts 200 rigs (about ten minutes of a quiet machine); without it a few, enough to notice a fit that takes as exact
what is not: that one misses the inertia of most of them. 200 rigs of this seed held inertia in 91.5 of 100, slider
friction in 96, stiffness in 97.5 (a gauge does not feel it: its interval is the prior's), bearing friction in 96.5, the
weighted push in 96.5 and pull in 96; ranges of push and pull narrowed to 0.47 (median). Wrong laws are not what the
inertia lacks to 95: 54 rigs whose truth followed the fit's own laws held 91 as well. What bends may be: a blade stuck
toward one side adds a quarter more force than toward the other it takes away. One rig in 200 was not found at all, 12
times the uncertainty off: since counted, a search that ends so far off begins again from elsewhere, and finds that one.
"""

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import table
from featherbench.bench.readings import BenchData, Reading
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.fitting.calibrate import Calibration, Residuals, variant_text
from featherbench.fitting.fit import CRITICAL, fit
from featherbench.fitting.nuisances import correlation_before, nuisances
from featherbench.fitting.simulated import with_values
from featherbench.fitting.unknowns import unknowns
from featherbench.rotor.blade_stations import SECTION_COLUMNS
from featherbench.rotor.build import build_air
from featherbench.rotor.section_polar import NO_TABLE, Section, section_coefficients
from featherbench.sampling.doubts import BEARING
from featherbench.sampling.inputs import INSTRUMENTS, values_at, varied, varied_inputs
from featherbench.sampling.interval import interval
from featherbench.sampling.samples import CoarseSetup, family_within, sample_places
from featherbench.scenario import read
from source import About

ABOUT = About(
    kind="closed form",
    title="coverage of fits and predictions under wrong laws",
    uncertainty="Counting error of the stated number of rigs",
)
FEW = 3
RIGS = int(os.environ.get("FEATHERBENCH_RIGS", FEW))
SEED = 20
ROOT = Path(__file__).parents[1] / "scenarios" / "survey-3kg"
PITCHES = np.deg2rad([-26.0, -20.0, -14.0, -7.0, 0.0, 7.0, 14.0, 21.0, 28.0])
FREE = ("scale.inertia", "linkage.slider_friction", "linkage.stiffness")
COUNTED = (*FREE, BEARING)
SPACING = np.deg2rad(3.0)
SAMPLES = 72
ANGLES = np.deg2rad(np.arange(-45.0, 45.1, 0.5))
LOADED = "doubt.load_friction"
ANGLE_ERROR = np.deg2rad(0.25)
DISPLAY, HAND = 0.05, 0.03


@dataclass
class Readings:
    """A model whose gauge reads the static curves."""

    scenario: object
    data: BenchData
    family: object
    scatter: float = 1.0

    def scenario_of(self, _):
        return self.scenario

    def at(self, keys, values, *, verdicts):
        assert not verdicts  # which no fit of numbers asks for
        loop = loop_of(with_values(self.scenario, keys, values), self.family)
        names = [f"force {n}" for n in range(len(loop))]
        open_ = np.hypot(
            slope_of(loop) * ANGLE_ERROR, HAND
        )  # as `hand_readings.left_open` has it of a gauge run
        return Forces(
            dict(zip(names, loop.tolist(), strict=True)), dict(zip(names, open_.tolist(), strict=True))
        )


@dataclass
class Forces:
    """What `spot_residuals` asks of a simulation."""

    spots: dict
    sampling: dict


def slope_of(force):
    """N/rad of a loop (2 n,) at the pitches."""
    return np.concatenate([np.gradient(half, PITCHES) for half in np.split(force, 2)])


def curves(scenario, air):
    return static_curves(CoarseSetup(**vars(build_setup(scenario, air, spacing=SPACING))), groups=False)


def loop_of(scenario, family, pitches=PITCHES, air=None):
    """Force, rising then falling, at the pitches (2 n,), N."""
    own = curves(scenario, family.at(scenario) if air is None else air)
    return np.concatenate([np.interp(pitches, own.pitch, edge) for edge in own.loop])


def peaks_of(scenario, family, air=None):
    own = curves(scenario, family.at(scenario) if air is None else air)
    upper, lower = own.loop
    return np.array([upper.max(), -lower.min()])


def polar_of(scenario, rotor, file, off):
    """Another air law: section coefficients with stall (rad), drag and moment (shares) off."""
    stall, drag, moment = off
    station = int(np.argmin(np.abs(rotor.stations.radius - 0.75 * rotor.tip)))
    section = Section(*rotor.sections[station, :SECTION_COLUMNS], 0.0, NO_TABLE)
    section = section._replace(stall=section.stall + stall, drag=section.drag * (1.0 + drag))
    section = section._replace(delay=section.delay + stall)
    lever = scenario.blade.axis_at - 0.25
    rows = []
    for angle in ANGLES:
        lift, along, couple = section_coefficients(float(angle), section)
        about_axis = (1.0 + moment) * (lever * (lift * np.cos(angle) + along * np.sin(angle)) + couple)
        normal = lift * np.cos(angle) + along * np.sin(angle)
        rows.append((np.rad2deg(angle), lift, along, about_axis - lever * normal))
    np.savetxt(file, rows, delimiter=",", header="alpha,c_l,c_d,c_m", comments="")


class Rig:
    """One truth: what differs from the files, for both builds; air by a polar table of its own."""

    def __init__(self, plain, rotor, rng, file):
        own = plain.doubt
        inputs = [one for one in varied_inputs(plain) if one.key not in INSTRUMENTS]
        self.true = {one.key: one.value(rng.uniform(-1.0, 1.0)) for one in inputs if not one.of_model}
        spread = {one.key: one.deviation for one in unknowns(plain, FREE)}
        for one in unknowns(plain, FREE):
            self.true[one.key] = max(one.start + spread[one.key] * rng.normal(), 0.1 * one.start)
        self.true[BEARING] = np.exp(np.log(own.bearing_coefficient) * rng.normal() / CRITICAL)
        self.true["doubt.axis_at"] = own.axis_at * rng.normal() / CRITICAL
        self.true[LOADED] = np.exp(np.log(own.load_friction) * rng.normal() / CRITICAL)
        off = [half * rng.normal() / CRITICAL for half in (own.air_stall, own.profile_drag, own.air_moment)]
        polar_of(plain, rotor, file, off)
        self.polar, self.stuck = str(file), own.blade_stuck

    def build(self, scenario, rng):
        """(the true build, its air): the blade sticks anew."""
        keys = {**self.true, "doubt.blade_stuck": rng.uniform(-self.stuck, self.stuck)}
        true = with_values(scenario, tuple(keys), tuple(keys.values()))
        true = true.model_copy(update={"blade": true.blade.model_copy(update={"polar": self.polar})})
        return true, build_air(true, axials=3)


def read_by_hand(force, rng, gauge):
    """Readings of a loop (2 n,) with the gauge's own error, angles that are off and a display."""
    shown = (
        force
        + gauge.uncertainty / 2.0 * rng.normal()
        + slope_of(force) * ANGLE_ERROR * rng.normal(size=len(force))
    )
    shown = np.round((shown + HAND * rng.normal(size=len(force))) / DISPLAY) * DISPLAY
    pitches = [*PITCHES, *PITCHES]
    return {
        f"force {n}": Reading(
            f"force {n}", "force", float(value), None, 0.0, 1, None, pitches[n], n < len(PITCHES)
        )
        for n, value in enumerate(shown)
    }


def foretold(scenario):
    """95 % ranges of the largest push and pull, as the sampler has them: (2, 2) low, high by force."""
    inputs = varied_inputs(scenario)
    family = family_within(scenario, inputs)
    places = sample_places(len(inputs), SAMPLES, 0)
    rows = [
        peaks_of(varied(scenario, inputs, values_at(inputs, tuple(row))), family) for row in places.tolist()
    ]
    return np.array(interval(places, np.array(rows), inputs)).T


def fitted_rig(plain, family, data, *, exact=False):
    """The fit with everything beside the unknowns, or (exact) with nothing."""
    model, found = Readings(plain, data, family), unknowns(plain, FREE)
    beside = () if exact else nuisances(plain, found)
    every = (*found, *beside)
    before = correlation_before(plain, every)
    done = fit(Residuals.of(model, every, tuple(data.readings), ()), found, beside=beside, before=before)
    return Calibration(plain, data, model, done, (), (), 1.0, 1.0, (), ())


def intervals_of(done):
    """95 % interval by key."""
    best = done.fitted
    found = {one.key: (low, high) for one, low, high in zip(best.unknowns, best.low, best.high, strict=True)}
    spread = np.sqrt(np.diag(best.whole))
    for one, place, wide in zip(best.parameters, best.places, spread, strict=True):
        if one.key not in found:
            found[one.key] = (one.at(place - CRITICAL * wide), one.at(place + CRITICAL * wide))
    return found


def counted(folder):
    """By rig: whether each interval holds, whether an exact fit's inertia does, whether each prediction holds, and
    the width of both against before."""
    plain, weighted = read(ROOT / "plain.toml"), read(ROOT / "weighted.toml")
    family = family_within(plain, varied_inputs(plain), 1.7)
    rotor, rng, rows = build_air(plain).rotor, np.random.default_rng(SEED), []
    before = foretold(weighted)
    text = (ROOT / "weighted.toml").read_text(encoding="utf-8").replace("plain.toml", "fitted.toml")
    for number in range(RIGS):
        rig = Rig(plain, rotor, rng, folder / f"{number}.csv")
        true, air = rig.build(plain, rng)
        data = BenchData(read_by_hand(loop_of(true, None, air=air), rng, plain.gauge), (), {}, ())
        done = fitted_rig(plain, family, data)
        found = intervals_of(done)
        held = [found[key][0] <= rig.true[key] <= found[key][1] for key in COUNTED]
        low, high = (
            intervals_of(fitted_rig(plain, family, data, exact=True))["scale.inertia"]
            if number < FEW
            else (1, 1)
        )
        (folder / "fitted.toml").write_text(variant_text(done, folder / "fitted.toml"), encoding="utf-8")
        (folder / "weighted.toml").write_text(text, encoding="utf-8")
        after = foretold(read(folder / "weighted.toml"))
        heavy, air = rig.build(weighted, rng)
        force = peaks_of(heavy, None, air=air)
        holds = (after[:, 0] <= force) & (force <= after[:, 1])
        narrower = (after[:, 1] - after[:, 0]) / (before[:, 1] - before[:, 0])
        rows.append((*held, low <= rig.true["scale.inertia"] <= high, *holds, *narrower))
    return np.array(rows, dtype=float)


def test_intervals_and_predictions_hold_the_truth_under_wrong_laws(tmp_path):
    rows = counted(tmp_path)
    names = [*COUNTED, "exact fit's inertia", "weighted push", "weighted pull"]
    share = dict(zip(names, rows[:, :7].mean(axis=0), strict=True))
    about = f"90 to 99 % of {RIGS} seeded rigs"
    if RIGS > 50:
        for name in (*COUNTED, "weighted push", "weighted pull"):
            counted_row(f"share that hold {name}", 0.945, share[name], 0.12, about, bar=0.0451)
    else:
        held = rows[:, [0, 1, 2, 3, 5, 6]]
        about = f"of {held.size} at {RIGS} seeded rigs"
        counted_row("share of intervals and predictions that hold", 0.95, float(held.mean()), 0.13, about)
    exact = float(rows[:FEW, 4].mean())
    counted_row(
        "share that hold the inertia, all else taken as exact", 0.0, exact, 0.35, "such a fit misses most"
    )
    for number, name in ((7, "push"), (8, "pull")):
        narrower = float(np.median(rows[:, number]))
        counted_row(
            f"width of the weighted {name} after a fit, over before",
            0.35,
            narrower,
            0.15,
            "half at most, median",
        )


def counted_row(case, expected, got, tolerance, reason, bar=None):
    table.check(
        "coverage under wrong laws", "D", case, expected, got, tolerance, reason, relative=False, bar=bar
    )
