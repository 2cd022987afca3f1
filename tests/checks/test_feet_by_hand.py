"""The foot of an arm by hand: whichever way it stands, whatever its section, with all that hangs on it.

Bending and pull add up at one corner, shear goes beside: sqrt((M/W + F/A)^2 + 3 (F/A)^2). The grip reaches from -4.5 to
4.5 mm along the normal and from -6 to 6 mm along the chord; everything turns at 1.2 x 9,000 rpm.
"""

from math import hypot, pi, sqrt

import pytest

from featherbench.checks.thread import thread_areas

SPIN = 9000.0 * 2.0 * pi / 60.0 * 1.2
MM, G = 1e-3, 1e-3
ARM = {
    "group": "counterweight",
    "mass": "2 g",
    "material": "aluminium 6061",
    "held_by": "one piece",
    "held_to": "grip",
}
STUD = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "2.675 mm",
    "thread": "M3",
    "length": "6 mm",
    "at": {"radius": "22 mm", "normal": "7.5 mm"},
    "mass": "1.5 g",
    "material": "steel",
    "yield_strength": "200 MPa",
    "held_by": "screwed into the grip",
    "engagement": "4 mm",
}
CORE = (3.0 - 1.226869 * 0.5) * MM


def place(radius=22.0, chord=0.0, normal=0.0):
    return {"radius": f"{radius} mm", "chord": f"{chord} mm", "normal": f"{normal} mm"}


def box(radius, chord, normal):
    return {
        "shape": "box",
        "size": {"radius": f"{radius} mm", "chord": f"{chord} mm", "normal": f"{normal} mm"},
    }


def foot(load, moment, area, modulus):
    return sqrt((moment / modulus + load / area) ** 2 + 3.0 * (load / area) ** 2)


def held(path_of, name="arm", **parts):
    return path_of(part=parts)[f'what holds the weight "{name}"']


