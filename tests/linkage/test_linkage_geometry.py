"""Linkage geometry: derivatives, symmetry, limits, power balance, inverse, and the exact rod constraint."""

from math import acos, asin, cos, degrees, hypot, inf, isfinite, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.linkage import LinkageReach, linkage_geometry, servo_angle_for
from featherbench.linkage.force import force_available, rod_force, rod_friction
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel, tilt_shortening

lengths = st.floats(0.012, 0.02)
neutrals = st.tuples(*[st.floats(-0.2, 0.2)] * 3)
square = st.just((0.0, 0.0, 0.0))
pitches = st.floats(-0.45, 0.45)


def linkages(neutral=neutrals):
    """Linkages whose servo arm, lever and horn reach +/-26 degrees of pitch with room to spare."""
    return st.builds(
        lambda arm, horn, stretch, ratio, rod, link, neutral, has_lever, reverse: linkage_geometry(
            servo_arm=(arm + horn) * (ratio if has_lever else 1.0),
            rod_length=rod,
            horn_arm=horn,
            lever=(horn * stretch, horn * stretch * ratio) if has_lever else None,
            pitch_link=link,
            neutral=neutral,
            reverse=reverse,
        ),
        arm=lengths,
        horn=lengths,
        stretch=st.floats(1.0, 1.5),
        ratio=st.floats(0.7, 1.6),
        rod=st.floats(0.1, 0.6),
        link=st.one_of(st.just(inf), st.floats(0.012, 0.04)),
        neutral=neutral,
        has_lever=st.booleans(),
        reverse=st.booleans(),
    )


def slope(function, place, step=1e-5):
    """Central difference."""
    return (function(place + step) - function(place - step)) / (2.0 * step)


@given(linkage=linkages(), pitch=pitches, angle=st.floats(-1.2, 1.2))
def test_slopes_are_the_derivatives(linkage, pitch, angle):
    _, per_pitch, _, slider_per_pitch = pitch_rod_travel(pitch, linkage)
    assert per_pitch == pytest.approx(slope(lambda p: pitch_rod_travel(p, linkage)[0], pitch), abs=1e-9)
    assert slider_per_pitch == pytest.approx(
        slope(lambda p: pitch_rod_travel(p, linkage)[2], pitch), abs=1e-9
    )
    per_angle = servo_rod_travel(angle, linkage)[1]
    assert per_angle == pytest.approx(slope(lambda p: servo_rod_travel(p, linkage)[0], angle), abs=1e-9)


@given(linkage=linkages())
def test_neutral_is_neutral(linkage):
    assert servo_rod_travel(0.0, linkage)[0] == pytest.approx(0.0, abs=1e-18)
    travel, _, slider, _ = pitch_rod_travel(0.0, linkage)
    assert (travel, slider) == pytest.approx((0.0, 0.0), abs=1e-17)
    assert servo_angle_for(0.0, linkage) == pytest.approx(0.0, abs=1e-12)


@given(linkage=linkages(neutral=square), pitch=pitches)
def test_square_neutrals_and_long_links_are_symmetric(linkage, pitch):
    long = linkage._replace(rod_length=inf, pitch_link=inf)
    assert pitch_rod_travel(-pitch, long)[0] == -pitch_rod_travel(pitch, long)[0]
    assert servo_rod_travel(-pitch, long)[0] == -servo_rod_travel(pitch, long)[0]
    # with real lengths what is left is even, the tilt of rod and link alone
    forward = linkage._replace(sign=1.0)
    assert pitch_rod_travel(pitch, forward)[0] + pitch_rod_travel(-pitch, forward)[0] >= 0.0
    assert servo_rod_travel(pitch, linkage)[0] + servo_rod_travel(-pitch, linkage)[0] <= 0.0


