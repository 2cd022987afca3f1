"""Hover trim by hand: main torque from weight, the tail's power, the servo's charge, the share of the air's moment."""

from math import pi, sqrt

import numpy as np
import pytest

from featherbench.aircraft.hover import hover_trim, main_torque
from featherbench.bench.statics import static_curves
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.scenario.schema import Aircraft

TAIL = {"tail_arm": "0.7 m", "yaw_inertia": "0.15 kg*m^2", "main_torque": "2 N*m"}


def lifter(merit=0.6, mass=6.0, speed="1500 rpm"):
    return Aircraft.model_validate(
        {
            "tail_arm": "0.9 m",
            "yaw_inertia": "0.9 kg*m^2",
            "mass": f"{mass} kg",
            "main_radius": "0.8 m",
            "main_speed": speed,
            "figure_of_merit": merit,
        }
    )


def test_main_torque_from_weight_by_hand():
    """6 kg on a disc of 0.8 m in 1.2 kg/m^3.

    Weight 58.84 N; induced speed sqrt(58.84 / (2 x 1.2 x 2.0106)) = 3.492 m/s; ideal power 205.5 W, at a merit of 0.6
    342.4 W; at 1500 rpm = 157.08 rad/s 2.180 N m.
    """
    torque, (said,) = main_torque(lifter(), 1.2)
    assert torque == pytest.approx(2.180, rel=1e-3)
    assert said.key == "aircraft.main_torque"
    assert "2.18" in said.value


def test_a_worse_main_rotor_takes_more_torque_and_a_faster_one_less():
    torque = main_torque(lifter(), 1.2)[0]
    assert main_torque(lifter(merit=0.5), 1.2)[0] == pytest.approx(1.2 * torque)
    assert main_torque(lifter(speed="3000 rpm"), 1.2)[0] == pytest.approx(0.5 * torque)
    assert main_torque(lifter(mass=24.0), 1.2)[0] == pytest.approx(8.0 * torque)  # weight^1.5
    assert main_torque(lifter(), 0.3)[0] == pytest.approx(2.0 * torque)  # 1 / sqrt(density)
    assert main_torque(Aircraft.model_validate(TAIL), 1.2) == (2.0, ())


@pytest.fixture(scope="module")
def hovering(setup_of):
    """Hover trim of the rig, varied: hovering(torque="1 N*m", rotor={...})."""

    def trim(torque="2 N*m", held=False, **changes):
        return hover_trim(setup_of(aircraft={**TAIL, "main_torque": torque}, **changes), held=held)

    return trim


def test_power_is_that_of_a_rotor_with_a_figure_of_merit(hovering):
    """2.857 N on a disc of 120 mm: ideal T sqrt(T / (2 rho A)) = 14.7 W; small rotors need 1.3 to 2.5 times it."""
    trim = hovering()
    assert trim.thrust == pytest.approx(2.0 / 0.7)
    ideal = trim.thrust * sqrt(trim.thrust / (2.0 * 1.2 * pi * 0.12**2))
    assert ideal == pytest.approx(14.66, rel=1e-3)
    assert 0.4 < ideal / trim.power < 0.75


def test_power_goes_with_speed_cubed(hovering):
    """At 1/sqrt 2 of the speed the same pitch makes half the thrust, for 2^-1.5 of the power (Reynolds apart)."""
    whole = hovering()
    slow = hovering(torque="1 N*m", rotor={"speed": f"{9000.0 / sqrt(2.0)!r} rpm"})
    assert slow.pitch == pytest.approx(whole.pitch, rel=0.03)
    assert slow.power == pytest.approx(whole.power / 2.0**1.5, rel=0.08)


def test_charge_of_ten_minutes_counts_the_idle_current(hovering):
    """A hold of 22 mA and 10 mA of idle: 32 mA for 600 s, 19 C; with 100 mA of idle 73 C."""
    for idle in (10, 100):
        trim = hovering(held=True, servo={"idle_current": f"{idle} mA"})
        assert 0.005 < trim.leg.hold < 0.06
        assert trim.charge == pytest.approx(600.0 * (trim.leg.hold + 1e-3 * idle), rel=1e-9)


def test_the_servo_is_held_at_the_hover_pitch_in_a_lopsided_range(hovering):
    """To within a degree: what dead band, play and give of the linkage leave."""
    trim = hovering(held=True, rotor={"pitch_range": ["-24 deg", "12 deg"]})
    assert trim.leg.target == pytest.approx(trim.pitch, rel=1e-6)
    assert trim.leg.final_pitch == pytest.approx(trim.pitch, abs=np.deg2rad(1.0))


def test_the_rod_holds_all_blades_in_hover(setup_of, hovering):
    """Virtual work: rod force times rod travel per pitch is what all blades need; push where they fall off."""
    trim, setup = hovering(), setup_of(aircraft=TAIL)
    spin = float(setup.scenario.rotor.speed)
    _, slope, _, slider = pitch_rod_travel(trim.pitch, setup.plant.linkage)
    moment = blade_moment(trim.pitch, spin, 0.0, setup.plant.loads)
    assert trim.rod_force * slope + 2.0 * moment == pytest.approx(0.0, abs=1e-12)
    curves = static_curves(setup, groups=False)
    at_trim = np.interp(trim.pitch, curves.pitch, curves.rod_force)
    assert trim.rod_force == pytest.approx(at_trim, abs=0.02 * np.abs(curves.rod_force).max())
    # bearings and slider through the linkage, and 0.2 N of the rod's own
    band = pitch_friction_limit(spin, slider, setup.plant.pitch) / abs(slope)
    assert trim.rod_friction == pytest.approx(band + 0.2)


def test_hover_out_of_reach_says_what_it_lacks(hovering):
    weak = hovering(torque="40 N*m")
    assert not weak.found
    assert "57.1 N is needed" in weak.advice
    narrow = hovering(rotor={"pitch_range": ["-24 deg", "3 deg"]})
    assert not narrow.found
    assert "outside the pitch range -24 to 3 deg" in narrow.advice


def test_half_of_the_airs_moment_is_half_of_it(setup_of):
    """[scale] air_moment, as a calibration finds it, scales the air's share and nothing else."""
    whole, half = (static_curves(setup_of(scale={"air_moment": share})) for share in (1.0, 0.5))
    assert np.abs(whole.air).max() > 1e-3
    assert half.air == pytest.approx(0.5 * whole.air, rel=1e-12)
    assert half.moment == pytest.approx(whole.moment - 0.5 * whole.air, rel=1e-9, abs=1e-12)
    assert half.by_group["blade"] == pytest.approx(whole.by_group["blade"], rel=1e-12)