PULL = 2.0 * G * 22.0 * MM * SPIN**2
HEX = {"shape": "hex", "axis": "normal", "across_flats": "5 mm", "length": "6 mm"}
TUBE = {"shape": "tube", "axis": "normal", "diameter": "5 mm", "bore": "2 mm", "length": "6 mm"}
FEET = [
    # standing 6 mm up from the upper face, 3 mm along the pull and 4 mm across it: lever 3 mm
    (box(3, 4, 6), place(normal=7.5), 3.0, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
    (box(3, 4, 6), place(normal=-7.5), 3.0, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
    # standing out 5 mm forward or back, 3 mm along the pull and 4 mm high: lever 2.5 mm
    (box(3, 5, 4), place(chord=8.5), 2.5, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
    (box(3, 5, 4), place(chord=-8.5), 2.5, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
    (HEX, place(normal=7.5), 3.0, sqrt(3.0) / 2.0 * 25.0, pi * 125.0 / 32.0, "plain shank, 5.00 mm"),
    (TUBE, place(normal=7.5), 3.0, pi / 4.0 * 21.0, pi * (625.0 - 16.0) / 64.0 / 2.5, "plain shank, 5.00 mm"),
    (box(3, 4, 20), place(normal=14.5, chord=3.0), 10.0, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
    # forward of the middle and standing on the upper face: its foot is under it, not on the axis
    (box(3, 4, 6), place(normal=7.5, chord=3.0), 3.0, 12.0, 4.0 * 9.0 / 6.0, "3.00 x 4.00 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("shape", "at", "lever", "area", "modulus", "words"), FEET)
def test_the_foot_of_an_arm(path_of, shape, at, lever, area, modulus, words):
    """Lengths in mm; half of 276 MPa of the arm's own metal."""
    check = held(path_of, arm={**ARM, **shape, "at": at})
    assert check.demand == pytest.approx(foot(PULL, PULL * lever * MM, area * MM**2, modulus * MM**3))
    assert check.allowable == pytest.approx(0.5 * 276e6)
    assert check.section == f"foot, {words}"
    assert check.load_path


@pytest.mark.parametrize(
    "swung",
    [
        {"normal_share": 0.5, "period": "0.3 s", "cord_length": "300 mm", "spacing": "10 mm"},
        {
            "swings_measured": [
                {"about": axis, "period": "0.3 s", "cord_length": "300 mm", "spacing": "10 mm"}
                for axis in ("radius", "chord", "normal")
            ]
        },
    ],
)
def test_a_weighed_body_has_no_foot_to_reckon_with(path_of, swung):
    """The box of the same inertia is not its metal: a thin foot under a wide head would pass by it."""
    for high in (4.6, 5.0, 6.0):
        body = {**ARM, "shape": "measured", **swung, "at": place(normal=high)}
        check = held(path_of, arm=body)
        assert check.verdict == "unknown"
        assert "stands" in check.source or "no shape to reckon with" in check.source


def test_one_of_a_pair_pulls_at_one_foot(path_of):
    """Each weighs 2 g: the twin on the other side pulls at its own foot."""
    alone = held(path_of, arm={**ARM, **box(3, 4, 6), "at": place(normal=7.5)})
    pair = held(path_of, arm={**ARM, **box(3, 4, 6), "at": place(normal=7.5), "mirror": "normal"})
    assert pair.demand == pytest.approx(alone.demand)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_foot_bears_what_hangs_on_what_hangs_on_it(path_of, side):
    """2 g on the foot, 1 g on its end at 9 mm up, 0.5 g on that, 4 mm further forward: levers 3, 4.5, 52^0.5."""
    held_to = {"group": "counterweight", "material": "aluminium 6061", "held_by": "one piece"}
    parts = {
        "arm": {**ARM, **box(3, 4, 6), "at": place(normal=side * 7.5)},
        "weight": {
            **held_to,
            **box(6, 6, 3),
            "at": place(normal=side * 9.0),
            "mass": "1 g",
            "held_to": "arm",
        },
        "tip": {
            **held_to,
            **box(2, 2, 2),
            "at": place(24.0, 4.0, side * 10.5),
            "mass": "0.5 g",
            "held_to": "weight",
        },
    }
    loads = [mass * G * radius * MM * SPIN**2 for mass, radius in ((2.0, 22.0), (1.0, 22.0), (0.5, 24.0))]
    levers = [3.0, 4.5, hypot(4.0, 6.0)]
    moment = sum(load * lever * MM for load, lever in zip(loads, levers, strict=True))
    check = held(path_of, **parts)
    assert check.demand == pytest.approx(foot(sum(loads), moment, 12.0 * MM**2, 6.0 * MM**3))


@pytest.mark.parametrize(("own", "grip"), [(200.0, 276.0), (900.0, 150.0)])
@pytest.mark.parametrize("deep", [0.51, 0.9, 4.0, 4.4])
def test_a_stud_by_its_foot_its_pull_and_its_tilt(path_of, own, grip, deep):
    """Of three the one with least to spare: its core at the face; its thread less a pitch; the edge of its hole."""
    load = 1.5 * G * 22.0 * MM * SPIN**2
    turning = load * 3.0 * MM
    area, modulus = pi / 4.0 * CORE**2, pi * CORE**3 / 32.0
    outside, inside = thread_areas("M3")
    edge = load / (3.0 * MM * deep * MM) + 6.0 * (turning + 0.5 * load * deep * MM) / (
        3.0 * MM * (deep * MM) ** 2
    )
    rows = [
        (foot(load, turning, area, modulus), 0.5 * own * 1e6),
        (load, 0.5 * 0.577 * (deep - 0.5) * MM * min(own * outside, grip * inside) * 1e6),
        (edge, 0.5 * min(own, grip) * 1e6),
    ]
    demand, allowable = min(rows, key=lambda row: row[1] / row[0])
    stud = {**STUD, "yield_strength": f"{own} MPa", "engagement": f"{deep} mm"}
    check = held(path_of, arm=stud, grip={"yield_strength": f"{grip} MPa"})
    assert (check.demand, check.allowable) == pytest.approx((demand, allowable))
    assert check.load_path


def test_the_heaviest_of_the_grip_holds_a_stud_that_names_nothing(path_of):
    light = {"group": "grip", "shape": "point", "mass": "0.1 g", "at": place(20.0), "material": "nylon"}
    knob = {"group": "counterweight", "shape": "point", "mass": "9 g", "at": place(30.0, 0.0, 9.0)}
    for arm in ({**STUD, "engagement": "0.8 mm"}, {**STUD, "engagement": "0.51 mm"}):
        assert held(path_of, arm=arm, horn=light, knob=knob).section.endswith("part.grip")


def test_a_thread_goes_through_all_that_is_stacked_under_it(path_of):
    """The grip from -4.5 to 4.5 mm and a lug from there to 6.5 mm: 11 mm for a single stud."""
    lug = {
        "group": "grip",
        **box(8, 4, 2),
        "at": place(normal=5.5),
        "mass": "0.2 g",
        "material": "aluminium 6061",
    }
    stud = {**STUD, "at": place(normal=9.5)}
    assert held(path_of, arm={**stud, "engagement": "10.9 mm"}, lug=lug).verdict != "unknown"
    assert "has 11.00 mm there" in held(path_of, arm={**stud, "engagement": "11.2 mm"}, lug=lug).source


def test_only_metal_about_the_stud_holds_its_thread(path_of):
    """4.5 mm of grip for each twin; a horn beside it, level with the stud along the radius only, adds none."""
    horn = {
        "group": "grip",
        **box(8, 4, 20),
        "at": place(22.0, 12.0),
        "mass": "1 g",
        "material": "aluminium 6061",
    }
    pair = {**STUD, "mirror": "normal"}
    assert held(path_of, arm={**pair, "engagement": "4.5 mm"}, horn=horn).verdict != "unknown"
    assert "has 4.50 mm there" in held(path_of, arm={**pair, "engagement": "5 mm"}, horn=horn).source


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"held_to": "bolt"}, "not one piece"),
        ({"held_to": None}, "state part.arm.held_to"),
        ({"material": "brass"}, "brass and aluminium 6061 are not one piece"),
        ({"material": None, "yield_strength": "200 MPa"}, "a material not stated and aluminium 6061"),
        ({"material": "nylon"}, "no strength to reckon with"),
        ({"shape": "point", "size": None}, "no shape to reckon with"),
    ],
)
def test_an_arm_of_which_too_little_is_known(path_of, changes, said):
    arm = {**ARM, **box(3, 4, 6), "at": place(normal=7.5), **changes}
    check = held(path_of, arm={key: value for key, value in arm.items() if value is not None})
    assert check.verdict == "unknown"
    assert said in check.source


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"thread": None}, "has no thread"),
        ({"engagement": None}, "state part.arm.engagement"),
    ],
)
def test_a_stud_of_which_too_little_is_known(path_of, changes, said):
    check = held(path_of, arm={key: value for key, value in {**STUD, **changes}.items() if value is not None})
    assert check.verdict == "unknown"
    assert said in check.source


def test_a_stud_in_a_grip_of_unknown_strength(path_of):
    check = held(path_of, arm=STUD, grip={"material": "nylon"})
    assert check.verdict == "unknown"
    assert check.source.startswith("part.grip: nylon")