@given(linkage=linkages(), pitch=pitches, angle=st.floats(-1.2, 1.2))
def test_long_rod_and_link_leave_plain_sines(linkage, pitch, angle):
    long = linkage._replace(rod_length=inf, pitch_link=inf)
    rise = linkage.horn_arm * (sin(pitch + linkage.horn_neutral) - sin(linkage.horn_neutral))
    ratio = linkage.lever_in / linkage.lever_out
    assert pitch_rod_travel(pitch, long)[0] == pytest.approx(
        linkage.sign * ratio * rise, rel=1e-12, abs=1e-18
    )
    made = linkage.servo_arm * (sin(angle + linkage.arm_neutral) - sin(linkage.arm_neutral))
    assert servo_rod_travel(angle, long)[0] == pytest.approx(made, rel=1e-12, abs=1e-18)
    # and the same is the limit of real ones
    far = linkage._replace(rod_length=1e6, pitch_link=1e6)
    assert pitch_rod_travel(pitch, far)[0] == pytest.approx(pitch_rod_travel(pitch, long)[0], abs=1e-9)
    assert servo_rod_travel(angle, far)[0] == pytest.approx(servo_rod_travel(angle, long)[0], abs=1e-9)


def test_friction_at_the_axis_and_along_the_rod_adds_up_at_its_end():
    slope = np.array([-0.013, 0.02])
    assert rod_friction(np.array([0.026, 0.01]), slope, 0.5) == pytest.approx([2.5, 1.0])
    assert rod_friction(0.026, -0.013, 0.5, 1.5) == pytest.approx(3.5)


@given(linkage=linkages(), pitch=pitches)
def test_reversed_changes_the_sign_of_rod_travel_but_not_of_the_rods_tilt(linkage, pitch):
    for rod, tilt in ((inf, False), (linkage.rod_length, linkage.has_lever == 1.0)):
        forward, backward = (
            pitch_rod_travel(pitch, linkage._replace(rod_length=rod, sign=sign)) for sign in (1.0, -1.0)
        )
        assert backward[2:] == forward[2:]
        if tilt:
            straight = pitch_rod_travel(pitch, linkage._replace(rod_length=inf, sign=1.0))
            shortening = forward[0] - straight[0]
            assert shortening >= 0.0
            assert backward[0] == pytest.approx(-straight[0] + shortening, abs=1e-17)
        else:
            assert backward[:2] == (-forward[0], -forward[1])


@given(linkage=linkages(), pitch=pitches)
def test_pushing_raises_pitch_unless_reversed(linkage, pitch):
    _, per_pitch, _, slider_per_pitch = pitch_rod_travel(pitch, linkage)
    assert per_pitch * linkage.sign > 0.0
    assert slider_per_pitch > 0.0


@given(linkage=linkages(), pitch=pitches, moment=st.floats(-1.0, 1.0), blades=st.integers(2, 8))
def test_rod_and_blades_exchange_equal_power(linkage, pitch, moment, blades):
    """What the servo puts in while it turns is what the blades' moments take while they pitch."""
    angle = servo_angle_for(pitch, linkage)
    per_angle, per_pitch = servo_rod_travel(angle, linkage)[1], pitch_rod_travel(pitch, linkage)[1]
    force = rod_force(moment, per_pitch, float(blades))
    step = 1e-5
    turned = servo_angle_for(pitch + step, linkage) - servo_angle_for(pitch - step, linkage)
    work_in = force * per_angle * turned
    assert work_in == pytest.approx(blades * moment * 2.0 * step, rel=1e-7, abs=1e-15)
    assert force_available(force * per_angle, per_angle) == pytest.approx(force, rel=1e-12)


@given(linkage=linkages(), pitch=pitches)
def test_servo_angle_makes_the_travel_that_pitch_asks(linkage, pitch):
    angle = servo_angle_for(pitch, linkage)
    made, per_angle = servo_rod_travel(angle, linkage)
    assert made == pytest.approx(pitch_rod_travel(pitch, linkage)[0], abs=1e-15)
    assert per_angle > 0.0
    long = linkage._replace(rod_length=inf)
    assert servo_rod_travel(servo_angle_for(pitch, long), long)[0] == pytest.approx(
        pitch_rod_travel(pitch, long)[0], abs=1e-15
    )


