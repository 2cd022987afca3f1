"""A blade that is not as written, found on the plain build; the weighted build then, its weights being as drawn."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench.assembly import build_assembly, compensation, moments_by_group
from featherbench.bench.readings import BenchData, Reading
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.fitting.calibrate import calibrate
from featherbench.fitting.simulated import with_values

TRUE = 1.08
"""The blade as built has so many times the chordwise and normal second moments of the blade as written."""
PITCHES = np.deg2rad([-20.0, -10.0, 10.0, 20.0])
GAUGE = {"gauge": {"uncertainty": "0.02 N", "sweep": "1.5 s", "rate": "200 Hz"}}


def as_built(scenario, factor=TRUE, groups=("blade", "grip")):
    """The true build, each part of these groups altered by hand; nothing of it goes by `scale`."""
    assembly = build_assembly(scenario)
    parts = []
    for part in assembly.parts:
        second = part.moments.second.copy()
        if part.group in groups:
            second[1:, 1:] *= factor
        parts.append(replace(part, moments=replace(part.moments, second=second)))
    return build_setup(scenario, assembly=replace(assembly, parts=tuple(parts)))


@pytest.fixture(scope="module")
def found(scenario_of):
    """What a fit to the plain build's forces says of its inertia."""
    plain = scenario_of(**GAUGE)
    curves = static_curves(as_built(plain), groups=False)
    speed = Reading("rotor_speed", "rotation", plain.rotor.speed, 1e-3 * plain.rotor.speed, 0.0, 1, None)
    readings = {"rotor_speed": speed}
    for pitch in PITCHES.tolist():
        for rising, side in ((True, 1.0), (False, -1.0)):
            force = float(np.interp(pitch, curves.pitch, curves.rod_force + side * curves.rod_friction))
            name = f"force at {pitch:.3f}, {rising}"
            readings[name] = Reading(name, "force", force, 0.02, 0.0, 1, None, pitch, rising)
    done = calibrate(plain, BenchData(readings, (), {}, ()), ("scale.inertia",), keep_aside=False)
    return float(done.fitted.values[0])


def test_the_plain_build_tells_the_blade(found):
    assert found == pytest.approx(TRUE, abs=0.003)


def test_what_was_found_is_carried_to_the_weighted_build(found, scenario_of, weight):
    """Within the gauge's 0.02 N; as written, or with weights that are scaled like the blade, it is far off."""
    weighted = scenario_of(**GAUGE, part=weight(1.2, 11.0))
    truth = static_curves(as_built(weighted), groups=False).rod_force

    def off(setup):
        return np.abs(static_curves(setup, groups=False).rod_force - truth).max()

    assert off(build_setup(with_values(weighted, ("scale.inertia",), (found,)))) < 0.03
    assert off(build_setup(weighted)) > 0.5
    assert off(as_built(weighted, found, ("blade", "grip", "counterweight"))) > 0.3


def test_bolts_and_weights_are_as_drawn(setup_of, weight):
    bolt = {
        "bolt": {"group": "bolt", "shape": "point", "mass": "1 g", "at": {"radius": "36 mm", "chord": "3 mm"}}
    }
    parts = bolt | weight(1.2, 11.0, 2.0)
    written, scaled = (setup_of(part=parts, scale={"inertia": factor}) for factor in (1.0, 1.25))
    before, after = (moments_by_group(one.assembly, one.lead_lag) for one in (written, scaled))
    for group, factor in {"blade": 1.25, "grip": 1.25, "bolt": 1.0, "counterweight": 1.0}.items():
        for own in ("chordwise", "normal", "product"):
            assert getattr(after[group], own) == pytest.approx(
                factor * getattr(before[group], own), abs=1e-18
            )
        assert after[group].radial == before[group].radial
    plain = 1.25 * sum(before[group].chordwise - before[group].normal for group in ("blade", "grip"))
    plain += before["bolt"].chordwise
    gives = before["counterweight"].normal - before["counterweight"].chordwise
    assert compensation(scaled.assembly, scaled.lead_lag) == pytest.approx(gives / plain)
