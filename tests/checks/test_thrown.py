"""What a part that comes off does: held to published figures, and never to a hammer."""

import pytest

from featherbench.checks.thrown import BLINDS, SCRATCHES, SKIN, SPECTACLES, Thrown, goes_through, thrown_parts
from featherbench.scenario import read
from featherbench.studies import predict


def thrown(mass, speed, area):
    return Thrown("a thing", mass, speed, 0.5 * mass * speed**2, area)


def test_an_air_gun_pellet_that_is_known_to_perforate_skin_is_said_to():
    # caliber .22, 16.5 grains, 75 m/s perforated; the same at a third of the speed did not
    area = 3.14159 / 4.0 * 5.6e-3**2
    assert "goes through skin" in goes_through(thrown(16.5 * 64.79891e-6, 76.0, area))
    assert "skin" not in goes_through(thrown(16.5 * 64.79891e-6, 25.0, area))


def test_less_is_said_of_less():
    words = [goes_through(thrown(1e-3, (2.0 * density * 1e-5 / 1e-3) ** 0.5, 1e-5)) for density in
             (1.01 * SKIN, 1.01 * BLINDS, 1.01 * SCRATCHES, 0.5 * SCRATCHES)]  # fmt: skip
    assert ["skin" in said for said in words] == [True, False, False, False]
    assert ["blinds" in said for said in words] == [True, True, False, False]
    assert words[2].startswith("injures an eye")
    assert words[3] == ""


def test_spectacles_are_measured_by_the_ball_they_are_tested_with():
    assert pytest.approx(0.87, abs=0.01) == SPECTACLES
    assert "safety spectacles" in goes_through(thrown(2.2e-3, 45.0, None))
    assert "safety spectacles" not in goes_through(thrown(0.8e-3, 45.0, None))


def test_a_weight_leaves_at_the_speed_of_its_radius():
    run = predict(read("scenarios/survey-3kg/weighted.toml"))
    spin = float(run.scenario.rotor.speed)
    for one in thrown_parts(run):
        assert one.speed < spin * 1.1 * run.setup.assembly.outline.tip
        assert one.energy == pytest.approx(0.5 * one.mass * one.speed**2)
        assert one.area is not None
        assert one.area > 0.0