@given(linkage=linkages(), angle=st.floats(-1.2, 1.2))
def test_arm_ball_keeps_a_rod_length_from_the_far_end(linkage, angle):
    """Both places worked out in the plane, with no use of the closed form."""
    total = angle + linkage.arm_neutral
    ball = (linkage.servo_arm * sin(total), linkage.servo_arm * cos(total))
    end = linkage.servo_arm * linkage.arm_sine + linkage.rod_length + servo_rod_travel(angle, linkage)[0]
    gap = hypot(end - ball[0], linkage.servo_arm * linkage.arm_cosine - ball[1])
    assert gap == pytest.approx(linkage.rod_length, rel=1e-14)


@given(linkage=linkages(), pitch=pitches)
def test_pitch_link_keeps_its_length(linkage, pitch):
    if linkage.pitch_link == inf:
        return
    total = pitch + linkage.horn_neutral
    rise = linkage.horn_arm * (sin(total) - linkage.horn_sine)
    aside = linkage.horn_arm * (linkage.horn_cosine - cos(total))
    slider = pitch_rod_travel(pitch, linkage)[2]
    assert hypot(linkage.pitch_link + rise - slider, aside) == pytest.approx(linkage.pitch_link, rel=1e-13)


def exact_rod_mismatch(pitch, linkage, side):
    """How much longer or shorter than the rod the exact distance between its two balls is, m.

    side +1.0 when arm and lever stand on the same side of the rod line, -1.0 when opposite.
    """
    angle = servo_angle_for(pitch, linkage) + linkage.arm_neutral
    slider = pitch_rod_travel(pitch, linkage)[2]
    lever_sine = linkage.lever_sine + slider / linkage.lever_out
    lever = linkage.lever_in
    along = lever * (lever_sine - linkage.lever_sine) * linkage.sign
    lever_aside = lever * (linkage.lever_cosine - sqrt(1.0 - lever_sine**2))
    arm_along = linkage.servo_arm * (sin(angle) - linkage.arm_sine)
    arm_aside = linkage.servo_arm * (linkage.arm_cosine - cos(angle))
    gap = hypot(linkage.rod_length + along - arm_along, arm_aside - side * lever_aside)
    return gap - linkage.rod_length, abs(arm_aside * lever_aside) / linkage.rod_length


@given(linkage=linkages(), pitch=pitches, side=st.sampled_from([1.0, -1.0]))
def test_neglected_cross_term_is_as_stated(linkage, pitch, side):
    """Against |ball_lever - ball_arm| = L: what is left is u_arm u_lever / L to within a tenth."""
    if linkage.has_lever == 0.0:
        return
    mismatch, stated = exact_rod_mismatch(pitch, linkage, side)
    assert abs(mismatch) == pytest.approx(stated, rel=0.1, abs=1e-8)


def test_cross_term_of_the_docstring_example():
    arm, lever, rod = 0.013, 0.020, 0.420
    stated = arm * (1.0 - cos(radians(40.0))) * lever * (1.0 - cos(radians(30.0))) / rod
    assert stated == pytest.approx(0.02e-3, rel=0.05)


def test_tilt_of_a_short_link_is_pythagoras():
    shortening, per_unit = tilt_shortening(0.006, 1.0, 0.010)
    assert (shortening, per_unit) == pytest.approx((0.002, 0.75), rel=1e-15)
    assert tilt_shortening(0.006, 1.0, inf) == (0.0, 0.0)
    assert tilt_shortening(0.02, 1.0, 0.01) == (0.01, 0.0)


@given(linkage=linkages(), place=st.floats(-10.0, 10.0))
def test_kernels_stay_finite_anywhere(linkage, place):
    """A run may overshoot what the linkage reaches; the stepper must still get numbers."""
    assert all(isfinite(value) for value in pitch_rod_travel(place, linkage))
    assert all(isfinite(value) for value in servo_rod_travel(place, linkage))


