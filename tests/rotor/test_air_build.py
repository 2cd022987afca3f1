"""From a scenario to its air: what is read, what is assumed, what is refused."""

import copy
import math

import numpy as np
import pytest

from featherbench.rotor.build import build_air
from featherbench.rotor.polar_table import full_circle, read_polar
from featherbench.rotor.rotor_loads import rotor_loads
from featherbench.scenario import ScenarioError, from_tables

PLAIN = {
    "title": "Invented rotor for the air tests",
    "rotor": {"blades": 2, "speed": "8400 rpm", "pitch_range": ["-26 deg", "26 deg"]},
    "blade": {
        "root": "40 mm",
        "tip": "135 mm",
        "chord": [["40 mm", "29 mm"], ["135 mm", "22 mm"]],
        "section": "NACA 0012",
        "axis_at": 0.38,
        "bolt_radius": "36 mm",
    },
    "part": {"blade": {"group": "blade", "shape": "aerofoil", "mass": "6.4 g"}},
    "bearing": {"coefficient": 0.0013, "mean_diameter": "7 mm"},
    "linkage": {"horn_arm": "14 mm", "rod_length": "420 mm", "servo_arm": "13 mm"},
    "servo": {
        "voltage": "6 V",
        "stall_torque": "0.32 N*m",
        "transit_60": "0.07 s",
        "stall_current": "1.6 A",
        "gear_ratio": 240,
        "dead_band": "0.4 deg",
        "proportional_band": "6 deg",
        "drive_rate": "333 Hz",
        "travel": "60 deg",
    },
    "supply": {"voltage": "6 V"},
}


def scenario(**tables):
    raw = copy.deepcopy(PLAIN)
    for name, changes in tables.items():
        raw.setdefault(name, {}).update(changes)
    return from_tables(raw)


def test_geometry_and_range():
    air = build_air(scenario(air={"density": "1.18 kg/m^3"}))
    stations = air.rotor.stations
    assert air.state.density == pytest.approx(1.18)
    assert (stations.root, stations.tip) == pytest.approx((0.040, 0.135))
    assert stations.quarter_chord == pytest.approx(0.13 * stations.chord)
    assert stations.thickness == pytest.approx(0.12)
    assert stations.radius.size >= 30
    assert math.degrees(air.table.pitch[0]) == pytest.approx(-38.0)
    assert math.degrees(air.table.pitch[-1]) == pytest.approx(38.0)
    assert rotor_loads(air.rotor, math.radians(10.0)).thrust > 0.0


def test_what_was_assumed_is_said():
    stated = build_air(scenario(air={"density": "1.18 kg/m^3"}))
    assert [item.key for item in stated.assumed] == ["blade.polar"]
    keys = [item.key for item in build_air(scenario()).assumed]
    assert keys == ["air.density", "blade.polar"]
    slow = build_air(scenario(rotor={"speed": "2500 rpm"}))
    assert any("doubtful" in item.value for item in slow.assumed)
    fast = build_air(scenario(rotor={"speed": "18000 rpm"}))
    assert any("Mach" in item.value for item in fast.assumed)


def test_altitude_thins_the_air():
    low, high = build_air(scenario(air={"altitude": "0 m"})), build_air(scenario(air={"altitude": "900 m"}))
    assert high.state.density == pytest.approx(0.9164 * low.state.density, rel=1e-3)


def test_thickness_in_metres_becomes_chords():
    air = build_air(scenario(blade={"thickness": "3 mm"}))
    assert air.rotor.stations.thickness == pytest.approx(0.003 / air.rotor.stations.chord, rel=2e-3)


@pytest.mark.parametrize(
    ("tables", "key"),
    [
        ({"air": {"altitude": "20000 m"}}, "air.altitude"),
        ({"blade": {"polar": "not-there.csv"}}, "blade.polar"),
        ({"blade": {"section": "not-there.dat"}}, "blade.section"),
    ],
)
def test_refusals_name_the_key(tables, key):
    with pytest.raises(ScenarioError) as caught:
        build_air(scenario(**tables))
    assert key in [problem.key for problem in caught.value.problems]


def test_polar_and_section_files(tmp_path, monkeypatch):
    """A user's polar makes the stated slope; a cambered outline lifts at zero pitch."""
    (tmp_path / "foil.csv").write_text(
        "alpha,c_l,c_d\n-10,-1.0,.02\n0,0,.012\n10,1.0,.02\n", encoding="utf-8"
    )
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, 40)))
    half = 0.6 * (0.2969 * np.sqrt(x) - 0.126 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    camber = 0.08 * x * (1.0 - x)
    upper, lower = camber + half, camber - half
    rows = [f"{a:.6f} {b:.6f}" for a, b in zip(x[::-1], upper[::-1], strict=True)]
    rows += [f"{a:.6f} {b:.6f}" for a, b in zip(x[1:], lower[1:], strict=True)]
    (tmp_path / "foil.dat").write_text("Invented cambered section\n" + "\n".join(rows), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    polar, outline = str(tmp_path / "foil.csv"), str(tmp_path / "foil.dat")
    tabulated = build_air(scenario(blade={"polar": polar}))
    assert tabulated.rotor.tabulated == 1.0
    # carried on past its ends at the Reynolds number of three quarters of the blade: 112.4 mm, 23.66 mm of chord
    reynolds = 8400.0 * math.pi / 30.0 * 0.1124375 * 0.0236632 / 1.4607e-5
    assert reynolds == pytest.approx(1.6e5, rel=0.02)
    carried = full_circle(read_polar(tmp_path / "foil.csv"), reynolds, 0.12)
    assert tabulated.rotor.table == pytest.approx(carried.table, rel=1e-4, abs=1e-6)
    assert [item.key for item in tabulated.assumed] == ["air.density"]
    cambered = build_air(scenario(blade={"section": outline}))
    assert math.degrees(cambered.rotor.sections[0, 1]) == pytest.approx(-2.29, abs=0.05)
    assert cambered.rotor.stations.thickness == pytest.approx(0.12, abs=0.002)
    assert rotor_loads(cambered.rotor, 0.0).thrust > 0.0
    counted = [
        "Invented cambered section",
        "40. 40.",
        "",
        *rows[:40][::-1],
        "",
        f"{x[0]:.6f} {lower[0]:.6f}",
        *rows[40:],
    ]
    (tmp_path / "counted.dat").write_text("\n".join(counted), encoding="utf-8")
    other = build_air(scenario(blade={"section": str(tmp_path / "counted.dat")}))
    assert other.rotor.sections == pytest.approx(cambered.rotor.sections)
    assert other.rotor.stations.thickness == pytest.approx(cambered.rotor.stations.thickness)


@pytest.mark.parametrize("name", ["NACA  0012", "naca-0012", " NACA 0012 "])
def test_the_family_is_spelt_for_air_as_for_masses(name):
    assert build_air(scenario(blade={"section": name})).rotor.stations.thickness == pytest.approx(0.12)
