"""The section polar: limits, symmetry, continuity, and the user's own table."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.rotor.polar_table import PolarError, full_circle, read_polar
from featherbench.rotor.section_polar import (
    centre_shift,
    lift_slope,
    plate_centre,
    section_at,
    section_coefficients,
)
from featherbench.rotor.stall_delay import stall_delay_factor

ANGLES = st.floats(-math.pi, math.pi)
REYNOLDS = st.floats(2e4, 2e6)


@given(ANGLES, REYNOLDS)
def test_symmetric_section_is_antisymmetric(alpha, reynolds):
    section = section_at(reynolds, 0.2, 0.12)
    lift, drag, moment = section_coefficients(alpha, section)
    other = section_coefficients(-alpha, section)
    assert np.allclose((lift, drag, moment), (-other[0], other[1], -other[2]), atol=1e-14)


@given(ANGLES, REYNOLDS, st.floats(-0.08, 0.08))
def test_drag_is_positive_and_all_is_finite(alpha, reynolds, zero_lift):
    lift, drag, moment = section_coefficients(alpha, section_at(reynolds, 0.3, 0.12, zero_lift, 0.02))
    assert drag > 0.0
    assert abs(lift) < 2.0
    assert abs(moment) < 1.0


def test_slope_at_zero_is_the_stated_slope():
    for reynolds in (5e4, 2e5, 1e6):
        section = section_at(reynolds, 0.3, 0.12)
        step = 1e-5
        slope = (section_coefficients(step, section)[0] - section_coefficients(-step, section)[0]) / (
            2.0 * step
        )
        assert slope == pytest.approx(lift_slope(reynolds, 0.3), rel=1e-3)


def test_continuous_over_the_circle():
    section = section_at(1.5e5, 0.3, 0.12, -0.03, -0.02)
    angles = np.linspace(-math.pi, math.pi, 40001)
    values = np.array([section_coefficients(float(angle), section) for angle in angles])
    assert np.max(np.abs(np.diff(values, axis=0))) < 10.0 * (angles[1] - angles[0])


def test_centre_of_pressure_moves_aft_past_stall():
    section = section_at(2e5, 0.3, 0.12)

    def centre(degrees):
        alpha = math.radians(degrees)
        lift, drag, moment = section_coefficients(alpha, section)
        return 0.25 - moment / (lift * math.cos(alpha) + drag * math.sin(alpha))

    places = [centre(degrees) for degrees in (10, 14, 18, 25, 45, 90)]
    assert places == sorted(places)
    assert centre(2) == pytest.approx(0.25, abs=0.001)
    assert places[-1] == pytest.approx(0.5, abs=0.005)


def test_centre_of_pressure_moves_forward_before_the_stall_by_the_stated_share_of_chord():
    """Where f^2 = 1/2 the rear 29 per cent of the chord is separated and the shift is greatest: 0.04 chord."""
    assert centre_shift(math.sqrt(0.5)) == pytest.approx(0.04)
    assert centre_shift(1.0) == pytest.approx(0.0, abs=1e-12)
    assert centre_shift(0.0) == 0.0
    section = section_at(3.6e5, 0.0, 0.12)
    assert section_coefficients(math.radians(9.0), section)[2] > 0.015
    assert section_coefficients(math.radians(14.0), section)[2] < -0.02


@given(st.floats(0.05, 0.6))
def test_rotation_delays_the_stall_by_the_published_law(solidity):
    """Hand calculation: at c/r = 0.3 the gradient is (0.1517/0.3)^(1/1.084) = 0.533, the factor 0.533 x 0.3/0.136."""
    assert float(stall_delay_factor(0.3)) == pytest.approx(1.1760, abs=5e-4)
    factor = float(stall_delay_factor(solidity))
    assert 1.0 <= factor < 1.35
    assert float(stall_delay_factor(solidity, 1.6)) >= factor
    assert float(stall_delay_factor(1.1 * solidity)) >= factor


@given(st.floats(0.02, 0.7), st.floats(0.0, 0.06))
def test_delay_moves_the_stall_and_leaves_the_attached_flow(alpha, delay):
    """Later stall never lifts less; well below it nothing changes but the tail of the stall, and none at 90 degrees."""
    still = section_at(1.5e5, 0.3)
    turning = still._replace(stall=still.stall + delay, delay=delay)
    assert section_coefficients(alpha, turning)[0] >= section_coefficients(alpha, still)[0] - 1e-3
    across = [section_coefficients(0.5 * math.pi, one)[1] for one in (still, turning)]
    assert across[1] == pytest.approx(across[0], rel=1e-9)
    past = math.radians(18.0)
    gained = section_coefficients(past, turning)[0] - section_coefficients(past, still)[0]
    assert gained >= 0.6 * still.slope * delay * math.cos(past) ** 3 - 1e-9


def test_plate_centre_at_the_ends_of_free_streamline_theory():
    assert plate_centre(0.0, 1.0) == pytest.approx(5.0 / 16.0)
    assert plate_centre(1.0, 0.0) == pytest.approx(0.5)


def test_more_reynolds_more_lift_less_drag():
    low, high = section_at(1e5, 0.0), section_at(1e6, 0.0)
    assert high.slope > low.slope
    assert high.drag < low.drag
    assert high.stall > low.stall


def _write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


def test_user_polar_is_read_and_carried_on(tmp_path):
    path = _write(
        tmp_path / "foil.csv",
        "# invented\nalpha,c_l,c_d,c_m\n-8,-0.8,0.02,0.01\n0,0.02,0.012,-0.01\n8,0.85,0.021,-0.02\n",
    )
    table = read_polar(path)
    section = full_circle(table)
    assert section_coefficients(math.radians(8.0), section) == pytest.approx((0.85, 0.021, -0.02))
    assert section_coefficients(math.radians(4.0), section)[0] == pytest.approx(0.435)
    angles = np.linspace(-math.pi, math.pi, 20001)
    values = np.array([section_coefficients(float(angle), section) for angle in angles])
    assert np.all(np.isfinite(values))
    assert np.min(values[:, 1]) > 0.0
    # 0.5 degree rows, c_l up to 7 per radian
    assert np.max(np.abs(np.diff(values[:, 0]))) < 12.0 * (angles[1] - angles[0])


def test_columns_in_any_order_and_without_moment(tmp_path):
    table = read_polar(_write(tmp_path / "foil.csv", "c_d,alpha,c_l\n.02,-5,-.5\n.01,0,0\n.02,5,.5\n"))
    assert table[:, 3] == pytest.approx([0.0, 0.0, 0.0])
    assert table[2] == pytest.approx([math.radians(5.0), 0.5, 0.02, 0.0])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("alpha,c_l\n0,0\n", "no column c_d"),
        ("alpha,c_l,c_d\n-1,0,.01\n0,x,.01\n1,0,.01\n", "line 3"),
        ("alpha,c_l,c_d\n-1,0,.01\n0,0,.01,4\n1,0,.01\n", "line 3"),
        ("alpha,c_l,c_d\n-1,0,.01\n1,0,.01\n", "at least 3"),
        ("alpha,c_l,c_d\n-1,0,.01\n1,0,.01\n0,0,.01\n", "rise"),
        ("alpha,c_l,c_d\n1,0,.01\n2,0,.01\n3,0,.01\n", "both sides"),
        ("alpha,c_l,c_d\n-1,0,.01\n0,0,0\n1,0,.01\n", "c_d must be positive"),
        ("alpha,c_l,c_d\n-1,0,.01\n0,nan,.01\n1,0,.01\n", "finite"),
        ("alpha,c_l,c_d\n-1,0,.01\n0,0,.01\n200,0,.01\n", "-180"),
    ],
)
def test_bad_polar_is_refused_in_words(tmp_path, text, words):
    with pytest.raises(PolarError, match=words):
        read_polar(_write(tmp_path / "foil.csv", text))


def test_missing_polar_file(tmp_path):
    with pytest.raises(PolarError, match=r"gone\.csv"):
        read_polar(tmp_path / "gone.csv")


@settings(max_examples=20)
@given(REYNOLDS, st.floats(0.0, 0.6))
def test_mach_raises_the_slope(reynolds, mach):
    assert lift_slope(reynolds, mach) == pytest.approx(lift_slope(reynolds) / math.sqrt(1.0 - mach**2))