BASE = {"servo_arm": 0.013, "rod_length": 0.42, "horn_arm": 0.014, "lever": (0.014, 0.02)}


@pytest.mark.parametrize(
    ("changed", "pitch", "words"),
    [
        ({"lever": (0.006, 0.009)}, 0.5, "lever of 6.00 mm"),
        ({"servo_arm": 0.006}, 0.4, "servo arm of 6.00 mm"),
        ({"pitch_link": 0.001}, 0.45, "pitch link's 1.00 mm"),
        (
            {"pitch_link": 0.014 * (1.0 - cos(0.45))},
            0.45,
            "pitch link's 1.39 mm",
        ),  # square across: no link holds so
        ({"neutral": (0.0, 0.0, 1.2)}, 0.45, "horn stands 94.5 deg"),
        # a horn that leans forward and comes back to square: 14 mm (1 - cos 0.5) to the other side, 1.71 mm
        (
            {"neutral": (0.0, 0.0, 0.5), "pitch_link": 0.0015},
            -0.5,
            "moves 1.71 mm sideways, more than the pitch link's 1.50",
        ),
    ],
)
def test_out_of_reach_is_said_with_numbers(changed, pitch, words):
    linkage = linkage_geometry(**{**BASE, **changed})
    with pytest.raises(LinkageReach, match=words) as caught:
        servo_angle_for(pitch, linkage)
    assert f"{degrees(pitch):.1f} deg" in str(caught.value)


@pytest.mark.parametrize(
    ("pitch", "room"), [(0.5, "reaches 4.81 mm"), (0.38, "reaches 4.81 mm"), (-0.6, "reaches 7.19 mm")]
)
def test_a_lever_that_leans_reaches_further_to_one_side(pitch, room):
    """6 mm of lever leaning 0.2 rad: 6 (1 - sin 0.2) = 4.81 mm one way, 6 (1 + sin 0.2) = 7.19 mm the other."""
    linkage = linkage_geometry(**{**BASE, "lever": (0.006, 0.009), "neutral": (0.0, 0.2, 0.0)})
    assert servo_angle_for(-0.38, linkage) < 0.0  # 5.19 mm of slider
    with pytest.raises(LinkageReach, match=room):
        servo_angle_for(pitch, linkage)


def test_a_horn_reaches_to_a_thousandth_of_its_dead_centre():
    """Square of its cosine 1e-6: 89.943 deg off square; nothing else is in the way here."""
    linkage = linkage_geometry(servo_arm=0.02, rod_length=inf, horn_arm=0.014)
    for pitch in (89.9, -89.9):
        assert servo_angle_for(radians(pitch), linkage) == pytest.approx(asin(0.7 * sin(radians(pitch))))
        with pytest.raises(LinkageReach, match="horn stands"):
            servo_angle_for(radians(pitch * 1.0006), linkage)


def test_servo_angle_by_hand():
    """Square, equal lever arms, endless rod and link: sin(phi) = h/a sin(theta)."""
    linkage = linkage_geometry(servo_arm=0.013, rod_length=inf, horn_arm=0.014, lever=(0.014, 0.014))
    angle = servo_angle_for(radians(26.0), linkage)
    assert angle == pytest.approx(pi / 2 - acos(14.0 / 13.0 * sin(radians(26.0))), rel=1e-14)


def test_one_compiled_version_serves_all():
    linkage = linkage_geometry(servo_arm=1, rod_length=20, horn_arm=1, lever=(1, 2), pitch_link=2)
    assert all(isinstance(value, float) for value in linkage)
    servo_rod_travel(0.1, linkage)
    pitch_rod_travel(0.1, linkage)
    assert len(servo_rod_travel.signatures) == len(pitch_rod_travel.signatures) == 1
